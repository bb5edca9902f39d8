#pragma once

#include <complex>

#include "core/quantity.hpp"
#include "media/ground.hpp"

/// Plane waves at a flat ground.
namespace feldspar::media {

struct FresnelCoefficients {
  std::complex<double> vertical;    ///< ratio of magnetic fields: +1 over a perfect conductor
  std::complex<double> horizontal;  ///< ratio of electric fields: -1 over a perfect conductor
};

/// Reflection of a plane wave that arrives at elevation `psi` above a flat, homogeneous ground.
///
/// Time convention exp(+jwt); complex permittivity eps = eps_r - j sigma / (w eps_0) [itu-p527]:
///   vertical   = (eps sin psi - sqrt(eps - cos^2 psi)) / (eps sin psi + sqrt(eps - cos^2 psi))
///   horizontal = (sin psi - sqrt(eps - cos^2 psi)) / (sin psi + sqrt(eps - cos^2 psi))   [stratton1941, ch.
///   9]
/// Both tend to -1 at grazing incidence over any real ground; at the zenith they are equal and opposite by
/// this convention. Over free space both are 0.
///
/// @param ground  a real one needs relative_permittivity >= 1, conductivity >= 0   @param f > 0   @param psi
/// 0..90 deg
/// @throws core::Error{usage} outside these ranges
/// @note About 1e-15 absolute. Right for the sky wave far away; for the impedance of low wires or for the
/// surface
///       wave use the half-space integrals.
[[nodiscard]] FresnelCoefficients fresnel(const Ground& ground, core::Frequency f, core::Angle psi);

namespace kernel {
/// The same by numbers, for loops: no checks. @param eps complex permittivity, Im eps <= 0  @param sin_psi
/// 0..1
[[nodiscard]] FresnelCoefficients fresnel(std::complex<double> eps, double sin_psi) noexcept;
}  // namespace kernel

/// Where the vertical coefficient is least.
struct PseudoBrewster {
  core::Angle elevation;      ///< of the least magnitude
  double magnitude = 0.0;     ///< that magnitude
  core::Angle quarter_phase;  ///< elevation at which the coefficient's phase is -90 degrees
};

/// Pseudo-Brewster angle. Below it a vertically polarised wave is reflected with its sign turned, which is
/// what takes the low-angle radiation of a vertical antenna away over poor ground.
/// @param ground a real one with eps_r > 1 or sigma > 0; without loss the least magnitude is 0 (Brewster's
/// angle) and quarter_phase the same angle   @param f > 0
/// @throws core::Error{usage} for free space, perfect ground or numbers out of range
/// @note Angles within 1e-8 rad (a minimum is flat), quarter_phase within 1e-14; magnitude within 1e-14.
[[nodiscard]] PseudoBrewster pseudo_brewster(const Ground& ground, core::Frequency f);

}  // namespace feldspar::media
