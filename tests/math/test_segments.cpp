#include "math/segments.hpp"

#include <doctest/doctest.h>

namespace feldspar::math {

TEST_CASE("closest_points: hand cases") {
  using V = Eigen::Vector3d;
  CHECK(closest_points(V(0, 0, 0), V(1, 0, 0), V(0.5, -1, 2), V(0.5, 1, 2)).distance == doctest::Approx(2.0));
  CHECK(closest_points(V(0, 0, 0), V(1, 0, 0), V(2, 0, 0), V(3, 0, 0)).distance == doctest::Approx(1.0));
  CHECK(closest_points(V(0, 0, 0), V(1, 0, 0), V(0, 1, 0), V(1, 1, 0)).distance == doctest::Approx(1.0));
}

}  // namespace feldspar::math
