#include "moment/element_frame_detail.hpp"

#include <Eigen/Geometry>
#include <cmath>

namespace feldspar::moment {

namespace {

constexpr double kParallel = 1e-10;  // sine of an angle below which lines count as parallel

}  // namespace

Frame make_frame(const geometry::Element& element, bool over_soil) {
  Frame f;
  f.start = element.start;
  f.end = element.end;
  f.centre = 0.5 * (f.start + f.end);
  f.length = (f.end - f.start).norm();
  f.tangent = (f.end - f.start) / f.length;
  f.radius = element.radius;
  f.order = element.order;
  f.leg = element.leg;
  f.horizontal = std::abs(f.tangent.z()) < kParallel;
  f.vertical = std::hypot(f.tangent.x(), f.tangent.y()) < kParallel;
  f.below = over_soil && f.centre.z() < 0.0;
  return f;
}

Frame mirrored(const Frame& f) {
  Frame m = f;
  m.start.z() = -f.start.z();
  m.end.z() = -f.end.z();
  m.centre.z() = -f.centre.z();
  m.tangent.z() = -f.tangent.z();
  return m;
}

bool are_parallel(const Frame& m, const Frame& n) {
  return m.tangent.cross(n.tangent).norm() < kParallel;
}

}  // namespace feldspar::moment
