#include "report/json.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <limits>
#include <nlohmann/json.hpp>
#include <string>
#include <vector>

#include "samples.hpp"

using namespace feldspar;
using Json = nlohmann::ordered_json;

namespace {

std::vector<std::string> keys(const Json& object) {
  std::vector<std::string> names;
  for (const auto& [key, value] : object.items()) names.push_back(key);
  return names;
}

}  // namespace

TEST_CASE("solve_json: the promised keys in the promised order, numbers as they are") {
  const model::Model model = samples::model();
  results::FrequencyResult result = samples::result(14.1e6, 1.06, 36.8);
  result.ports[0].impedance = {461.0 / 3.0, -30.0 / 7.0};
  const Json json = Json::parse(report::solve_json(model, {result}));
  CHECK(json["format"] == 1);
  CHECK(json["model"] == "boathouse.toml");
  CHECK(json["parameters"]["whip_length_m"] == 5.2);
  CHECK(json["parameters"]["radial_count"] == 4.0);
  CHECK(json["ground"]["permittivity"] == 13.0);
  CHECK(json["ground"]["conductivity_s_per_m"] == 0.005);
  const Json& one = json["results"][0];
  CHECK(keys(one) == std::vector<std::string>{"frequency_hz",
                                              "ports",
                                              "radio",
                                              "swr_on_line",
                                              "swr_at_radio",
                                              "gain_dbi",
                                              "gain_elevation_deg",
                                              "gain_azimuth_deg",
                                              "gain_from_radio_dbi",
                                              "gain_dbi_at_elevation",
                                              "radiation_efficiency",
                                              "power_w",
                                              "parts",
                                              "inserts",
                                              "braid",
                                              "touch",
                                              "feed_point",
                                              "wire_ends",
                                              "ground_by_difference",
                                              "ground",
                                              "unknowns",
                                              "impedance_error_relative",
                                              "resistance_error_ohm",
                                              "radio_error_relative",
                                              "warnings"});
  CHECK(keys(one["power_w"]) == std::vector<std::string>{"radio", "tuner", "line_matched", "line_extra",
                                                         "stub", "transformer", "two_port", "choke",
                                                         "antenna", "coils", "wires", "ground", "sky",
                                                         "unaccounted"});
  CHECK(keys(one["gain_dbi_at_elevation"]) == std::vector<std::string>{"10", "30", "60", "90"});
  // Round trip to the last bit.
  CHECK(one["ports"][0]["resistance_ohm"].get<double>() == 461.0 / 3.0);
  CHECK(one["ports"][0]["reactance_ohm"].get<double>() == -30.0 / 7.0);
  CHECK(one["ports"][0]["name"] == "feed");
  CHECK(one["gain_azimuth_deg"].is_null());
  CHECK(one["ground_by_difference"] == true);
  CHECK_FALSE(one.contains("z_matrix_ohm"));
  CHECK(one["feed_point"]["voltage_v"] == 112.3);
  REQUIRE(one["wire_ends"].size() == 2);
  CHECK(one["wire_ends"][1] == Json({{"wire", "radial (1)"},
                                     {"end", "end"},
                                     {"copies", 4},
                                     {"height_m", 0.02},
                                     {"x_m", 5.0},
                                     {"y_m", 0.0},
                                     {"voltage_v", 87.6},
                                     {"within_reach", true}}));
}

TEST_CASE("solve_json: an explanation stands where it was asked for") {
  results::FrequencyResult result = samples::result(7.1e6, 3.2, 17.0);
  CHECK_FALSE(
      Json::parse(report::solve_json(samples::model(), {result}))["results"][0].contains("explanation"));
  result.explanation.emplace();
  result.explanation->delivered = 17.0;
  result.explanation->ideals = {{"ground", "perfect ground", 48.0, 49.0, 4.8}};
  const Json json = Json::parse(report::solve_json(samples::model(), {result}))["results"][0]["explanation"];
  CHECK(json["delivered_w"] == 17.0);
  CHECK(json["impedance_ratio"].is_null());
  CHECK(json["ideal"][0]["part"] == "ground");
  CHECK(json["ideal"][0]["made"] == "perfect ground");
  CHECK(json["ideal"][0]["lost_w"] == 48.0);
  CHECK(json["ideal"][0]["delivered_w"] == 49.0);
  CHECK(json["ideal"][0]["swr_at_radio"] == 4.8);
}

