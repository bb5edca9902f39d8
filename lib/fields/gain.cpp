#include "fields/gain.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

#include "core/error.hpp"

namespace feldspar::fields {

namespace {

using core::kPi;

double checked(core::Power accepted) {
  if (!(accepted.si > 0.0)) throw core::Error(core::ErrorKind::usage, "gain needs an accepted power above 0");
  return accepted.si;
}

double wrap(double angle) {
  const double a = std::fmod(angle, 2.0 * kPi);
  return a < 0.0 ? a + 2.0 * kPi : a;
}

struct Spot {
  double elevation;
  double azimuth;
  double value;
};

/// Climbs from a grid point by a shrinking cross of steps: robust at the horizon and at the zenith, where a
/// quadratic model is not.
class Climber {
 public:
  Climber(const Pattern& pattern, double lowest) : pattern_(pattern), lowest_(lowest) {}

  [[nodiscard]] double value(double elevation, double azimuth) const {
    return intensity(pattern_.at({core::Angle{elevation}, core::Angle{azimuth}}));
  }

  [[nodiscard]] Spot climb(Spot best, double elevation_step, double azimuth_step) const {
    constexpr double kFinest = 1e-3 * kPi / 180.0;
    while (elevation_step > kFinest || azimuth_step > kFinest) {
      const bool moved = try_axis(best, elevation_step, 0.0) | try_axis(best, 0.0, azimuth_step);
      if (moved) continue;
      elevation_step *= 0.5;
      azimuth_step *= 0.5;
    }
    return best;
  }

 private:
  // A step to the peak of the parabola through three points where there is one, else to the better neighbour.
  [[nodiscard]] bool try_axis(Spot& best, double d_elevation, double d_azimuth) const {
    const auto at = [&](double t) {
      const double e = std::clamp(best.elevation + t * d_elevation, lowest_, 0.5 * kPi);
      const double a = best.azimuth + t * d_azimuth;
      return Spot{e, a, value(e, a)};
    };
    const Spot less = at(-1.0);
    const Spot more = at(1.0);
    const double clearly = best.value * (1.0 + 1e-13);  // rounding is not a slope
    if (less.value > clearly || more.value > clearly) {
      best = less.value > more.value ? less : more;
      return true;
    }
    const double curvature = less.value - 2.0 * best.value + more.value;
    if (curvature >= 0.0) return false;
    const Spot peak = at(std::clamp(0.5 * (less.value - more.value) / curvature, -1.0, 1.0));
    if (peak.value > best.value) best = peak;
    return false;
  }

