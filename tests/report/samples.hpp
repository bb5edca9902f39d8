#pragma once

#include "model/model.hpp"
#include "results/band_table.hpp"

/// Results made up for the tests of this folder: no engine computed them, and they mean nothing.
namespace samples {

inline feldspar::model::Model model() {
  feldspar::model::Model model;
  model.name = "boathouse.toml";
  model.title = "Whip on the boathouse lawn";
  model.about = "a test";
  model.parameters = {
      {"whip_length", "whip_length_m", 5.2}, {"radial_count", "radial_count", 4.0}, {"coil", "coil_h", 4e-5}};
  model.ground = {feldspar::media::GroundKind::real, 13.0, 0.005, feldspar::media::GroundMethod::exact,
                  "average"};
  feldspar::geometry::Wire whip;
  whip.name = "whip";
  whip.path = {{0.0, 0.0, 0.02}, {0.0, 0.0, 5.22}};
  whip.radius = 0.003;
  model.structure.wires = {whip};
  model.structure.ports = {{"feed", {{0, 0.0, 0.006, 1}}, {}}};
  feldspar::circuit::Line line;
  line.type = "RG-58";
  line.length = 10.0;
  model.feed.parts = {feldspar::circuit::Transformer{9.0, 0.5, true}, line};
  return model;
}

inline feldspar::results::FrequencyResult result(double frequency, double swr, double sky) {
  feldspar::results::FrequencyResult r;
  r.frequency = frequency;
  r.ports = {{"feed", {51.2734, -12.3456}}};
  r.radio_impedance = {49.1, -2.6};
  r.swr_on_line = 1.3;
  r.swr_at_radio = swr;
  r.gain_dbi = 1.23;
  r.gain_elevation_deg = 27.0;
  r.gain_from_radio_dbi = -0.5;
  r.gain_at_elevation = {{10.0, -3.0}, {30.0, 1.2}, {60.0, -1.0}, {90.0, -290.0}};
  r.radiation_efficiency = 0.44;
  r.power.radio = 100.0;
  r.power.line_matched = 6.0;
  r.power.line_extra = 0.5;
  r.power.transformer = 10.0;
  r.power.wires = 0.5;
  r.power.ground = 83.0 - sky;
  r.power.sky = sky;
  r.ground_by_difference = true;
  r.feed_point = feldspar::results::FeedPointVoltage{0.0, 0.0, 0.023, 112.3, true};
  r.wire_ends = {{"whip", false, 1, 0.0, 0.0, 5.22, 1234.0, false},
                 {"radial (1)", false, 4, 5.0, 0.0, 0.02, 87.6, true}};
  r.unknowns = 42;
  r.impedance_error_relative = 0.002;
  r.radio_error_relative = 0.002;
  r.resistance_error = 0.2;
  return r;
}

inline feldspar::results::BandRow row(const char* name, double lower, double upper, double swr, double sky) {
  feldspar::results::BandRow row;
  row.name = name;
  row.lower = lower;
  row.upper = upper;
  row.at_lower = result(lower, swr * 1.1, sky);
  row.at_middle = result(0.5 * (lower + upper), swr, sky);
  row.at_upper = result(upper, swr * 1.2, sky);
  row.lowest = {lower + 0.4 * (upper - lower), swr * 0.9};
  row.largest = {upper, swr * 1.2};
  row.bandwidth_swr2 = swr * 1.2 < 2.0 ? upper - lower : 0.0;
  row.line_loss_at_largest = 7.43;
  return row;
}

inline feldspar::results::BandTable table() {
  feldspar::results::BandTable table;
  table.bands = {row("160m", 1.81e6, 1.85e6, 150.0, 0.3), row("40m", 7.0e6, 7.2e6, 2.2, 30.0),
                 row("20m", 14.0e6, 14.35e6, 1.4, 15.0), row("10m", 28.0e6, 29.7e6, 4.0, 40.0)};
  table.dips = {{7.05e6, 1.8}, {14.02e6, 1.26}};
  table.sweep_lower = 1.8e6;
  table.sweep_upper = 54e6;
  table.solves = 43;
  table.interpolation_error = 4e-4;
  table.warnings = {{"proximity", "160m: wires whip and radial are close"}};
  return table;
}

}  // namespace samples
