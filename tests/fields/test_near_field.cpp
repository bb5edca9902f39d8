#include <doctest/doctest.h>

#include <Eigen/Geometry>
#include <cmath>

#include "../support/close.hpp"
#include "../support/structures.hpp"
#include "core/error.hpp"
#include "fields/far_field.hpp"
#include "fields/near_field.hpp"
#include "prescribed_current.hpp"

namespace feldspar::fields {

namespace {

using Complex = std::complex<double>;
using testing::relative_error;
using testing::Vec3;

constexpr core::Frequency kFrequency{14.2e6};

/// A whip over the surface and a wire below it, with currents that do not belong to any antenna.
moment::Currents both_sides() {
  moment::Currents currents;
  testing::add_wire(
      currents, {0.3, 0, 0.4}, {0.5, 0.2, 3.0}, 2, [](double s) { return Complex(2.7 - s, 0.4 * s); }, 1e-3);
  testing::add_wire(
      currents, {-1, 0, -0.3}, {1, 0.5, -0.2}, 2, [](double s) { return std::exp(Complex(-0.4, -0.9) * s); },
      1e-3);
  return currents;
}

}  // namespace

// Source: the closed form of a centre-fed wire with sinusoidal current (Schelkunoff; C. A. Balanis, Antenna
// Theory, eq. 8-51..8-53, from memory).
TEST_CASE("near field: a sinusoidal dipole in free space has a closed form") {
  const double k = core::wavenumber(kFrequency);
  const double half = 3.1;
  const moment::Currents currents = testing::sinusoidal_dipole({0, 0, 0}, {0, 0, 1}, 2.0 * half, k);
  for (const Vec3& at : {Vec3(0.05, 0, 0.4), Vec3(0, 1.0, 2.9), Vec3(3, 4, -1), Vec3(0.3, 0.1, 5.0)}) {
    const double rho = std::hypot(at.x(), at.y());
    const auto wave = [&](double z) {
      const double r = std::hypot(rho, at.z() - z);
      return std::polar(1.0 / r, -k * r);
    };
    const double r0 = at.norm();
    const Complex j(0.0, 1.0);
    const double eta = core::kVacuumImpedance;
    const Complex e_z =
        -j * eta / (4.0 * core::kPi) * (wave(half) + wave(-half) - 2.0 * std::cos(k * half) * wave(0.0));
    const Complex h_phi = j / (4.0 * core::kPi * rho) *
                          (std::polar(1.0, -k * std::hypot(rho, at.z() - half)) +
                           std::polar(1.0, -k * std::hypot(rho, at.z() + half)) -
                           2.0 * std::cos(k * half) * std::polar(1.0, -k * r0));
    const media::DipoleField field = near_field(currents, {}, kFrequency, at);
    CHECK(relative_error(field.e.z(), e_z) <= 1e-6);
    const Complex along = (at.x() * field.h.y() - at.y() * field.h.x()) / rho;
    CHECK(relative_error(along, h_phi) <= 1e-6);
    CHECK(std::abs(field.h.z()) <= 1e-12 * std::abs(h_phi));
  }
}

TEST_CASE("near field: no tangential E and no normal H on perfect ground") {
  moment::Currents currents;
  testing::add_wire(
      currents, {0, 0, 0.2}, {1, 2, 3}, 3, [](double s) { return Complex(3.0 - s, 1.0); }, 1e-3);
  media::Ground perfect;
  perfect.kind = media::GroundKind::perfect;
  const media::DipoleField field = near_field(currents, perfect, kFrequency, {0.7, -0.4, 0.0});
  CHECK(field.e.head<2>().norm() <= 1e-9 * field.e.norm());
  CHECK(std::abs(field.h.z()) <= 1e-9 * field.h.norm());
  CHECK(near_field(currents, perfect, kFrequency, {0, 0, -1}).e.norm() == 0.0);
}

// Maxwell's conditions at the surface: tangential E, all of H, and n^2 E_z go through; currents above and
// below.
TEST_CASE("near field: continuous through the surface of soil") {
  for (const media::Ground& soil :
       {testing::soil(13.0, 5e-3), testing::soil(4.0, 0.0), testing::soil(81.0, 5.0)}) {
    const Complex n2 = media::complex_permittivity(soil, kFrequency);
    const moment::Currents currents = both_sides();
    for (const Vec3& at : {Vec3(0.6, -0.5, 0.0), Vec3(6.0, 2.0, 0.0)}) {
      const double step = 1e-9;  // m
      const media::DipoleField above = near_field(currents, soil, kFrequency, {at.x(), at.y(), step});
      const media::DipoleField below = near_field(currents, soil, kFrequency, {at.x(), at.y(), -step});
      const double e = std::max(above.e.norm(), below.e.norm());
      CHECK((above.e - below.e).head<2>().norm() <= 1e-6 * e);
      CHECK(std::abs(above.e.z() - n2 * below.e.z()) <= 1e-6 * std::max(e, std::abs(n2) * below.e.norm()));
      CHECK((above.h - below.h).norm() <= 1e-6 * above.h.norm());
    }
  }
}

// Derived: without contrast both halves are free space, whichever side source and point are on.
TEST_CASE("near field: soil that is air is free space") {
  const moment::Currents currents = both_sides();
  for (const Vec3& at : {Vec3(0.6, -0.5, 1.0), Vec3(0.1, 0.3, 0.02), Vec3(0.2, 0.3, -0.15), Vec3(3, 0, -2)}) {
    CAPTURE(at.transpose());
    const media::DipoleField in_soil = near_field(currents, testing::soil(1.0, 0.0), kFrequency, at);
    const media::DipoleField free = near_field(currents, {}, kFrequency, at);
    CHECK((in_soil.e - free.e).norm() <= 1e-7 * free.e.norm());
    CHECK((in_soil.h - free.h).norm() <= 1e-7 * free.h.norm());
  }
}

// Derived: r E exp(+jkr) nears the far field as c / r; twice the value at 2r minus that at r is free of it,
// and the order of (c / r)^2 remains.
TEST_CASE("near field: far away it is the far field, for currents above and below") {
  const double k = core::wavenumber(kFrequency);
  const core::Angle elevation{0.7};
  const core::Angle azimuth{0.4};
  const Vec3 unit(std::cos(elevation.si) * std::cos(azimuth.si),
                  std::cos(elevation.si) * std::sin(azimuth.si), std::sin(elevation.si));
  const Vec3 phi(-std::sin(azimuth.si), std::cos(azimuth.si), 0.0);
  const Vec3 theta = phi.cross(unit);  // falling elevation
  const moment::Currents both = both_sides();
  const moment::Currents above(both.begin(), both.begin() + 2);
  const moment::Currents below(both.begin() + 2, both.end());
  for (const media::Ground& soil : {testing::soil(13.0, 5e-3), testing::soil(4.0, 0.0)}) {
    for (const moment::Currents& currents : {above, below}) {
      CAPTURE(soil.conductivity);
      CAPTURE(currents.front().start.z());
      const FarField far = Pattern(currents, soil, kFrequency).at({elevation, azimuth});
      const auto apart = [&](double r) -> Eigen::Vector2cd {
        const Eigen::Vector3cd e = std::polar(r, k * r) * near_field(currents, soil, kFrequency, r * unit).e;
        return {theta.cast<Complex>().dot(e) - far.theta, phi.cast<Complex>().dot(e) - far.phi};
      };
      const double size = std::sqrt(std::norm(far.theta) + std::norm(far.phi));
      const Eigen::Vector2cd once = apart(400.0);
      const Eigen::Vector2cd twice = apart(800.0);
      const double first = once.norm() / size;
      CHECK(first <= 0.03);  // 19 wavelengths: c is a few wavelengths over 2 pi
      CHECK((2.0 * twice - once).norm() <= first * first * size);
      MESSAGE("at 400 m ", first, ", extrapolated ", (2.0 * twice - once).norm() / size);
    }
  }
}

TEST_CASE("near field: what is refused") {
  moment::Currents currents;
  testing::add_wire(
      currents, {0, 0, -1}, {0, 0, 1}, 1, [](double) { return 1.0; }, 1e-2);
  const auto ask = [&](const media::Ground& ground, const Vec3& at) {
    static_cast<void>(near_field(currents, ground, kFrequency, at));
  };
  media::Ground perfect;
  perfect.kind = media::GroundKind::perfect;
  CHECK_THROWS_AS(ask({}, {0.005, 0, 0}), core::Error);
  CHECK_THROWS_AS(ask(testing::soil(13.0, 5e-3), {1, 0, 1}), core::Error);
  CHECK_THROWS_AS(ask(perfect, {1, 0, 1}), core::Error);
  CHECK_NOTHROW(ask({}, {0.02, 0, 0}));
}

}  // namespace feldspar::fields
