#include "study/run_bands.hpp"

#include <doctest/doctest.h>
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "antennas.hpp"
#include "circuit/feed.hpp"
#include "circuit/reflection.hpp"
#include "core/constants.hpp"
#include "study/solve_model.hpp"
#include "study/solved_curve.hpp"

using namespace feldspar;
using antennas::Complex;

namespace {

model::Model whip() {
  model::Model model;
  model.name = "test-whip";
  geometry::Wire wire;
  wire.name = "whip";
  wire.path = {{0.0, 0.0, 0.0}, {0.0, 0.0, 5.2}};
  model.structure.wires = {wire};
  return model;
}

study::BandOptions options_for(int region, int threads = 1) {
  study::BandOptions options;
  options.bands = decision::bands(region);
  options.threads = threads;
  return options;
}

}  // namespace

TEST_CASE("run_bands: every band, fields at the middle only, and few solves in all") {
  const auto truth = [](double f) { return antennas::wire(f, 5.2, 15.0); };
  const antennas::Counted solve{.impedance = truth};
  const results::BandTable table =
      study::run_bands(whip(), options_for(1), antennas::curves_of(solve), solve);
  REQUIRE(table.bands.size() == 12);
  CHECK(table.solves == *solve.calls);
  CHECK(table.solves <= 16 + 8);  // HF and the band above it
  CHECK(table.warnings.empty());
  CHECK(table.interpolation_error < 1e-3);
  for (const results::BandRow& row : table.bands) {
    CAPTURE(row.name);
    CHECK(row.at_lower.frequency == row.lower);
    CHECK(row.at_upper.frequency == row.upper);
    CHECK(row.at_middle.frequency == 0.5 * (row.lower + row.upper));
    CHECK(row.at_middle.gain_dbi.has_value());
    CHECK_FALSE(row.at_lower.gain_dbi.has_value());
    // The extremes against the truth on a dense grid of their own.
    double lowest = 1e9;
    double largest = 0.0;
    for (int i = 0; i <= 2000; ++i) {
      const double f = row.lower + (row.upper - row.lower) * i / 2000.0;
      lowest = std::min(lowest, circuit::swr(truth(f), 50.0));
      largest = std::max(largest, circuit::swr(truth(f), 50.0));
    }
    CHECK(std::abs(row.lowest.swr / lowest - 1.0) < 2e-3);
    CHECK(std::abs(row.largest.swr / largest - 1.0) < 2e-3);
    CHECK(row.lowest.frequency >= row.lower);
    CHECK(row.lowest.frequency <= row.upper);
  }
}

TEST_CASE("run_bands: a dip narrower than the distance from edge to middle is found, with its width") {
  double inductance = 1e-6;
  while (antennas::loaded_whip(3.72e6, 2.5, inductance).imag() < 0.0) inductance += 1e-8;
  const auto truth = [inductance](double f) { return antennas::loaded_whip(f, 2.5, inductance); };
  const antennas::Counted solve{.impedance = truth};
  const results::BandTable table =
      study::run_bands(whip(), options_for(1), antennas::curves_of(solve), solve);
  const auto row =
      std::find_if(table.bands.begin(), table.bands.end(), [](const auto& b) { return b.name == "80m"; });
  REQUIRE(row != table.bands.end());
  CHECK(row->at_lower.swr_at_radio > 10.0);
  CHECK(row->at_middle.swr_at_radio > 4.0);
  CHECK(row->at_upper.swr_at_radio > 4.0);
  // Truth by looking every 20 Hz.
  double width = 0.0;
  double lowest = 1e9;
  double at = 0.0;
  for (double f = row->lower; f <= row->upper; f += 20.0) {
    const double swr = circuit::swr(truth(f), 50.0);
    if (swr < 2.0) width += 20.0;
    if (swr < lowest) {
      lowest = swr;
      at = f;
    }
  }
  MESSAGE("SWR below 2 over " << width << " Hz");
  CHECK(width < 0.5 * (row->at_middle.frequency - row->lower));
  CHECK(std::abs(row->lowest.frequency - at) < 200.0);
  CHECK(std::abs(row->lowest.swr / lowest - 1.0) < 3e-3);
  CHECK(std::abs(row->bandwidth_swr2 - width) < 200.0);
  const auto dip = std::find_if(table.dips.begin(), table.dips.end(),
                                [&](const results::Dip& d) { return std::abs(d.frequency - at) < 200.0; });
  CHECK(dip != table.dips.end());
}

