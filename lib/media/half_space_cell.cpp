#include "media/half_space_cell.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "math/lanes.hpp"
#include "media/half_space_spectrum.hpp"

namespace feldspar::media {
namespace {

using Complex = std::complex<double>;
using math::Lanes;

#if defined(__x86_64__)
const bool kFast = __builtin_cpu_supports("avx2") && __builtin_cpu_supports("fma");
#endif

using Four = std::array<Complex, 4>;  // a_h, a_v, a_m, p

// Coefficients a polynomial needs on [from, to] when its nearest singularity is at 0 +- j `height`: the
// radius of the Bernstein ellipse through it says how fast they fall. `digits` in natural logarithms.
int needed(double from, double to, double height, double digits) {
  const double half = 0.5 * (to - from);
  const Complex place = Complex(-0.5 * (from + to), height) / half;
  const Complex root = std::sqrt(place * place - 1.0);
  const double radius = std::sqrt(std::max(std::norm(place + root), std::norm(place - root)));
  return std::max(static_cast<int>(std::ceil(digits / std::log(radius))) + 1, 4);
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

// T_0..T_{n-1} of four arguments, by T_{i+j} = 2 T_i T_j - T_{i-j}, which is shorter than one after the
// other.
[[gnu::always_inline]] inline void chebyshev(Lanes x, int n, Lanes* t) {
  t[0] = math::all_lanes(1.0);
  t[1] = x;
  for (int i = 2; i < n; ++i) t[i] = 2.0 * t[i / 2] * t[(i + 1) / 2] - t[i % 2];
}

}  // namespace

Cell::Size Cell::guess(Complex n2, const Rectangle& where, CellForm form, double tolerance) {
  // what varies is of the order 0.1 (|k1| R')^2 relative to 1 / R' nearby, and 0.3 further away (measured)
  const double close = std::abs(n2) * (where.rho_to * where.rho_to + where.z_to * where.z_to);
  const double digits = std::max(std::log(0.6 * std::min(1.0, 0.3 * close) / tolerance), 4.0);
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

// Private parts of a cell as the kernel takes them.
struct Cell::View {
  const double* coefficients;
  const std::uint8_t* length;
  int rows;
  int columns;
  double rho_middle, rho_factor, z_middle, z_factor;
  bool wave;
  Complex image;
  double scale;

  [[gnu::always_inline]] inline void evaluate(const double* rho, const double* z, ReflectedRest* out) const {
    const Lanes a = math::load_lanes(rho);
    const Lanes b = math::load_lanes(z);
    Lanes tx[kMost];
    Lanes ty[kMost];
    chebyshev((a - rho_middle) * rho_factor, columns, tx);
    chebyshev((b - z_middle) * z_factor, rows, ty);
    Lanes v[8] = {};
    const double* next = coefficients;
    for (int j = 0; j < rows; ++j) {
      Lanes row[8] = {};
      for (int i = 0; i < length[j]; ++i, next += 8) {
        const Lanes t = tx[i];
        for (int q = 0; q < 8; ++q) row[q] += t * next[q];
      }
      for (int q = 0; q < 8; ++q) v[q] += ty[j] * row[q];
    }
    if (wave) {
      const Lanes r = math::sqrt_lanes(a * a + b * b);
      const Lanes over_r = scale / r;
      Lanes sine, cosine;
      math::sincos_lanes(r, sine, cosine);
      const Lanes c = cosine * over_r;
      const Lanes s = sine * over_r;
      for (int q = 0; q < 8; q += 2) {
        const Lanes re = c * v[q] + s * v[q + 1];
        v[q + 1] = c * v[q + 1] - s * v[q];
        v[q] = re;
      }
      // dynamic image to static image: K (1 - z / R') / rho (exp(-j R') - 1)
      const Lanes ratio = a / (r + b);
      const Lanes re = ratio * (c - over_r);
      const Lanes im = -ratio * s;
      v[4] += image.real() * re - image.imag() * im;
      v[5] += image.real() * im + image.imag() * re;
    } else {
      for (int q = 0; q < 8; ++q) v[q] *= scale;
    }
    for (std::size_t p = 0; p < math::kLanes; ++p) {
      out[p] = {{v[0][p], v[1][p]}, {v[2][p], v[3][p]}, {v[4][p], v[5][p]}, {v[6][p], v[7][p]}};
    }
  }

  void evaluate_plain(const double* rho, const double* z, ReflectedRest* out) const { evaluate(rho, z, out); }
#if defined(__x86_64__)
  __attribute__((target("avx2,fma"))) void evaluate_avx2(const double* rho, const double* z,
                                                         ReflectedRest* out) const {
    evaluate(rho, z, out);
  }
#endif
};

void Cell::evaluate(const double* rho, const double* z, Complex image, double scale,
                    ReflectedRest* out) const noexcept {
  const View view{coefficients_.data(),
                  length_.data(),
                  rows_,
                  columns_,
                  rho_middle_,
                  rho_factor_,
                  z_middle_,
                  z_factor_,
                  form_ == CellForm::wave,
                  image,
                  scale};
#if defined(__x86_64__)
  if (kFast) return view.evaluate_avx2(rho, z, out);
#endif
  view.evaluate_plain(rho, z, out);
}

}  // namespace feldspar::media
