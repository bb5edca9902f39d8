#include <algorithm>
#include <array>
#include <cmath>

#include "fields/spherical_bessel_detail.hpp"

namespace feldspar::fields::detail {

namespace {

// j_0..j_degree from j_0 and cos-like c (j_1 = (j_0 - c)/x) by ratios j_k/j_(k-1) found downwards from `top`
// [DLMF 3.6(iii), 10.51.1]: stable where the upward recurrence is not.
template <class T>
void by_ratios(T x, T j0, T c, int top, int degree, T* out) noexcept {
  std::array<T, kMaxDegree + 3> ratio;
  T r = x / (2.0 * top + 1.0);
  for (int k = top - 1; k >= 1; --k) {
    T denominator = (2.0 * k + 1.0) - x * r;
    if (std::abs(denominator) < 1e-30) denominator = T(1e-30);
    r = x / denominator;
    if (k <= degree) ratio[static_cast<std::size_t>(k)] = r;
  }
  out[0] = j0;
  if (degree == 0) return;
  // j_0 and j_1 are never small together: start from the larger one.
  const T j1 = std::abs(x) > 1.0 ? (j0 - c) / x : j0 * ratio[1];
  out[1] = std::abs(j0) >= std::abs(j1) ? j0 * ratio[1] : j1;
  for (int k = 2; k <= degree; ++k) out[k] = out[k - 1] * ratio[static_cast<std::size_t>(k)];
}

template <class T>
void upwards(T x, T j0, T c, int degree, T* out) noexcept {
  out[0] = j0;
  if (degree == 0) return;
  const T inverse = 1.0 / x;
  out[1] = (j0 - c) * inverse;
  for (int k = 1; k < degree; ++k) out[k + 1] = (2.0 * k + 1.0) * inverse * out[k] - out[k - 1];
}

}  // namespace

void spherical_bessel(double x, int degree, double* out) noexcept {
  const double size = std::abs(x);
  const double j0 = size < 1e-4 ? 1.0 - x * x / 6.0 : std::sin(x) / x;
  if (size > degree + 1.0) {
    upwards(x, j0, std::cos(x), degree, out);
  } else {
    const int top = degree + 8 + static_cast<int>(1.5 * size);
    by_ratios(x, j0, size > 1.0 ? std::cos(x) : 1.0, top, degree, out);
  }
}

void spherical_bessel(std::complex<double> x, std::complex<double> at_plus, std::complex<double> at_minus,
                      std::complex<double> at_middle, int degree, std::complex<double>* out) noexcept {
  using Complex = std::complex<double>;
  const double size = std::abs(x);
  if (size < 0.5) {
    const Complex s = x * x;
    const Complex sinc =
        1.0 -
        s / 6.0 *
            (1.0 - s / 20.0 * (1.0 - s / 42.0 * (1.0 - s / 72.0 * (1.0 - s / 110.0 * (1.0 - s / 156.0)))));
    by_ratios(x, at_middle * sinc, at_middle, degree + 7, degree, out);
    return;
  }
  const Complex j0 = (at_plus - at_minus) / (Complex(0.0, 2.0) * x);
  const Complex c = 0.5 * (at_plus + at_minus);
  // Upwards the dominant solution grows like exp(n^2 / 2|x|) off the real axis, but not at all on it while n
  // < |x|.
  const bool along_axis = std::abs(x.imag()) < 1e-3 * size && size > degree + 1.0;
  if (along_axis || size > 1.0 + degree * degree) {
    upwards(x, j0, c, degree, out);
  } else {
    by_ratios(x, j0, c, degree + 8 + static_cast<int>(1.5 * size), degree, out);
  }
}

}  // namespace feldspar::fields::detail
