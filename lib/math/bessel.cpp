#include "math/bessel.hpp"

#include <array>
#include <cmath>
#include <cstddef>
#include <numbers>

#include "math/bessel_poles.hpp"

namespace feldspar::math {
namespace {

using Complex = std::complex<double>;
constexpr Complex kJ{0.0, 1.0};
constexpr double kPi = std::numbers::pi;
constexpr double kSeriesEnd = 3.0;        // K from its series below this |w|
constexpr double kAsymptoticFrom = 17.0;  // exp(-2 * 17) = 2e-15 bounds the smallest asymptotic term
constexpr double kSeriesEndJ = 8.0;       // largest term / value < 2e3 for J below this |z|

// Products without the checks for infinities that operator* carries.
inline Complex times(Complex a, Complex b) noexcept {
  return {a.real() * b.real() - a.imag() * b.imag(), a.real() * b.imag() + a.imag() * b.real()};
}

// 1 / z and sqrt(z) for Re z >= 0 without care for overflow: arguments here lie between 1e-150 and 1e150.
inline Complex reciprocal(Complex z) noexcept {
  const double scale = 1.0 / (z.real() * z.real() + z.imag() * z.imag());
  return {z.real() * scale, -z.imag() * scale};
}
inline Complex square_root(Complex z) noexcept {
  const double size = std::sqrt(z.real() * z.real() + z.imag() * z.imag());
  const double re = std::sqrt(0.5 * (size + z.real()));
  return {re, 0.5 * z.imag() / re};
}

constexpr int kMostTerms = 40;
constexpr std::array<double, kMostTerms> kReciprocal = [] {
  std::array<double, kMostTerms> table{};
  for (int k = 1; k < kMostTerms; ++k) table[static_cast<std::size_t>(k)] = 1.0 / k;
  return table;
}();

// f_nu(w) = sqrt(2w / pi) exp(w) K_nu(w) by its poles; |w| >= 2.5. Two poles share a division.
BesselPair k_form_from_poles(Complex w) noexcept {
  const double y = w.imag();
  const double y2 = y * y;
  double re0 = 0.0, re1 = 0.0, im0 = 0.0, im1 = 0.0;
  for (std::size_t i = 0; i < kBesselPoles.size(); i += 2) {
    const BesselPole& a = kBesselPoles[i];
    const BesselPole& b = kBesselPoles[i + 1];
    const double xa = w.real() + a.place;
    const double xb = w.real() + b.place;
    const double na = xa * xa + y2;
    const double nb = xb * xb + y2;
    const double both = 1.0 / (na * nb);
    const double sa = nb * both;
    const double sb = na * both;
    re0 += a.residue0 * sa * xa + b.residue0 * sb * xb;
    re1 += a.residue1 * sa * xa + b.residue1 * sb * xb;
    im0 += a.residue0 * sa + b.residue0 * sb;
    im1 += a.residue1 * sa + b.residue1 * sb;
  }
  return {{1.0 + re0, -y * im0}, {1.0 + re1, -y * im1}};
}

// The same by the asymptotic series sum a_k(nu) / w^k; |w| >= kAsymptoticFrom, |arg w| < 3/2 pi.
BesselPair k_form_asymptotic(Complex w) noexcept {
  const Complex v = 0.125 * reciprocal(w);
  const double size = std::sqrt(v.real() * v.real() + v.imag() * v.imag());
  Complex term0 = 1.0, term1 = 1.0, sum0 = 1.0, sum1 = 1.0;
  double bound = 1.0;  // of the larger of both terms
  for (int k = 1; k < kMostTerms && bound > 1e-17; ++k) {
    const double odd = (2.0 * k - 1.0) * (2.0 * k - 1.0);
    const double over_k = kReciprocal[static_cast<std::size_t>(k)];
    term0 = times(term0, v) * (-odd * over_k);
    term1 = times(term1, v) * ((4.0 - odd) * over_k);
    const double ratio = odd * over_k * size;
    if (ratio > 1.0) break;  // past the smallest term
    bound *= ratio;
    sum0 += term0;
    sum1 += term1;
  }
  return {sum0, sum1};
}

BesselPair k_form(Complex w) noexcept {
  return std::norm(w) < kAsymptoticFrom * kAsymptoticFrom ? k_form_from_poles(w) : k_form_asymptotic(w);
}

// exp(w) K_0, exp(w) K_1 by the ascending series. [abramowitz1964, 9.6.11 and 9.6.13]
BesselPair k_series_scaled(Complex w) noexcept {
  const Complex half = 0.5 * w;
  const Complex q = times(half, half);
  const double size = q.real() * q.real() + q.imag() * q.imag();
  Complex term = 1.0;     // q^k / k!^2
  double bound = 1.0;     // its square
  double harmonic = 0.0;  // 1 + 1/2 + ... + 1/k
  Complex i0 = 0.0, i1 = 0.0, s0 = 0.0, s1 = 0.0;
  for (std::size_t k = 1; k < kMostTerms && bound > 1e-38; ++k) {
    const double over_k = kReciprocal[k];
    const double next = harmonic + over_k;
    i0 += term;
    i1 += term * over_k;
    s0 += term * harmonic;
    s1 += term * ((harmonic + next) * over_k);
    const double over_k2 = over_k * over_k;
    bound *= size * over_k2 * over_k2;
    term = times(term, q) * over_k2;
    harmonic = next;
  }
  const Complex logarithm = std::log(half) + std::numbers::egamma;
  const Complex k0 = s0 - times(logarithm, i0);
  // with psi(k+1) = -gamma + H_k, the gamma of the digamma functions joins the logarithm
  const Complex k1 = reciprocal(w) + times(half, times(logarithm, i1) - 0.5 * s1);
  const Complex scale = std::exp(w);
  return {times(scale, k0), times(scale, k1)};
}

// |z| < kSeriesEndJ, where 40 terms are more than enough
BesselPair j_series(Complex z) noexcept {
  const Complex half = 0.5 * z;
  const Complex q = -times(half, half);
  const double size = q.real() * q.real() + q.imag() * q.imag();
  Complex term = 1.0;
  double bound = 1.0;  // squared
  Complex j0 = 0.0, j1 = 0.0;
  for (std::size_t k = 1; k < kMostTerms && bound > 1e-38; ++k) {
    const double over_k = kReciprocal[k];
    j0 += term;
    j1 += term * over_k;
    const double over_k2 = over_k * over_k;
    bound *= size * over_k2 * over_k2;
    term = times(term, q) * over_k2;
  }
  return {j0, times(half, j1)};
}

// J = (H^(1) + H^(2)) / 2, for z near the positive real axis, Im z >= 0; both forms share sqrt(1/z).
BesselPair j_from_hankel(Complex z) noexcept {
  const BesselPair up = k_form({z.imag(), -z.real()});    // w = -jz
  const BesselPair down = k_form({-z.imag(), z.real()});  // w = +jz
  const Complex root = square_root(2.0 / kPi * reciprocal(z));
  const double growth = std::exp(z.imag());
  const double c = std::cos(z.real() - 0.25 * kPi);
  const double s = std::sin(z.real() - 0.25 * kPi);
  const Complex phase(c / growth, s / growth);  // exp(j (z - pi / 4))
  const Complex inverse(c * growth, -s * growth);
  const Complex h10 = times(phase, up.order0), h20 = times(inverse, down.order0);
  const Complex h11 = times(phase, up.order1), h21 = times(inverse, down.order1);
  return {0.5 * times(root, h10 + h20), 0.5 * times(root, times(-kJ, h11) + times(kJ, h21))};
}

// Backward recurrence, normalised by exp(-jz) = J_0 + 2 sum (-j)^n J_n (no cancellation for Im z >= 0).
BesselPair j_miller(Complex z) noexcept {
  const int start = static_cast<int>(std::abs(z)) + 40;
  const Complex two_over_z = 2.0 / z;
  Complex above = 0.0, here = 1e-200, sum = 0.0;
  for (int n = start; n > 0; --n) {
    const Complex factor = (n % 4 == 0)   ? Complex(1.0, 0.0)
                           : (n % 4 == 1) ? Complex(0.0, -1.0)
                           : (n % 4 == 2) ? Complex(-1.0, 0.0)
                                          : Complex(0.0, 1.0);
    sum += 2.0 * times(factor, here);
    const Complex below = times(two_over_z, here) * static_cast<double>(n) - above;
    above = here;
    here = below;
  }
  sum += here;
  const Complex scale = std::exp(Complex(z.imag(), -z.real())) / sum;
  return {times(scale, here), times(scale, above)};
}

// Im z >= 0 and Re z >= 0
BesselPair j_first_quadrant(Complex z) noexcept {
  const double square = z.real() * z.real() + z.imag() * z.imag();
  if (square < kSeriesEndJ * kSeriesEndJ) return j_series(z);
  if (square >= 25.0 * 25.0 || z.imag() <= 0.25 * z.real()) return j_from_hankel(z);
  return j_miller(z);
}

}  // namespace

BesselPair bessel_j(Complex z) noexcept {
  const bool left = z.real() < 0.0;
  if (left) z = -z;
  const bool lower = z.imag() < 0.0;
  if (lower) z = std::conj(z);
  BesselPair pair = j_first_quadrant(z);
  if (lower) pair = {std::conj(pair.order0), std::conj(pair.order1)};
  if (left) pair.order1 = -pair.order1;
  return pair;
}

BesselPair bessel_k_scaled(Complex w) noexcept {
  if (std::norm(w) < kSeriesEnd * kSeriesEnd) return k_series_scaled(w);
  const BesselPair form = k_form(w);
  const Complex root = square_root(0.5 * kPi * reciprocal(w));
  return {times(root, form.order0), times(root, form.order1)};
}

BesselPair hankel1_scaled(Complex z) noexcept {
  const BesselPair k = bessel_k_scaled({z.imag(), -z.real()});
  constexpr double kTwoOverPi = 2.0 / kPi;  // H_nu^(1)(z) = (2 / pi) (-j)^(nu+1) K_nu(-jz)
  return {times({0.0, -kTwoOverPi}, k.order0), -kTwoOverPi * k.order1};
}

BesselPair hankel2_scaled(Complex z) noexcept {
  const BesselPair k = bessel_k_scaled({-z.imag(), z.real()});
  constexpr double kTwoOverPi = 2.0 / kPi;  // H_nu^(2)(z) = (2 / pi) j^(nu+1) K_nu(jz)
  return {times({0.0, kTwoOverPi}, k.order0), -kTwoOverPi * k.order1};
}

}  // namespace feldspar::math
