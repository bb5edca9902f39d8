#include "report/terminal.hpp"

#include <doctest/doctest.h>

#include <string>

#include "report/assumptions.hpp"
#include "samples.hpp"
#include "text_checks.hpp"

using namespace feldspar;
using text_checks::check_shape;
using text_checks::has;

TEST_CASE("bands_text: everything that was asked for, in 80 columns") {
  const std::string text = report::bands_text(samples::model(), samples::table());
  check_shape(text);
  // The advice in words, and the sentence that has no room in the table.
  CHECK(has(text, "No tuner needed on 20m; the radio's own tuner on 40m; a wide-range tuner on 10m; out of"));
  CHECK(has(text, "Out of range for a tuner at the radio (line would lose x dB): 160m 7.4 dB."));
  // A resistance of 51.2734 +- 0.2 ohm has one decimal.
  CHECK(has(text, "51.3"));
  CHECK_FALSE(text.find("51.27") != std::string::npos);
  CHECK(has(text, ">99"));
  // 20 m: SWR 1.4 and 15 % to the sky.
  CHECK(has(text, "20m: low SWR here comes from loss"));
  CHECK_FALSE(text.find("40m: low SWR") != std::string::npos);
  CHECK(has(text, "ground 53 %, transformer 10 %"));
  CHECK(has(text, "<-40"));
  CHECK(has(text, "7.050 MHz (1.80), 14.020 MHz (1.26)"));
  // What was assumed.
  CHECK(has(text, "Soil: average, relative permittivity 13, conductivity 5 mS/m"));
  CHECK(has(text, "ITU region 1"));
  CHECK(has(text, "100 W enter the first part"));
  CHECK(has(text, "Transformer 9:1, 0.5 dB loss into a matched load (assumed: the model gives none)."));
  CHECK(has(text, "Line: 10 m of RG-58."));
  CHECK(has(text, "Coax outside not included, as if a perfect choke sat at the feed point."));
  CHECK(has(text, "impedance 0.2 % at most"));
  CHECK(has(text, "the 43"));
  CHECK(has(text, "Warning: 160m: wires whip and radial are close"));
  CHECK(has(text, "exposure is not computed"));
  CHECK(has(text, "docs/safety.md"));
  CHECK(has(text, "coil 40 uH"));
  // The band with the largest share to the sky.
  CHECK(has(text, "feldspar solve boathouse.toml --frequency 28.85MHz"));
}

TEST_CASE("bands_text: colour changes nothing but the colour") {
  const std::string plain = report::bands_text(samples::model(), samples::table());
  const std::string coloured = report::bands_text(samples::model(), samples::table(), {true});
  std::string stripped;
  for (std::size_t i = 0; i < coloured.size(); ++i) {
    if (coloured[i] == '\033') {
      i = coloured.find('m', i);
    } else {
      stripped += coloured[i];
    }
  }
  CHECK(coloured != plain);
  CHECK(stripped == plain);
}

TEST_CASE("bands_text: a model without a feed line, without dips, without gain") {
  model::Model model = samples::model();
  model.feed.parts.clear();
  model.parameters.clear();
  results::BandTable table = samples::table();
  table.dips.clear();
  table.warnings.clear();
  for (results::BandRow& row : table.bands) {
    row.line_loss_at_largest = 0.0;
    row.at_middle.gain_dbi.reset();
    row.at_middle.gain_elevation_deg.reset();
    row.at_middle.gain_from_radio_dbi.reset();
    row.at_middle.gain_at_elevation.clear();
    row.at_middle.radiation_efficiency.reset();
  }
  const std::string text = report::bands_text(model, table);
  check_shape(text);
  CHECK(has(text, "Out of range for a tuner at the radio: 160m."));
  CHECK(has(text, "none below 10"));
  CHECK(has(text, "without transformer or line"));
  CHECK_FALSE(text.find("nan") != std::string::npos);
}

