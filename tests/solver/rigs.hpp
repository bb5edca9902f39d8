#pragma once

#include <cmath>
#include <string>
#include <utility>
#include <vector>

#include "core/constants.hpp"
#include "model/model.hpp"
#include "solver/solve.hpp"

/// Small models by hand: perfect conductors, no feed line, 100 W.
namespace feldspar::testing {

using geometry::Vec3;

inline constexpr core::Frequency kFrequency{14.1e6};

inline geometry::Wire wire(std::string name, std::vector<Vec3> path, double radius = 7.5e-4) {
  geometry::Wire result;
  result.name = std::move(name);
  result.path = std::move(path);
  result.radius = radius;
  return result;
}

inline media::Ground soil(double relative_permittivity, double conductivity) {
  media::Ground ground;
  ground.kind = media::GroundKind::real;
  ground.relative_permittivity = relative_permittivity;
  ground.conductivity = conductivity;
  return ground;
}
inline media::Ground average_soil() {
  return soil(13.0, 0.005);
}
inline media::Ground perfect_ground() {
  media::Ground ground;
  ground.kind = media::GroundKind::perfect;
  return ground;
}

inline geometry::Port port(std::string name, int on, double middle, double width = 1.5e-3) {
  return {std::move(name), {{on, middle - 0.5 * width, middle + 0.5 * width, 1}}, {}};
}

inline model::Model model_of(std::vector<geometry::Wire> wires, std::vector<geometry::Port> ports,
                             media::Ground ground = {}) {
  model::Model model;
  model.name = "test";
  model.structure = {std::move(wires), std::move(ports), {}};
  model.ground = std::move(ground);
  return model;
}

/// Level, along x, 10.3 m, fed in its middle.
inline model::Model dipole(double height, media::Ground ground = {}) {
  return model_of({wire("dipole", {{-5.15, 0, height}, {5.15, 0, height}})}, {port("feed", 0, 5.15)},
                  std::move(ground));
}

/// 5.1 m whip of 6 mm over four radials of 5 m, fed at its foot.
inline model::Model whip(double height, media::Ground ground = {}) {
  std::vector<geometry::Wire> wires = {wire("whip", {{0, 0, height}, {0, 0, height + 5.1}}, 3e-3)};
  for (int i = 0; i < 4; ++i) {
    const double angle = 0.5 * core::kPi * i;
    wires.push_back(wire("radial (" + std::to_string(i + 1) + ")",
                         {{0, 0, height}, {5 * std::cos(angle), 5 * std::sin(angle), height}}, 5e-4));
  }
  return model_of(std::move(wires), {{"feed", {{0, 0.0, 0.006, 1}}, {}}}, std::move(ground));
}

/// Apex at 9 m, ends at 5 m, fed astride the apex.
inline model::Model inverted_vee(media::Ground ground = {}) {
  const double leg = std::hypot(3.3, 4.0);
  return model_of({wire("vee", {{-3.3, 0, 5}, {0, 0, 9}, {3.3, 0, 5}})}, {port("feed", 0, leg)},
                  std::move(ground));
}

/// Driven wire and, 2.5 m behind it (towards -y), a longer one.
inline model::Model two_elements(double height, media::Ground ground = {}) {
  model::Model model = dipole(height, std::move(ground));
  model.structure.wires.push_back(wire("reflector", {{-5.35, -2.5, height}, {5.35, -2.5, height}}));
  return model;
}

inline std::complex<double> impedance(const model::Model& model, core::Frequency f = kFrequency,
                                      solver::Accuracy accuracy = solver::Accuracy::normal) {
  solver::Options options;
  options.accuracy = accuracy;
  options.fields = false;
  return solver::solve(model, f, options).ports.front().impedance;
}

inline bool has_code(const core::Warnings& warnings, const std::string& code) {
  for (const core::Warning& warning : warnings)
    if (warning.code == code) return true;
  return false;
}

}  // namespace feldspar::testing
