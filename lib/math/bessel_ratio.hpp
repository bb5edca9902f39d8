#pragma once

#include <complex>

/// Ratio of modified Bessel functions: the shape of a current that crowds under the skin of a round
/// conductor.
namespace feldspar::math {

/// I_0(z) / I_1(z).
///
/// Continued fraction I_0/I_1 = 2/z + 1/(4/z + 1/(6/z + ...)) [abramowitz1964, 9.6.26], evaluated backwards;
/// its terms have positive real parts, so nothing cancels. From |z| = 30 on the ratio of the two asymptotic
/// series [abramowitz1964, 9.7.1], whose neglected exponential is below 1e-18 there.
/// @param z  |arg z| <= 45 degrees, z != 0, any size
/// @note Relative error below 1e-14.
[[nodiscard]] std::complex<double> bessel_i0_over_i1(std::complex<double> z) noexcept;

}  // namespace feldspar::math
