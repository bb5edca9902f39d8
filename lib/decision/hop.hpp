#pragma once

#include <optional>

/// How far one hop by the ionosphere reaches: a mirror at a virtual height over a sphere of 6371 km, straight
/// rays. Whether the ionosphere reflects at all, it decides itself.
namespace feldspar::decision {

inline constexpr double kEarthRadius = 6371e3;  // m, mean

/// Elevation at which a ray leaves that comes down at a ground distance, degrees:
/// tan e = (cos t - R / (R + h)) / sin t, t = d / 2R (the triangle of the earth's centre, the antenna and the
/// mirror). Empty where that is below the horizon.
/// @param distance > 0, along the ground, m  @param height of the mirror, > 0, m
/// @throws core::Error{usage}
[[nodiscard]] std::optional<double> hop_elevation_deg(double distance, double height);

/// Ground distance of a hop, m: d = 2R (acos(R cos e / (R + h)) - e). @param elevation_deg 0 to 90
/// @throws core::Error{usage}
[[nodiscard]] double hop_distance(double elevation_deg, double height);

}  // namespace feldspar::decision
