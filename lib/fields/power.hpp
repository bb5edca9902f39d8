#pragma once

#include <span>

#include "core/quantity.hpp"
#include "fields/far_field.hpp"
#include "media/ground.hpp"
#include "moment/current.hpp"

/// Where the power goes, each part computed on its own from the currents. All in W, for peak phasors.
namespace feldspar::fields {

/// Power radiated to the sky: the upper hemisphere over ground, the whole sphere in free space. Quadrature
/// whose order follows the structure's extent and which is refined until it is right to 1e-7 (an estimate) of
/// itself.
/// @throws core::Error{numerics} when it does not converge
[[nodiscard]] double sky_power(const Pattern& pattern);

/// Power that goes for good into a lossless soil (conductivity 0): the far field below the surface over the
/// lower hemisphere, of currents above and below, 1e-7. @throws core::Error{usage} when the ground is not a
/// real ground without conductivity
[[nodiscard]] double lower_hemisphere_power(const moment::Currents& currents, const media::Ground& ground,
                                            core::Frequency f);

/// Power that a real ground takes: the flux of Re(E x H*)/2 down through z = 0, as an integral over the
/// plane-wave spectrum of the currents, decaying waves included (docs/power.md). Heat and, for a soil without
/// loss, what is radiated downwards. 0 in free space and over perfect ground.
///
/// Currents may lie above the surface, below it and pass through it. Those below are taken to be on perfectly
/// conducting wires without ports: what ports feed there is to be added, what the metal or inserts lose there
/// to be subtracted (of currents below alone, the result is minus their sky power).
/// What coats carry through the surface inside the tube, coat_flux(), is to be added as well.
/// @param currents  elements wholly above or wholly below z = 0; a current that ends at z = 0 must go on on
/// the other side
/// @param relative_error  wanted, of the ground power; 1e-3 .. 1e-8. Where a wire of radius a passes through
/// the surface about |k1 a|^2 / 50 is left, and 1e-5
/// @throws core::Error{usage} for elements along the surface or through it, or a current that ends there
[[nodiscard]] double ground_power(const moment::Currents& currents, const media::Ground& ground,
                                  core::Frequency f, double relative_error = 1e-4);

/// Whether ground_power() closes the budget of a solved antenna: not where a wire meets the surface at a
/// slant or changes its radius there, within one radius (the flux is right for the current it is given, but
/// the field that the solver leaves along the wires next to such a point works on their current: 0.1 to some
/// % of the input), and not where all currents are below (the flux is then minus the sky power and checks
/// nothing).
[[nodiscard]] bool knows_ground_power(const moment::Currents& currents);

/// Power that coats carry down through z = 0 between the metal and the wire's outside, where
/// ElementCurrent::radius lies: half the real part of the voltage j I'/(omega C') across the coat times
/// conj(I), I' on the side below. ground_power() is the flux outside.
/// @param sheath_capacitance_per_wire  C', F/m, indexed by ElementCurrent::wire; infinite without a coat
/// @throws core::Error{usage} when a wire is missing
[[nodiscard]] double coat_flux(const moment::Currents& currents,
                               std::span<const double> sheath_capacitance_per_wire, core::Frequency f);

/// Half the integral of |I|^2 ds over a part of an element, A^2 m; times ohm/m it is the power lost there.
/// @param from, to  -1 <= from <= to <= 1, along the element from start to end
[[nodiscard]] double half_square_integral(const moment::ElementCurrent& element, double from = -1.0,
                                          double to = 1.0);

/// Power lost in the metal. @param resistance_per_wire  ohm/m of each wire, indexed by ElementCurrent::wire
[[nodiscard]] double conductor_loss(const moment::Currents& currents,
                                    std::span<const double> resistance_per_wire);

/// Power lost in series resistance given element by element. @param resistance_per_element  ohm/m, one per
/// element
[[nodiscard]] double series_loss(const moment::Currents& currents,
                                 std::span<const double> resistance_per_element);

/// A stretch of one element with extra series resistance: an insert or part of one.
struct ResistiveStretch {
  int element = 0;          ///< index into the currents
  double from = -1.0;       ///< -1 .. 1 along the element
  double to = 1.0;          ///< from .. 1
  double resistance = 0.0;  ///< ohm/m: the insert's ohms over the length of all its spans
};
[[nodiscard]] double stretch_loss(const moment::Currents& currents,
                                  std::span<const ResistiveStretch> stretches);

/// What the fields know of the power budget; the rest (line, transformer, inserts) belongs to the circuit.
struct FieldPower {
  double sky = 0.0;
  double ground = 0.0;  ///< flux through the surface
  double wires = 0.0;   ///< metal
};

}  // namespace feldspar::fields
