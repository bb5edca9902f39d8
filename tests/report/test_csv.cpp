#include "report/csv.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <sstream>
#include <string>
#include <vector>

#include "samples.hpp"

using namespace feldspar;

namespace {

/// Fields of one line; quotes as in RFC 4180.
std::vector<std::string> fields(const std::string& line) {
  std::vector<std::string> result(1);
  bool quoted = false;
  for (std::size_t i = 0; i < line.size(); ++i) {
    const char c = line[i];
    if (quoted && c == '"' && i + 1 < line.size() && line[i + 1] == '"') {
      result.back() += line[++i];
    } else if (c == '"') {
      quoted = !quoted;
    } else if (c == ',' && !quoted) {
      result.emplace_back();
    } else {
      result.back() += c;
    }
  }
  return result;
}

std::vector<std::vector<std::string>> parse(const std::string& text) {
  std::vector<std::vector<std::string>> lines;
  std::istringstream stream(text);
  for (std::string line; std::getline(stream, line);) lines.push_back(fields(line));
  return lines;
}

std::string value(const std::vector<std::vector<std::string>>& lines, std::size_t row,
                  const std::string& name) {
  const auto at = std::find(lines[0].begin(), lines[0].end(), name);
  REQUIRE_MESSAGE(at != lines[0].end(), name);
  return lines[row][static_cast<std::size_t>(at - lines[0].begin())];
}

}  // namespace

TEST_CASE("bands_csv: one line a band, as many fields as names, units in the names") {
  model::Model model = samples::model();
  model.name = "odd, \"name\".toml";
  const auto lines = parse(report::bands_csv(model, samples::table()));
  REQUIRE(lines.size() == 5);
  for (const auto& line : lines) CHECK(line.size() == lines[0].size());
  CHECK(value(lines, 2, "model") == "odd, \"name\".toml");
  CHECK(value(lines, 2, "band") == "40m");
  CHECK(value(lines, 2, "whip_length_m") == "5.2");
  CHECK(value(lines, 2, "ground_permittivity") == "13");
  CHECK(value(lines, 2, "ground_conductivity_s_per_m") == "0.005");
  CHECK(value(lines, 2, "lower_hz") == "7000000");
  CHECK(value(lines, 2, "resistance_ohm") == "51.2734");
  CHECK(value(lines, 2, "tuner") == "radio");
  CHECK(value(lines, 2, "power_sky_w") == "30");
  CHECK(value(lines, 2, "gain_at_30_deg_dbi") == "1.2");
  CHECK(value(lines, 2, "gain_azimuth_deg").empty());
}

TEST_CASE("solve_csv: one line a frequency; numbers round-trip; several ports by name") {
  results::FrequencyResult result = samples::result(14.1e6, 1.06, 36.8);
  result.ports[0].impedance = {461.0 / 3.0, -30.0 / 7.0};
  result.ports.push_back({"second", {7.5, -2.0}});
  const auto lines = parse(report::solve_csv(samples::model(), {result, result}));
  REQUIRE(lines.size() == 3);
  CHECK(std::stod(value(lines, 1, "resistance_ohm")) == 461.0 / 3.0);
  CHECK(std::stod(value(lines, 1, "reactance_ohm")) == -30.0 / 7.0);
  CHECK(value(lines, 1, "second_resistance_ohm") == "7.5");
  CHECK(value(lines, 1, "frequency_hz") == "14100000");
  CHECK(value(lines, 1, "unknowns") == "42");
}

TEST_CASE(
    "solve_csv: the soil's numbers are those of each frequency, the far soil's have columns of their own") {
  model::Model model = samples::model();
  model.ground.table = {{1e6, {30.0, 2e-3}}, {4e6, {20.0, 8e-3}}};
  media::FarSoil far;
  far.ground = {media::GroundKind::real, 81.0, 5.0, media::GroundMethod::exact, "sea", {}};
  far.begins = 25.0;
  model.far_soil = far;
  const auto lines =
      parse(report::solve_csv(model, {samples::result(1e6, 1.5, 30.0), samples::result(7e6, 1.5, 30.0)}));
  CHECK(value(lines, 1, "ground_permittivity") == "30");
  CHECK(value(lines, 2, "ground_conductivity_s_per_m") == "0.008");
  CHECK(value(lines, 1, "far_permittivity") == "81");
  CHECK(value(lines, 1, "far_begins_m") == "25");
}
