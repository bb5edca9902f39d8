#include "media/half_space_cell.hpp"

#include <algorithm>
#include <cmath>
#include <cstring>
#include <numbers>

#include "media/half_space_spectrum.hpp"

namespace feldspar::media {
namespace {

using Complex = std::complex<double>;
using Four = std::array<Complex, 4>;  // a_h, a_v, a_m, p

// Coefficients a polynomial needs on [from, to] when its nearest singularity is at 0 +- j `height`: the
// radius of the Bernstein ellipse through it says how fast they fall. `digits` in natural logarithms.
int needed(double from, double to, double height, double digits) {
  const double half = 0.5 * (to - from);
  const Complex place = Complex(-0.5 * (from + to), height) / half;
  const Complex root = std::sqrt(place * place - 1.0);
  const double radius = std::sqrt(std::max(std::norm(place + root), std::norm(place - root)));
  return std::max(static_cast<int>(std::ceil(digits / std::log(radius))) + 1, 3);
}

// Coefficients exp(j phase x) needs on [-1, 1] to come below `small`: J_n(phase) <= (phase / 2)^n / n!.
int needed_for_phase(double phase, double small) {
  int n = 1;
  for (double term = 0.5 * phase; (term > small || n < phase) && n < 100; ++n) term *= 0.5 * phase / (n + 1);
  return n + 1;
}

// What a direction needs when `tail` is left with n coefficients; `last` and `before` are the sums of the
// last two and of the two before them, which tell how fast they fall.
int extrapolate(int n, double tail, double allowed, double last, double before) {
  if (tail <= allowed) return n;
  if (n < 4 || before <= 0.0) return n + 3;
  const double ratio = std::sqrt(last / before);
  if (ratio > 0.8) return n < 8 ? n + 4 : 2 * Cell::kMost;
  return n + std::max(1, static_cast<int>(std::ceil(std::log(allowed / tail) / std::log(ratio))));
}

std::vector<double> chebyshev_points(double from, double to, int n) {
  std::vector<double> points(static_cast<std::size_t>(n));
  for (int i = 0; i < n; ++i) {
    const double x = std::cos(std::numbers::pi * (i + 0.5) / n);
    points[static_cast<std::size_t>(i)] = 0.5 * (from + to) + 0.5 * (to - from) * x;
  }
  return points;
}

// transform[i][k]: coefficient i from the value at point k
std::vector<double> chebyshev_transform(int n) {
  std::vector<double> matrix(static_cast<std::size_t>(n * n));
  for (int i = 0; i < n; ++i) {
    for (int k = 0; k < n; ++k) {
      const double factor = i == 0 ? 1.0 / n : 2.0 / n;
      matrix[static_cast<std::size_t>(i * n + k)] = factor * std::cos(std::numbers::pi * i * (k + 0.5) / n);
    }
  }
  return matrix;
}

double largest(const Four& four) {
  double size = 0.0;
  for (const Complex& value : four) size = std::max(size, std::norm(value));
  return std::sqrt(size);
}

#if defined(__GNUC__)
using Lanes =
    double __attribute__((vector_size(32)));  // the compiler splits it where there are no such registers
#else
#error "half_space_cell.cpp needs the vector extension of GCC and Clang"
#endif

inline __attribute__((always_inline)) void add(Lanes& sum, double factor, const double* values) {
  Lanes lanes;
  std::memcpy(&lanes, values, sizeof lanes);
  sum += factor * lanes;
}

// The value of a cell's polynomials; `coefficients` as in Cell. Two sums for each row, so that additions
// overlap.
inline __attribute__((always_inline)) void evaluate_body(const double* coefficients, int rows,
                                                         const std::uint8_t* length, const double* tx,
                                                         const double* ty, double* out) {
  Lanes low{};
  Lanes high{};
  for (int j = 0; j < rows; ++j) {
    Lanes low_even{};
    Lanes low_odd{};
    Lanes high_even{};
    Lanes high_odd{};
    const int n = length[j];
    int i = 0;
    for (; i + 1 < n; i += 2, coefficients += 16) {
      add(low_even, tx[i], coefficients);
      add(high_even, tx[i], coefficients + 4);
      add(low_odd, tx[i + 1], coefficients + 8);
      add(high_odd, tx[i + 1], coefficients + 12);
    }
    if (i < n) {
      add(low_even, tx[i], coefficients);
      add(high_even, tx[i], coefficients + 4);
      coefficients += 8;
    }
    low += ty[j] * (low_even + low_odd);
    high += ty[j] * (high_even + high_odd);
  }
  std::memcpy(out, &low, sizeof low);
  std::memcpy(out + 4, &high, sizeof high);
}

using Evaluate = void (*)(const double*, int, const std::uint8_t*, const double*, const double*, double*);

void evaluate_plain(const double* coefficients, int rows, const std::uint8_t* length, const double* tx,
                    const double* ty, double* out) {
  evaluate_body(coefficients, rows, length, tx, ty, out);
}

#if defined(__x86_64__)
__attribute__((target("avx2,fma"))) void evaluate_avx2(const double* coefficients, int rows,
                                                       const std::uint8_t* length, const double* tx,
                                                       const double* ty, double* out) {
  evaluate_body(coefficients, rows, length, tx, ty, out);
}
#endif

const Evaluate kEvaluate = [] {
#if defined(__x86_64__)
  if (__builtin_cpu_supports("avx2") && __builtin_cpu_supports("fma")) return evaluate_avx2;
#endif
  return evaluate_plain;
}();

}  // namespace

Cell::Size Cell::guess(Complex n2, const Rectangle& where, CellForm form, double tolerance) {
  const double digits = std::log(1.0 / tolerance) + (form == CellForm::plain ? -2.0 : 1.0);
  Size size{needed(where.rho_from, where.rho_to, where.z_from, digits),
            needed(where.z_from, where.z_to, where.rho_from, digits)};
  // the wave through the soil, exp(-j k1 rho), which clings to the surface
  const Complex n = std::sqrt(n2);
  const double strength =
      0.1 * std::exp(n.imag() * where.rho_from - where.z_from * std::sqrt(n2 - 1.0).real());
  if (form == CellForm::wave && strength > tolerance) {
    const double phase = 0.5 * (where.rho_to - where.rho_from) * (n.real() - 1.0);
    size.rho = std::max(size.rho, needed_for_phase(phase, tolerance / strength));
  }
  return size;
}

Cell::Fit Cell::build(Complex n2, const Rectangle& where, CellForm form, double tolerance, Size sizes,
                      ContourGrade grade) {
  where_ = where;
  form_ = form;
  const double far = std::hypot(where.rho_to, where.z_to);
  const int nx = sizes.rho;
  const int ny = sizes.z;
  const std::vector<double> rho = chebyshev_points(where.rho_from, where.rho_to, nx);
  const std::vector<double> z = chebyshev_points(where.z_from, where.z_to, ny);
  std::vector<ReflectedRest> samples(rho.size() * z.size());
  sample_rest(n2, make_contour(1.0, n2, where, grade), rho, z, samples);

  const Complex image = (n2 - 1.0) / (n2 + 1.0);
  std::vector<Four> values(samples.size());
  for (std::size_t k = 0; k < rho.size(); ++k) {
    for (std::size_t l = 0; l < z.size(); ++l) {
      ReflectedRest rest = samples[k * z.size() + l];
      const double r = std::hypot(rho[k], z[l]);
      Complex factor = 1.0;
      if (form == CellForm::plain) {
        rest.a_m += image * image_m_dynamic(1.0, rho[k], z[l]);
      } else {
        factor = std::polar(r, r);
      }
      values[k * z.size() + l] = {factor * rest.a_h, factor * rest.a_v, factor * rest.a_m, factor * rest.p};
    }
  }

  // coefficient i in rho, j in z
  const std::vector<double> in_rho = chebyshev_transform(nx);
  const std::vector<double> in_z = chebyshev_transform(ny);
  const auto mx = static_cast<std::size_t>(nx);
  const auto my = static_cast<std::size_t>(ny);
  std::vector<Four> half(values.size(), Four{});
  std::vector<Four> coefficients(values.size(), Four{});
  for (std::size_t i = 0; i < mx; ++i) {
    for (std::size_t k = 0; k < mx; ++k) {
      for (std::size_t l = 0; l < my; ++l) {
        for (std::size_t f = 0; f < 4; ++f) half[i * my + l][f] += in_rho[i * mx + k] * values[k * my + l][f];
      }
    }
  }
  for (std::size_t i = 0; i < mx; ++i) {
    for (std::size_t j = 0; j < my; ++j) {
      for (std::size_t l = 0; l < my; ++l) {
        for (std::size_t f = 0; f < 4; ++f)
          coefficients[i * my + j][f] += in_z[j * my + l] * half[i * my + l][f];
      }
    }
  }

  // sizes relative to 1 / R'
  const double scale = form == CellForm::plain ? far : 1.0;
  const double allowed = tolerance / scale;
  const auto size = [&](std::size_t i, std::size_t j) { return largest(coefficients[i * my + j]); };
  std::vector<double> by_rho(mx + 4, 0.0);  // sums over the other degree, four zeros in front
  std::vector<double> by_z(my + 4, 0.0);
  Fit fit{0.0, 0.0, sizes};
  for (std::size_t i = 0; i < mx; ++i) {
    for (std::size_t j = 0; j < my; ++j) {
      by_rho[i + 4] += scale * size(i, j);
      by_z[j + 4] += scale * size(i, j);
    }
  }
  for (std::size_t j = 0; j < my; ++j) {
    fit.tail_rho += scale * std::max(size(mx - 1, j), 0.3 * size(mx - 2, j));
  }
  for (std::size_t i = 0; i < mx; ++i) {
    fit.tail_z += scale * std::max(size(i, my - 1), 0.3 * size(i, my - 2));
  }
  const double half_tolerance = 0.5 * tolerance;
  fit.enough.rho = extrapolate(nx, fit.tail_rho, half_tolerance, by_rho[mx + 3] + by_rho[mx + 2],
                               by_rho[mx + 1] + by_rho[mx]);
  fit.enough.z =
      extrapolate(ny, fit.tail_z, half_tolerance, by_z[my + 3] + by_z[my + 2], by_z[my + 1] + by_z[my]);

  // drop the smallest coefficients at the ends of the rows, a tenth of the tolerance in all
  const double negligible = 0.2 * allowed / static_cast<double>(mx + my);
  rows_ = 0;
  columns_ = 1;
  length_.fill(0);
  coefficients_.clear();
  for (std::size_t j = 0; j < my; ++j) {
    std::size_t n = mx;
    double dropped = 0.0;
    while (n > 0 && dropped + size(n - 1, j) <= negligible) dropped += size(--n, j);
    length_[j] = static_cast<std::uint8_t>(n);
    if (n > 0) rows_ = static_cast<int>(j) + 1;
    columns_ = std::max(columns_, static_cast<int>(n));
    for (std::size_t i = 0; i < n; ++i) {
      for (const Complex& value : coefficients[i * my + j]) {
        coefficients_.push_back(value.real());
        coefficients_.push_back(value.imag());
      }
    }
  }
  rho_middle_ = 0.5 * (where.rho_from + where.rho_to);
  z_middle_ = 0.5 * (where.z_from + where.z_to);
  rho_factor_ = 2.0 / (where.rho_to - where.rho_from);
  z_factor_ = 2.0 / (where.z_to - where.z_from);
  return fit;
}

ReflectedRest Cell::operator()(double rho, double z, Complex image) const noexcept {
  double tx[kMost];
  double ty[kMost];
  const double x = (rho - rho_middle_) * rho_factor_;
  const double y = (z - z_middle_) * z_factor_;
  tx[0] = ty[0] = 1.0;
  tx[1] = x;
  ty[1] = y;
  for (int i = 2; i < columns_; ++i) tx[i] = 2.0 * x * tx[i - 1] - tx[i - 2];
  for (int j = 2; j < rows_; ++j) ty[j] = 2.0 * y * ty[j - 1] - ty[j - 2];
  double v[8];
  kEvaluate(coefficients_.data(), rows_, length_.data(), tx, ty, v);
  if (form_ == CellForm::plain) return {{v[0], v[1]}, {v[2], v[3]}, {v[4], v[5]}, {v[6], v[7]}};
  const double r = std::sqrt(rho * rho + z * z);
  const double c = std::cos(r) / r;
  const double s = -std::sin(r) / r;
  const auto turn = [&](int q) { return Complex(c * v[q] - s * v[q + 1], c * v[q + 1] + s * v[q]); };
  // dynamic image to static image: K (1 - z / R') / rho (exp(-j R') - 1)
  const double ratio = rho / (r + z);
  const double re = ratio * (c - 1.0 / r);
  const double im = ratio * s;
  const Complex step(image.real() * re - image.imag() * im, image.real() * im + image.imag() * re);
  return {turn(0), turn(2), turn(4) + step, turn(6)};
}

}  // namespace feldspar::media
