#include "kernel/line_pair.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <complex>
#include <vector>

#include "kernel/ring_average.hpp"
#include "math/quadrature.hpp"

namespace feldspar::kernel {

namespace {

/// Moments of a kernel over two elements by the production rules.
template <class Kernel>
Moments parallel(const ParallelPair& pair, const KernelShape& shape, Kernel kernel,
                 double tolerance = 1e-10) {
  ParallelSamples samples;
  parallel_samples(pair, shape, GaussCounts(tolerance), samples);
  std::vector<double> re;
  std::vector<double> im;
  for (const double u : samples.u) {
    re.push_back(Complex(kernel(u)).real());
    im.push_back(Complex(kernel(u)).imag());
  }
  MomentSums sums;
  sums.clear(pair.degree_n);
  const SampledKernel kernels[] = {{re.data(), im.data(), &sums}};
  ParallelContraction().add(pair, samples, kernels);
  Moments moments(pair.degree_m + 1, pair.degree_n + 1);
  for (Eigen::Index a = 0; a < moments.rows(); ++a)
    for (Eigen::Index b = 0; b < moments.cols(); ++b) {
      const auto at = static_cast<std::size_t>(b) * kRow + static_cast<std::size_t>(a);
      moments(a, b) = {sums.re[at], sums.im[at]};
    }
  return moments;
}

/// The same by brute force: tensor Gauss rules on many small squares.
template <class Kernel>
Moments brute(const ParallelPair& pair, Kernel kernel, int pieces) {
  const math::Rule& rule = math::gauss_legendre(24);
  Moments moments = Moments::Zero(pair.degree_m + 1, pair.degree_n + 1);
  std::vector<double> f(16);
  std::vector<double> g(16);
  for (int p = 0; p < pieces; ++p)
    for (int q = 0; q < pieces; ++q)
      for (std::size_t i = 0; i < rule.nodes.size(); ++i)
        for (std::size_t j = 0; j < rule.nodes.size(); ++j) {
          const double xi = -1.0 + (2.0 * p + 1.0 + rule.nodes[i]) / pieces;
          const double eta = -1.0 + (2.0 * q + 1.0 + rule.nodes[j]) / pieces;
          math::legendre(xi, pair.degree_m, f.data());
          math::legendre(eta, pair.degree_n, g.data());
          const double s = pair.centre_m + 0.5 * pair.length_m * xi;
          const double t = pair.centre_n + 0.5 * pair.length_n * pair.sense_n * eta;
          const double w =
              rule.weights[i] * rule.weights[j] * 0.25 * pair.length_m * pair.length_n / (pieces * pieces);
          const Complex k = kernel(t - s) * w;
          for (int a = 0; a <= pair.degree_m; ++a)
            for (int b = 0; b <= pair.degree_n; ++b)
              moments(a, b) += k * f[static_cast<std::size_t>(a)] * g[static_cast<std::size_t>(b)];
        }
  return moments;
}

}  // namespace

TEST_CASE(
    "parallel moments: -ln|u| on one element (closed form: integral of -ln|s-t| over [0,h]^2 is h^2 (3/2 - "
    "ln h))") {
  for (const double h : {1.0, 0.02, 3.0}) {
    CAPTURE(h);
    const ParallelPair pair{0.0, h, 0.0, h, 1, 0, 0};
    const Moments m =
        parallel(pair, {0.1 * h, true, 0.0}, [](double u) { return Complex{-std::log(std::abs(u))}; });
    CHECK(std::abs(m(0, 0).real() - h * h * (1.5 - std::log(h))) < 1e-8 * h * h);
  }
}

TEST_CASE("parallel moments: smooth kernels against brute force, both senses and overlapping elements") {
  const ParallelPair pairs[] = {
      {0.0, 1.0, 3.0, 0.5, 1, 4, 3}, {0.0, 1.0, 0.75, 0.5, -1, 3, 5}, {0.2, 0.4, 0.1, 2.0, 1, 2, 6}};
  const auto kernel = [](double u) { return std::exp(Complex{0.0, -2.0} * u) / std::sqrt(u * u + 0.09); };
  for (const ParallelPair& pair : pairs) {
    const Moments fast = parallel(pair, {0.3, false, 2.0}, kernel);
    const Moments slow = brute(pair, kernel, 8);
    CHECK((fast - slow).cwiseAbs().maxCoeff() < 1e-9);  // ten times the tolerance asked for
  }
}

TEST_CASE("parallel moments: the exact kernel of a thin tube converges with the tolerance") {
  const ParallelPair pair{0.0, 1.0, 1.0, 1.0, 1, 3, 3};  // neighbours that touch
  const auto kernel = [](double u) {
    double re = 0.0;
    double im = 0.0;
    ring_averages(&u, 1, 1e-3, 1e-3, 0.3, &re, &im);
    return Complex{re, im};
  };
  const Moments fine = parallel(pair, {1e-3, true, 0.3}, kernel);
  const Moments coarse = parallel(pair, {1e-3, true, 0.3}, kernel, 1e-6);
  CHECK((fine - coarse).cwiseAbs().maxCoeff() < 1e-5 * fine.cwiseAbs().maxCoeff());
}

TEST_CASE("skew cells: tensor rules integrate a softened kernel of touching elements") {
  const SkewPair pair{{0, 0, 0}, {1, 0, 0}, {0, 0, 0}, {0, 0.6, 0.2}, 0.01, 2, 2, 0.5, 0.5};
  const auto integrate = [&](double tolerance) {
    std::vector<Cell> cells;
    skew_cells(pair, GaussCounts(tolerance), cells);
    double sum = 0.0;
    for (const Cell& c : cells) {
      const math::Rule& rm = math::gauss_legendre(c.points_m);
      const math::Rule& rn = math::gauss_legendre(c.points_n);
      for (std::size_t i = 0; i < rm.nodes.size(); ++i)
        for (std::size_t j = 0; j < rn.nodes.size(); ++j) {
          const double x = 0.5 * (1.0 + c.xi0 + 0.5 * (c.xi1 - c.xi0) * (1.0 + rm.nodes[i]));
          const double y = 0.5 * (1.0 + c.eta0 + 0.5 * (c.eta1 - c.eta0) * (1.0 + rn.nodes[j]));
          const Eigen::Vector3d d = x * (pair.end_m - pair.start_m) - y * (pair.end_n - pair.start_n);
          sum += rm.weights[i] * rn.weights[j] * 0.0625 * (c.xi1 - c.xi0) * (c.eta1 - c.eta0) /
                 std::sqrt(d.squaredNorm() + pair.softening * pair.softening);
        }
    }
    return sum;
  };
  CHECK(std::abs(integrate(1e-6) / integrate(1e-11) - 1.0) < 1e-6);
}

}  // namespace feldspar::kernel
