#include "fields/power.hpp"

#include <doctest/doctest.h>

#include <cmath>

#include "../support/close.hpp"
#include "core/error.hpp"
#include "fields/gain.hpp"
#include "math/quadrature.hpp"
#include "prescribed_current.hpp"

namespace feldspar::fields {

using testing::relative_error;

namespace {
constexpr double kPi = core::kPi;
constexpr core::Frequency kF{14.2e6};
const double kK = core::wavenumber(kF);
}  // namespace

// Source: exact; P = eta (k Il)^2 / 12 pi for a short dipole of peak moment Il.
TEST_CASE("sky power: short dipole in free space") {
  const Pattern pattern(testing::short_dipole({3, 0, 7}, {0.6, 0, 0.8}, 1e-4), {}, kF);
  CHECK(relative_error(sky_power(pattern), core::kVacuumImpedance * kK * kK / (12.0 * kPi)) < 1e-7);
}

// Source: exact; P = eta (k Il)^2 / 12 pi [1 -+ ...] over a perfect ground: vertical 1 + 3(sin x - x cos
// x)/x^3, horizontal 1 - 3/2 [sin x/x + cos x/x^2 - sin x/x^3], x = 2kh (image theory, e.g. Balanis 3e, eqs
// 4-102, 4-118).
TEST_CASE("sky power: short dipoles over perfect ground") {
  media::Ground perfect;
  perfect.kind = media::GroundKind::perfect;
  const double free = core::kVacuumImpedance * kK * kK / (12.0 * kPi);
  for (const double height : {0.3, 2.0, 9.0, 45.0, 300.0}) {
    const double x = 2.0 * kK * height;
    const double vertical = 1.0 + 3.0 * (std::sin(x) - x * std::cos(x)) / (x * x * x);
    const double level = 1.0 - 1.5 * (std::sin(x) / x + std::cos(x) / (x * x) - std::sin(x) / (x * x * x));
    CAPTURE(height);
    const Pattern v(testing::short_dipole({0, 0, height}, {0, 0, 1}, 1e-3), perfect, kF);
    const Pattern h(testing::short_dipole({0, 0, height}, {0, 1, 0}, 1e-3), perfect, kF);
    CHECK(relative_error(sky_power(v), free * vertical) < 1e-7);
    CHECK(relative_error(sky_power(h), free * level) < 1e-7 / std::min(1.0, level));
  }
}

// Average-gain check: (1/4 pi) times the integral of the gain over the sky is the radiation efficiency; the
// average here is an independent product rule in elevation and azimuth.
TEST_CASE("sky power: the sphere's average of the gain is the efficiency") {
  moment::Currents currents = testing::sinusoidal_dipole({0, 0, 8}, {1, 0, 0}, 15.0, kK);
  testing::add_wire(currents, {4, -3, 0.5}, {4, 6, 3}, 4,
                    [](double s) { return std::complex<double>(0.2, 0.1 * s); });
  for (const auto kind :
       {media::GroundKind::free_space, media::GroundKind::perfect, media::GroundKind::real}) {
    media::Ground ground;
    ground.kind = kind;
    ground.relative_permittivity = 13;
    ground.conductivity = 0.005;
    const Pattern pattern(currents, ground, kF);
    const double sky = sky_power(pattern);
    const core::Power accepted{1.25 * sky};
    const math::Rule& rule = math::gauss_legendre(120);
    const double lowest = kind == media::GroundKind::free_space ? -0.5 * kPi : 0.0;
    double average = 0.0;
    for (std::size_t i = 0; i < rule.nodes.size(); ++i) {
      const double half = 0.5 * (0.5 * kPi - lowest);
      const double elevation = lowest + half * (1.0 + rule.nodes[i]);
      for (int j = 0; j < 90; ++j) {
        average += rule.weights[i] * half * std::cos(elevation) * 2.0 * kPi / 90 *
                   gain(pattern, {core::Angle{elevation}, core::Angle{2.0 * kPi * j / 90}}, accepted);
      }
    }
    CHECK(relative_error(average / (4.0 * kPi), 0.8) < 1e-7);
  }
}

TEST_CASE("sky power: copies round the axis give what they give without the symmetry") {
  moment::Currents star;
  for (int i = 0; i < 5; ++i) {
    const double a = 2.0 * kPi * i / 5;
    testing::add_wire(star, {0, 0, 2}, {9 * std::cos(a), 9 * std::sin(a), 1}, 3,
                      [](double s) { return std::sin(0.3 * (9.0 - s)); });
    testing::add_wire(star, {0, 0, -0.1}, {5 * std::cos(a), 5 * std::sin(a), -0.1}, 3,
                      [](double s) { return std::sin(1.1 * (5.0 - s)); });
  }
  media::Ground soil;
  soil.kind = media::GroundKind::real;
  soil.relative_permittivity = 13;
  soil.conductivity = 0.005;
  const Pattern symmetric(star, soil, kF);
  moment::Currents shifted = star;  // the same off the axis: no symmetry is seen
  for (auto& e : shifted) {
    e.start.x() += 1.0;
    e.end.x() += 1.0;
  }
  const Pattern plain(shifted, soil, kF);
  CHECK(symmetric.rotation_order() == 5);
  CHECK(plain.rotation_order() == 1);
  CHECK(relative_error(sky_power(symmetric), sky_power(plain)) < 2e-7);
  const auto a = maximum_gain(symmetric, core::Power{1.0});
  const auto b = maximum_gain(plain, core::Power{1.0});
  REQUIRE((a.has_value() && b.has_value()));
  CHECK(relative_error(a->gain, b->gain) < 1e-8);
}

// Derived: half of int cos^2(qs) ds over a wire of length L is L/4 + sin(2qL)/8q.
TEST_CASE("losses: sinusoidal current in metal, in whole elements and in stretches") {
  const double q = 0.7;
  const double length = 6.0;
  moment::Currents currents;
  testing::add_wire(currents, {0, 0, 1}, {0, 0, 1 + length}, 4, [&](double s) { return std::cos(q * s); });
  const double wanted = length / 4.0 + std::sin(2.0 * q * length) / (8.0 * q);
  const double wire_resistance[] = {0.02};
  CHECK(relative_error(conductor_loss(currents, wire_resistance), 0.02 * wanted) <
        1e-9);  // degree 8 on 1.05 rad
  const double element_resistance[] = {0.0, 3.0, 0.0, 0.0};
  const double second = 0.75 / 2.0 + (std::sin(2 * q * 3.0) - std::sin(2 * q * 1.5)) / (8.0 * q);
  CHECK(relative_error(series_loss(currents, element_resistance), 3.0 * second) < 1e-9);
  const ResistiveStretch stretches[] = {{1, -1.0, 0.2, 3.0}, {1, 0.2, 1.0, 3.0}};
  CHECK(relative_error(stretch_loss(currents, stretches), 3.0 * second) < 1e-9);
  currents.front().wire = 7;
  CHECK_THROWS_AS(static_cast<void>(conductor_loss(currents, wire_resistance)), core::Error);
  CHECK_THROWS_AS(static_cast<void>(series_loss(currents, wire_resistance)), core::Error);
}

}  // namespace feldspar::fields
