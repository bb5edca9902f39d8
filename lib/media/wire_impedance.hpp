#pragma once

#include <complex>

#include "core/quantity.hpp"

/// What the metal and the coat of a round wire add to its impedance, per metre of length.
namespace feldspar::media {

/// Internal impedance of a round solid wire [ohm/m], skin effect included:
/// Z' = g / (2 pi a sigma) * I_0(g a) / I_1(g a), g = (1 + j) / skin depth
/// (Ramo, Whinnery and Van Duzer, Fields and Waves, 3rd ed., sec. 4.5). From direct current to any frequency;
/// the imaginary part is the internal reactance, which adds to the external one. Good conductor: displacement
/// current in the metal is left out. The current is taken as uniform round the wire (no proximity effect).
/// @param radius > 0   @param conductivity > 0 [S/m]; infinity gives 0   @param relative_permeability > 0,
/// taken as linear: a rough value for steel   @param f > 0
/// @throws core::Error{usage} outside these ranges
/// @note 1e-14 relative for given constants.
[[nodiscard]] std::complex<double> internal_impedance(core::Length radius, double conductivity,
                                                      double relative_permeability, core::Frequency f);

/// 1 / sqrt(pi f mu sigma) [m]; 0 for infinite conductivity. Ranges and errors as internal_impedance().
[[nodiscard]] double skin_depth(double conductivity, double relative_permeability, core::Frequency f);

/// 1 / (sigma * skin depth) [ohm]: resistance of a square of thick metal; 0 for infinite conductivity. Ranges
/// and errors as internal_impedance().
[[nodiscard]] double surface_resistance(double conductivity, double relative_permeability, core::Frequency f);

/// A thin dielectric coat between radii a and b as its equals on a bare wire. First order in the coat's
/// thickness over the wavelength, no dielectric loss.
///
/// In any medium, soil too: a bare wire of radius b with the sheath's inductance in series and its
/// capacitance between metal and surface, so that a charge q per metre raises the metal's potential by q /
/// `sheath_capacitance` (line theory; [wait1972] has the same condition). In air alone there are two shorter
/// forms (Lee and Balmain, Radio Sci. 14, 1979): a bare wire of `equivalent_radius` with `series_inductance`,
/// or radius a in the vector potential and `equivalent_radius` in the scalar potential.
struct CoatEffect {
  double equivalent_radius = 0.0;   ///< m, a^(1/eps) b^(1 - 1/eps)
  double series_inductance = 0.0;   ///< H/m, (mu_0 / 2 pi) (1 - 1/eps) ln(b/a)
  double sheath_inductance = 0.0;   ///< H/m, (mu_0 / 2 pi) ln(b/a)
  double sheath_capacitance = 0.0;  ///< F/m, 2 pi eps_0 eps / ln(b/a); infinite without a coat
};

/// @param wire_radius a > 0   @param outer_radius b >= a   @param relative_permittivity eps >= 1
/// @throws core::Error{usage} outside these ranges
[[nodiscard]] CoatEffect coat_effect(core::Length wire_radius, core::Length outer_radius,
                                     double relative_permittivity);

}  // namespace feldspar::media