TEST_CASE("solve_json: what does not exist is null, never a made-up number") {
  results::FrequencyResult result = samples::result(14.1e6, std::numeric_limits<double>::infinity(), 0.0);
  result.gain_dbi.reset();
  result.gain_elevation_deg.reset();
  result.gain_from_radio_dbi.reset();
  result.radiation_efficiency.reset();
  result.gain_at_elevation.clear();
  result.power.tuner = std::nan("");
  result.feed_point.reset();
  const Json one = Json::parse(report::solve_json(samples::model(), {result}))["results"][0];
  for (const char* key :
       {"gain_dbi", "gain_elevation_deg", "gain_from_radio_dbi", "radiation_efficiency", "swr_at_radio"}) {
    CAPTURE(std::string(key));
    CHECK(one[key].is_null());
  }
  CHECK(one["power_w"]["tuner"].is_null());
  CHECK(one["feed_point"].is_null());
  CHECK(one["gain_dbi_at_elevation"].empty());
}

TEST_CASE("solve_json: several ports have their matrix; perfect ground and free space say so") {
  results::FrequencyResult result = samples::result(14.1e6, 1.5, 50.0);
  result.ports.push_back({"second", {1.0, 2.0}});
  result.z_matrix = {{{1.0, 2.0}, {3.0, 4.0}}, {{3.0, 4.0}, {5.0, 6.0}}};
  model::Model model = samples::model();
  model.ground = {media::GroundKind::perfect, 1.0, 0.0, media::GroundMethod::exact, ""};
  Json json = Json::parse(report::solve_json(model, {result}));
  CHECK(json["results"][0]["z_matrix_ohm"] == Json::parse("[[[1.0,2.0],[3.0,4.0]],[[3.0,4.0],[5.0,6.0]]]"));
  CHECK(json["ground"]["permittivity"].is_null());
  CHECK(json["ground"]["kind"] == "perfect");
  model.ground.kind = media::GroundKind::free_space;
  json = Json::parse(report::solve_json(model, {}));
  CHECK(json["ground"]["permittivity"] == 1.0);
  CHECK(json["ground"]["conductivity_s_per_m"] == 0.0);
  CHECK(json["results"].is_array());
}

TEST_CASE("bands_json: a row for each band, the tuner's word, the dips") {
  const Json json = Json::parse(report::bands_json(samples::model(), samples::table()));
  REQUIRE(json["bands"].size() == 4);
  const std::vector<std::string> tuners = {"out-of-range", "radio", "none", "wide-range"};
  for (std::size_t i = 0; i < 4; ++i) CHECK(json["bands"][i]["tuner"] == tuners[i]);
  const Json& row = json["bands"][1];
  CHECK(row["band"] == "40m");
  CHECK(row["lower_hz"] == 7.0e6);
  CHECK(row["upper_hz"] == 7.2e6);
  CHECK(row["impedance"]["frequency_hz"] == 7.1e6);
  CHECK(row["impedance"]["resistance_ohm"] == 51.2734);
  CHECK(row["swr_at_radio"]["middle"] == 2.2);
  CHECK(row["swr_lowest"]["frequency_hz"].get<double>() == doctest::Approx(7.08e6));
  CHECK(row["bandwidth_swr2_hz"] == 0.0);
  CHECK(row["power_w"]["sky"] == 30.0);
  CHECK(row["wire_ends"][0]["voltage_v"] == 1234.0);
  CHECK(json["dips"].size() == 2);
  CHECK(json["dips"][1] == Json::parse(R"({"frequency_hz": 14020000.0, "swr": 1.26})"));
  CHECK(json["warnings"][0]["code"] == "proximity");
}

TEST_CASE("models_json: limits that do not exist are null; text outside ASCII survives") {
  report::ModelListing listing{
      "wedge", "Wédge", "about \"it\"", {{"length", "length_m", "8 m", "2 m", "", "how long"}}};
  const Json json = Json::parse(report::models_json({listing}, {{"heights", "How high?", "a question"}}));
  CHECK(json["studies"][0]["title"] == "How high?");
  const Json& model = json["models"][0];
  CHECK(model["title"] == "Wédge");
  CHECK(model["about"] == "about \"it\"");
  CHECK(model["parameters"][0]["name"] == "length");
  CHECK(model["parameters"][0]["default"] == "8 m");
  CHECK(model["parameters"][0]["minimum"] == "2 m");
  CHECK(model["parameters"][0]["maximum"].is_null());
  CHECK(model["parameters"][0]["about"] == "how long");
}