TEST_CASE("bands_text: the widest table still fits") {
  results::BandTable table = samples::table();
  table.bands.clear();
  for (const char* name : {"160m", "6m", "2m"}) {
    results::BandRow row = samples::row(name, 144e6, 148e6, 88.0, 0.4);
    row.at_middle.ports[0].impedance = {12345.0, -12345.0};
    row.at_middle.impedance_error_relative = 1e-6;
    row.at_middle.radio_error_relative = 1e-6;
    row.at_middle.resistance_error = 1e-3;
    row.bandwidth_swr2 = 3.2e6;
    row.lowest.swr = 1.234;
    row.at_middle.gain_dbi = -33.33;
    row.at_middle.gain_from_radio_dbi = -38.88;
    row.at_middle.gain_azimuth_deg = 359.0;
    row.at_middle.power.coils = 50.0;
    row.at_middle.power.transformer = 45.0;
    table.bands.push_back(row);
  }
  check_shape(report::bands_text(samples::model(), table));
  // with decimals in every column that aligns them
  results::BandRow row = samples::row("10m", 28e6, 29.7e6, 1.34, 40.0);
  row.at_middle.ports[0].impedance = {9.1, 7.8};
  row.at_middle.impedance_error_relative = 1e-6;
  row.at_middle.radio_error_relative = 1e-6;
  row.at_middle.resistance_error = 1e-3;
  row.lowest.swr = 1.23;
  row.tuner_loss = 12.3;
  table.bands.push_back(row);
  check_shape(report::bands_text(samples::model(), table));
}

TEST_CASE("lying_heights_text: a column for each height, in 80 columns") {
  const std::vector<report::LyingVariant> variants = {{"bare_soil", 0.002, samples::table()},
                                                      {"mown_grass", 0.02, samples::table()},
                                                      {"long_grass", 0.05, samples::table()}};
  const std::string text = report::lying_heights_text({"radial_height"}, variants);
  check_shape(text);
  CHECK(has(text, "radial_height at bare_soil 2 mm, mown_grass 20 mm, long_grass 50 mm"));
  CHECK(has(text, "160m"));
}

TEST_CASE("solve_text: impedance, SWR, gain, the way of the watts, in 80 columns") {
  results::FrequencyResult result = samples::result(7.1e6, 1.44, 36.8);
  result.warnings = {
      {"proximity",
       "wires whip and radial pass 3 mm apart, which is less than ten radii of the thicker one"}};
  std::string text = report::solve_text(samples::model(), {result});
  check_shape(text);
  CHECK(has(text, "7.1 MHz"));
  CHECK(has(text, "51.3 - j 12.3 ohm"));
  CHECK(has(text, "1.44 at the radio"));
  CHECK(has(text, "+1.2 dBi at 27 deg elevation, all round alike"));
  CHECK(has(text, "-3.0 at 10, +1.2 at 30, -1.0 at 60, <-40 at 90 deg"));
  CHECK(has(text, "ground (what is left)"));
  CHECK(has(text, "42 unknowns"));
  CHECK(has(text, "Warning: wires whip"));
  CHECK(has(text, "exposure is not computed"));
  result.gain_azimuth_deg = 359.9;
  result.ports.push_back({"second", {1.0, 2.0}});
  result.z_matrix = {{{51.0, -12.0}, {3.0, 4.0}}, {{3.0, 4.0}, {5.0, 6.0}}};
  text = report::solve_text(samples::model(), {result});
  check_shape(text);
  CHECK(has(text, "toward 0 deg (true)"));
  CHECK(has(text, "Port second"));
  CHECK(has(text, "Impedance matrix"));
}

TEST_CASE("solve_text: voltage at wire ends, largest first, two digits, low ones marked") {
  results::FrequencyResult result = samples::result(7.1e6, 1.44, 36.8);
  std::string text = report::solve_text(samples::model(), {result});
  check_shape(text);
  CHECK(has(text,
            "Voltage with 100 W from the radio (r.m.s.; wire ends to ground) across the feed point at 23 mm: "
            "about 110 V; within reach: do not"));
  CHECK(has(text,
            "whip, end at 5.2 m: about 1200 V radial (1) and 3 like it, ends at 20 mm: about 88 V; within "
            "reach: do not touch; keep people and animals away"));
  CHECK(text.find("with less") == std::string::npos);
  result.wire_ends.clear();
  CHECK(has(report::solve_text(samples::model(), {result}), "across the feed point"));
  result.feed_point.reset();
  text = report::solve_text(samples::model(), {result});
  CHECK(text.find("Voltage") == std::string::npos);
  result.feed_point = results::FeedPointVoltage{0.0, 0.0, 8.0, 50.0, false};
  for (int i = 0; i < 9; ++i)
    result.wire_ends.push_back({"a wire with quite a long name, the number of which is " + std::to_string(i),
                                i % 2 == 0, 1, 0.0, 0.0, 1.0, 95.0 - 10.0 * i, i < 4});
  result.wire_ends.back().voltage = 0.4;
  text = report::solve_text(samples::model(), {result});
  check_shape(text);
  CHECK(has(text, "which is 0, start at 1.0 m: about 95 V; within reach"));
  CHECK(has(text, "which is 5, end at 1.0 m: about 45 V and 3 places with less"));
  result.wire_ends[7].within_reach = true;
  text = report::solve_text(samples::model(), {result});
  check_shape(text);
  CHECK(has(text, "and 3 places with less, 1 of them within reach: do not touch"));
  result.wire_ends = {result.wire_ends.back()};
  CHECK(has(report::solve_text(samples::model(), {result}), "less than 1 V"));
}

