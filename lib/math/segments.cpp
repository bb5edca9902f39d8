#include "math/segments.hpp"

#include <algorithm>

namespace feldspar::math {

ClosestPoints closest_points(const Eigen::Vector3d& a0, const Eigen::Vector3d& a1, const Eigen::Vector3d& b0,
                             const Eigen::Vector3d& b1) noexcept {
  const Eigen::Vector3d d1 = a1 - a0;
  const Eigen::Vector3d d2 = b1 - b0;
  const Eigen::Vector3d r = a0 - b0;
  const double a = d1.squaredNorm();
  const double e = d2.squaredNorm();
  const double b = d1.dot(d2);
  const double c = d1.dot(r);
  const double f = d2.dot(r);
  const double denominator = a * e - b * b;
  double s = denominator > 1e-14 * a * e ? std::clamp((b * f - c * e) / denominator, 0.0, 1.0) : 0.0;
  double t = (b * s + f) / e;
  if (t < 0.0) {
    t = 0.0;
    s = std::clamp(-c / a, 0.0, 1.0);
  } else if (t > 1.0) {
    t = 1.0;
    s = std::clamp((b - c) / a, 0.0, 1.0);
  }
  ClosestPoints result{a0 + s * d1, b0 + t * d2, 0.0};
  result.distance = (result.first - result.second).norm();
  return result;
}

}  // namespace feldspar::math
