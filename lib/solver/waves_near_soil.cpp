#include <algorithm>
#include <cmath>
#include <cstddef>
#include <optional>

#include "core/error.hpp"
#include "media/wire_impedance.hpp"
#include "media/wire_mode.hpp"
#include "solver/waves_near_soil_detail.hpp"

namespace feldspar::solver {

namespace {

using Line = results::CheckReport::WaveLine;

constexpr double kNearest = 0.05;  // wavelengths in air
constexpr double kSlope = 0.25;    // rise over run, at most
constexpr double kHeights = 3.0;   // length over mean height, at least
constexpr double kSame = 1e-6;     // relative; copies of one wire differ by rounding

/// A stretch with what decides the wave along it.
struct Stretch {
  Line line;
  media::LongWire wire;
};

std::optional<Stretch> stretch(const geometry::Wire& wire, std::size_t leg, core::Frequency f) {
  const geometry::Vec3& from = wire.path[leg];
  const geometry::Vec3& to = wire.path[leg + 1];
  const geometry::Vec3 along = to - from;
  const double run = std::hypot(along.x(), along.y());
  const double height = 0.5 * (from.z() + to.z());
  const double outer = wire.radius + wire.coat.thickness;
  const bool crosses = from.z() * to.z() <= 0.0;
  if (crosses || std::abs(along.z()) > kSlope * run || std::abs(height) > kNearest * core::wavelength(f) ||
      along.norm() < kHeights * std::abs(height) || std::abs(height) < outer)
    return std::nullopt;
  Stretch found;
  found.line.wire = wire.name;
  found.line.leg = wire.path.size() > 2 ? static_cast<int>(leg) + 1 : 0;
  found.line.length = along.norm();
  found.line.height = height;
  found.line.insulated = wire.coat.thickness > 0.0;
  found.wire = {wire.radius, wire.coat.thickness, wire.coat.relative_permittivity,
                media::internal_impedance(core::Length{wire.radius}, wire.conductor.conductivity,
                                          wire.conductor.relative_permeability, f)};
  return found;
}

bool close(double a, double b) {
  return std::abs(a - b) <= kSame * (std::abs(a) + std::abs(b));
}

bool alike(const Stretch& a, const Stretch& b) {
  return a.line.leg == b.line.leg && close(a.line.length, b.line.length) &&
         close(a.line.height, b.line.height) && a.wire.radius == b.wire.radius &&
         a.wire.coat_thickness == b.wire.coat_thickness &&
         a.wire.coat_permittivity == b.wire.coat_permittivity &&
         a.wire.internal_impedance == b.wire.internal_impedance;
}

}  // namespace

std::vector<Line> waves_near_soil(const model::Model& model, core::Frequency f) {
  if (model.ground.kind != media::GroundKind::real) return {};
  std::vector<Stretch> stretches;
  for (const geometry::Wire& wire : model.structure.wires)
    for (std::size_t leg = 0; leg + 1 < wire.path.size(); ++leg) {
      const auto found = stretch(wire, leg, f);
      if (!found) continue;
      const auto known = std::find_if(stretches.begin(), stretches.end(),
                                      [&](const Stretch& other) { return alike(other, *found); });
      if (known == stretches.end())
        stretches.push_back(*found);
      else
        ++known->line.copies;
    }
  std::vector<Line> lines;
  const std::complex<double> n2 = media::complex_permittivity(model.ground, f);
  for (Stretch& s : stretches) {
    try {
      const media::WireMode mode = media::wire_mode(s.wire, core::Length{s.line.height}, n2, f);
      s.line.velocity_factor = mode.velocity_factor;
      s.line.attenuation_db = mode.attenuation_db;
      s.line.wavelengths = s.line.length * mode.slowness.real() / core::wavelength(f);
      lines.push_back(s.line);
    } catch (const core::Error&) {
      // no such wave, or soil that hardly differs from air: nothing to say of this stretch
    }
  }
  return lines;
}

}  // namespace feldspar::solver
