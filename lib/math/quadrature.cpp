#include "math/quadrature.hpp"

#include <array>
#include <cmath>
#include <cstddef>
#include <memory>
#include <mutex>

#include "core/constants.hpp"
#include "core/error.hpp"

namespace feldspar::math {

namespace {

constexpr int kLargestRule = 512;

Rule make_rule(int n) {
  Rule rule;
  rule.nodes.resize(static_cast<std::size_t>(n));
  rule.weights.resize(static_cast<std::size_t>(n));
  for (int i = 0; i < n; ++i) {
    double x = -std::cos(core::kPi * (i + 0.75) / (n + 0.5));  // Tricomi's start, then Newton
    double slope = 1.0;
    for (int step = 0; step < 100; ++step) {
      double p0 = 1.0;
      double p1 = x;
      for (int k = 2; k <= n; ++k) {
        const double p2 = ((2 * k - 1) * x * p1 - (k - 1) * p0) / k;
        p0 = p1;
        p1 = p2;
      }
      slope = n * (x * p1 - p0) / (x * x - 1.0);
      const double change = p1 / slope;
      x -= change;
      if (std::abs(change) < 1e-16) break;
    }
    rule.nodes[static_cast<std::size_t>(i)] = x;
    rule.weights[static_cast<std::size_t>(i)] = 2.0 / ((1.0 - x * x) * slope * slope);
  }
  return rule;
}

}  // namespace

const Rule& gauss_legendre(int n) {
  static std::array<std::unique_ptr<const Rule>, kLargestRule + 1> rules;
  static std::array<std::once_flag, kLargestRule + 1> made;
  if (n < 1 || n > kLargestRule)
    throw core::Error(core::ErrorKind::usage, "Gauss rule needs 1 to 512 points");
  const auto i = static_cast<std::size_t>(n);
  std::call_once(made[i], [&] { rules[i] = std::make_unique<const Rule>(make_rule(n)); });
  return *rules[i];
}

void legendre(double x, int degree, double* out) noexcept {
  out[0] = 1.0;
  if (degree > 0) out[1] = x;
  for (int k = 2; k <= degree; ++k) out[k] = ((2 * k - 1) * x * out[k - 1] - (k - 1) * out[k - 2]) / k;
}

}  // namespace feldspar::math
