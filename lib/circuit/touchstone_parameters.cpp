#include <cmath>
#include <utility>

#include "circuit/touchstone_parameters_detail.hpp"

namespace feldspar::circuit::detail {

namespace {

/// Z, Y, H, G normalised to the references as rows of P v + Q i = 0.
std::pair<Matrix, Matrix> rows_of(char parameter, const Matrix& m) {
  switch (parameter) {
    case 'z':
      return {{1.0, 0.0, 0.0, 1.0}, {-m[0], -m[1], -m[2], -m[3]}};
    case 'y':
      return {{-m[0], -m[1], -m[2], -m[3]}, {1.0, 0.0, 0.0, 1.0}};
    case 'h':
      return {{1.0, -m[1], 0.0, -m[3]}, {-m[0], 0.0, -m[2], 1.0}};
    default:  // g
      return {{-m[0], 0.0, -m[2], 1.0}, {1.0, -m[1], 0.0, -m[3]}};
  }
}

}  // namespace

Matrix normalised(char parameter, const Matrix& m, const std::array<double, 2>& reference) {
  const double one = reference[0], two = reference[1];
  const double both = std::sqrt(one * two), ratio = std::sqrt(two / one);
  switch (parameter) {
    case 'z':
      return {m[0] / one, m[1] / both, m[2] / both, m[3] / two};
    case 'y':
      return {m[0] * one, m[1] * both, m[2] * both, m[3] * two};
    case 'h':
      return {m[0] / one, m[1] * ratio, m[2] * ratio, m[3] * two};
    default:  // g
      return {m[0] * one, m[1] / ratio, m[2] / ratio, m[3] / two};
  }
}

Matrix scattering_of(char parameter, const Matrix& m) {
  if (parameter == 's') return m;
  // P v + Q i = 0 with v = a + b, i = a - b: S = -(P - Q)^-1 (P + Q).
  const auto [p, q] = rows_of(parameter, m);
  Matrix d, e;
  for (std::size_t i = 0; i < 4; ++i) {
    d[i] = p[i] - q[i];
    e[i] = p[i] + q[i];
  }
  const Complex determinant = d[0] * d[3] - d[1] * d[2];
  return {(d[1] * e[2] - d[3] * e[0]) / determinant, (d[1] * e[3] - d[3] * e[1]) / determinant,
          (d[2] * e[0] - d[0] * e[2]) / determinant, (d[2] * e[1] - d[0] * e[3]) / determinant};
}

}  // namespace feldspar::circuit::detail