TEST_CASE("check_json: wires, junctions, and waves at each frequency") {
  results::CheckReport check;
  check.wires.push_back({"whip", 5.2, -0.35, 4.85});
  check.junctions.push_back({{0.0, 0.0, 0.02}, {"radial", "whip"}, false});
  check.free_ends = 2;
  check.unknowns = 42;
  check.waves.push_back({"radial", 4, 2, 5.0, 0.02, true, 0.74, 0.18, 0.16});
  results::CheckReport other = check;
  other.waves.front().leg = 0;
  const Json json = Json::parse(report::check_json(samples::model(), {{7.1e6, check}, {14.2e6, other}}));
  CHECK(json["format"] == 1);
  CHECK(json["wires"][0]["lowest_m"] == -0.35);
  CHECK(json["junctions"][0]["at_m"] == Json::array({0.0, 0.0, 0.02}));
  CHECK(json["junctions"][0]["wires"].size() == 2);
  CHECK(json["free_ends"] == 2);
  REQUIRE(json["checks"].size() == 2);
  CHECK(json["checks"][1]["frequency_hz"] == 14.2e6);
  const Json& wave = json["checks"][0]["waves"][0];
  CHECK(keys(wave) == std::vector<std::string>{"wire", "copies", "stretch", "length_m", "height_m",
                                               "insulated", "velocity_factor", "attenuation_db_per_m",
                                               "length_wavelengths"});
  CHECK(wave["stretch"] == 2);
  CHECK(json["checks"][1]["waves"][0]["stretch"].is_null());
  CHECK(wave["attenuation_db_per_m"] == 0.18);
}

TEST_CASE("solve_json: the soil's numbers at each frequency, from its table, and the far soil") {
  model::Model model = samples::model();
  model.ground.name = "";
  model.ground.table = {{1e6, {30.0, 2e-3}}, {4e6, {20.0, 8e-3}}};
  media::FarSoil far;
  far.ground = {media::GroundKind::real, 81.0, 5.0, media::GroundMethod::exact, "sea", {}};
  far.begins = 25.0;
  model.far_soil = far;
  const std::vector<results::FrequencyResult> results = {samples::result(2e6, 1.5, 30.0),
                                                         samples::result(7e6, 1.5, 30.0)};
  Json json = Json::parse(report::solve_json(model, results));
  CHECK(json["ground"]["permittivity"].is_null());
  CHECK(json["ground"]["table"][1]["conductivity_s_per_m"] == 8e-3);
  CHECK(json["ground"]["far"]["soil"] == "sea");
  CHECK(json["ground"]["far"]["begins_m"] == 25.0);
  CHECK(json["ground"]["far"]["from_bearing_deg"].is_null());
  CHECK(json["results"][0]["ground"]["permittivity"].get<double>() == doctest::Approx(25.0));
  CHECK(json["results"][0]["ground"]["conductivity_s_per_m"].get<double>() == doctest::Approx(4e-3));
  CHECK(json["results"][1]["ground"]["permittivity"] == 20.0);
  CHECK(json["results"][1]["ground"]["far"]["conductivity_s_per_m"] == 5.0);
  model.far_soil->all_round = false;
  model.far_soil->from_bearing = 3.0;
  model.far_soil->to_bearing = 4.0;
  json = Json::parse(report::solve_json(model, results));
  CHECK(json["ground"]["far"]["from_bearing_deg"].get<double>() ==
        doctest::Approx(171.887338539));  // 540 / pi
}

TEST_CASE("solve_json: named soils say where their numbers come from") {
  const Json json = Json::parse(report::solve_json(samples::model(), {samples::result(7e6, 1.5, 30.0)}));
  CHECK(json["ground"]["soil"] == "average");
  CHECK(json["ground"]["source"].get<std::string>().find("handbooks") != std::string::npos);
}
