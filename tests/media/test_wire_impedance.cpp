#include "media/wire_impedance.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <limits>
#include <map>
#include <string>

#include "../support/close.hpp"
#include "../support/table.hpp"
#include "core/error.hpp"

namespace feldspar::media {
namespace {

constexpr double kNineDigits = 5e-9;  // half a unit of the ninth digit, relative at worst

struct Metal {
  double conductivity;
  double relative_permeability;
};

// Source: the published table of metals that the skin-depth table belongs to (mark beside each).
const std::map<std::string, Metal>& metals() {
  static const std::map<std::string, Metal> table = {
      {"silver", {63.0e6, 1.0}},               // quoted
      {"copper_annealed", {58.0e6, 1.0}},      // quoted, IEC 60028
      {"aluminium", {35.0e6, 1.0}},            // quoted
      {"aluminium_6061_t6", {24.9e6, 1.0}},    // from memory
      {"brass_70_30", {16.2e6, 1.0}},          // from memory
      {"phosphor_bronze", {8.7e6, 1.0}},       // from memory
      {"zinc", {16.9e6, 1.0}},                 // quoted
      {"tin", {9.17e6, 1.0}},                  // quoted
      {"carbon_steel_1010", {6.99e6, 100.0}},  // quoted; permeability from memory
      {"stainless_304", {1.45e6, 1.0}},        // quoted
  };
  return table;
}

}  // namespace

TEST_CASE("internal_impedance: copper, aluminium and steels agree with the published table") {
  // Source: data/published/wire_resistance.csv (derived from the Bessel formula). Nine digits
  // of the values and of the diameter.
  for (const testing::Row& row : testing::Table("published/wire_resistance.csv", 120)) {
    CAPTURE(row.text("metal"));
    CAPTURE(row.text("diameter_m"));
    CAPTURE(row.text("frequency_hz"));
    const core::Frequency f{row.number("frequency_hz")};
    const double conductivity = row.number("conductivity_s_per_m");
    const double permeability = row.number("relative_permeability");
    const core::Length radius{0.5 * row.number("diameter_m")};
    const std::complex<double> z = internal_impedance(radius, conductivity, permeability, f);
    CHECK(testing::relative_error(z.real(), row.number("resistance_ohm_per_m")) <= 2.0 * kNineDigits);
    CHECK(testing::relative_error(z.imag(), row.number("internal_reactance_ohm_per_m")) <= 2.0 * kNineDigits);
    const double depth = skin_depth(conductivity, permeability, f);
    CHECK(testing::relative_error(depth, row.number("skin_depth_m")) <= 2.0 * kNineDigits);
    CHECK(testing::relative_error(
              surface_resistance(conductivity, permeability, f) / (2.0 * core::kPi * radius.si),
              row.number("thin_skin_resistance_ohm_per_m")) <= 2.0 * kNineDigits);
  }
}

TEST_CASE("skin_depth: metals agree with the published table") {
  // Source: data/published/metal_skin_depth.csv (derived, nine digits).
  for (const testing::Row& row : testing::Table("published/metal_skin_depth.csv", 50)) {
    CAPTURE(row.text("metal"));
    const Metal metal = metals().at(row.text("metal"));
    const core::Frequency f{row.number("frequency_hz")};
    CHECK(testing::relative_error(skin_depth(metal.conductivity, metal.relative_permeability, f),
                                  row.number("skin_depth_m")) <= kNineDigits);
    CHECK(testing::relative_error(surface_resistance(metal.conductivity, metal.relative_permeability, f),
                                  row.number("surface_resistance_ohm")) <= kNineDigits);
  }
}

TEST_CASE("internal_impedance: the two limits") {
  const double sigma = 58e6;
  const double radius = 0.5e-3;
  // Direct current: R = 1/(pi a^2 sigma), internal inductance mu_0/(8 pi); next terms of order (a/depth)^4 =
  // 3e-10 and (a/depth)^4 as well.
  const core::Frequency low{10.0};
  const std::complex<double> slow = internal_impedance(core::Length{radius}, sigma, 1.0, low);
  const double direct = 1.0 / (core::kPi * radius * radius * sigma);
  CHECK(testing::relative_error(slow.real(), direct) <= 1e-7);
  CHECK(testing::relative_error(slow.imag() / core::angular(low),
                                core::kVacuumPermeability / (8.0 * core::kPi)) <= 1e-7);
  // Thin skin: (1 + j) R_s / (2 pi a) + 1/(4 pi a^2 sigma), next term of order depth / a = 1e-4 of the
  // second.
  const core::Frequency high{100e9};
  const std::complex<double> fast = internal_impedance(core::Length{radius}, sigma, 1.0, high);
  const double sheet = surface_resistance(sigma, 1.0, high) / (2.0 * core::kPi * radius);
  CHECK(testing::relative_error(fast.real() - sheet, 0.25 * direct) <= 1e-3);
  CHECK(testing::relative_error(fast.imag(), sheet) <= 1e-6);
}

TEST_CASE("internal_impedance: grows steadily over twelve decades, also across the change of method") {
  double last_resistance = 0.0;
  double last_reactance = 0.0;
  for (double f = 1e-2; f < 1e10; f *= 1.02) {
    const std::complex<double> z = internal_impedance(core::Length{1e-3}, 35e6, 1.0, core::Frequency{f});
    CHECK(z.real() >= last_resistance * (1.0 - 4e-16));
    CHECK(z.imag() > last_reactance);
    last_resistance = z.real();
    last_reactance = z.imag();
  }
}

TEST_CASE("internal_impedance: scaling (lengths x k, frequency / k, conductivity / k leaves Z' x length)") {
  const double k = 7.0;
  const auto one = internal_impedance(core::Length{1e-3}, 58e6, 1.0, core::Frequency{7e6});
  const auto other = internal_impedance(core::Length{k * 1e-3}, 58e6 / k, 1.0, core::Frequency{7e6 / k});
  CHECK(std::abs(other * k - one) <= 1e-14 * std::abs(one));
}

TEST_CASE("internal_impedance: perfect conductor and refused numbers") {
  const double infinity = std::numeric_limits<double>::infinity();
  const core::Frequency f{7e6};
  CHECK(internal_impedance(core::Length{1e-3}, infinity, 1.0, f) == 0.0);
  CHECK(skin_depth(infinity, 1.0, f) == 0.0);
  CHECK(surface_resistance(infinity, 1.0, f) == 0.0);
  CHECK_THROWS_WITH_AS((void)internal_impedance(core::Length{0.0}, 58e6, 1.0, f),
                       "a wire's radius must be above 0 m, not 0", core::Error);
  CHECK_THROWS_AS((void)internal_impedance(core::Length{1e-3}, 0.0, 1.0, f), core::Error);
  CHECK_THROWS_AS((void)internal_impedance(core::Length{1e-3}, 58e6, 0.0, f), core::Error);
  CHECK_THROWS_AS((void)internal_impedance(core::Length{1e-3}, 58e6, 1.0, core::Frequency{0.0}), core::Error);
}

TEST_CASE("coat_effect: agrees with the published table") {
  // Source: data/published/insulated_wire.csv (derived, nine digits).
  for (const testing::Row& row : testing::Table("published/insulated_wire.csv", 5)) {
    CAPTURE(row.text("wire_radius_m"));
    CAPTURE(row.text("relative_permittivity"));
    const CoatEffect coat =
        coat_effect(core::Length{row.number("wire_radius_m")}, core::Length{row.number("outer_radius_m")},
                    row.number("relative_permittivity"));
    CHECK(testing::relative_error(coat.equivalent_radius, row.number("equivalent_radius_m")) <= kNineDigits);
    CHECK(testing::relative_error(coat.series_inductance, row.number("series_inductance_h_per_m")) <=
          kNineDigits);
    CHECK(testing::relative_error(coat.sheath_capacitance, row.number("sheath_capacitance_f_per_m")) <=
          kNineDigits);
    CHECK(testing::relative_error(coat.series_inductance * core::angular(core::Frequency{7.1e6}),
                                  row.number("series_reactance_7p1mhz_ohm_per_m")) <= kNineDigits);
  }
}

TEST_CASE("coat_effect: no coat, air as a coat, and what is refused") {
  const CoatEffect bare = coat_effect(core::Length{1e-3}, core::Length{1e-3}, 3.0);
  CHECK(bare.equivalent_radius == 1e-3);
  CHECK(bare.series_inductance == 0.0);
  CHECK(std::isinf(bare.sheath_capacitance));
  const CoatEffect air = coat_effect(core::Length{1e-3}, core::Length{2e-3}, 1.0);
  CHECK(air.equivalent_radius == 1e-3);
  CHECK(air.series_inductance == 0.0);
  CHECK_THROWS_AS((void)coat_effect(core::Length{1e-3}, core::Length{0.5e-3}, 3.0), core::Error);
  CHECK_THROWS_AS((void)coat_effect(core::Length{1e-3}, core::Length{2e-3}, 0.9), core::Error);
}

}  // namespace feldspar::media
