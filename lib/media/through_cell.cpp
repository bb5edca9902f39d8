#include "media/through_cell.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "math/lanes.hpp"

namespace feldspar::media {
namespace {

using Complex = std::complex<double>;
using math::Lanes;
using Sizes = std::array<int, 3>;
using Samples = std::vector<ThroughRest>;  // [(i * n_z + j) * n_d + k]

#if defined(__x86_64__)
const bool kFast = __builtin_cpu_supports("avx2") && __builtin_cpu_supports("fma");
#endif

constexpr int kFirst = 7;  // coefficients of the first try
// The sum of what the highest degrees contribute is ten times and more what they do anywhere (measured), and
// every cell is checked at a random point.
constexpr double kTail = 2.0;

double largest(const ThroughRest& rest) {
  return std::sqrt(std::max(std::max(std::norm(rest.first), std::norm(rest.p)), std::norm(rest.a_m)));
}

std::size_t index_of(const Sizes& n, int i, int j, int k) {
  return static_cast<std::size_t>((i * n[1] + j) * n[2] + k);
}

std::vector<double> chebyshev_points(double from, double to, int n) {
  std::vector<double> points(static_cast<std::size_t>(n));
  for (int i = 0; i < n; ++i)
    points[static_cast<std::size_t>(i)] =
        0.5 * (from + to) + 0.5 * (to - from) * std::cos(std::numbers::pi * (i + 0.5) / n);
  return points;
}

// Values at Chebyshev points to coefficients along one axis, in place.
void transform(Samples& values, const Sizes& n, std::size_t axis) {
  const int m = n[axis];
  if (m == 1) return;
  std::vector<double> matrix(static_cast<std::size_t>(m * m));
  for (int i = 0; i < m; ++i)
    for (int k = 0; k < m; ++k)
      matrix[static_cast<std::size_t>(i * m + k)] =
          (i == 0 ? 1.0 : 2.0) / m * std::cos(std::numbers::pi * i * (k + 0.5) / m);
  const std::size_t stride =
      axis == 0 ? static_cast<std::size_t>(n[1] * n[2]) : (axis == 1 ? static_cast<std::size_t>(n[2]) : 1U);
  const auto count = static_cast<std::size_t>(m);
  std::vector<ThroughRest> line(count);
  for (std::size_t start = 0; start < values.size(); ++start) {
    if ((start / stride) % count != 0) continue;
    for (std::size_t k = 0; k < count; ++k) line[k] = values[start + k * stride];
    for (std::size_t i = 0; i < count; ++i) {
      ThroughRest sum{};
      for (std::size_t k = 0; k < count; ++k) {
        const double factor = matrix[i * count + k];
        sum.first += factor * line[k].first;
        sum.p += factor * line[k].p;
        sum.a_m += factor * line[k].a_m;
      }
      values[start + i * stride] = sum;
    }
  }
}

// Sum of the coefficients of one degree along one axis.
double sum_of_degree(const Samples& c, const Sizes& n, std::size_t axis, int degree) {
  double sum = 0.0;
  for (int i = 0; i < n[0]; ++i)
    for (int j = 0; j < n[1]; ++j)
      for (int k = 0; k < n[2]; ++k)
        if ((axis == 0 ? i : axis == 1 ? j : k) == degree) sum += largest(c[index_of(n, i, j, k)]);
  return sum;
}

// What the last degree contributes, or a third of the last but one, and how fast the degrees fall.
struct Tail {
  double size;
  double ratio;
};

Tail tail(const Samples& c, const Sizes& n, std::size_t axis) {
  const int m = n[axis];
  if (m == 1) return {0.0, 0.0};
  const double last = sum_of_degree(c, n, axis, m - 1);
  const double before = sum_of_degree(c, n, axis, m - 2);
  const double two_before = sum_of_degree(c, n, axis, m - 3) + sum_of_degree(c, n, axis, m - 4);
  return {std::max(last, 0.3 * before), two_before > 0.0 ? std::sqrt((last + before) / two_before) : 1.0};
}

}  // namespace

ThroughCell::Division ThroughCell::build(const ThroughSoil& soil, const Box& box, double tolerance,
                                         ContourGrade grade) {
  box_ = box;
  Sizes n;
  for (std::size_t a = 0; a < 3; ++a) {
    const double extent = box.to[a] - box.from[a];
    n[a] = extent > 0.0 ? kFirst : 1;
    middle_[a] = 0.5 * (box.from[a] + box.to[a]);
    factor_[a] = extent > 0.0 ? 2.0 / extent : 0.0;
  }
  const double allowed = tolerance / std::hypot(box.to[0], box.to[1] + box.to[2]);
  const Path path = make_path(soil, box, grade);
  Samples c;
  for (;;) {
    std::array<std::vector<double>, 3> points;
    for (std::size_t a = 0; a < 3; ++a) points[a] = chebyshev_points(box.from[a], box.to[a], n[a]);
    c.assign(static_cast<std::size_t>(n[0] * n[1] * n[2]), {});
    sample_through(soil, path, points[0], points[1], points[2], c);
    for (std::size_t a = 0; a < 3; ++a) transform(c, n, a);
    Sizes wanted = n;
    Division worst = -1;
    double worst_size = 0.0;
    for (std::size_t a = 0; a < 3; ++a) {
      const Tail t = tail(c, n, a);
      if (t.size <= kTail * allowed) continue;
      const double left = t.size * std::pow(t.ratio, kMost - n[a]);
      if (n[a] < kMost && left <= kTail * allowed)
        wanted[a] =
            std::min(kMost, n[a] + std::max(1, static_cast<int>(std::ceil(std::log(kTail * allowed / t.size) /
                                                                          std::log(t.ratio)))));
      else if (left > worst_size) {
        worst = static_cast<Division>(a);
        worst_size = left;
      }
    }
    if (worst >= 0) return worst;
    if (wanted == n) break;
    n = wanted;
  }

  // What is negligible at the ends of the rows in rho is dropped.
  const double negligible = allowed / static_cast<double>(n[1] * n[2]);
  size_ = {1, 1, 1};
  length_.assign(static_cast<std::size_t>(n[1] * n[2]), 0);
  for (int k = 0; k < n[2]; ++k)
    for (int j = 0; j < n[1]; ++j) {
      int kept = n[0];
      double dropped = 0.0;
      for (; kept > 0; --kept) {
        dropped += largest(c[index_of(n, kept - 1, j, k)]);
        if (dropped > negligible) break;
      }
      length_[static_cast<std::size_t>(k * n[1] + j)] = static_cast<std::uint8_t>(kept);
      if (kept == 0) continue;
      size_ = {std::max(size_[0], kept), std::max(size_[1], j + 1), std::max(size_[2], k + 1)};
    }
  std::vector<std::uint8_t> length;
  coefficients_.clear();
  for (int k = 0; k < size_[2]; ++k)
    for (int j = 0; j < size_[1]; ++j) {
      length.push_back(length_[static_cast<std::size_t>(k * n[1] + j)]);
      for (int i = 0; i < length.back(); ++i) {
        const ThroughRest& rest = c[index_of(n, i, j, k)];
        for (const Complex& value : {rest.first, rest.p, rest.a_m}) {
          coefficients_.push_back(value.real());
          coefficients_.push_back(value.imag());
        }
      }
    }
  length_ = length;
  return -1;
}

struct ThroughCell::View {
  const ThroughCell& cell;
  double scale;

