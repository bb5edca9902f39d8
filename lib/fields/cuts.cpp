#include "fields/cuts.hpp"

#include <algorithm>
#include <cmath>
#include <functional>

#include "core/constants.hpp"
#include "core/error.hpp"
#include "fields/gain.hpp"

namespace feldspar::fields {
namespace {

constexpr double kToDegrees = 180.0 / core::kPi;

/// Looks at a pattern in degrees and true bearings.
class Viewer {
 public:
  Viewer(const Pattern& pattern, core::Power accepted, core::Angle x_bearing)
      : pattern_(pattern), accepted_(accepted), x_bearing_(x_bearing) {}

  [[nodiscard]] bool below_horizon() const { return pattern_.ground_kind() == media::GroundKind::free_space; }

  [[nodiscard]] Direction direction(double elevation_deg, double bearing_deg) const {
    return {core::Angle{elevation_deg / kToDegrees},
            core::Angle{x_bearing_.si - bearing_deg / kToDegrees}};  // bearings run clockwise
  }
  [[nodiscard]] results::Gains gains(double elevation_deg, double bearing_deg) const {
    const PartialGain part = partial_gain(pattern_, direction(elevation_deg, bearing_deg), accepted_);
    return {to_dbi(part.vertical + part.horizontal), to_dbi(part.vertical), to_dbi(part.horizontal)};
  }
  /// On the great circle through the zenith: beyond 90 degrees behind, below 0 under the horizon.
  [[nodiscard]] results::Gains along_meridian(double angle_deg, double bearing_deg) const {
    const bool behind = angle_deg > 90.0 || angle_deg < -90.0;
    const double elevation = angle_deg > 90.0    ? 180.0 - angle_deg
                             : angle_deg < -90.0 ? -180.0 - angle_deg
                                                 : angle_deg;
    return gains(elevation, behind ? bearing_deg + 180.0 : bearing_deg);
  }

