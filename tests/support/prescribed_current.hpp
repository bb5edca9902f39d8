#pragma once

#include <Eigen/Core>
#include <cmath>
#include <complex>
#include <functional>

#include "geometry/mesh.hpp"
#include "math/quadrature.hpp"
#include "moment/basis.hpp"
#include "moment/fill.hpp"

/// Currents that are given, not solved for, on meshes made by hand: for reactions with a closed form.
namespace feldspar::testing {

/// A function of arc length and its derivative.
struct GivenCurrent {
  std::function<double(double)> value;
  std::function<double(double)> slope;
};

/// sin(k(l/2 - |s - l/2|)) on 0..l: the sinusoidal current of a centre-fed wire.
inline GivenCurrent sinusoid(double k, double length) {
  const double half = 0.5 * length;
  return {[=](double s) { return std::sin(k * (half - std::abs(s - half))); },
          [=](double s) { return (s < half ? k : -k) * std::cos(k * (half - std::abs(s - half))); }};
}

/// Appends a straight wire of `count` equal elements and returns its leg. Wires are not joined to one
/// another.
inline int add_wire(geometry::Mesh& mesh, const geometry::Vec3& from, const geometry::Vec3& to, double radius,
                    int count, int order) {
  const int leg = static_cast<int>(mesh.legs.size());
  mesh.legs.push_back({leg, from, to, {}});
  mesh.joined.assign(mesh.legs.size() * mesh.legs.size(), 0);
  mesh.joined_at_ground = mesh.joined;
  for (std::size_t i = 0; i < mesh.legs.size(); ++i) mesh.joined[i * mesh.legs.size() + i] = 1;
  const double length = (to - from).norm();
  int node = static_cast<int>(mesh.nodes.size());
  mesh.nodes.push_back({});
  for (int i = 0; i < count; ++i) {
    geometry::Element element;
    element.start = from + (to - from) * (static_cast<double>(i) / count);
    element.end = from + (to - from) * (static_cast<double>(i + 1) / count);
    element.radius = radius;
    element.wire = element.leg = leg;
    element.from = length * i / count;
    element.to = length * (i + 1) / count;
    element.order = order;
    element.node[0] = node;
    element.node[1] = node + 1;
    const int index = static_cast<int>(mesh.elements.size());
    mesh.nodes.back().arms.push_back({index, 0});
    mesh.nodes.push_back({{{index, 1}}, false});
    mesh.elements.push_back(element);
    ++node;
  }
  return leg;
}

/// Local coefficients of a given current on one leg (0 elsewhere). The derivative's Legendre series gives the
/// bubbles, so current and charge both converge; nodes are exact.
inline Eigen::VectorXcd project(const geometry::Mesh& mesh, const moment::Basis& basis, int leg,
                                const GivenCurrent& current) {
  Eigen::VectorXcd local = Eigen::VectorXcd::Zero(basis.offset.back());
  const math::Rule& rule = math::gauss_legendre(32);
  for (std::size_t e = 0; e < mesh.elements.size(); ++e) {
    const geometry::Element& element = mesh.elements[e];
    if (element.leg != leg) continue;
    const double h = element.length();
    local(basis.offset[e]) = current.value(element.from);
    local(basis.offset[e] + 1) = current.value(element.to);
    std::vector<double> p(static_cast<std::size_t>(element.order) + 1);
    for (std::size_t i = 0; i < rule.nodes.size(); ++i) {
      math::legendre(rule.nodes[i], element.order, p.data());
      const double slope = current.slope(element.from + 0.5 * h * (1.0 + rule.nodes[i]));
      for (int k = 2; k <= element.order; ++k)
        local(basis.offset[e] + k) +=
            rule.weights[i] * 0.5 * (2 * k - 1) * 0.5 * h * slope * p[static_cast<std::size_t>(k) - 1];
    }
  }
  return local;
}

}  // namespace feldspar::testing
