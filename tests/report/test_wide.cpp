#include <doctest/doctest.h>

#include <algorithm>
#include <sstream>

#include "report/terminal.hpp"
#include "samples.hpp"
#include "text_checks.hpp"

using namespace feldspar;
using text_checks::check_shape;
using text_checks::has;

namespace {

const report::TerminalOptions kWide{false, true};

results::BandTable table_with_parts() {
  results::BandTable table = samples::table();
  for (results::BandRow& row : table.bands) {
    results::PartResult transformer;
    transformer.entering = 93.5;
    transformer.lost = 10.0;
    transformer.loss_db = 0.49;
    transformer.voltage = 212.3;
    transformer.current = 0.634;
    results::PartResult line;
    line.entering = 100.0;
    line.lost = 6.5;
    line.loss_db = 0.292;
    line.matched_loss_db = 0.269;
    line.voltage = 71.23;
    line.current = 1.4;
    row.at_middle.parts = {transformer, line};
    row.at_middle.braid = results::BraidCurrent{0.25, 1.5, 2.0, 12.34};
    row.tuner_loss = 0.31;
  }
  return table;
}

}  // namespace

TEST_CASE("bands_text wide: everything, and no line is broken") {
  const results::BandTable table = table_with_parts();
  const std::string text = report::bands_text(samples::model(), table, kWide);
  check_shape(text, true);
  // sqrt(100 W / 49.1 ohm) = 1.427 A through |49.1 - j2.6| = 49.17 ohm: 70.2 V (derived).
  CHECK(has(
      text,
      "40m 7 7.2 51.3 -12.3 1.30 49.1 -2.6 2.4 2.2 2.6 1.98 7.080 2.6 7.200 - radio's own 0.3 70.2 1.43"));
  CHECK(has(text, "radio line by mismatch transformer wires ground sky of antenna"));
  CHECK(has(text, "40m 2.2 100 6.0 6.0 0.5 0.5 10 10 0.5 0.5 53 53 30 30 44"));
  CHECK(has(text, "(1) 9:1 transformer, (2) 10 m RG-58. Average heat: voice, times 0.2."));
  CHECK(has(text, "40m 0.49 10 2.0 212 0.63 0.29 0.27 0.02 6.5 1.3 71.2 1.40"));
  CHECK(has(text, "40m 110 0.02 1200 5.22 0.25 1.50 75 12.3 do not touch whip, end at 5.2 m"));
  CHECK(has(text, "40m +1.2 27 all -0.5 -3.0 +1.2 -1.0 <-40 0.2 % 0.2 42"));
  std::istringstream stream(text);
  std::size_t longest = 0;
  for (std::string line; std::getline(stream, line);) longest = std::max(longest, line.size());
  CHECK(longest > 120);
}

TEST_CASE("bands_text wide: extra loss below zero, a tuner passed by, no load at the radio") {
  results::BandTable table = table_with_parts();
  table.bands[0].at_middle.parts[1].loss_db = 0.15;
  table.bands[1].at_middle.parts[0].works = false;
  table.bands[2].at_middle.radio_impedance = {0.0, 30.0};
  const std::string text = report::bands_text(samples::model(), table, kWide);
  check_shape(text, true);
  CHECK(has(text, "0.15 0.27 -0.12"));
  CHECK(has(text, "40m passed by 10"));
  CHECK(has(text, "none 0.3 - -"));
  CHECK(text.find("nan") == std::string::npos);
  CHECK(text.find("inf") == std::string::npos);
}

TEST_CASE("bands_text wide: without parts, wires, fields") {
  results::BandTable table = samples::table();
  model::Model model = samples::model();
  model.feed.parts.clear();
  CHECK(report::bands_text(model, table, kWide).find("What do the parts bear?") == std::string::npos);
  for (results::BandRow& row : table.bands) {
    results::FrequencyResult& r = row.at_middle;
    r.wire_ends.clear();
    r.feed_point.reset();
    r.gain_dbi.reset();
    r.gain_at_elevation.clear();
    r.radiation_efficiency.reset();
    r.power = {};
    r.power.radio = r.power.antenna = 100.0;
  }
  CHECK(has(report::bands_text(model, table, kWide), "160m - - - - - - - - - -"));
  model.antenna.emplace();
  const std::string known = report::bands_text(model, table, kWide);
  check_shape(known, true);
  CHECK(known.find("Where is voltage") == std::string::npos);
  CHECK(has(known, "40m 2.2 100 100 100 -"));
}
