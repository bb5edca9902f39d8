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

using Three = std::array<Complex, 3>;

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

double largest(const Three& three) {
  double size = 0.0;
  for (const Complex& value : three) size = std::max(size, std::norm(value));
  return std::sqrt(size);
}

// Chebyshev coefficients from values at the Chebyshev points, [i * rows + j] for degree i in rho and j in z.
std::vector<Three> transform(const std::vector<Three>& values, int columns, int rows) {
  const std::vector<double> in_rho = chebyshev_transform(columns);
  const std::vector<double> in_z = chebyshev_transform(rows);
  const auto mx = static_cast<std::size_t>(columns);
  const auto my = static_cast<std::size_t>(rows);
  std::vector<Three> half(values.size(), Three{});
  for (std::size_t i = 0; i < mx; ++i) {
    for (std::size_t k = 0; k < mx; ++k) {
      for (std::size_t l = 0; l < my; ++l) {
        for (std::size_t f = 0; f < 3; ++f) half[i * my + l][f] += in_rho[i * mx + k] * values[k * my + l][f];
      }
    }
  }
  std::vector<Three> out(values.size(), Three{});
  for (std::size_t i = 0; i < mx; ++i) {
    for (std::size_t j = 0; j < my; ++j) {
      for (std::size_t l = 0; l < my; ++l) {
        for (std::size_t f = 0; f < 3; ++f) out[i * my + j][f] += in_z[j * my + l] * half[i * my + l][f];
      }
    }
  }
  return out;
}

// What the last degree contributes, or a third of the last but one, in one direction: sums over the other.
double tail(const std::vector<Three>& coefficients, std::size_t degrees, std::size_t others, std::size_t step,
            std::size_t other_step) {
  double sum = 0.0;
  for (std::size_t k = 0; k < others; ++k) {
    sum += std::max(largest(coefficients[(degrees - 1) * step + k * other_step]),
                    0.3 * largest(coefficients[(degrees - 2) * step + k * other_step]));
  }
  return sum;
}

// The sum of all coefficients of degrees from..from+1 in one direction.
double sum_of_two(const std::vector<Three>& coefficients, std::size_t from, std::size_t others,
                  std::size_t step, std::size_t other_step) {
  double sum = 0.0;
  for (std::size_t k = 0; k < others; ++k) {
    sum += largest(coefficients[from * step + k * other_step]) +
           largest(coefficients[(from + 1) * step + k * other_step]);
  }
  return sum;
}

// T_0..T_{n-1} of four arguments, by T_{i+j} = 2 T_i T_j - T_{i-j}, which is shorter than one after the
// other.
[[gnu::always_inline]] inline void chebyshev(Lanes x, int n, Lanes* t) {
  t[0] = math::all_lanes(1.0);
  t[1] = x;
  for (int i = 2; i < n; ++i) t[i] = 2.0 * t[i / 2] * t[(i + 1) / 2] - t[i % 2];
}

}  // namespace

CellSoil::CellSoil(Complex n_squared)
    : n2(n_squared),
      image((n_squared - 1.0) / (n_squared + 1.0)),
      keeps_a_v(std::abs(n_squared - 1.0) >= 1.0),
      from_a_h(keeps_a_v ? -1.0 / (n_squared - 1.0) : 1.0),
      from_kept(keeps_a_v ? 1.0 / (n_squared - 1.0) : n_squared - 1.0) {}

