#include "kernel/ring_average.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <complex>
#include <vector>

#include "kernel/tube_average.hpp"

namespace feldspar::kernel {

namespace {

struct CoaxialRow {
  double u, a, b, k;
  double re, im;
};

// Source: independent computation, adaptive quadrature of the definition in mpmath
// (tests/tools/ring_average.py).
constexpr CoaxialRow kCoaxial[] = {
    {0.001, 0.001, 0.001, 0.3, 642.637606280678, -0.2999999865},
    {0.0001, 0.001, 0.001, 0.3, 1394.1704068886, -0.299999990955},
    {0.05, 0.001, 0.001, 0.3, 19.9897563345174, -0.299988741126764},
    {0.0, 0.01, 0.006, 0.6, 111.454482728813, -0.599995104016651},
    {0.02, 0.01, 0.006, 0.6, 43.60672340062, -0.599980704190832},
    {0.003, 0.03, 0.03, 1.05, 46.4511688211164, -1.04965102809325},
    {2.0, 0.03, 0.03, 1.05, -0.252570073630388, -0.431388339649331},
};

struct SkewRow {
  Eigen::Vector3d d;
  double a, b, k;
  double re, im;
};

// Same source; tube m along z, tube n along x.
const SkewRow kSkew[] = {
    {{0.02, 0.0, 0.03}, 0.001, 0.001, 0.3, 27.7280603571, -0.299994141034},
    {{0.002, 0.004, 0.003}, 0.001, 0.0005, 0.3, 186.011528176, -0.299999863875},
    {{0.004, 0.003, -0.008}, 0.002, 0.001, 1.0, 104.758324639, -0.99998433341},
};

std::complex<double> ring_average(double u, double a, double b, std::complex<double> k) {
  double re = 0.0;
  double im = 0.0;
  ring_averages(&u, 1, a, b, k, &re, &im);
  return {re, im};
}

}  // namespace

TEST_CASE("ring_average: fast and reference agree with high-precision quadrature") {
  for (const CoaxialRow& row : kCoaxial) {
    CAPTURE(row.u);
    CAPTURE(row.a);
    const std::complex<double> expected{row.re, row.im};
    const std::complex<double> fast = ring_average(row.u, row.a, row.b, row.k);
    const std::complex<double> slow = reference::ring_average(row.u, row.a, row.b, row.k);
    CHECK(std::abs(slow - expected) < 1e-12 * std::abs(expected));  // the rule's own goal
    // documented bound of the six-angle rule: 1e-2 (ka)^2, and rounding
    const double bound = 1e-2 * std::pow(row.k * row.a, 2) + 1e-12;
    CHECK(std::abs(fast - expected) < bound * std::abs(expected));
  }
}

TEST_CASE("ring_averages: near and far points, many at a time, are those of the slow integral; losses too") {
  std::vector<double> u;
  for (double x = 1e-6; x < 3.0; x *= 1.37) u.push_back(u.size() % 2 == 0 ? x : -x);
  for (const std::complex<double> k : {std::complex<double>{1.1, 0.0}, {2.0, -0.7}, {0.01, 0.0}}) {
    std::vector<double> re(u.size());
    std::vector<double> im(u.size());
    ring_averages(u.data(), u.size(), 2e-3, 2e-3, k, re.data(), im.data());
    for (std::size_t i = 0; i < u.size(); ++i) {
      CAPTURE(u[i]);
      const std::complex<double> slow = reference::ring_average(u[i], 2e-3, 2e-3, k);
      // documented; for thin rings from <R> = 4a/pi against sqrt(2) a at u = 0: k^2 0.141 a / 2 over 1/(2a)
      const double bound = (std::abs(k) * 4e-3 < 1e-4 ? 0.15 : 1e-2) * std::norm(k * 2e-3) + 1e-12;
      CHECK(std::abs(std::complex<double>(re[i], im[i]) - slow) <= bound * std::abs(slow));
    }
  }
}

TEST_CASE("static_ring_average: equals 1/u far away and is even in u (identities)") {
  CHECK(std::abs(static_ring_average(1e3, 1e-3, 1e-3) * 1e3 - 1.0) < 1e-11);  // next term -(a/u)^2
  CHECK(static_ring_average(-0.02, 1e-3, 2e-3) == static_ring_average(0.02, 1e-3, 2e-3));
}

TEST_CASE("TubeKernel: ring sums and the far form agree with high-precision quadrature") {
  for (const SkewRow& row : kSkew) {
    CAPTURE(row.d.norm());
    TubeKernel kernel(Eigen::Vector3d::UnitZ(), row.a, Eigen::Vector3d::UnitX(), row.b, row.k);
    const std::complex<double> expected{row.re, row.im};
    CHECK(std::abs(kernel(row.d) - expected) < 1e-6 * std::abs(expected));
  }
}

TEST_CASE("TubeKernel: near and far forms join to the documented 1e-4") {
  const double a = 1e-3;
  TubeKernel kernel(Eigen::Vector3d::UnitZ(), a, Eigen::Vector3d(1.0, 0.0, 1.0).normalized(), a, 0.2);
  const Eigen::Vector3d direction = Eigen::Vector3d(0.3, 0.8, 0.5).normalized();
  const auto inside = kernel(direction * (12.0 * a * (1.0 - 1e-9)));
  const auto outside = kernel(direction * (12.0 * a * (1.0 + 1e-9)));
  CHECK(std::abs(inside - outside) < 1e-4 * std::abs(outside));
}

}  // namespace feldspar::kernel