TEST_CASE("run_bands: the feed line is run on the interpolated curve") {
  model::Model model = whip();
  circuit::Line line;
  line.length = 10.0;
  line.z0 = 50.0;
  line.velocity_factor = 0.66;
  line.k1 = 0.02;
  model.feed.parts = {circuit::Transformer{9.0, 0.5, true}, line};
  const auto truth = [](double f) { return antennas::wire(f, 17.4, 60.0); };
  const antennas::Counted port{.impedance = truth};
  const auto solve = [&](core::Frequency f, bool fields) {
    results::FrequencyResult result = port(f, fields);
    result.swr_at_radio = circuit::run_feed(model.feed.parts, f, truth(f.si), 50.0).swr_at_radio;
    return result;
  };
  study::BandOptions options = options_for(2);
  options.every_frequency = true;
  const results::BandTable table = study::run_bands(model, options, antennas::curves_of(port), solve);
  CHECK(table.solves == *port.calls);
  for (const results::BandRow& row : table.bands) {
    CAPTURE(row.name);
    double lowest = 1e9;
    double largest = 0.0;
    for (int i = 0; i <= 2000; ++i) {
      const core::Frequency f{row.lower + (row.upper - row.lower) * i / 2000.0};
      const double swr = circuit::run_feed(model.feed.parts, f, truth(f.si), 50.0).swr_at_radio;
      lowest = std::min(lowest, swr);
      largest = std::max(largest, swr);
    }
    CHECK(std::abs(row.lowest.swr / lowest - 1.0) < 2e-3);
    CHECK(std::abs(row.largest.swr / largest - 1.0) < 2e-3);
    const auto at_largest = circuit::run_feed(model.feed.parts, core::Frequency{row.largest.frequency},
                                              truth(row.largest.frequency), 50.0);
    CHECK(row.line_loss_at_largest == doctest::Approx(at_largest.line_loss_db).epsilon(5e-3));
  }
}

TEST_CASE("run_bands: warnings are told once, with their bands") {
  const antennas::Counted port{.impedance = [](double f) { return antennas::wire(f, 5.2, 15.0); }};
  const auto solve = [&](core::Frequency f, bool fields) {
    results::FrequencyResult result = port(f, fields);
    result.warnings.push_back({"proximity", "two wires are close"});
    if (f.si > 27e6 && f.si < 60e6) result.warnings.push_back({"radius", "the pole is thick"});
    if (f.si < 3e6)
      result.warnings.push_back({"error", fmt::format("uncertain by {:.2f} %, try 2 things.", f.si / 1e6)});
    return result;
  };
  study::BandOptions options = options_for(1);
  options.every_frequency = true;
  const results::BandTable table = study::run_bands(whip(), options, antennas::curves_of(port), solve);
  REQUIRE(table.warnings.size() == 3);
  CHECK(table.warnings[0].text == "two wires are close");
  CHECK(table.warnings[1].text == "160m: uncertain by 1.81 to 1.85 %, try 2 things.");
  CHECK(table.warnings[2].text == "10m, 6m: the pole is thick");
  CHECK(table.warnings[2].code == "radius");
}

TEST_CASE("run_bands: a few bands, any number of threads, and no bands") {
  const antennas::Counted solve{.impedance = [](double f) { return antennas::wire(f, 5.2, 15.0); }};
  study::BandOptions options;
  options.bands = decision::select_bands("2m,20m", 1);
  const results::BandTable one =
      study::run_bands(whip(), options, antennas::curves_of(solve, options.threads), solve);
  options.threads = 3;
  const results::BandTable three =
      study::run_bands(whip(), options, antennas::curves_of(solve, options.threads), solve);
  REQUIRE(one.bands.size() == 2);
  CHECK(one.bands[0].name == "20m");
  CHECK(one.bands[1].name == "2m");
  CHECK(one.solves == three.solves);
  REQUIRE(one.dips.size() == three.dips.size());
  for (std::size_t i = 0; i < one.dips.size(); ++i) {
    CHECK(one.dips[i].frequency == three.dips[i].frequency);
    CHECK(one.dips[i].swr == three.dips[i].swr);
  }
  CHECK(one.bands[1].lowest.swr == three.bands[1].lowest.swr);
  CHECK_THROWS_AS((void)study::run_bands(whip(), study::BandOptions{}, antennas::curves_of(solve), solve),
                  core::Error);
}

TEST_CASE("run_bands: a failed solve is reported, the first in order") {
  const auto solve = [](core::Frequency f, bool) -> results::FrequencyResult {
    throw core::Error(core::ErrorKind::numerics, "no solution at " + std::to_string(static_cast<int>(f.si)));
  };
  study::BandOptions options;
  options.bands = decision::select_bands("40m,20m", 1);
  options.threads = 4;
  options.every_frequency = true;
  const antennas::Counted port{.impedance = [](double f) { return antennas::wire(f, 5.2, 15.0); }};
  CHECK_THROWS_WITH_AS((void)study::run_bands(whip(), options, antennas::curves_of(port), solve),
                       doctest::Contains("7000000"), core::Error);
}

