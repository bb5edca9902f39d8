// Links the installed library and checks one identity: the integral of x^2 over [-1, 1] is 2/3.
#include <cmath>
#include <cstdio>

#include "core/error.hpp"
#include "math/quadrature.hpp"

int main() {
  const auto& rule = feldspar::math::gauss_legendre(4);
  double sum = 0.0;
  for (std::size_t i = 0; i < rule.nodes.size(); ++i) sum += rule.weights[i] * rule.nodes[i] * rule.nodes[i];
  std::printf("integral of x^2: %.15f\n", sum);
  return std::abs(sum - 2.0 / 3.0) < 1e-14 ? 0 : 1;
}
