#include "circuit/line_types.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <string>

#include "../support/close.hpp"
#include "../support/table.hpp"
#include "circuit/line.hpp"

namespace feldspar::circuit {
namespace {

constexpr double kHundredFeet = 30.48;  // m

/// The tabulated law itself, dB per 100 ft.
double law(const std::string& type, double mhz) {
  const std::optional<Line> line = line_type(type);
  REQUIRE(line.has_value());
  return matched_loss_db(line_constants(*line, core::Frequency{mhz * 1e6}, LineModel::real_z0), kHundredFeet);
}

/// One unit of the last printed digit.
double last_digit(const std::string& printed) {
  const std::size_t point = printed.find('.');
  return point == std::string::npos ? 1.0 : std::pow(10.0, -static_cast<double>(printed.size() - point - 1));
}

/// The name in our table of a cable whose variants have the same nominal data.
std::string base_type(std::string type) {
  if (type == "RG-58CU" || type == "RG-58A") return "RG-58";
  if (type == "RG-213U" || type == "RG-8A") return "RG-213";
  return type;
}

}  // namespace

TEST_CASE("line_types: attenuation agrees with the published table") {
  // Source: data/published/coax_attenuation.csv; 30 and 150 MHz quoted from a licence manual, the rest
  // derived from the law through those two points. Nine digits are printed.
  for (const testing::Row& row : testing::Table("published/coax_attenuation.csv", 70)) {
    CAPTURE(row.text("type"));
    CAPTURE(row.text("frequency_hz"));
    const std::optional<Line> line = line_type(row.text("type"));
    REQUIRE(line.has_value());
    CHECK(line->z0 == row.number("z0_ohm"));
    CHECK(line->velocity_factor == row.number("velocity_factor"));
    const LineConstants constants =
        line_constants(*line, core::Frequency{row.number("frequency_hz")}, LineModel::real_z0);
    CHECK(testing::relative_error(matched_loss_db(constants, 1.0), row.number("loss_db_per_m")) <= 1e-8);
    CHECK(testing::relative_error(matched_loss_db(constants, kHundredFeet),
                                  row.number("loss_db_per_100ft")) <= 1e-8);
    // k1 and k2 are those the table prints.
    CHECK(testing::relative_error(line->k1 * kHundredFeet, row.number("k1_db_per_100ft_per_sqrt_mhz")) <=
          1e-8);
    CHECK(testing::relative_error(line->k2 * kHundredFeet, row.number("k2_db_per_100ft_per_mhz")) <= 1e-8);
  }
}

TEST_CASE("line_types: figures quoted by five sources") {
  // Source: data/published/cables_quoted.csv; its header names each. Which of them the law must meet, and how
  // closely:
  int manual = 0;
  int others = 0;
  for (const testing::Row& row : testing::Table("published/cables_quoted.csv", 30)) {
    const std::string& source = row.text("source");
    const std::string type = base_type(row.text("type"));
    const double quoted = row.number("loss_db_per_100ft");
    if (!line_type(type)) continue;  // RG-11A: not among ours
    const double found = law(type, row.number("frequency_mhz"));
    CAPTURE(source);
    CAPTURE(type);
    CAPTURE(quoted);
    CAPTURE(found);
    if (source == "licence_manual" || source == "two_constant_law") {
      // The law comes from the manual's figures, and its k1 and k2 of RG-58 are those of the worked example.
      CHECK(std::abs(found - quoted) <= 0.5 * last_digit(row.text("loss_db_per_100ft")));
      ++manual;
    } else if (source == "mil_spec") {
      CHECK(found <= quoted);  // largest loss allowed
    } else if (source == "memory") {
      CHECK(std::abs(found / quoted - 1.0) < 0.034);  // the fit meets its points within 3.3 %
    } else {
      CHECK(std::abs(quoted / found - 1.0) < 0.27);  // what the header says of other makers
      ++others;
    }
  }
  CHECK(manual == 13);
  CHECK(others == 13);
}

TEST_CASE("line_types: capacitance of coax follows from impedance and velocity factor") {
  // Source: data/published/cable_capacitance.csv, a builder's data sheet, quoted. C = 1/(z0 v). The sheet's
  // RG-58 (29) is the older cable of 53.5 ohm (from memory), its RG-8A that of 52 ohm.
  for (const testing::Row& row : testing::Table("published/cable_capacitance.csv", 7)) {
    const std::string& type = row.text("type");
    CAPTURE(type);
    double z0 = 50.0;
    if (type == "RG-58") z0 = 53.5;
    if (type == "RG-8A") z0 = line_type("RG-8")->z0;
    if (type == "RG-59" || type == "RG-11A") z0 = line_type("RG-59")->z0;
    const double velocity = row.number("velocity_factor") * core::kSpeedOfLight;
    const double picofarad_per_foot = 1e12 * 0.3048 / (z0 * velocity);
    CHECK(std::abs(picofarad_per_foot - row.number("capacitance_pf_per_ft")) <= 0.5);
    if (const std::optional<Line> line = line_type(base_type(type))) {
      CHECK(line->velocity_factor == row.number("velocity_factor"));
    }
  }
}

TEST_CASE("line_types: parallel lines") {
  // Loss in dB per 100 ft at 10 and 100 MHz, typical figures of handbooks, from memory (one digit). The
  // 450 ohm figures of handbooks (0.08 and 0.3) belong to thicker wire: measured window line of 1 mm wire is
  // remembered as 0.37 at 50 MHz.
  const struct {
    const char* type;
    double mhz, loss, share;
  } rows[] = {{"300 ohm ribbon", 10.0, 0.3, 0.17},
              {"300 ohm ribbon", 100.0, 1.4, 0.04},
              {"450 ohm window line", 50.0, 0.37, 0.03},
              {"600 ohm open-wire line", 10.0, 0.06, 0.09},
              {"600 ohm open-wire line", 100.0, 0.2, 0.25}};
  for (const auto& row : rows) {
    CAPTURE(row.type);
    CAPTURE(law(row.type, row.mhz));
    CHECK(std::abs(law(row.type, row.mhz) / row.loss - 1.0) <= row.share);  // half a printed digit
    CHECK_FALSE(line_type(row.type)->is_coax);
    CHECK(line_type(row.type)->braid_diameter == 0.0);
  }
  // Conductor loss in closed form: 600 ohm, 2.05 mm copper, 10 MHz: Rs = 0.82502 mohm, R = 2 Rs / (pi d).
  const double resistance = 2.0 * 0.82502e-3 / (core::kPi * 2.05e-3);
  CHECK(testing::relative_error(law("600 ohm open-wire line", 10.0),
                                kHundredFeet * 8.685889638 * resistance / (2.0 * 600.0)) <= 1e-5);
}

TEST_CASE("line_types: names are found however they are typed") {
  for (const char* name : {"RG-58", "rg58", "RG 58", "rg-58"}) {
    CAPTURE(name);
    REQUIRE(line_type(name).has_value());
    CHECK(line_type(name)->type == "RG-58");
    CHECK(line_type(name)->length == 0.0);
  }
  REQUIRE(line_type("450 Ohm Window-Line").has_value());
  CHECK(line_type("450 Ohm Window-Line")->z0 == 450.0);
  CHECK_FALSE(line_type("RG-59B").has_value());
  CHECK_FALSE(line_type("").has_value());
  const std::vector<std::string> names = line_type_names();
  CHECK(std::count(names.begin(), names.end(), "RG-213") == 1);
  for (const LineType& type : line_types()) {
    CAPTURE(std::string(type.name));
    CHECK_FALSE(type.source.empty());
    // A braid is thinner than the cable and thicker than its core.
    CHECK((type.braid_diameter == 0.0 || (type.braid_diameter > 1.5e-3 && type.braid_diameter < 11e-3)));
    CHECK(line_type(type.name)->is_coax == type.is_coax());
  }
}

}  // namespace feldspar::circuit
