#pragma once

#include <cmath>
#include <complex>
#include <functional>
#include <vector>

#include "core/quantity.hpp"
#include "math/quadrature.hpp"
#include "moment/current.hpp"

/// Currents that are given, not solved for.
namespace feldspar::testing {

using geometry::Vec3;
using CurrentOf = std::function<std::complex<double>(double)>;  ///< A, of arc length from the wire's start, m

/// Adds a straight wire cut into `count` equal elements, the current projected on Legendre polynomials.
inline void add_wire(moment::Currents& currents, const Vec3& from, const Vec3& to, int count,
                     const CurrentOf& current, double radius = 0.0, int degree = 8) {
  const double length = (to - from).norm();
  const math::Rule& rule = math::gauss_legendre(degree + 8);
  std::vector<double> p(static_cast<std::size_t>(degree) + 1);
  for (int i = 0; i < count; ++i) {
    moment::ElementCurrent e;
    e.start = from + (to - from) * (static_cast<double>(i) / count);
    e.end = from + (to - from) * (static_cast<double>(i + 1) / count);
    e.radius = radius;
    e.coefficients = Eigen::VectorXcd::Zero(degree + 1);
    for (std::size_t q = 0; q < rule.nodes.size(); ++q) {
      math::legendre(rule.nodes[q], degree, p.data());
      const std::complex<double> value = current(length * (i + 0.5 + 0.5 * rule.nodes[q]) / count);
      for (int n = 0; n <= degree; ++n) {
        e.coefficients[n] += rule.weights[q] * (n + 0.5) * p[static_cast<std::size_t>(n)] * value;
      }
    }
    currents.push_back(e);
  }
}

/// A short element of moment 1 A m (peak) in a unit direction.
inline moment::Currents short_dipole(const Vec3& at, const Vec3& direction, double length) {
  moment::ElementCurrent e;
  e.start = at - 0.5 * length * direction;
  e.end = at + 0.5 * length * direction;
  e.coefficients = Eigen::VectorXcd::Constant(1, 1.0 / length);
  return {e};
}

/// Centre-fed dipole of total length `length`, current sin(k(length/2 - |s|)), 1 A at the current maximum (if
/// reached).
inline moment::Currents sinusoidal_dipole(const Vec3& centre, const Vec3& direction, double length, double k,
                                          int per_half = 3) {
  const Vec3 arm = 0.5 * length * direction;
  moment::Currents currents;
  add_wire(currents, centre - arm, centre, per_half, [&](double s) { return std::sin(k * s); });
  add_wire(currents, centre, centre + arm, per_half,
           [&](double s) { return std::sin(k * (0.5 * length - s)); });
  return currents;
}

}  // namespace feldspar::testing