 private:
  const Pattern& pattern_;
  core::Power accepted_;
  core::Angle x_bearing_;
};

using GainsAt = std::function<results::Gains(double angle_deg)>;

results::Cut cut(const GainsAt& at, double from, double to, double step) {
  results::Cut cut;
  const int count = static_cast<int>(std::lround((to - from) / step));
  for (int i = 0; i <= count; ++i) {
    cut.angle_deg.push_back(from + step * i);
    cut.gains.push_back(at(cut.angle_deg.back()));
  }
  return cut;
}

/// Where the gain, walking from the maximum by steps, first falls to half; empty when it does not before
/// `limit`.
std::optional<double> half_power_angle(const GainsAt& at, double top_deg, double top_dbi, double step,
                                       double limit) {
  constexpr double kFinest = 1e-3;  // degrees
  const double half = top_dbi - 10.0 * std::log10(2.0);
  const auto beyond = [&](double angle) { return step > 0.0 ? angle > limit : angle < limit; };
  double inside = top_deg;
  for (double outside = top_deg + step; !beyond(inside + step); outside += step) {
    if (at(outside).total_dbi > half) {
      inside = outside;
      continue;
    }
    while (std::abs(outside - inside) > kFinest) {
      const double middle = 0.5 * (inside + outside);
      (at(middle).total_dbi > half ? inside : outside) = middle;
    }
    return 0.5 * (inside + outside);
  }
  return std::nullopt;
}

/// Within `lowest` to `highest`; a beam that ends there on one side is cut off.
std::optional<results::Beam> beam(const GainsAt& at, double top_deg, double top_dbi, double step,
                                  double lowest, double highest) {
  const std::optional<double> below = half_power_angle(at, top_deg, top_dbi, -step, lowest);
  const std::optional<double> above = half_power_angle(at, top_deg, top_dbi, step, highest);
  if (!below && !above) return std::nullopt;
  return results::Beam{below.value_or(lowest), above.value_or(highest)};
}

double whole_turn(double degrees) {
  const double turned = std::fmod(degrees, 360.0);
  return turned < 0.0 ? turned + 360.0 : turned;
}

/// The best or the worst (sign -1) bearing of a circle, from a cut of it, to a tenth of a degree.
struct Bearing {
  double bearing_deg;
  double gain_dbi;
};
Bearing extreme(const GainsAt& at, const results::Cut& cut, double sign) {
  Bearing best{cut.angle_deg.front(), cut.gains.front().total_dbi};
  for (std::size_t i = 0; i < cut.gains.size(); ++i)
    if (sign * cut.gains[i].total_dbi > sign * best.gain_dbi)
      best = {cut.angle_deg[i], cut.gains[i].total_dbi};
  for (double step = 1.0; step > 0.05; step *= 0.5) {
    const double middle = best.bearing_deg;
    for (const double to : {middle - step, middle + step})
      if (const double gain = at(to).total_dbi; sign * gain > sign * best.gain_dbi) best = {to, gain};
  }
  best.bearing_deg = whole_turn(best.bearing_deg);
  return best;
}

constexpr double kBearingStep = 2.0;  // degrees

/// @param maximum  where it is; its bearing is used below kSteepest
results::PatternView::Level level_view(const Viewer& viewer, double elevation_deg, const Bearing& maximum) {
  results::PatternView::Level level;
  level.elevation_deg = std::clamp(elevation_deg, -results::kSteepest, results::kSteepest);
  const GainsAt at = [&](double bearing) { return viewer.gains(level.elevation_deg, bearing); };
  level.cut = cut(at, 0.0, 360.0 - kBearingStep, kBearingStep);
  const Bearing best = std::abs(elevation_deg) <= results::kSteepest ? maximum : extreme(at, level.cut, 1.0);
  const Bearing worst = extreme(at, level.cut, -1.0);
  level.gain_dbi = best.gain_dbi;
  level.bearing_deg = best.bearing_deg;
  level.round = best.gain_dbi - worst.gain_dbi < kRoundDb;
  level.beam = beam(at, best.bearing_deg, best.gain_dbi, kBearingStep, best.bearing_deg - 180.0,
                    best.bearing_deg + 180.0);
  level.front_to_back_db = best.gain_dbi - at(best.bearing_deg + 180.0).total_dbi;
  level.front_to_side_db =
      best.gain_dbi - std::max(at(best.bearing_deg - 90.0).total_dbi, at(best.bearing_deg + 90.0).total_dbi);
  level.null_depth_db = best.gain_dbi - worst.gain_dbi;
  level.null_bearing_deg = worst.bearing_deg;
  return level;
}

results::Sphere sphere(const Viewer& viewer, double step) {
  const auto rows = static_cast<int>(std::lround(90.0 / step));
  if (!(step > 0.0) || rows < 1 || std::abs(rows * step - 90.0) > 1e-9)
    throw core::Error(core::ErrorKind::usage, "the step of a whole sphere must divide 90 degrees");
  results::Sphere sphere;
  for (int row = viewer.below_horizon() ? -rows : 0; row <= rows; ++row)
    sphere.elevation_deg.push_back(90.0 * row / rows);
  for (int column = 0; column < 4 * rows; ++column) sphere.bearing_deg.push_back(90.0 * column / rows);
  for (const double elevation : sphere.elevation_deg)
    for (const double bearing : sphere.bearing_deg) sphere.gains.push_back(viewer.gains(elevation, bearing));
  return sphere;
}

}  // namespace

std::optional<results::PatternView> view(const Pattern& pattern, core::Power accepted, core::Angle x_bearing,
                                         const results::PatternRequest& request) {
  const std::optional<GainMaximum> maximum = maximum_gain(pattern, accepted);
  if (!maximum) return std::nullopt;
  const Viewer viewer(pattern, accepted, x_bearing);
  results::PatternView view;
  view.gain_dbi = to_dbi(maximum->gain);
  view.elevation_deg = maximum->direction.elevation.si * kToDegrees;
  view.bearing_deg = bearing(maximum->direction.azimuth, x_bearing).si * kToDegrees;
  view.level = level_view(viewer, view.elevation_deg, {view.bearing_deg, view.gain_dbi});
  constexpr double kOverhead = 85.0;  // degrees
  if (std::abs(view.elevation_deg) > kOverhead) view.bearing_deg = view.level.bearing_deg;
  const GainsAt upright = [&](double angle) { return viewer.along_meridian(angle, view.bearing_deg); };
  constexpr double kElevationStep = 1.0;
  view.elevation_cut = cut(upright, viewer.below_horizon() ? -179.0 : 0.0, 180.0, kElevationStep);
  const double lowest = viewer.below_horizon() ? view.elevation_deg - 180.0 : 0.0;
  const double highest = viewer.below_horizon() ? view.elevation_deg + 180.0 : 180.0;
  view.elevation_beam = beam(upright, view.elevation_deg, view.gain_dbi, kElevationStep, lowest, highest);
  std::vector<core::Angle> elevations;
  for (const double degrees : request.elevations_deg) elevations.emplace_back(degrees / kToDegrees);
  const std::vector<double> gains = gain_at_elevations(pattern, *maximum, elevations, accepted);
  for (std::size_t i = 0; i < gains.size(); ++i)
    view.at_elevations.push_back({request.elevations_deg[i], to_dbi(gains[i])});
  if (request.sphere_step_deg != 0.0) view.sphere = sphere(viewer, request.sphere_step_deg);
  return view;
}

}  // namespace feldspar::fields