  // T_0..T_{n-1}, by T_{i+j} = 2 T_i T_j - T_{i-j}
  [[gnu::always_inline]] inline void chebyshev(const double* x, std::size_t axis, Lanes* t) const {
    t[0] = math::all_lanes(1.0);
    t[1] = (math::load_lanes(x + 4 * axis) - cell.middle_[axis]) * cell.factor_[axis];
    for (int i = 2; i < cell.size_[axis]; ++i) t[i] = 2.0 * t[i / 2] * t[(i + 1) / 2] - t[i % 2];
  }

  [[gnu::always_inline]] inline void evaluate(const double* x, ThroughRest* out) const {
    Lanes in_rho[kMost + 1];
    Lanes in_z[kMost + 1];
    Lanes in_d[kMost + 1];
    chebyshev(x, 0, in_rho);
    chebyshev(x, 1, in_z);
    chebyshev(x, 2, in_d);
    Lanes total[6] = {};
    const double* c = cell.coefficients_.data();
    const std::uint8_t* length = cell.length_.data();
    for (int k = 0; k < cell.size_[2]; ++k)
      for (int j = 0; j < cell.size_[1]; ++j) {
        Lanes row[6] = {};
        const int n = *length++;
        for (int i = 0; i < n; ++i, c += 6)
          for (int f = 0; f < 6; ++f) row[f] += c[f] * in_rho[i];
        const Lanes factor = scale * in_z[j] * in_d[k];
        for (int f = 0; f < 6; ++f) total[f] += factor * row[f];
      }
    for (std::size_t q = 0; q < math::kLanes; ++q)
      out[q] = {{total[0][q], total[1][q]}, {total[2][q], total[3][q]}, {total[4][q], total[5][q]}};
  }

  void evaluate_plain(const double* x, ThroughRest* out) const { evaluate(x, out); }
#if defined(__x86_64__)
  __attribute__((target("avx2,fma"))) void evaluate_avx2(const double* x, ThroughRest* out) const {
    evaluate(x, out);
  }
#endif
};

void ThroughCell::evaluate(const double* x, double scale, ThroughRest* out) const noexcept {
  const View view{*this, scale};
#if defined(__x86_64__)
  if (kFast) return view.evaluate_avx2(x, out);
#endif
  view.evaluate_plain(x, out);
}

}  // namespace feldspar::media
