#pragma once

#include <complex>

/// Bessel functions of order 0 and 1 with complex argument.
namespace feldspar::math {

/// The values of order 0 and 1 of one kind of Bessel function at one argument.
struct BesselPair {
  std::complex<double> order0;
  std::complex<double> order1;
};

/// J_0(z) and J_1(z). @param z any; |Im z| < 700.
/// @note Error of J_0 below 1e-13 exp(|Im z|) min(1, sqrt(2 / (pi |z|))), the size of the function between
/// its
///       zeros; of J_1 the same times min(1, |z|). Uses the ascending series, the two Hankel functions, or
///       backward recurrence. [abramowitz1964, 9.1.10, 9.2.5 to 9.2.10, 9.12]
[[nodiscard]] BesselPair bessel_j(std::complex<double> z) noexcept;

/// exp(w) K_0(w) and exp(w) K_1(w), the modified functions that decay, without their exponential factor.
/// @param w Re w >= 0, w != 0
/// @note Relative error below 1e-13. [abramowitz1964, 9.6.11, 9.6.13, 9.7.2]
[[nodiscard]] BesselPair bessel_k_scaled(std::complex<double> w) noexcept;

/// exp(jz) H_0^(2)(z) and exp(jz) H_1^(2)(z), for waves that travel outwards with exp(+jwt).
/// @param z Im z <= 0, z != 0
/// @note Relative error below 1e-13.
[[nodiscard]] BesselPair hankel2_scaled(std::complex<double> z) noexcept;

/// exp(-jz) H_0^(1)(z) and exp(-jz) H_1^(1)(z). @param z Im z >= 0, z != 0
/// @note Relative error below 1e-13.
[[nodiscard]] BesselPair hankel1_scaled(std::complex<double> z) noexcept;

}  // namespace feldspar::math