  const Pattern& pattern_;
  double lowest_;
};

/// Grid points over the sector after which the pattern repeats.
int azimuth_count(const Pattern& pattern) {
  const int all_round = 12 + 2 * static_cast<int>(std::ceil(2.0 * pattern.horizontal_extent()));
  return std::max(1, all_round / pattern.rotation_order());
}

double sector(const Pattern& pattern) {
  return 2.0 * kPi / pattern.rotation_order();
}

/// Smallest and largest intensity over azimuth at one elevation, by a grid fine enough for the extent.
std::pair<Spot, Spot> range_over_azimuth(const Climber& climber, const Pattern& pattern, double elevation) {
  const int count = 3 * azimuth_count(pattern);
  Spot least{elevation, 0.0, std::numeric_limits<double>::infinity()};
  Spot most{elevation, 0.0, -1.0};
  for (int i = 0; i < count; ++i) {
    const double azimuth = sector(pattern) * i / count;
    const double v = climber.value(elevation, azimuth);
    if (v < least.value) least = {elevation, azimuth, v};
    if (v > most.value) most = {elevation, azimuth, v};
  }
  return {least, most};
}

}  // namespace

double gain(const Pattern& pattern, Direction d, core::Power accepted) {
  return 4.0 * kPi * intensity(pattern.at(d)) / checked(accepted);
}

PartialGain partial_gain(const Pattern& pattern, Direction d, core::Power accepted) {
  const FarField field = pattern.at(d);
  const double scale = 4.0 * kPi / checked(accepted);
  return {scale * intensity({field.theta, 0.0}), scale * intensity({0.0, field.phi})};
}

double to_dbi(double gain) noexcept {
  return 10.0 * std::log10(gain);
}

std::optional<GainMaximum> maximum_gain(const Pattern& pattern, core::Power accepted) {
  const double power = checked(accepted);
  const bool free_space = pattern.ground_kind() == media::GroundKind::free_space;
  const double lowest = free_space ? -0.5 * kPi : 0.0;
  const Climber climber(pattern, lowest);

  // Lobes are no narrower than about pi over the extent; over ground the image doubles the height.
  const double extent = pattern.horizontal_extent() + (free_space ? 1.0 : 2.0) * pattern.vertical_extent();
  const int rows = (free_space ? 2 : 1) * (9 + static_cast<int>(std::ceil(2.0 * extent)));
  const int columns = azimuth_count(pattern);
  const double row_step = (0.5 * kPi - lowest) / rows;
  const double column_step = sector(pattern) / columns;
  std::vector<Spot> spots;
  for (int row = 0; row <= rows; ++row) {
    const double elevation = lowest + row * row_step;
    for (int column = 0; column < columns; ++column) {
      const double azimuth = column * column_step;
      spots.push_back({elevation, azimuth, climber.value(elevation, azimuth)});
    }
  }
  const std::size_t starts = std::min<std::size_t>(4, spots.size());
  // Grid points whose neighbours are all lower would be the exact choice; the few best of the grid, each at
  // least two steps from those taken before, serve as well and cost less.
  std::stable_sort(spots.begin(), spots.end(),
                   [](const Spot& a, const Spot& b) { return a.value > b.value; });
  if (!(spots.front().value > 0.0)) return std::nullopt;
  std::vector<Spot> taken;
  for (const Spot& s : spots) {
    if (taken.size() == starts || s.value < 0.7 * spots.front().value) break;
    const bool near_another = std::any_of(taken.begin(), taken.end(), [&](const Spot& t) {
      const double turn = std::abs(wrap(s.azimuth - t.azimuth + kPi) - kPi);
      return std::abs(s.elevation - t.elevation) < 2.5 * row_step &&
             (turn < 2.5 * column_step || s.elevation > 0.5 * kPi - 2.5 * row_step);
    });
    if (!near_another) taken.push_back(s);
  }
  Spot best{0.0, 0.0, -1.0};
  for (const Spot& s : taken) {
    const Spot top = climber.climb(s, 0.5 * row_step, 0.5 * column_step);
    if (top.value > best.value * (1.0 + 1e-12)) best = top;  // of equal maxima the first found
  }
  const auto [least, most] = range_over_azimuth(climber, pattern, best.elevation);
  GainMaximum result;
  result.gain = 4.0 * kPi * best.value / power;
  result.direction = {core::Angle{best.elevation}, core::Angle{wrap(best.azimuth)}};
  result.round = most.value < least.value * std::pow(10.0, kRoundDb / 10.0);
  return result;
}

std::vector<double> gain_at_elevations(const Pattern& pattern, const GainMaximum& maximum,
                                       std::span<const core::Angle> elevations, core::Power accepted) {
  const double scale = 4.0 * kPi / checked(accepted);
  const Climber climber(pattern, -0.5 * kPi);
  std::vector<double> gains;
  gains.reserve(elevations.size());
  for (const core::Angle elevation : elevations) {
    const double value = maximum.round ? range_over_azimuth(climber, pattern, elevation.si).second.value
                                       : climber.value(elevation.si, maximum.direction.azimuth.si);
    gains.push_back(scale * value);
  }
  return gains;
}

core::Angle bearing(core::Angle azimuth, core::Angle x_bearing) {
  const double turned = wrap(x_bearing.si - azimuth.si);
  return core::Angle{turned >= 2.0 * kPi ? 0.0 : turned};
}

}  // namespace feldspar::fields
