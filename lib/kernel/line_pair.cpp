#include "kernel/line_pair.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <memory>
#include <mutex>

#include "math/clones.hpp"
#include "math/quadrature.hpp"
#include "math/segments.hpp"

namespace feldspar::kernel {

namespace {

constexpr int kMostKernelPoints = 12;  // beyond this, halving a panel is cheaper than a longer rule
constexpr int kHopeless = 1000;        // the singularity is too near to the panel

/// Gauss error for t^2 ln t falls as n^-6; measured 3e-7 with 11 points.
int logarithmic_points(double tolerance) {
  return tolerance >= 1e-6 ? 10 : (tolerance >= 1e-8 ? 20 : 30);
}

/// Lays samples on panels, whose ends are shifts: u less the distance of the centres.
class Sampler {
 public:
  Sampler(double centre, int degree, const KernelShape& shape, const GaussCounts& counts,
          ParallelSamples& out)
      : centre_(centre), degree_(degree), shape_(shape), counts_(counts), out_(out) {}

  void add_panel(double lower, double upper) {
    const double length = upper - lower;
    if (length <= 0.0) return;
    const double from = lower + centre_;
    const double to = upper + centre_;
    const double nearest = from > 0.0 ? from : (to < 0.0 ? -to : 0.0);
    const int polynomial = degree_ / 2 + 1;
    const bool holds_zero = from < 0.0 && to > 0.0;
    if (shape_.logarithmic && nearest == 0.0) {
      if (holds_zero) return split(lower, -centre_, upper);
      if (length <= 1.5 * shape_.scale)
        return add_logarithmic(from < 0.0 ? from : to, degree_ + logarithmic_points(counts_.tolerance()));
    }
    const double distance = shape_.logarithmic ? nearest : std::hypot(nearest, shape_.scale);
    const int points = counts_(distance, length, shape_.wavenumber);
    if (points <= kMostKernelPoints) return add_gauss(lower, upper, points + polynomial);
    // Split towards u = 0: at 0 itself if it is inside, else at a point that leaves similar ratios on both
    // sides.
    if (holds_zero) return split(lower, -centre_, upper);
    double middle = 0.5 * (lower + upper);
    const double scale = std::max(nearest, 0.5 * shape_.scale);
    const double far = std::max(std::abs(from), std::abs(to));
    const double cut =
        nearest == 0.0 ? std::max(0.2 * far, std::min(shape_.scale, 0.5 * far)) : std::sqrt(scale * far);
    if (cut > nearest * 1.01 && cut < far * 0.99 && far > 4.0 * scale)
      middle = (from >= 0.0 ? cut : -cut) - centre_;
    split(lower, middle, upper);
  }

 private:
  void split(double lower, double middle, double upper) {
    add_panel(lower, middle);
    add_panel(middle, upper);
  }

  void add(double shift, double u, double weight) {
    out_.shift.push_back(shift);
    out_.u.push_back(u);
    out_.weight.push_back(weight);
  }

  void add_gauss(double lower, double upper, int points) {
    const math::Rule& rule = math::gauss_legendre(points);
    const double half = 0.5 * (upper - lower);
    for (std::size_t i = 0; i < rule.nodes.size(); ++i) {
      const double shift = lower + half * (1.0 + rule.nodes[i]);
      add(shift, shift + centre_, half * rule.weights[i]);
    }
  }

  /// Panel that touches u = 0 where K ~ ln|u|: u = end * t^3 makes the integrand t^2 ln t.
  void add_logarithmic(double end, int points) {
    const math::Rule& rule = math::gauss_legendre(points);
    for (std::size_t i = 0; i < rule.nodes.size(); ++i) {
      const double t = 0.5 * (1.0 + rule.nodes[i]);
      const double u = end * t * t * t;
      add(u - centre_, u, 0.5 * rule.weights[i] * 3.0 * t * t * std::abs(end));
    }
  }

