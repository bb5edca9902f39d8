#include "circuit/line.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <random>

#include "../support/close.hpp"
#include "../support/table.hpp"
#include "circuit/line_types.hpp"
#include "core/error.hpp"

namespace feldspar::circuit {
namespace {

constexpr double kNineDigits = 1e-8;  // relative, of tables printed with nine digits

Complex load_of(const testing::Row& row) {
  return {row.number("load_resistance_ohm"), row.number("load_reactance_ohm")};
}
Complex input_of(const testing::Row& row) {
  return {row.number("input_resistance_ohm"), row.number("input_reactance_ohm")};
}

}  // namespace

TEST_CASE("line: complex z0, input impedance and loss of RG-58 agree with the published table") {
  // Source: data/published/line_complex_z0.csv (derived from distributed R, L, G, C; header says how).
  for (const testing::Row& row : testing::Table("published/line_complex_z0.csv", 5)) {
    const core::Frequency f{row.number("frequency_hz")};
    const double length = row.number("length_m");
    const Complex load = load_of(row);
    CAPTURE(f.si);
    CAPTURE(load);
    const LineConstants line = line_constants(*line_type("RG-58"), f);
    const Complex gamma{row.number("alpha_np_per_m"), row.number("beta_rad_per_m")};
    const Complex z0{row.number("z0_real_ohm"), row.number("z0_imag_ohm")};
    CHECK(std::abs(line.gamma - gamma) <= kNineDigits * std::abs(gamma));
    CHECK(std::abs(line.z0 - z0) <= kNineDigits * std::abs(z0));
    for (const Complex input : {line_input(line, length, load), move_plane(line, load, length),
                                input_impedance(line_two_port(line, length), load)}) {
      CHECK(std::abs(input - input_of(row)) <= kNineDigits * std::abs(input));
    }
    CHECK(std::abs(matched_loss_db(line, length) - row.number("matched_loss_db")) <= 1e-8);
    CHECK(std::abs(line_loss_db(line, length, load) - row.number("loss_db")) <= 1e-8);
    CHECK(std::abs(loss_db(line_two_port(line, length), load) - row.number("loss_db")) <= 1e-8);
  }
}

TEST_CASE("line: real z0, input impedance, SWR and loss agree with the published table") {
  // Source: data/published/mismatched_line.csv (derived; its last column by a second formula).
  for (const testing::Row& row : testing::Table("published/mismatched_line.csv", 10)) {
    const core::Frequency f{row.number("frequency_hz")};
    const double length = row.number("length_m");
    const Complex load = load_of(row);
    CAPTURE(row.text("type"));
    CAPTURE(load);
    const Line type = *line_type(row.text("type"));
    Line by_number;  // the same attenuation stated as a number: the line without distortion
    by_number.z0 = type.z0;
    by_number.velocity_factor = type.velocity_factor;
    by_number.constant_loss = row.number("attenuation_db_per_m");
    for (const LineConstants& line :
         {line_constants(type, f, LineModel::real_z0), line_constants(by_number, f, LineModel::complex_z0)}) {
      CHECK(std::abs(matched_loss_db(line, length) - row.number("matched_loss_db")) <= 1e-8);
      CHECK(testing::relative_error(swr(load, type.z0), row.number("swr_at_load")) <= kNineDigits);
      const Complex input = line_input(line, length, load);
      // R and X are printed with nine digits and come from attenuations with nine digits.
      CHECK(std::abs(input - input_of(row)) <= 2e-8 * std::abs(input));
      CHECK(testing::relative_error(swr(input, type.z0), row.number("swr_at_input")) <= 2e-8);
      CHECK(std::abs(line_loss_db(line, length, load) - row.number("loss_db")) <= 1e-7);
      CHECK(std::abs(line_loss_db(line, length, load) - row.number("loss_db_from_swr_formula")) <= 1e-7);
    }
  }
}

TEST_CASE("line: the complex z0 turns the loss of short lines round") {
  // Source: published page, "negative extra loss": 0.0198 dB against 0.0575 dB matched, 1.85 MHz, 3 m RG-58,
  // 1000 ohm.
  const LineConstants line = line_constants(*line_type("RG-58"), core::Frequency{1.85e6});
  CHECK(line_loss_db(line, 3.0, 1000.0) < matched_loss_db(line, 3.0));
  const LineConstants real = line_constants(*line_type("RG-58"), core::Frequency{1.85e6}, LineModel::real_z0);
  CHECK(line_loss_db(real, 3.0, 1000.0) > matched_loss_db(real, 3.0));
}

TEST_CASE("line: a very short antenna through 13.7 m of coax, as a magazine worked it out") {
  // Source: a magazine's question column, January 2001 (quoted): 13.6 - j1000 ohm through 13.7 m of 50 ohm
  // solid-polyethylene coax (velocity factor 0.66) of 0.54 dB per 100 ft at 7 MHz loses 16 dB and shows about
  // 547 + j792 ohm. 16 +- 0.5 dB as printed; the impedance within 10 % of |Z|, because 5 cm of line (0.6
  // degrees) change it by a fifth: the SWR at the antenna is 1475.
  const Complex load{13.6, -1000.0};
  const core::Frequency f{7e6};
  const double length = 13.7;
  const Complex printed{547.0, 792.0};
  Line flat;
  flat.z0 = 50.0;
  flat.velocity_factor = 0.66;
  flat.constant_loss = 0.54 / 30.48;
  const LineConstants real_z0 = line_constants(flat, f);
  CHECK(std::abs(line_loss_db(real_z0, length, load) - 16.0) <= 0.5);
  const Complex input = line_input(real_z0, length, load);
  CHECK(std::abs(input - printed) <= 0.1 * std::abs(printed));
  // Independent: z0 (ZL + z0 tanh gl) / (z0 + ZL tanh gl), computed apart by complex tanh.
  CHECK(std::abs(input - Complex{483.2, 780.4}) <= 0.1);

  // The same attenuation as conductor loss, as it is at 7 MHz, makes z0 complex (50.5 - j0.5 ohm): the loss
  // stays within the printed 0.5 dB, but the impedance becomes 1275 + j758 ohm. So the source computed with a
  // real z0. It takes 10 cm less of the complex line to come back to the printed impedance.
  const LineConstants complex_z0 = line_constants(line_by_attenuation(50.0, 0.66, 0.54 / 30.48, f), f);
  CHECK(std::abs(line_loss_db(complex_z0, length, load) - 16.0) <= 0.5);
  CHECK(std::abs(line_input(complex_z0, length, load) - printed) > 0.5 * std::abs(printed));
  CHECK(std::abs(line_input(complex_z0, length - 0.1, load) - printed) <= 0.1 * std::abs(printed));
}

TEST_CASE("line: moving a reference plane there and back returns the start") {
  std::mt19937_64 random(11);
  std::uniform_real_distribution<double> unit(0.0, 1.0);
  for (int i = 0; i < 2000; ++i) {
    const Line type = *line_type(line_type_names()[static_cast<std::size_t>(unit(random) * 5.0)]);
    const LineConstants line = line_constants(type, core::Frequency{1e6 * std::pow(150.0, unit(random))});
    const Complex start{std::pow(10.0, 3.0 * unit(random)), 400.0 * (unit(random) - 0.5)};
    const double distance = 20.0 * (2.0 * unit(random) - 1.0);
    if (matched_loss_db(line, std::abs(distance)) > 10.0) continue;
    CAPTURE(start);
    CAPTURE(distance);
    const Complex back = move_plane(line, move_plane(line, start, distance), -distance);
    CHECK(std::abs(back - start) <= 1e-12 * std::abs(start));
  }
}

TEST_CASE("line: a quarter and a half wave without loss (identities)") {
  Line line;
  line.z0 = 75.0;
  line.velocity_factor = 0.8;
  const core::Frequency f{14.2e6};
  const LineConstants constants = line_constants(line, f);
  const double wave = 0.8 * core::wavelength(f);
  const Complex load{30.0, -40.0};
  CHECK(std::abs(line_input(constants, wave / 2.0, load) - load) <= 1e-12);
  CHECK(std::abs(line_input(constants, wave / 4.0, load) - 75.0 * 75.0 / load) <= 1e-12);
  CHECK(line_loss_db(constants, wave / 3.0, load) == 0.0);
  CHECK(std::abs(line_input(constants, wave / 8.0, 0.0) - Complex{0.0, 75.0}) <= 1e-12);
}

TEST_CASE("line: a very long one looks like its own impedance and loses what it should") {
  const LineConstants line = line_constants(*line_type("RG-174"), core::Frequency{28e6});
  const Complex input = line_input(line, 1e6, {5.0, 700.0});
  CHECK(std::abs(input - line.z0) <= 1e-12 * std::abs(line.z0));
  CHECK(std::isfinite(line_loss_db(line, 1e6, {5.0, 700.0})));
  CHECK(line_loss_db(line, 1e6, {5.0, 700.0}) > matched_loss_db(line, 1e6));
}

TEST_CASE("line: by attenuation at a frequency") {
  for (const double attenuation : {0.0, 0.001, 0.04, 0.6}) {
    CAPTURE(attenuation);
    const core::Frequency at{7.1e6};
    const LineConstants line = line_constants(line_by_attenuation(50.0, 0.66, attenuation, at), at);
    CHECK(testing::relative_error(matched_loss_db(line, 1.0), attenuation) <= 1e-12);
    CHECK(line.z0.imag() <= 0.0);
  }
  CHECK_THROWS_AS((void)line_by_attenuation(50.0, 0.66, -0.1, core::Frequency{7e6}), core::Error);
}

TEST_CASE("line: refused numbers") {
  Line line;
  line.z0 = 0.0;
  CHECK_THROWS_WITH_AS((void)line_constants(line, core::Frequency{7e6}),
                       "a feed line needs a characteristic impedance above 0 ohm, not 0", core::Error);
  line.z0 = 50.0;
  CHECK_THROWS_WITH_AS((void)line_constants(line, core::Frequency{0.0}),
                       "a feed line needs a frequency above 0 Hz, not 0", core::Error);
  line.velocity_factor = 1.2;
  CHECK_THROWS_WITH_AS((void)line_constants(line, core::Frequency{7e6}),
                       "a feed line needs a velocity factor above 0 and at most 1, not 1.2", core::Error);
  line.velocity_factor = 0.66;
  line.length = -1.0;
  CHECK_THROWS_WITH_AS((void)line_constants(line, core::Frequency{7e6}),
                       "a feed line needs a length of 0 m or more, not -1", core::Error);
  line.length = 1.0;
  line.k2 = -0.1;
  CHECK_THROWS_WITH_AS((void)line_constants(line, core::Frequency{7e6}),
                       "a feed line needs a loss of 0 dB/m or more, not -0.1", core::Error);
}

}  // namespace feldspar::circuit
