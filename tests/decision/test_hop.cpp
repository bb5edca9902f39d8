#include "decision/hop.hpp"

#include <doctest/doctest.h>

#include <cmath>

#include "../support/table.hpp"
#include "core/error.hpp"

namespace feldspar::decision {

using testing::Table;

// Source: tests/data/published/hop_takeoff.csv, derived: mirror over a sphere of 6371 km; nine digits
// printed. A negative elevation there means beyond the horizon.
TEST_CASE("hop: elevation that a distance needs") {
  for (const auto& row : Table("published/hop_takeoff.csv", 30)) {
    const double distance = row.number("ground_distance_m");
    const double height = row.number("virtual_height_m");
    const double expected = row.number("takeoff_elevation_deg");
    CAPTURE(distance);
    CAPTURE(height);
    const std::optional<double> elevation = hop_elevation_deg(distance, height);
    CHECK(elevation.has_value() == (expected >= 0.0));
    if (elevation) CHECK(std::abs(*elevation - expected) < 1e-6);
  }
}

// Source: tests/data/published/hop_distance.csv, derived likewise; decimetres printed.
TEST_CASE("hop: distance that an elevation reaches") {
  for (const auto& row : Table("published/hop_distance.csv", 20)) {
    const double elevation = row.number("takeoff_elevation_deg");
    const double height = row.number("virtual_height_m");
    CAPTURE(elevation);
    CAPTURE(height);
    const double distance = hop_distance(elevation, height);
    CHECK(std::abs(distance - row.number("ground_distance_m")) < 0.06);
    if (distance > 1.0) {
      const std::optional<double> back = hop_elevation_deg(distance * (1.0 - 1e-12), height);
      REQUIRE(back.has_value());
      CHECK(std::abs(*back - elevation) < 1e-6);
    }
  }
}

TEST_CASE("hop: what cannot be is refused") {
  CHECK_THROWS_AS((void)hop_elevation_deg(0.0, 300e3), core::Error);
  CHECK_THROWS_AS((void)hop_elevation_deg(300e3, 0.0), core::Error);
  CHECK_THROWS_AS((void)hop_elevation_deg(30e6, 300e3), core::Error);
  CHECK_THROWS_AS((void)hop_distance(-1.0, 300e3), core::Error);
  CHECK_THROWS_AS((void)hop_distance(91.0, 300e3), core::Error);
  CHECK_THROWS_AS((void)hop_distance(30.0, std::nan("")), core::Error);
}

}  // namespace feldspar::decision
