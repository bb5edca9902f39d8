#include <doctest/doctest.h>

#include <cmath>
#include <vector>

#include "../support/close.hpp"
#include "../support/structures.hpp"
#include "radials_1937.hpp"

// Buried radials against the measurements of Brown, Lewis & Epstein, Proc. IRE 25 (1937) 753; geometry and
// figures in radials_1937.cpp. The soil was not measured: permittivity 4 and 4 mS/m have the least error of
// the grid 4 to 20 and 1 to 5 mS/m (print_radials grid). Nothing else is adjusted.
namespace feldspar::validation {

namespace {

media::Ground soil() {
  return testing::soil(4.0, 4e-3);
}

const std::vector<Compared>& figures() {
  static const std::vector<Compared> all = compare_1937(soil());
  return all;
}

bool short_radials(const Compared& c) {
  return c.measured.wavelengths < 0.2;
}

double field(int count, double wavelengths) {
  for (const Compared& c : figures())
    if (c.measured.reading == Reading::mast_75_degrees && c.measured.count == count &&
        c.measured.wavelengths == wavelengths)
      return c.field;
  return std::nan("");
}

double decibels(double ratio) {
  return 20.0 * std::log10(ratio);
}

}  // namespace

TEST_CASE("radial screen: one radial for all gives what the whole structure gives") {
  // 1e-7: the tolerance of the ground tables, which cover different ranges here and there.
  const Site site(soil(), kRadialsFrequency, 41.2, 25.0, 0.15);
  for (const int count : {2, 3, 15}) {
    CAPTURE(count);
    const RadialScreen screen{20.8, 31.75e-3, -0.15, count, 27.432, 1.63e-3, 31.75e-3};
    const Site::Answer answer = site.solve(screen);
    const moment::Solution whole = moment::solve(structure(screen), {}, soil(), kRadialsFrequency);
    CHECK(answer.unknowns_without_symmetry == whole.unknowns);
    CHECK(testing::relative_error(answer.impedance, whole.impedance(0, 0)) <= 1e-7);
  }
}

TEST_CASE("radials of 1937: field of the mast's current, one soil") {
  // 0.6 dB and 0.8 dB: the project's figures. Reading the graphs is good to 0.1 dB.
  REQUIRE(figures().size() == 23);
  CHECK(rms_error(figures(), [](const Compared& c) { return !short_radials(c); }) <= 0.6);
  CHECK(rms_error(figures(), [](const Compared& c) { return c.measured.count == 2; }) <= 0.8);
}

// Not reached: 0.68 dB. Many radials of 0.137 wavelength come out 1.0 to 1.3 dB stronger than measured over
// every soil of the grid, and by the compensation theorem too (docs/validation.md says why).
TEST_CASE("radials of 1937: all figures within 0.6 dB r.m.s." * doctest::should_fail()) {
  CHECK(rms_error(figures(), [](const Compared&) { return true; }) <= 0.6);
}

TEST_CASE("radials of 1937: more radials pay less and less, and long ones pay longer") {
  // Measured from 15 to 113 radials: 0.35 dB at 0.137, 1.66 dB at 0.411 wavelength.
  for (const double wavelengths : {0.137, 0.274, 0.411}) {
    CAPTURE(wavelengths);
    const double first = decibels(field(15, wavelengths) / field(2, wavelengths));
    const double second = decibels(field(30, wavelengths) / field(15, wavelengths));
    const double third = decibels(field(60, wavelengths) / field(30, wavelengths));
    const double fourth = decibels(field(113, wavelengths) / field(60, wavelengths));
    CHECK(first > second);
    CHECK(second > third);
    CHECK(third > fourth);
    CHECK(fourth > 0.0);
  }
  CHECK(field(113, 0.411) / field(15, 0.411) > field(113, 0.137) / field(15, 0.137));
  // Measured: 113 long radials are within 0.3 dB of a perfect plane.
  const media::Ground plane = testing::perfect_ground();
  testing::Structure mast;
  mast.wires = {testing::straight({0.0, 0.0, 0.0}, {0.0, 0.0, 20.8}, 31.75e-3)};
  mast.ports = {{"feed", {{0, 0.0, 31.75e-3}}, {}}};
  const moment::Solution perfect = moment::solve(mast, {}, plane, kRadialsFrequency);
  Site::Answer answer;
  answer.impedance = perfect.impedance(0, 0);
  answer.mast = perfect.unit_currents.front();
  const double best = 1e3 * unattenuated_field(answer, kRadialsFrequency, kInput, kMile);
  CHECK(std::abs(decibels(field(113, 0.411) / best)) <= 0.3);
}

}  // namespace feldspar::validation
