#include "media/ground.hpp"

#include <algorithm>
#include <cmath>

namespace feldspar::media {

bool in_sector(const FarSoil& far, double bearing) {
  if (far.all_round) return true;
  constexpr double kTurn = 2.0 * core::kPi;
  const auto clockwise_from_start = [&](double angle) {
    const double turned = std::fmod(angle - far.from_bearing, kTurn);
    return turned < 0.0 ? turned + kTurn : turned;
  };
  return clockwise_from_start(bearing) <= clockwise_from_start(far.to_bearing);
}

SoilConstants soil_constants(const Ground& ground, core::Frequency f) {
  if (ground.table.empty()) return {ground.relative_permittivity, ground.conductivity};
  const auto above = std::find_if(ground.table.begin(), ground.table.end(),
                                  [&](const SoilRow& row) { return row.frequency >= f.si; });
  if (above == ground.table.begin()) return ground.table.front().constants;
  if (above == ground.table.end()) return ground.table.back().constants;
  const SoilRow& low = *(above - 1);
  const SoilRow& high = *above;
  const double share = std::log(f.si / low.frequency) / std::log(high.frequency / low.frequency);
  const SoilConstants& a = low.constants;
  const SoilConstants& b = high.constants;
  return {a.relative_permittivity + share * (b.relative_permittivity - a.relative_permittivity),
          a.conductivity * std::pow(b.conductivity / a.conductivity, share)};
}

bool outside_table(const Ground& ground, core::Frequency f) {
  return !ground.table.empty() &&
         (f.si < ground.table.front().frequency || f.si > ground.table.back().frequency);
}

std::complex<double> complex_permittivity(const Ground& ground, core::Frequency f) {
  if (ground.kind != GroundKind::real) return 1.0;
  const SoilConstants soil = soil_constants(ground, f);
  return {soil.relative_permittivity, -soil.conductivity / (core::angular(f) * core::kVacuumPermittivity)};
}

}  // namespace feldspar::media
