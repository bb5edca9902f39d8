#pragma once

#include <Eigen/Core>

namespace feldspar::math {

/// Points of two straight segments that are nearest to each other.
struct ClosestPoints {
  Eigen::Vector3d first, second;
  double distance = 0.0;
};

/// Closest points of the segments a0-a1 and b0-b1, both of length > 0 [ericson2004, 5.1.9]. For parallel
/// segments one of the nearest pairs. Unit of the arguments.
[[nodiscard]] ClosestPoints closest_points(const Eigen::Vector3d& a0, const Eigen::Vector3d& a1,
                                           const Eigen::Vector3d& b0, const Eigen::Vector3d& b1) noexcept;

}  // namespace feldspar::math
