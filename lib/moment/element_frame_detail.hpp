#pragma once

#include "geometry/mesh.hpp"

namespace feldspar::moment {

/// An element with what every pair needs of it.
struct Frame {
  geometry::Vec3 start, end, centre, tangent;
  double length = 0.0;
  double radius = 0.0;
  int order = 1;
  int leg = 0;
  bool horizontal = false;
  bool vertical = false;
  bool below = false;
};

/// @param over_soil elements below z = 0 lie in the soil
[[nodiscard]] Frame make_frame(const geometry::Element& element, bool over_soil);

/// Its image in z = 0.
[[nodiscard]] Frame mirrored(const Frame& f);

[[nodiscard]] bool are_parallel(const Frame& m, const Frame& n);

}  // namespace feldspar::moment
