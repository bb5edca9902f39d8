#include <doctest/doctest.h>

#include <cmath>

#include "../support/close.hpp"
#include "../support/table.hpp"
#include "core/error.hpp"
#include "fields/power.hpp"
#include "prescribed_current.hpp"

namespace feldspar::fields {

using testing::relative_error;
using testing::Table;
using testing::Vec3;

namespace {

constexpr double kPi = core::kPi;
using Complex = std::complex<double>;

media::Ground soil(double permittivity, double conductivity) {
  media::Ground g;
  g.kind = media::GroundKind::real;
  g.relative_permittivity = permittivity;
  g.conductivity = conductivity;
  return g;
}

/// A whip over level radials, the currents invented but continuous.
moment::Currents whip(double k, int radials, double height, const Vec3& shift = Vec3::Zero()) {
  moment::Currents c;
  const double mast = 9.0;
  const double reach = 6.0;
  const Vec3 hub = Vec3(0, 0, height) + shift;
  testing::add_wire(
      c, hub, hub + Vec3(0, 0, mast), 5,
      [&](double s) { return std::sin(k * (mast - s)) / std::sin(k * mast); }, 1e-3);
  const Complex kr = k * Complex(1.4, -0.15);
  for (int i = 0; i < radials; ++i) {
    const double a = 2.0 * kPi * i / radials + 0.1;
    testing::add_wire(
        c, hub, hub + reach * Vec3(std::cos(a), std::sin(a), 0), 5,
        [&](double s) {
          return -std::sin(kr * (reach - s)) / std::sin(kr * reach) / static_cast<double>(radials);
        },
        1e-3);
  }
  return c;
}

/// A wire that slopes from near the ground to 7 m and back down, ending in an open corner.
moment::Currents sloping(double k) {
  moment::Currents c;
  const double leg = std::sqrt(12.0 * 12.0 + 9.0 + 7.0 * 7.0);
  testing::add_wire(
      c, {-12, 0, 0.05}, {0, 3, 7.05}, 8, [&](double s) { return std::sin(k * s); }, 1e-3);
  testing::add_wire(
      c, {0, 3, 7.05}, {12, 0, 0.05}, 8, [&](double s) { return std::sin(k * (leg - s)); }, 1e-3);
  return c;
}

}  // namespace

// Source: tests/data/fields/dipole_over_soil.csv, an independent computation (30 digits) of input minus sky
// power. The dipole's length is 1e-3 of its height or less: (length/height)^2 errors of 1e-6 at most.
TEST_CASE("ground power: flux equals input minus sky power of short dipoles over lossy soil") {
  for (const auto& row : Table("fields/dipole_over_soil.csv", 30)) {
    const core::Frequency f{row.number("frequency_hz")};
    const auto ground = soil(row.number("relative_permittivity"), row.number("conductivity_s_per_m"));
    const double height = row.number("height_m");
    const Vec3 direction = row.number("vertical") == 1.0 ? Vec3(0, 0, 1) : Vec3(0.6, 0.8, 0);
    const auto currents = testing::short_dipole({1, 2, height}, direction, 2e-4 * std::min(height, 1.0));
    CAPTURE(f.si);
    CAPTURE(height);
    CAPTURE(direction.z());
    CHECK(relative_error(sky_power(Pattern(currents, ground, f)), row.number("sky_w")) < 1e-6);
    CHECK(relative_error(ground_power(currents, ground, f, 1e-8), row.number("ground_w")) < 1e-6);
    CHECK(relative_error(ground_power(currents, ground, f, 1e-4), row.number("ground_w")) < 1e-4);
  }
}

// Source: tests/data/fields/level_wire_over_soil.csv, an independent computation (panels in kx and ky) of
// input minus sky power, good to about 2e-8.
TEST_CASE("ground power: level half-wave wire down to 1 cm over lossy soil") {
  for (const auto& row : Table("fields/level_wire_over_soil.csv", 6)) {
    const core::Frequency f{row.number("frequency_hz")};
    const double k = core::wavenumber(f);
    const double length = kPi / k;
    const auto ground = soil(row.number("relative_permittivity"), row.number("conductivity_s_per_m"));
    moment::Currents currents;
    testing::add_wire(currents, {-0.3 * length, -0.4 * length, row.number("height_m")},
                      {0.3 * length, 0.4 * length, row.number("height_m")}, 4,
                      [&](double s) { return std::sin(k * s); });
    CHECK(relative_error(sky_power(Pattern(currents, ground, f)), row.number("sky_w")) < 1e-6);
    CHECK(relative_error(ground_power(currents, ground, f, 1e-8), row.number("ground_w")) < 1e-7);
    CHECK(relative_error(ground_power(currents, ground, f, 1e-4), row.number("ground_w")) < 1e-4);
    CHECK(relative_error(ground_power(currents, ground, f, 1e-3), row.number("ground_w")) < 1e-3);
  }
}

// Law: without conductivity what crosses the surface is radiated into the lower hemisphere.
TEST_CASE("ground power: flux equals the lower hemisphere's radiation for soil without loss") {
  for (const double mhz : {3.6, 14.2}) {
    const core::Frequency f{mhz * 1e6};
    const double k = core::wavenumber(f);
    for (const double permittivity : {1.0, 1.2, 4.0, 13.0}) {
      const auto ground = soil(permittivity, 0.0);
      for (const auto& currents :
           {testing::short_dipole({0, 0, 0.01}, {1, 0, 0}, 1e-5),
            testing::short_dipole({0, 0, 3}, {0.6, 0, 0.8}, 1e-3), whip(k, 3, 0.02), sloping(k)}) {
        CAPTURE(mhz);
        CAPTURE(permittivity);
        CAPTURE(currents.size());
        CHECK(relative_error(ground_power(currents, ground, f, 1e-8),
                             lower_hemisphere_power(currents, ground, f)) < 1e-6);
      }
    }
  }
}

// Law: a "soil" of air reflects nothing, so sky and lower hemisphere together are the free-space sphere.
TEST_CASE("ground power: soil like air gives the free-space power") {
  const core::Frequency f{14.2e6};
  const auto currents = sloping(core::wavenumber(f));
  const auto air = soil(1.0, 0.0);
  const double both = sky_power(Pattern(currents, air, f)) + ground_power(currents, air, f, 1e-8);
  CHECK(relative_error(both, sky_power(Pattern(currents, {}, f))) < 1e-6);
}

// The upper end of the spectral integral, and with it the share taken by the asymptotic form, follows the
// wanted error: the answers must agree within it.
TEST_CASE("ground power: the wanted error is kept, upright, level and slanted wires, good and poor soil") {
  struct Case {
    double mhz;
    double permittivity;
    double conductivity;
    moment::Currents currents;
  };
  const auto k = [](double mhz) { return core::wavenumber(core::Frequency{mhz * 1e6}); };
  const Case cases[] = {
      {1.85, 13, 0.005, whip(k(1.85), 4, 0.02)},  {1.85, 3, 1e-4, whip(k(1.85), 1, 0.006)},
      {1.85, 20, 0.03, sloping(k(1.85))},         {1.85, 3, 1e-4, sloping(k(1.85))},
      {14.2, 13, 0.005, whip(k(14.2), 4, 0.006)}, {14.2, 3, 1e-4, whip(k(14.2), 1, 0.02)},
      {14.2, 3, 1e-4, sloping(k(14.2))},          {50.1, 20, 0.03, whip(k(50.1), 4, 0.02)},
  };
  for (const Case& c : cases) {
    CAPTURE(c.mhz);
    CAPTURE(c.permittivity);
    CAPTURE(c.currents.size());
    const core::Frequency f{c.mhz * 1e6};
    const auto ground = soil(c.permittivity, c.conductivity);
    const double fine = ground_power(c.currents, ground, f, 1e-6);
    CHECK(relative_error(ground_power(c.currents, ground, f, 1e-3), fine) < 1e-3);
    CHECK(relative_error(ground_power(c.currents, ground, f, 1e-4), fine) < 1e-4);
  }
}

TEST_CASE("ground power: symmetry and place do not change it") {
  const core::Frequency f{7.1e6};
  const double k = core::wavenumber(f);
  const auto ground = soil(13, 0.005);
  const double symmetric = ground_power(whip(k, 6, 0.03), ground, f, 1e-5);
  CHECK(relative_error(ground_power(whip(k, 6, 0.03, {5, -2, 0}), ground, f, 1e-5), symmetric) < 1e-7);
  // A tilt of 1e-7 makes every wire "slanted": the element-by-element path.
  moment::Currents tilted = whip(k, 6, 0.03);
  for (auto& e : tilted) {
    for (Vec3* p : {&e.start, &e.end}) *p += Vec3(1e-7 * p->z(), 0, 1e-7 * (p->x() + 0.5 * p->y()));
  }
  CHECK(relative_error(ground_power(tilted, ground, f, 1e-5), symmetric) < 1e-4);  // 6e-7 m of 3 cm
}

TEST_CASE("ground power: nothing to take it, or currents in the ground") {
  const core::Frequency f{7.1e6};
  const auto currents = testing::short_dipole({0, 0, 1}, {1, 0, 0}, 0.1);
  media::Ground perfect;
  perfect.kind = media::GroundKind::perfect;
  CHECK(ground_power(currents, {}, f) == 0.0);
  CHECK(ground_power(currents, perfect, f) == 0.0);
  CHECK_THROWS_AS(
      static_cast<void>(ground_power(testing::short_dipole({0, 0, 0}, {1, 0, 0}, 0.1), soil(13, 0.005), f)),
      core::Error);
  CHECK_THROWS_AS(static_cast<void>(lower_hemisphere_power(currents, soil(13, 0.005), f)), core::Error);
}

}  // namespace feldspar::fields
