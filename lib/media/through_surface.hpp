#pragma once

#include <complex>

#include "media/half_space.hpp"

/// Potentials of currents in a uniform soil and across its surface, Formulation C of [michalski1990]: what
/// media/half_space.hpp has for two points above, for two points below and for one on either side.
///
/// Time factor exp(+jwt), z up, soil below z = 0, n2 = n^2 its complex permittivity relative to air, k0 and
/// k1 = n k0 (Im k1 <= 0) the wavenumbers [1/m], rho the horizontal distance, K = (n2 - 1) / (n2 + 1).
///
/// Both below, depths added zeta = |z| + |z'| > 0, R' = sqrt(rho^2 + zeta^2), g' = exp(-j k1 R') / R':
///
///     A_h =                                  a_h
///     A_v = -2 K g'                        + a_v
///     A_m =  K (1 - zeta / R') / rho       + a_m
///     P   = (K g'                          + p) / n2      with the direct wave exp(-j k1 R) / (n2 R)
///
/// Across, height z >= 0 of the one and depth d >= 0 of the other, not both 0, R = sqrt(rho^2 + (z + d)^2);
/// there is no direct wave apart from this:
///
///     A_h = A_v = 1 / R                    + a
///     A_m = K (1 - (z + d) / R) / rho      + a_m
///     P   = 2 / (n2 + 1) (1 / R            + p)
///
/// The small letters are the rest: finite for R -> 0, in 1/m.
namespace feldspar::media {

/// What is left of the potentials across the surface when the static parts are taken away. [1/m]
struct AcrossRest {
  std::complex<double> a;
  std::complex<double> a_m;
  std::complex<double> p;
};

namespace reference {  ///< direct adaptive integration, the oracle: never used in a solve

/// The rest functions for two points below. @param depth_sum > 0 [m]
/// @note Absolute error below 1e-9 / R'. @throws core::Error{usage} outside the ranges of
/// media/sommerfeld.hpp
[[nodiscard]] ReflectedRest below_rest(double k0, std::complex<double> n2, double rho, double depth_sum);

/// The rest functions across the surface. @param height, depth >= 0 [m], not both 0
/// @note Absolute error below 1e-9 / R.
[[nodiscard]] AcrossRest across_rest(double k0, std::complex<double> n2, double rho, double height,
                                     double depth);

}  // namespace reference
}  // namespace feldspar::media
