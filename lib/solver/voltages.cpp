#include <algorithm>
#include <cmath>
#include <string>
#include <string_view>

#include "solver/voltages_detail.hpp"

namespace feldspar::solver {

namespace {

constexpr double kReach = 2.5;          // m; an arm stretched up. Common practice
constexpr double kTouchVoltage = 50.0;  // V r.m.s.; from the limits for mains. No source for radio
                                        // frequencies, which burn before they shock

/// r.m.s. volts of one that is 1 V peak while the port takes `unit_power`.
double scale_of(double unit_power, double accepted) {
  return std::sqrt(std::max(0.0, accepted) / unit_power / 2.0);
}

/// "radial" of "radial (2)"; empty when the wire is no copy.
std::string_view copied_from(std::string_view name) {
  if (!name.ends_with(')')) return {};
  const std::size_t at = name.rfind(" (");
  return at == std::string_view::npos ? std::string_view{} : name.substr(0, at);
}

bool alike(const results::WireEnd& a, const results::WireEnd& b) {
  constexpr double kSamePlace = 1e-6;  // m; copies are turned round an axis
  constexpr double kSameVoltage = 0.01;
  const std::string_view name = copied_from(a.wire);
  return !name.empty() && name == copied_from(b.wire) && a.start == b.start &&
         std::abs(a.z - b.z) <= kSamePlace &&
         std::abs(a.voltage - b.voltage) <= kSameVoltage * std::max(a.voltage, b.voltage);
}

}  // namespace

bool within_reach(bool over_ground, double z, double volts) {
  return over_ground && z < kReach && volts > kTouchVoltage;
}

std::vector<results::WireEnd> wire_ends(const geometry::Structure& structure,
                                        const std::vector<moment::EndPotential>& unit_ends, bool over_ground,
                                        double unit_power, double accepted) {
  const double scale = scale_of(unit_power, accepted);
  std::vector<results::WireEnd> ends;
  for (const moment::EndPotential& end : unit_ends) {
    if (over_ground && end.at.z() < 0.0) continue;
    results::WireEnd found{structure.wires[static_cast<std::size_t>(end.wire)].name,
                           end.start,
                           1,
                           end.at.x(),
                           end.at.y(),
                           end.at.z(),
                           scale * std::abs(end.potential)};
    found.within_reach = within_reach(over_ground, found.z, found.voltage);
    const auto known =
        std::find_if(ends.begin(), ends.end(), [&](const auto& other) { return alike(other, found); });
    if (known == ends.end())
      ends.push_back(found);
    else
      ++known->copies;
  }
  std::stable_sort(ends.begin(), ends.end(),
                   [](const auto& a, const auto& b) { return a.voltage > b.voltage; });
  return ends;
}

results::FeedPointVoltage feed_point_voltage(const geometry::Structure& structure, bool over_ground,
                                             double unit_power, double accepted) {
  geometry::Vec3 at = geometry::Vec3::Zero();
  double gap = 0.0;
  for (const geometry::Span& span : structure.ports.front().spans) {
    const double length = span.to - span.from;
    at += length * geometry::point_at(structure.wires[static_cast<std::size_t>(span.wire)],
                                      0.5 * (span.from + span.to));
    gap += length;
  }
  at /= gap;
  const double volts = scale_of(unit_power, accepted);
  return {at.x(), at.y(), at.z(), volts, within_reach(over_ground, at.z(), volts)};
}

}  // namespace feldspar::solver