Cell::Size Cell::guess(const CellSoil& soil, const Rectangle& where, CellForm form, double tolerance) {
  const Complex n2 = soil.n2;
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

Cell::Fit Cell::build(const CellSoil& soil, const Rectangle& where, CellForm form, double tolerance,
                      Size size, ContourGrade grade) {
  where_ = where;
  form_ = form;
  rho_middle_ = 0.5 * (where.rho_from + where.rho_to);
  z_middle_ = 0.5 * (where.z_from + where.z_to);
  rho_factor_ = 2.0 / (where.rho_to - where.rho_from);
  z_factor_ = 2.0 / (where.z_to - where.z_from);

  const std::vector<double> rho = chebyshev_points(where.rho_from, where.rho_to, size.rho);
  const std::vector<double> z = chebyshev_points(where.z_from, where.z_to, size.z);
  std::vector<ReflectedRest> samples(rho.size() * z.size());
  sample_rest(soil, make_contour(1.0, soil.n2, where, grade), rho, z, samples);
  std::vector<Three> values(samples.size());
  for (std::size_t k = 0; k < rho.size(); ++k) {
    for (std::size_t l = 0; l < z.size(); ++l) {
      const ReflectedRest& rest = samples[k * z.size() + l];
      const Complex kept = soil.keeps_a_v ? rest.a_v : rest.p;
      if (form == CellForm::plain) {
        const Complex a_m = rest.a_m + soil.image * image_m_dynamic(1.0, rho[k], z[l]);
        values[k * z.size() + l] = {rest.a_h, kept, a_m};
      } else {
        const double r = std::hypot(rho[k], z[l]);
        const Complex factor = std::polar(r, r);
        values[k * z.size() + l] = {factor * rest.a_h, factor * kept, factor * rest.a_m};
      }
    }
  }
  const std::vector<Three> coefficients = transform(values, size.rho, size.z);

  const std::size_t mx = rho.size();
  const std::size_t my = z.size();
  // the tolerance is relative to 1 / R', as are functions in wave form
  const double allowed = tolerance / (form == CellForm::plain ? std::hypot(where.rho_to, where.z_to) : 1.0);
  keep(coefficients, mx, my, 0.2 * allowed / static_cast<double>(mx + my));
  const double tail_rho = tail(coefficients, mx, my, my, 1);
  const double tail_z = tail(coefficients, my, mx, 1, my);
  Fit fit{tail_rho / allowed * tolerance, tail_z / allowed * tolerance, size};
  fit.enough.rho = extrapolate(size.rho, tail_rho, 0.5 * allowed, sum_of_two(coefficients, mx - 2, my, my, 1),
                               sum_of_two(coefficients, mx - 4, my, my, 1));
  fit.enough.z = extrapolate(size.z, tail_z, 0.5 * allowed, sum_of_two(coefficients, my - 2, mx, 1, my),
                             sum_of_two(coefficients, my - 4, mx, 1, my));
  return fit;
}

// Drops what is negligible at the ends of the rows (degrees in rho at one degree in z).
void Cell::keep(const std::vector<Three>& coefficients, std::size_t columns, std::size_t rows,
                double negligible) {
  rows_ = 0;
  columns_ = 1;
  length_.fill(0);
  coefficients_.clear();
  for (std::size_t j = 0; j < rows; ++j) {
    std::size_t n = columns;
    double dropped = 0.0;
    for (; n > 0; --n) {
      dropped += largest(coefficients[(n - 1) * rows + j]);
      if (dropped > negligible) break;
    }
    length_[j] = static_cast<std::uint8_t>(n);
    if (n > 0) rows_ = static_cast<int>(j) + 1;
    columns_ = std::max(columns_, static_cast<int>(n));
    for (std::size_t i = 0; i < n; ++i) {
      for (const Complex& value : coefficients[i * rows + j]) {
        coefficients_.push_back(value.real());
        coefficients_.push_back(value.imag());
      }
    }
  }
}

void Cell::copy_frame(Cell& out) const {
  out.where_ = where_;
  out.form_ = form_;
  out.rho_middle_ = rho_middle_;
  out.rho_factor_ = rho_factor_;
  out.z_middle_ = z_middle_;
  out.z_factor_ = z_factor_;
}

void Cell::flatten_height(double z, Cell& out) const {
  copy_frame(out);
  Lanes t[kMost];
  chebyshev(math::all_lanes((z - z_middle_) * z_factor_), rows_, t);
  out.rows_ = 1;
  out.columns_ = columns_;
  out.length_.fill(0);
  out.length_[0] = static_cast<std::uint8_t>(columns_);
  out.coefficients_.assign(6 * static_cast<std::size_t>(columns_), 0.0);
  const double* next = coefficients_.data();
  for (int j = 0; j < rows_; ++j) {
    const std::size_t count = 6 * std::size_t{length_[static_cast<std::size_t>(j)]};
    for (std::size_t i = 0; i < count; ++i) out.coefficients_[i] += t[j][0] * next[i];
    next += count;
  }
}

void Cell::flatten_distance(double rho, Cell& out) const {
  copy_frame(out);
  Lanes t[kMost];
  chebyshev(math::all_lanes((rho - rho_middle_) * rho_factor_), columns_, t);
  out.rows_ = rows_;
  out.columns_ = 1;
  out.length_.fill(1);
  out.coefficients_.assign(6 * static_cast<std::size_t>(rows_), 0.0);
  const double* next = coefficients_.data();
  for (int j = 0; j < rows_; ++j)
    for (int i = 0; i < length_[static_cast<std::size_t>(j)]; ++i, next += 6)
      for (std::size_t q = 0; q < 6; ++q)
        out.coefficients_[6 * static_cast<std::size_t>(j) + q] += t[i][0] * next[q];
}

// Private parts of a cell as the kernel takes them.
struct Cell::View {
  const CellSoil& soil;
  const double* coefficients;
  const std::uint8_t* length;
  int rows;
  int columns;
  double rho_middle, rho_factor, z_middle, z_factor;
  bool wave;
  double scale;

  [[gnu::always_inline]] inline void evaluate(const double* rho, const double* z, ReflectedRest* out) const {
    const Lanes a = math::load_lanes(rho);
    const Lanes b = math::load_lanes(z);
    // c + js = scale exp(j R') / R', and what the dynamic image of A_m has more than the static one
    Lanes c = math::all_lanes(scale);
    Lanes s = math::all_lanes(0.0);
    Lanes step_re = math::all_lanes(0.0);
    Lanes step_im = math::all_lanes(0.0);
    if (wave) {
      const Lanes r = math::sqrt_lanes(a * a + b * b);
      const Lanes over_r = scale / r;
      Lanes sine, cosine;
      math::sincos_lanes(r, sine, cosine);
      c = cosine * over_r;
      s = sine * over_r;
      // K (1 - z / R') / rho (exp(-j R') - 1)
      const Lanes ratio = a / (r + b);
      const Lanes re = ratio * (c - over_r);
      const Lanes im = -ratio * s;
      step_re = soil.image.real() * re - soil.image.imag() * im;
      step_im = soil.image.real() * im + soil.image.imag() * re;
    }
    Lanes tx[kMost];
    Lanes ty[kMost];
    chebyshev((a - rho_middle) * rho_factor, columns, tx);
    chebyshev((b - z_middle) * z_factor, rows, ty);
    Lanes v[6] = {};
    const double* next = coefficients;
    for (int j = 0; j < rows; ++j) {
      Lanes row[6] = {};
      for (int i = 0; i < length[j]; ++i, next += 6) {
        const Lanes t = tx[i];
        for (int q = 0; q < 6; ++q) row[q] += t * next[q];
      }
      for (int q = 0; q < 6; ++q) v[q] += ty[j] * row[q];
    }
    for (int q = 0; q < 6; q += 2) {
      const Lanes re = c * v[q] + s * v[q + 1];
      v[q + 1] = c * v[q + 1] - s * v[q];
      v[q] = re;
    }
    const Complex g = soil.from_a_h;
    const Complex k = soil.from_kept;
    const Lanes other_re = g.real() * v[0] - g.imag() * v[1] + k.real() * v[2] - k.imag() * v[3];
    const Lanes other_im = g.real() * v[1] + g.imag() * v[0] + k.real() * v[3] + k.imag() * v[2];
    v[4] += step_re;
    v[5] += step_im;
    for (std::size_t p = 0; p < math::kLanes; ++p) {
      const Complex kept(v[2][p], v[3][p]);
      const Complex other(other_re[p], other_im[p]);
      out[p] = {{v[0][p], v[1][p]},
                soil.keeps_a_v ? kept : other,
                {v[4][p], v[5][p]},
                soil.keeps_a_v ? other : kept};
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

void Cell::evaluate(const CellSoil& soil, const double* rho, const double* z, double scale,
                    ReflectedRest* out) const noexcept {
  const View view{soil,        coefficients_.data(), length_.data(), rows_,     columns_,
                  rho_middle_, rho_factor_,          z_middle_,      z_factor_, form_ == CellForm::wave,
                  scale};
#if defined(__x86_64__)
  if (kFast) return view.evaluate_avx2(rho, z, out);
#endif
  view.evaluate_plain(rho, z, out);
}

}  // namespace feldspar::media
