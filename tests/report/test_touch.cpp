#include <doctest/doctest.h>

#include <algorithm>
#include <limits>
#include <nlohmann/json.hpp>
#include <sstream>

#include "report/csv.hpp"
#include "report/json.hpp"
#include "report/terminal.hpp"
#include "samples.hpp"
#include "text_checks.hpp"

using namespace feldspar;
using Json = nlohmann::ordered_json;
using text_checks::check_shape;
using text_checks::has;

namespace {

model::Model model_with_outside() {
  model::Model model = samples::model();
  geometry::Wire braid;
  braid.name = "outside of the line";
  braid.path = {{0.0, 0.0, 0.02}, {8.0, 0.0, 0.02}};
  model.structure.wires.push_back(braid);
  model.outside.emplace();
  model.outside->part = 1;
  model.outside->end = model::LineEnd::operated;
  model.outside->wires = {1};
  return model;
}

results::TouchEnd end(double swr, std::optional<double> current) {
  return {{51.27, -12.3}, swr, 1e-4, 1e-4, current};
}

results::FrequencyResult touched(double open, double operated, std::optional<double> earthed) {
  results::FrequencyResult result = samples::result(7.1e6, operated, 30.0);
  result.touch = results::Touch{end(open, 0.0), end(operated, 0.123), {}};
  if (earthed) result.touch->earthed = end(*earthed, 1.456);
  return result;
}

std::vector<std::string> columns(const std::string& csv) {
  std::istringstream stream(csv.substr(0, csv.find('\n')));
  std::vector<std::string> names;
  for (std::string name; std::getline(stream, name, ',');) names.push_back(name);
  return names;
}

}  // namespace

TEST_CASE("solve_text with touch: a line for each end, the range, and what it means") {
  const model::Model model = model_with_outside();
  std::string text = report::solve_text(model, {touched(1.5, 2.2, 3.14)});
  check_shape(text);
  CHECK(has(text,
            "open 51.3 - j12.3 1.50 0.00 operator (as modelled) 51.3 - j12.3 2.2 0.12 "
            "earthed 51.3 - j12.3 3.1 1.46 SWR 1.50 to 3.1 by that end: your coax is part of the "
            "antenna."));
  text = report::solve_text(model, {touched(2.1, 2.2, 2.3)});
  check_shape(text);
  CHECK(has(text, "SWR 2.1 to 2.3 by that end: it makes little difference to the SWR."));
  CHECK(text.find("part of the antenna.") == std::string::npos);
  text = report::solve_text(model, {touched(1.5, 2.2, {})});
  CHECK(has(text, "earthed - - - SWR 1.50 to 2.2"));
  results::FrequencyResult alone = touched(1.5, 2.2, {});
  alone.touch->open.reset();
  CHECK(has(report::solve_text(model, {alone}), "Only one end could be computed."));
  alone.touch.reset();
  CHECK(report::solve_text(model, {alone}).find("By what hangs") == std::string::npos);
}

TEST_CASE("bands_text with touch: a table, and the bands on which it matters") {
  results::BandTable table = samples::table();
  CHECK(report::bands_text(model_with_outside(), table).find("What hangs") == std::string::npos);
  const double infinite = std::numeric_limits<double>::infinity();
  table.bands[0].at_middle.touch = touched(90.0, infinite, 150.0).touch;
  table.bands[1].at_middle.touch = touched(2.0, 2.2, 2.3).touch;
  table.bands[2].at_middle.touch = touched(1.2, 1.4, {}).touch;
  table.bands[3].at_middle.touch = touched(12.0, 4.0, 4.0).touch;
  const std::string text = report::bands_text(model_with_outside(), table);
  check_shape(text);
  CHECK(has(text, "160m 90 >99 >99 >99 your coax is part of the antenna"));
  CHECK(has(text, "40m 2.0 2.2 2.3 1.15 little changes"));
  CHECK(has(text, "20m 1.20 1.40 - 1.17 little changes"));
  CHECK(has(text, "10m 12 4.0 4.0 3.00 your coax is part of the antenna"));
  CHECK(has(text, "Your coax is part of the antenna on 160m, 10m: the largest SWR"));
  CHECK(text.find("nan") == std::string::npos);
  CHECK(text.find("inf") == std::string::npos);
}

TEST_CASE("JSON and CSV with touch: null and empty where it is not known") {
  const model::Model model = model_with_outside();
  const Json json = Json::parse(report::solve_json(model, {touched(1.5, 2.2, {})}))["results"][0]["touch"];
  CHECK(json["open"]["swr_at_radio"] == 1.5);
  CHECK(json["operator"]["resistance_ohm"] == 51.27);
  CHECK(json["operator"]["reactance_ohm"] == -12.3);
  CHECK(json["operator"]["current_at_radio_a"] == 0.123);
  CHECK(json["earthed"].is_null());
  CHECK(json["coax_is_part_of_antenna"] == true);
  results::BandTable table = samples::table();
  CHECK(Json::parse(report::bands_json(model, table))["bands"][0]["touch"].is_null());
  const std::vector<std::string> before = columns(report::bands_csv(model, table));
  for (results::BandRow& row : table.bands) row.at_middle.touch = touched(1.5, 1.6, {}).touch;
  table.bands[1].at_middle.touch->open->current_at_radio.reset();
  const Json row = Json::parse(report::bands_json(model, table))["bands"][1]["touch"];
  CHECK(row["open"]["current_at_radio_a"].is_null());
  CHECK(row["coax_is_part_of_antenna"] == false);
  const std::string csv = report::bands_csv(model, table);
  const std::vector<std::string> after = columns(csv);
  CHECK(after.size() == before.size() + 6);
  for (const char* name :
       {"swr_touch_open", "current_at_radio_touch_open_a", "swr_touch_operator", "swr_touch_earthed"})
    CHECK(std::find(after.begin(), after.end(), name) != after.end());
  CHECK(csv.find(",1.5,0,1.6,0.123,,\n") != std::string::npos);
  CHECK(csv.find(",1.5,,1.6,0.123,,\n") != std::string::npos);
}
