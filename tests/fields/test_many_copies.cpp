#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <complex>
#include <string>

#include "core/constants.hpp"
#include "fields/far_field.hpp"
#include "fields/rotation_detail.hpp"

namespace feldspar::fields {

namespace {

constexpr core::Frequency kF{14.2e6};

/// An upright on the axis and `copies` sloping wires round it that start off a half-plane, from z = `height`.
moment::Currents screen(int copies, double length, double height) {
  moment::Currents currents;
  moment::ElementCurrent upright{{0, 0, height}, {0, 0, height + 5.0}, 2e-3, 0, {}};
  upright.coefficients = Eigen::Vector3cd({1.0, 0.2}, {-0.6, 0.1}, {0.1, -0.3});
  currents.push_back(upright);
  for (int j = 0; j < copies; ++j) {
    const double phi = 2.0 * core::kPi * j / copies;
    const double bent = phi + 0.2;
    moment::ElementCurrent e{
        {0, 0, height}, {length * std::cos(bent), length * std::sin(bent), 0.5 * height}, 1e-3, 1 + j, {}};
    e.coefficients = Eigen::Vector3cd({0.7, -0.1}, {0.4, 0.3}, {-0.2, 0.1}) / copies;
    currents.push_back(e);
    e.start = e.end;
    e.end = {length * std::cos(phi), length * std::sin(phi), 0.5 * height};
    currents.push_back(e);
  }
  return currents;
}

}  // namespace

// Fields are linear: the pattern of all currents, which are thinned, is the sum of those of single elements,
// which cannot be. Rounding of a hundred terms.
TEST_CASE("many copies: the far field is the sum over all of them") {
  struct Row {
    const char* name;
    media::GroundKind kind;
    double height;
    int copies;
    double length;
  };
  const Row rows[] = {{"free space", media::GroundKind::free_space, 2.0, 60, 5.0},
                      {"perfect ground", media::GroundKind::perfect, 1.0, 120, 12.0},
                      {"soil", media::GroundKind::real, 0.5, 97, 20.0},
                      {"buried", media::GroundKind::real, -0.2, 64, 6.0}};
  for (const Row& row : rows) {
    const std::string name = row.name;
    CAPTURE(name);
    media::Ground ground;
    ground.kind = row.kind;
    ground.relative_permittivity = 13.0;
    ground.conductivity = 5e-3;
    moment::Currents currents = screen(row.copies, row.length, row.height);
    if (row.height < 0.0) currents.erase(currents.begin());  // the upright would pass through the surface
    CHECK(detail::thinned(currents, detail::rotation_order(currents), core::wavenumber(kF)).size() <
          currents.size());
    const Pattern all(currents, ground, kF);
    for (const double elevation : {0.05, 0.6, 1.3})
      for (const double azimuth : {0.0, 0.017, 2.0}) {
        const Direction d{core::Angle{elevation}, core::Angle{azimuth}};
        FarField sum{};
        double size = 0.0;
        for (const moment::ElementCurrent& e : currents) {
          const FarField part = Pattern({e}, ground, kF).at(d);
          sum.theta += part.theta;
          sum.phi += part.phi;
          size += std::abs(part.theta) + std::abs(part.phi);
        }
        const FarField field = all.at(d);
        CHECK(std::abs(field.theta - sum.theta) <= 1e-13 * size);
        CHECK(std::abs(field.phi - sum.phi) <= 1e-13 * size);
      }
  }
}

TEST_CASE("many copies: few copies, or unequal ones, stay as they are") {
  const double k = core::wavenumber(kF);
  const moment::Currents few = screen(8, 20.0, 1.0);
  CHECK(detail::thinned(few, detail::rotation_order(few), k).size() == few.size());
  moment::Currents unequal = screen(60, 5.0, 1.0);
  unequal[5].coefficients *= 1.01;
  CHECK(detail::rotation_order(unequal) == 1);
  CHECK(detail::thinned(unequal, 1, k).size() == unequal.size());
}

}  // namespace feldspar::fields