  double centre_;
  int degree_;
  const KernelShape& shape_;
  const GaussCounts& counts_;
  ParallelSamples& out_;
};

}  // namespace

GaussCounts::GaussCounts(double tolerance) : tolerance_(tolerance) {
  for (int n = 1; n <= kMost; ++n) least_[n] = std::cosh(-std::log(tolerance) / (2.0 * n));
}

int GaussCounts::operator()(double distance, double length, double wavenumber) const noexcept {
  const double x = 1.0 + 2.0 * distance / length;
  int singular = 1;
  while (x < least_[singular])
    if (++singular > kMost) return kHopeless;
  const int wave =
      static_cast<int>(std::ceil(0.5 * wavenumber * length)) + (wavenumber * length > 1e-3 ? 2 : 0);
  return singular + wave;
}

void parallel_samples(const ParallelPair& pair, const KernelShape& shape, const GaussCounts& counts,
                      ParallelSamples& out) {
  out.u.clear();
  out.shift.clear();
  out.weight.clear();
  out.panels.clear();
  const double hm = 0.5 * pair.length_m;
  const double hn = 0.5 * pair.length_n;
  const double centre = pair.centre_n - pair.centre_m;
  // C(u) is one polynomial between neighbouring differences of end points.
  std::array<double, 4> corner = {-hn - hm, hm - hn, hn - hm, hn + hm};
  std::sort(corner.begin(), corner.end());
  const double snap = 1e-12 * (pair.length_m + pair.length_n);
  for (double& shift : corner)
    if (std::abs(shift + centre) < snap) shift = -centre;
  Sampler sampler(centre, pair.degree_m + pair.degree_n + 1, shape, counts, out);
  for (std::size_t i = 0; i + 1 < corner.size(); ++i) {
    if (corner[i + 1] - corner[i] <= snap) continue;
    sampler.add_panel(corner[i], corner[i + 1]);
    out.panels.push_back({corner[i], corner[i + 1], out.size()});
  }
}

namespace detail {

/// sum over q of value[q] P_d(x[q]) for d = 0 ... degree; `work` holds three rows of `count`.
FELDSPAR_CLONES void legendre_sums(const double* __restrict x, const double* __restrict re,
                                   const double* __restrict im, std::size_t count, int degree,
                                   double* __restrict work, double* __restrict out_re,
                                   double* __restrict out_im) noexcept {
  double* before = work;
  double* last = work + count;
  double* next = work + 2 * count;
  for (std::size_t q = 0; q < count; ++q) {
    before[q] = 0.0;
    last[q] = 1.0;
  }
  for (int d = 0; d <= degree; ++d) {
    double sum_re = 0.0;
    double sum_im = 0.0;
    const double up = (2.0 * d + 1.0) / (d + 1.0);
    const double down = d / (d + 1.0);
#pragma omp simd reduction(+ : sum_re, sum_im)
    for (std::size_t q = 0; q < count; ++q) {
      sum_re += re[q] * last[q];
      sum_im += im[q] * last[q];
      next[q] = up * x[q] * last[q] - down * before[q];
    }
    out_re[d] = sum_re;
    out_im[d] = sum_im;
    double* const free = before;
    before = last;
    last = next;
    next = free;
  }
}

}  // namespace detail

namespace {

constexpr int kMostNodes = 2 * kMaxDegree + 2;

/// Row k: w_k (2d + 1)/2 P_d(v_k) for d = 0 ... n - 1, the nodes v_k and weights w_k of the Gauss rule of n
/// points: from moments with P_d to loads at the nodes that give polynomials of degree n - 1 the same
/// integral.
const std::vector<double>& spreading(int n) {
  static std::array<std::unique_ptr<const std::vector<double>>, kMostNodes + 1> kept;
  static std::array<std::once_flag, kMostNodes + 1> made;
  const auto at = static_cast<std::size_t>(n);
  std::call_once(made[at], [&] {
    const math::Rule& rule = math::gauss_legendre(n);
    std::vector<double> table(at * at);
    for (std::size_t k = 0; k < at; ++k) {
      math::legendre(rule.nodes[k], n - 1, &table[k * at]);
      for (std::size_t d = 0; d < at; ++d)
        table[k * at + d] *= rule.weights[k] * (static_cast<double>(d) + 0.5);
    }
    kept[at] = std::make_unique<const std::vector<double>>(std::move(table));
  });
  return *kept[at];
}

}  // namespace

void ParallelContraction::spread(const ParallelSamples& samples, std::size_t first,
                                 const ParallelSamples::Panel& panel, int degree,
                                 std::span<const SampledKernel> kernels) {
  const std::size_t count = panel.end - first;
  const auto n = static_cast<std::size_t>(degree) + 1;
  if (count <= n) {  // the samples themselves serve as nodes
    for (std::size_t q = first; q < panel.end; ++q) {
      nodes_.push_back(samples.shift[q]);
      for (std::size_t kernel = 0; kernel < kernels.size(); ++kernel) {
        load_[kernel].push_back(samples.weight[q] * kernels[kernel].re[q]);
        load_[kernel].push_back(samples.weight[q] * kernels[kernel].im[q]);
      }
    }
    return;
  }
  const math::Rule& rule = math::gauss_legendre(static_cast<int>(n));
  const double middle = 0.5 * (panel.lower + panel.upper);
  const double half = 0.5 * (panel.upper - panel.lower);
  for (const double v : rule.nodes) nodes_.push_back(middle + half * v);
  work_.resize(6 * count);
  double* const x = work_.data() + 3 * count;
  double* const re = x + count;
  double* const im = re + count;
  for (std::size_t q = 0; q < count; ++q) x[q] = (samples.shift[first + q] - middle) / half;
  const std::vector<double>& table = spreading(static_cast<int>(n));
  std::array<double, kMostNodes> sum_re{};
  std::array<double, kMostNodes> sum_im{};
  for (std::size_t kernel = 0; kernel < kernels.size(); ++kernel) {
    for (std::size_t q = 0; q < count; ++q) {
      re[q] = samples.weight[first + q] * kernels[kernel].re[first + q];
      im[q] = samples.weight[first + q] * kernels[kernel].im[first + q];
    }
    detail::legendre_sums(x, re, im, count, degree, work_.data(), sum_re.data(), sum_im.data());
    for (std::size_t k = 0; k < n; ++k) {
      double at_re = 0.0;
      double at_im = 0.0;
      for (std::size_t d = 0; d < n; ++d) {
        at_re += table[k * n + d] * sum_re[d];
        at_im += table[k * n + d] * sum_im[d];
      }
      load_[kernel].push_back(at_re);
      load_[kernel].push_back(at_im);
    }
  }
}

void ParallelContraction::add(const ParallelPair& pair, const ParallelSamples& samples,
                              std::span<const SampledKernel> kernels) {
  nodes_.clear();
  load_.resize(kernels.size());
  for (std::vector<double>& load : load_) load.clear();
  std::size_t first = 0;
  for (const ParallelSamples::Panel& panel : samples.panels) {
    spread(samples, first, panel, pair.degree_m + pair.degree_n + 1, kernels);
    first = panel.end;
  }
  // the overlap of the elements at each node, a Gauss rule along it
  const math::Rule& rule = math::gauss_legendre((pair.degree_m + pair.degree_n) / 2 + 1);
  const std::size_t inner = rule.nodes.size();
  const double hm = 0.5 * pair.length_m;
  const double hn = 0.5 * pair.length_n;
  x_m_.resize(nodes_.size() * inner);
  x_n_.resize(nodes_.size() * inner);
  weight_.resize(nodes_.size() * inner);
  for (std::size_t k = 0, at = 0; k < nodes_.size(); ++k) {
    // s along m from its centre; the point s + u of the line is s + shift from n's centre
    const double lower = std::max(-hm, -hn - nodes_[k]);
    const double upper = std::min(hm, hn - nodes_[k]);
    const double half = std::max(0.0, 0.5 * (upper - lower));
    for (std::size_t i = 0; i < inner; ++i, ++at) {
      const double s = lower + half * (1.0 + rule.nodes[i]);
      x_m_[at] = s / hm;
      x_n_[at] = pair.sense_n * (s + nodes_[k]) / hn;
      weight_[at] = half * rule.weights[i];
    }
  }
  rows_m_.set_points(x_m_.data(), x_m_.size(), pair.degree_m);
  rows_n_.set_points(x_n_.data(), x_n_.size(), pair.degree_n);
  for (std::size_t k = 0; k < nodes_.size(); ++k) {
    diagonal_product(rows_m_, pair.degree_m, rows_n_, pair.degree_n, k * inner, &weight_[k * inner], inner,
                     product_);
    for (std::size_t kernel = 0; kernel < kernels.size(); ++kernel)
      add_scaled(product_, pair.degree_n, load_[kernel][2 * k], load_[kernel][2 * k + 1],
                 *kernels[kernel].sums);
  }
}

namespace {

void add_cells(const SkewPair& pair, const GaussCounts& counts, double xi0, double xi1, double eta0,
               double eta1, int depth, std::vector<Cell>& out) {
  const Eigen::Vector3d m = pair.end_m - pair.start_m;
  const Eigen::Vector3d n = pair.end_n - pair.start_n;
  const auto on = [](const Eigen::Vector3d& start, const Eigen::Vector3d& along,
                     double x) -> Eigen::Vector3d { return start + 0.5 * (1.0 + x) * along; };
  const double axis = math::closest_points(on(pair.start_m, m, xi0), on(pair.start_m, m, xi1),
                                           on(pair.start_n, n, eta0), on(pair.start_n, n, eta1))
                          .distance;
  const double distance = std::sqrt(axis * axis + pair.softening * pair.softening);
  const double length_m = 0.5 * (xi1 - xi0) * m.norm();
  const double length_n = 0.5 * (eta1 - eta0) * n.norm();
  const int need_m = counts(distance, length_m, pair.wavenumber_m);
  const int need_n = counts(distance, length_n, pair.wavenumber_n);
  if (depth >= 40 || (need_m <= kMostKernelPoints && need_n <= kMostKernelPoints)) {
    out.push_back({xi0, xi1, eta0, eta1, std::min(need_m, GaussCounts::kMost) + pair.degree_m / 2,
                   std::min(need_n, GaussCounts::kMost) + pair.degree_n / 2});
    return;
  }
  if (length_m >= length_n) {
    const double middle = 0.5 * (xi0 + xi1);
    add_cells(pair, counts, xi0, middle, eta0, eta1, depth + 1, out);
    add_cells(pair, counts, middle, xi1, eta0, eta1, depth + 1, out);
  } else {
    const double middle = 0.5 * (eta0 + eta1);
    add_cells(pair, counts, xi0, xi1, eta0, middle, depth + 1, out);
    add_cells(pair, counts, xi0, xi1, middle, eta1, depth + 1, out);
  }
}

}  // namespace

void skew_cells(const SkewPair& pair, const GaussCounts& counts, std::vector<Cell>& out) {
  out.clear();
  add_cells(pair, counts, -1.0, 1.0, -1.0, 1.0, 0, out);
}

}  // namespace feldspar::kernel