TEST_CASE("bands_text: the highest voltage, and the highest within reach, with band and place") {
  results::BandTable table = samples::table();
  table.bands[2].at_middle.wire_ends[0].voltage = 2345.0;
  table.bands[1].at_middle.wire_ends[1].voltage = 149.0;
  std::string text = report::bands_text(samples::model(), table);
  check_shape(text);
  CHECK(has(text,
            "Highest voltage (r.m.s., mid-band): about 2300 V on 20m (whip, end at 5.2 m); "
            "lower than 2.5 m: about 150 V on 40m (radial (1) and 3 like it, ends at 20 mm); within reach: "
            "do not touch; keep people and animals away."));
  table.bands[1].at_middle.wire_ends[1].voltage = 3000.0;
  text = report::bands_text(samples::model(), table);
  CHECK(has(text,
            "mid-band): about 3000 V on 40m (radial (1) and 3 like it, ends at 20 mm); within reach: do"));
  for (results::BandRow& row : table.bands) {
    row.at_middle.feed_point->within_reach = false;
    for (results::WireEnd& end : row.at_middle.wire_ends) end.within_reach = false;
  }
  text = report::bands_text(samples::model(), table);
  CHECK(has(text, "about 3000 V on 40m (radial (1) and 3 like it, ends at 20 mm)."));
  CHECK(text.find("do not touch") == std::string::npos);
  for (results::BandRow& row : table.bands) row.at_middle.wire_ends.clear();
  CHECK(has(report::bands_text(samples::model(), table),
            "mid-band): about 110 V on 160m (across the feed point at"));
  for (results::BandRow& row : table.bands) row.at_middle.feed_point.reset();
  CHECK(report::bands_text(samples::model(), table).find("Highest voltage") == std::string::npos);
}

TEST_CASE("check_text: lengths, the lowest point, what is joined, copies on one line") {
  results::CheckReport check;
  check.wires.push_back({"whip", 5.2, 0.02, 5.22});
  for (int i = 1; i <= 32; ++i) check.wires.push_back({"radial " + std::to_string(i), 5.0, 0.02, 0.02});
  results::CheckReport::JunctionLine hub;
  hub.at = {0.0, 0.0, 0.02};
  for (const auto& wire : check.wires) hub.wires.push_back(wire.name);
  check.junctions = {hub};
  check.free_ends = 33;
  check.unknowns = 120;
  check.warnings = {{"low", "radial lies low"}};
  results::CheckReport higher = check;
  higher.unknowns = 300;
  const std::string text = report::check_text(samples::model(), {{1.8e6, check}, {54e6, higher}});
  check_shape(text);
  CHECK(has(text, "radial 1 (x 32)"));
  CHECK(has(text, "33 wires, 165.20 m"));
  CHECK(has(text, "Lowest point: 20 mm (1 in) above the ground, on whip."));
  CHECK(has(text, "and 27 more"));
  CHECK(has(text, "Unknowns: 120 at 1.8 MHz, 300 at 54.0 MHz."));
  CHECK(has(text, "Warning: radial lies low"));
  CHECK(text.find("radial lies low", text.find("radial lies low") + 1) == std::string::npos);
  CHECK(has(text, "valid"));
}

TEST_CASE("check_text: the wave along wires near soil, in words") {
  using Wave = results::CheckReport::WaveLine;
  results::CheckReport check;
  check.wires.push_back({"whip", 5.2, -0.35, 5.22});
  check.unknowns = 120;
  const auto said = [&](const Wave& wave) {
    check.waves = {wave};
    const std::string text = report::check_text(samples::model(), {{7.1e6, check}});
    check_shape(text);
    return text;
  };
  std::string text = said({"counterpoise", 1, 0, 5.18, 0.002, false, 0.2556, 0.3149, 0.4799});
  CHECK(has(text,
            "7.1 MHz: counterpoise lies 2 mm above soil: 5.18 m acts like 0.48 wavelength (velocity "
            "factor 0.26); current along it fades by 0.31 dB per metre."));
  CHECK(has(text, "away from its ends"));
  CHECK(has(text, "Lowest point: 0.35 m (1 ft 2 in) below the ground, on whip."));
  CHECK(has(said({"radial (1)", 4, 0, 5.0, 0.02, true, 0.7, 0.2, 0.17}),
            "radial (1) and 3 like it (insulated) lie 20 mm above soil: 5.00 m"));
  CHECK(has(said({"wire", 1, 2, 20.0, 0.6, false, 0.9, 0.05, 0.5}),
            "stretch 2 of wire runs 0.60 m above soil"));
  CHECK(has(said({"radial (1)", 2, 0, 5.0, -0.05, false, 0.3, 1.4, 0.4}),
            "radial (1) and 1 like it lie 50 mm deep in soil"));
  check.waves.clear();
  CHECK_FALSE(report::check_text(samples::model(), {{7.1e6, check}}).find("velocity") != std::string::npos);
}