namespace {

/// 40 ohm, 5 uH and 25 pF behind 10 m of RG-58, known by rows 50 kHz apart.
struct MeasuredRig {
  static Complex whip(double f) {
    const double w = 2.0 * core::kPi * f;
    return {40.0, w * 5e-6 - 1.0 / (w * 25e-12)};
  }
  static model::Model model(double lower, double upper) {
    circuit::NetworkData table{1, {}, {}, {50.0, 50.0}, "whip.s1p"};
    for (double f = lower; f < upper + 1.0; f += 50e3) {
      table.frequencies.push_back(f);
      table.s.push_back({circuit::reflection_coefficient(whip(f), 50.0)});
    }
    model::Model model;
    model.antenna = circuit::KnownAntenna{{}, table};
    return model;
  }
};

}  // namespace

TEST_CASE("run_bands: a known antenna is asked directly, as far as its table goes") {
  const model::Model model = MeasuredRig::model(5e6, 22e6);
  const results::BandTable table =
      study::run_bands(model, options_for(1), study::curves_of(model), study::solver_for(model));
  std::vector<std::string> names;
  for (const results::BandRow& row : table.bands) {
    names.push_back(row.name);
    CAPTURE(row.name);
    double lowest = 1e9;
    for (int i = 0; i <= 4000; ++i)
      lowest = std::min(
          lowest, circuit::swr(MeasuredRig::whip(row.lower + (row.upper - row.lower) * i / 4000.0), 50.0));
    CHECK(std::abs(row.lowest.swr / lowest - 1.0) < 1e-3);
    CHECK(std::abs(row.at_middle.ports[0].impedance - MeasuredRig::whip(row.at_middle.frequency)) < 0.05);
    CHECK(row.at_middle.power.antenna == row.at_middle.power.radio);
    CHECK_FALSE(row.at_middle.gain_dbi);
  }
  CHECK(names == std::vector<std::string>{"60m", "40m", "30m", "20m", "17m", "15m"});
  REQUIRE(table.warnings.size() == 1);
  CHECK(table.warnings[0].text == "160m, 80m, 12m, 10m, 6m, 2m left out: whip.s1p reaches from 5 to 22 MHz");
  CHECK(table.sweep_lower == 5e6);
  CHECK(table.sweep_upper == 22e6);
  REQUIRE(table.dips.size() == 1);
  const double resonance = 1.0 / (2.0 * core::kPi * std::sqrt(5e-6 * 25e-12));
  CHECK(std::abs(table.dips[0].frequency / resonance - 1.0) < 1e-3);
  CHECK(std::abs(table.dips[0].swr - 1.25) < 1e-3);
  CHECK(table.interpolation_error == 0.0);
}

TEST_CASE("run_bands: bands that a measured part of the feed does not reach are left out, and said") {
  model::Model model;
  model.antenna = circuit::KnownAntenna{{75.0, 0.0}, {}};
  circuit::MeasuredPart part;  // straight through: S11 = 0, S21 = 1
  part.data = {2, {6e6, 16e6}, {{0.0, 1.0, 1.0, 0.0}, {0.0, 1.0, 1.0, 0.0}}, {50.0, 50.0}, "filter.s2p"};
  model.feed.parts = {part};
  const results::BandTable table =
      study::run_bands(model, options_for(1), study::curves_of(model), study::solver_for(model));
  std::vector<std::string> names;
  for (const results::BandRow& row : table.bands) names.push_back(row.name);
  CHECK(names == std::vector<std::string>{"40m", "30m", "20m"});
  CHECK(table.sweep_lower == 6e6);
  CHECK(table.sweep_upper == 16e6);
  REQUIRE(table.warnings.size() == 1);
  CHECK(table.warnings[0].code == "part-table");
  CHECK(table.warnings[0].text ==
        "160m, 80m, 60m, 17m, 15m, 12m, 10m, 6m, 2m left out: filter.s2p reaches from 6 to 16 MHz");
}

TEST_CASE("run_bands: a known antenna whose table reaches no band, and one without a table") {
  const model::Model narrow = MeasuredRig::model(14.1e6, 14.2e6);
  CHECK_THROWS_WITH_AS(
      (void)study::run_bands(narrow, options_for(1), study::curves_of(narrow), study::solver_for(narrow)),
      doctest::Contains("14.1 to 14.2 MHz"), core::Error);
  model::Model given;
  given.antenna = circuit::KnownAntenna{{75.0, 0.0}, {}};
  const results::BandTable table =
      study::run_bands(given, options_for(1, 2), study::curves_of(given), study::solver_for(given));
  CHECK(table.bands.size() == 12);
  CHECK(table.warnings.empty());
  for (const results::BandRow& row : table.bands)
    CHECK(row.largest.swr == doctest::Approx(1.5).epsilon(1e-12));
}
