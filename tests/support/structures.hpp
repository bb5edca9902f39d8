#pragma once

#include <cmath>
#include <complex>
#include <string>
#include <utility>
#include <vector>

#include "core/quantity.hpp"
#include "geometry/wire.hpp"
#include "media/ground.hpp"
#include "moment/solve.hpp"

/// Simple antennas for tests. Where nothing else is said they live at the frequency whose wavelength is 1 m,
/// so that every length is in wavelengths.
namespace feldspar::testing {

using geometry::Structure;
using geometry::Vec3;

inline constexpr core::Frequency kUnitFrequency{core::kSpeedOfLight};  ///< wavelength 1 m

inline geometry::Wire straight(const Vec3& from, const Vec3& to, double radius) {
  geometry::Wire wire;
  wire.name = "wire";
  wire.path = {from, to};
  wire.radius = radius;
  return wire;
}

/// A straight wire with a gap in its middle.
inline Structure centre_fed(const Vec3& from, const Vec3& to, double radius, double gap) {
  const double middle = 0.5 * (to - from).norm();
  return {{straight(from, to, radius)}, {{"feed", {{0, middle - 0.5 * gap, middle + 0.5 * gap}}, {}}}, {}};
}

/// Centre-fed dipole along z about the origin; the gap is two radii.
inline Structure dipole(double length, double radius) {
  return centre_fed({0.0, 0.0, -0.5 * length}, {0.0, 0.0, 0.5 * length}, radius, 2.0 * radius);
}

/// Vertical wire that stands on z = 0, fed at its foot; the gap is one radius, half that of its dipole.
inline Structure monopole(double height, double radius) {
  return {{straight({0.0, 0.0, 0.0}, {0.0, 0.0, height}, radius)}, {{"feed", {{0, 0.0, radius}}, {}}}, {}};
}

/// Regular polygon in the plane z = `height` round the z axis, its gap (two radii) in the middle of a side.
/// @param corner_radius from the axis to the corners
inline Structure polygon(int sides, double corner_radius, double wire_radius, double height = 0.0) {
  Structure structure;
  geometry::Wire wire;
  wire.name = "loop";
  wire.radius = wire_radius;
  const double half = core::kPi / sides;
  for (int i = 0; i <= sides; ++i) {
    const double angle = (2 * (i % sides) - 1) * half;
    wire.path.emplace_back(corner_radius * std::cos(angle), corner_radius * std::sin(angle), height);
  }
  const double side = 2.0 * corner_radius * std::sin(half);
  structure.wires.push_back(wire);
  structure.ports.push_back({"feed", {{0, 0.5 * side - wire_radius, 0.5 * side + wire_radius}}, {}});
  return structure;
}

/// Corner radius of the n-gon with the area of a circle of radius b.
inline double equal_area_corner(int sides, double b) {
  return b * std::sqrt(2.0 * core::kPi / (sides * std::sin(2.0 * core::kPi / sides)));
}

inline media::Ground perfect_ground() {
  media::Ground ground;
  ground.kind = media::GroundKind::perfect;
  return ground;
}

inline media::Ground soil(double relative_permittivity, double conductivity) {
  media::Ground ground;
  ground.kind = media::GroundKind::real;
  ground.relative_permittivity = relative_permittivity;
  ground.conductivity = conductivity;
  return ground;
}

inline moment::Setting fine_setting() {
  return {geometry::fine_mesh(), 1e-8};
}

/// Impedance at the first port, perfect conductors.
inline std::complex<double> impedance(const Structure& structure, const media::Ground& ground = {},
                                      const moment::Setting& setting = {},
                                      core::Frequency f = kUnitFrequency) {
  return moment::solve(structure, {}, ground, f, setting).impedance(0, 0);
}

}  // namespace feldspar::testing