TEST_CASE("models_text and model_text: names, parameters with limits, what to type next") {
  const report::ModelListing whip{
      "whip",
      "Whip",
      "a whip",
      {{"length", "length_m", "5 m", "1 m", "12 m", "from the feed point to the tip"}}};
  const report::ModelListing plain{"plain", "Plain", "nothing to change", {}};
  const std::vector<report::StudyListing> studies = {{"heights", "How high?", "a question"}};
  check_shape(report::models_text({whip, plain}, studies));
  CHECK(has(report::models_text({whip, plain}, studies), "heights How high?"));
  check_shape(report::study_text(studies[0]));
  CHECK(has(report::study_text(studies[0]), "feldspar sweep heights --output heights.h5"));
  CHECK(has(report::models_text({whip, plain}, studies), "plain"));
  const std::string text = report::model_text(whip);
  check_shape(text);
  CHECK(has(text, "5 m"));
  CHECK(has(text, "12 m"));
  CHECK(has(text, "--set \"length=5 m\""));
  CHECK(has(report::model_text(plain), "No parameters."));
}

TEST_CASE("describe_ground: numbers with every soil") {
  media::Ground ground = samples::model().ground;
  ground.name = "";
  CHECK(report::describe_ground(ground) ==
        "Soil: relative permittivity 13, conductivity 5 mS/m; flat and uniform.");
  ground.method = media::GroundMethod::plane_wave;
  CHECK(has(report::describe_ground(ground), "approximation"));
  ground.kind = media::GroundKind::perfect;
  CHECK(has(report::describe_ground(ground), "Perfect ground"));
  ground.kind = media::GroundKind::free_space;
  CHECK(has(report::describe_ground(ground), "Free space"));
}

TEST_CASE("describe_ground: a table is told by its ends, and its numbers stand with each frequency") {
  model::Model model = samples::model();
  model.ground.name = "";
  model.ground.table = {{1e6, {30.0, 2e-3}}, {4e6, {20.0, 8e-3}}};
  CHECK(report::describe_ground(model.ground) ==
        "Soil: table of 2 rows, relative permittivity 30 to 20, conductivity 2 to 8 mS/m from 1.0 MHz to 4.0 "
        "MHz; "
        "flat and uniform.");
  const std::string text = report::solve_text(model, {samples::result(2e6, 1.5, 30.0)});
  check_shape(text);
  CHECK(has(text, "Soil here relative permittivity 25, conductivity 4 mS/m"));
}

TEST_CASE("describe_far_soil: its numbers, where it begins, and all round or between bearings") {
  model::Model model = samples::model();
  media::FarSoil far;
  far.ground = {media::GroundKind::real, 81.0, 5.0, media::GroundMethod::exact, "sea", {}};
  far.begins = 25.0;
  CHECK(
      has(report::describe_far_soil(far),
          "Far soil: sea, relative permittivity 81, conductivity 5000 mS/m, from 25 m on, all round; for the "
          "reflection out there only"));
  far.all_round = false;
  far.from_bearing = 200.0 * core::kPi / 180.0;
  far.to_bearing = 320.0 * core::kPi / 180.0;
  CHECK(has(report::describe_far_soil(far), "between bearings 200 and 320 deg (true, clockwise)"));
  model.far_soil = far;
  for (const std::string& text : {report::bands_text(model, samples::table()),
                                  report::solve_text(model, {samples::result(7e6, 1.5, 30.0)})}) {
    check_shape(text);
    CHECK(has(text, "Far soil: sea, relative permittivity 81, conductivity 5000 mS/m"));
  }
  const auto sources = report::describe_soil_sources(model);
  REQUIRE(sources.size() == 2);
  CHECK(has(sources[0], "Numbers of \"average\": table of common types of earth"));
  model.ground.name = "";
  CHECK(report::describe_soil_sources(model).size() == 1);
}
