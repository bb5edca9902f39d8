#include "decision/hop.hpp"

#include <cmath>

#include "core/constants.hpp"
#include "core/error.hpp"

namespace feldspar::decision {
namespace {

constexpr double kToDegrees = 180.0 / core::kPi;

void check_height(double height) {
  if (!(height > 0.0) || !std::isfinite(height))
    throw core::Error(core::ErrorKind::usage, "a layer's height must be above 0");
}

}  // namespace

std::optional<double> hop_elevation_deg(double distance, double height) {
  check_height(height);
  if (!(distance > 0.0) || !(distance < core::kPi * kEarthRadius))
    throw core::Error(core::ErrorKind::usage,
                      "a hop's distance must be above 0 and below half the way round the earth");
  const double half_angle = 0.5 * distance / kEarthRadius;
  const double rise = std::cos(half_angle) - kEarthRadius / (kEarthRadius + height);
  if (rise < 0.0) return std::nullopt;
  return std::atan2(rise, std::sin(half_angle)) * kToDegrees;
}

double hop_distance(double elevation_deg, double height) {
  check_height(height);
  if (!(elevation_deg >= 0.0 && elevation_deg <= 90.0))
    throw core::Error(core::ErrorKind::usage, "a hop's elevation must be from 0 to 90 degrees");
  const double elevation = elevation_deg / kToDegrees;
  return 2.0 * kEarthRadius *
         (std::acos(kEarthRadius * std::cos(elevation) / (kEarthRadius + height)) - elevation);
}

}  // namespace feldspar::decision
