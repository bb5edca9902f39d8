#include "kernel/line_pair.hpp"

#include <algorithm>
#include <array>
#include <cmath>

#include "math/quadrature.hpp"
#include "math/segments.hpp"

namespace feldspar::kernel {

namespace {

constexpr int kMostKernelPoints = 12;  // beyond this, halving a panel is cheaper than a longer rule
constexpr int kHopeless = 1000;        // the singularity touches the panel

/// Gauss points for a function with its nearest singularity `distance` from a panel of length `length`:
/// error about rho^(-2n) on the Bernstein ellipse through the singularity [trefethen2008].
int points_for(double distance, double length, double wavenumber, double tolerance) {
  if (distance <= 1e-9 * length) return kHopeless;
  const double x = 1.0 + 2.0 * distance / length;
  const double rho = x + std::sqrt(x * x - 1.0);
  const int singular = static_cast<int>(std::ceil(-std::log(tolerance) / (2.0 * std::log(rho))));
  const int wave =
      static_cast<int>(std::ceil(0.5 * wavenumber * length)) + (wavenumber * length > 1e-3 ? 2 : 0);
  return std::max(1, singular) + wave;
}

void add_gauss(double lower, double upper, int points, std::vector<Sample>& out) {
  const math::Rule& rule = math::gauss_legendre(points);
  const double half = 0.5 * (upper - lower);
  for (std::size_t i = 0; i < rule.nodes.size(); ++i)
    out.push_back({lower + half * (1.0 + rule.nodes[i]), half * rule.weights[i]});
}

/// Gauss error for t^2 ln t falls as n^-6; measured 3e-7 with 11 points.
int logarithmic_points(double tolerance) {
  return tolerance >= 1e-6 ? 10 : (tolerance >= 1e-8 ? 20 : 30);
}

/// Panel that touches u = 0 where K ~ ln|u|: u = end * t^3 makes the integrand t^2 ln t.
void add_logarithmic(double end, int points, std::vector<Sample>& out) {
  const math::Rule& rule = math::gauss_legendre(points);
  for (std::size_t i = 0; i < rule.nodes.size(); ++i) {
    const double t = 0.5 * (1.0 + rule.nodes[i]);
    out.push_back({end * t * t * t, 0.5 * rule.weights[i] * 3.0 * t * t * std::abs(end)});
  }
}

void add_panel(double lower, double upper, int degree, const KernelShape& shape, double tolerance,
               std::vector<Sample>& out) {
  const double length = upper - lower;
  if (length <= 0.0) return;
  const double nearest = lower > 0.0 ? lower : (upper < 0.0 ? -upper : 0.0);
  const int polynomial = degree / 2 + 1;
  if (shape.logarithmic && nearest == 0.0) {
    if (lower < 0.0 && upper > 0.0) {
      add_panel(lower, 0.0, degree, shape, tolerance, out);
      add_panel(0.0, upper, degree, shape, tolerance, out);
      return;
    }
    if (length <= 1.5 * shape.scale) {
      add_logarithmic(lower < 0.0 ? lower : upper, degree + logarithmic_points(tolerance), out);
      return;
    }
  }
  const double distance = shape.logarithmic ? nearest : std::hypot(nearest, shape.scale);
  const int points = points_for(distance, length, shape.wavenumber, tolerance);
  if (points <= kMostKernelPoints) {
    add_gauss(lower, upper, points + polynomial, out);
    return;
  }
  // Split towards u = 0: at 0 itself if it is inside, else at a point that leaves similar ratios on both
  // sides.
  double middle = 0.5 * (lower + upper);
  if (lower < 0.0 && upper > 0.0) {
    middle = 0.0;
  } else {
    const double scale = std::max(nearest, 0.5 * shape.scale);
    const double far = std::max(std::abs(lower), std::abs(upper));
    const double cut =
        nearest == 0.0 ? std::max(0.2 * far, std::min(shape.scale, 0.5 * far)) : std::sqrt(scale * far);
    if (cut > nearest * 1.01 && cut < far * 0.99 && far > 4.0 * scale) middle = lower >= 0.0 ? cut : -cut;
  }
  add_panel(lower, middle, degree, shape, tolerance, out);
  add_panel(middle, upper, degree, shape, tolerance, out);
}

}  // namespace

void parallel_samples(const ParallelPair& pair, const KernelShape& shape, double tolerance,
                      std::vector<Sample>& out) {
  out.clear();
  const double hm = 0.5 * pair.length_m;
  const double hn = 0.5 * pair.length_n;
  const double centre = pair.centre_n - pair.centre_m;
  // C(u) is one polynomial between neighbouring differences of end points.
  std::array<double, 4> corner = {centre - hn - hm, centre - hn + hm, centre + hn - hm, centre + hn + hm};
  std::sort(corner.begin(), corner.end());
  const double snap = 1e-12 * (pair.length_m + pair.length_n);
  for (double& u : corner)
    if (std::abs(u) < snap) u = 0.0;
  const int degree = pair.degree_m + pair.degree_n + 1;
  for (std::size_t i = 0; i + 1 < corner.size(); ++i)
    if (corner[i + 1] - corner[i] > snap) add_panel(corner[i], corner[i + 1], degree, shape, tolerance, out);
}

void add_parallel_moments(const ParallelPair& pair, const std::vector<Sample>& samples, const Complex* values,
                          Moments& moments) {
  const int pm = pair.degree_m;
  const int pn = pair.degree_n;
  const math::Rule& rule = math::gauss_legendre((pm + pn) / 2 + 1);
  const double hm = 0.5 * pair.length_m;
  const double hn = 0.5 * pair.length_n;
  std::array<double, kMaxDegree + 1> f{};
  std::array<double, kMaxDegree + 1> g{};
  std::array<double, (kMaxDegree + 1) * (kMaxDegree + 1)> correlation{};
  for (std::size_t q = 0; q < samples.size(); ++q) {
    const double u = samples[q].u;
    const double lower = std::max(pair.centre_m - hm, pair.centre_n - hn - u);
    const double upper = std::min(pair.centre_m + hm, pair.centre_n + hn - u);
    if (upper <= lower) continue;
    std::fill_n(correlation.begin(), (pm + 1) * (pn + 1), 0.0);
    const double half = 0.5 * (upper - lower);
    for (std::size_t i = 0; i < rule.nodes.size(); ++i) {
      const double s = lower + half * (1.0 + rule.nodes[i]);
      math::legendre((s - pair.centre_m) / hm, pm, f.data());
      math::legendre((s + u - pair.centre_n) / hn, pn, g.data());
      const double w = half * rule.weights[i];
      for (int b = 0; b <= pn; ++b) {
        const double wg = w * g[static_cast<std::size_t>(b)];
        double* column = &correlation[static_cast<std::size_t>(b * (pm + 1))];
        for (int a = 0; a <= pm; ++a) column[a] += wg * f[static_cast<std::size_t>(a)];
      }
    }
    const Complex value = values[q] * samples[q].weight;
    for (int b = 0; b <= pn; ++b) {
      const Complex signed_value = (pair.sense_n < 0 && b % 2 == 1) ? -value : value;
      const double* column = &correlation[static_cast<std::size_t>(b * (pm + 1))];
      for (int a = 0; a <= pm; ++a) moments(a, b) += signed_value * column[a];
    }
  }
}

namespace {

void add_cells(const SkewPair& pair, double tolerance, double xi0, double xi1, double eta0, double eta1,
               int depth, std::vector<Cell>& out) {
  const Eigen::Vector3d m = pair.end_m - pair.start_m;
  const Eigen::Vector3d n = pair.end_n - pair.start_n;
  const auto on = [](const Eigen::Vector3d& start, const Eigen::Vector3d& along,
                     double x) -> Eigen::Vector3d { return start + 0.5 * (1.0 + x) * along; };
  const double axis = math::closest_points(on(pair.start_m, m, xi0), on(pair.start_m, m, xi1),
                                           on(pair.start_n, n, eta0), on(pair.start_n, n, eta1))
                          .distance;
  const double distance = std::hypot(axis, pair.softening);
  const double length_m = 0.5 * (xi1 - xi0) * m.norm();
  const double length_n = 0.5 * (eta1 - eta0) * n.norm();
  const int need_m = points_for(distance, length_m, pair.wavenumber_m, tolerance);
  const int need_n = points_for(distance, length_n, pair.wavenumber_n, tolerance);
  if (depth >= 40 || (need_m <= kMostKernelPoints && need_n <= kMostKernelPoints)) {
    out.push_back({xi0, xi1, eta0, eta1, std::min(need_m, 2 * kMostKernelPoints) + pair.degree_m / 2,
                   std::min(need_n, 2 * kMostKernelPoints) + pair.degree_n / 2});
    return;
  }
  if (length_m >= length_n) {
    const double middle = 0.5 * (xi0 + xi1);
    add_cells(pair, tolerance, xi0, middle, eta0, eta1, depth + 1, out);
    add_cells(pair, tolerance, middle, xi1, eta0, eta1, depth + 1, out);
  } else {
    const double middle = 0.5 * (eta0 + eta1);
    add_cells(pair, tolerance, xi0, xi1, eta0, middle, depth + 1, out);
    add_cells(pair, tolerance, xi0, xi1, middle, eta1, depth + 1, out);
  }
}

}  // namespace

void skew_cells(const SkewPair& pair, double tolerance, std::vector<Cell>& out) {
  out.clear();
  add_cells(pair, tolerance, -1.0, 1.0, -1.0, 1.0, 0, out);
}

}  // namespace feldspar::kernel
