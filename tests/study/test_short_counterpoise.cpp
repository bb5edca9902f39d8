#include <doctest/doctest.h>

#include <cmath>
#include <complex>

#include "core/constants.hpp"
#include "decision/advice.hpp"
#include "io/model_file.hpp"
#include "study/explain.hpp"
#include "study/run_bands.hpp"
#include "study/solve_model.hpp"
#include "study/solved_curve.hpp"

// A 12.5 m wire, nearly upright (2.5 m off the flagpole at its foot), 9:1 at the foot, one wire on mown
// grass, average soil, 10 m of RG-58. Worked out before this was written down:
//
//   counterpoise, band   length   feed point      simple theory   largest SWR at the radio
//   6 m, 40m             0.30     120 + j63 ohm   113 + j42 ohm   3.7: wide-range
//   6 m, 20m             0.59     293 - j323 ohm  352 - j648 ohm  2.1: the radio's own tuner
//   2 m, 40m                      133 - j572 ohm                  4.9: wide-range
//   2 m, 20m                      152 - j934 ohm                  5.5: wide-range
//
// Why 40 m is worse with 6 m: 0.3 of a wave is little more than a quarter, so the wire's own resistance is
// low (63 ohm by theory); even with what the soil under the counterpoise adds it is a quarter of the 450 ohm
// that 9:1 wants, SWR 4 whatever the reactance. 0.59 of a wave is little more than a half: the resistance is
// high, and most of the wire's capacitive reactance is taken away by a counterpoise that is longer than a
// quarter of its slow wave there. With 2 m the counterpoise is short on both bands, its own capacitive
// reactance comes on top, and 20 m is the worse one: so the order is a matter of the counterpoise and no law.
// (With 5 m both are wide-range.)

namespace feldspar {

namespace {

using Complex = std::complex<double>;
constexpr double kLength = 12.5;        // m
constexpr double kRadius = 0.5e-3;      // m, of both wires
constexpr double kCounterpoise = 6.0;   // m
constexpr double kGrass = 0.02;         // m
constexpr double kWanted = 9.0 * 50.0;  // ohm
constexpr double kDbPerNeper = 8.685889638065036553;

model::Model rig(const char* counterpoise) {
  return io::load_family("flagpole-wire")
      .instantiate({{"wire_length", "12.5 m"},
                    {"foot_distance", "2.5 m"},
                    {"feed_height", "0.4 m"},
                    {"counterpoise_height", "mown_grass"},
                    {"counterpoise_length", counterpoise}});
}

struct Classes {
  results::BandRow lower;   // 40 m
  results::BandRow higher;  // 20 m
};

Classes classes_of(const model::Model& model) {
  study::BandOptions options;
  options.bands = decision::select_bands("40m,20m", 1);
  const results::BandTable table =
      study::run_bands(model, options, study::curves_of(model), study::solver_for(model));
  REQUIRE(table.bands.size() == 2);
  return {table.bands[0], table.bands[1]};
}

decision::Tuner tuner_of(const results::BandRow& row) {
  return decision::tuner_advice(row.largest.swr);
}

/// An upright wire over perfect ground, sinusoidal current. Source: derived. Reactance of an open line of the
/// wire's mean characteristic impedance 60 (ln(2 l / a) - 1) ohm; resistance 60 ohm times the integral of the
/// pattern squared, over sin^2 kl.
Complex wire_by_theory(double wavelength) {
  const double kl = 2.0 * core::kPi * kLength / wavelength;
  constexpr int kSteps = 2000;
  double integral = 0.0;
  for (int i = 0; i < kSteps; ++i) {
    const double theta = (i + 0.5) * 0.5 * core::kPi / kSteps;
    const double pattern = (std::cos(kl * std::cos(theta)) - std::cos(kl)) / std::sin(theta);
    integral += pattern * pattern * std::sin(theta) * 0.5 * core::kPi / kSteps;
  }
  const double z0 = 60.0 * (std::log(2.0 * kLength / kRadius) - 1.0);
  return {60.0 * integral / (std::sin(kl) * std::sin(kl)), -z0 / std::tan(kl)};
}

/// The wire on the grass as an open line: velocity and fading of the wave along it as `check` states them,
/// capacitance to the ground's surface 2 pi epsilon0 / ln(2 h / a).
Complex counterpoise_by_theory(const model::Model& model, core::Frequency f) {
  const auto waves = solver::check(model, f).waves;
  REQUIRE(waves.size() == 1);
  const double velocity = waves[0].velocity_factor;
  const Complex gamma(waves[0].attenuation_db / kDbPerNeper,
                      core::angular(f) / (core::kSpeedOfLight * velocity));
  return 60.0 * std::log(2.0 * kGrass / kRadius) / velocity / std::tanh(gamma * kCounterpoise);
}

}  // namespace

TEST_CASE("a 12.5 m upright wire with 9:1 and 6 m on the grass wants a better tuner on 40 m than on 20 m") {
  const Classes found = classes_of(rig("6 m"));
  CHECK(tuner_of(found.lower) == decision::Tuner::wide_range);
  CHECK(tuner_of(found.higher) == decision::Tuner::radio);
  CHECK(found.lower.at_middle.swr_at_radio > 3.0);
  CHECK(found.higher.at_middle.swr_at_radio < 2.0);
}

TEST_CASE("... because 0.3 of a wave has a low resistance and 0.59 of a wave a high one") {
  const model::Model model = rig("6 m");
  struct Row {
    double frequency;    // Hz
    double waves;        // length over wavelength, to two digits
    double least, most;  // SWR of the resistance alone, at the antenna end of the line
  };
  for (const Row& row : {Row{7.1e6, 0.30, 3.0, 10.0}, Row{14.175e6, 0.59, 1.0, 2.0}}) {
    CAPTURE(row.frequency);
    const core::Frequency f{row.frequency};
    const double wavelength = core::wavelength(f);
    CHECK(std::abs(kLength / wavelength - row.waves) < 0.005);
    const Complex theory = wire_by_theory(wavelength) + counterpoise_by_theory(model, f);
    solver::Options options;
    options.fields = false;
    const Complex computed = solver::solve(model, f, options).ports[0].impedance;
    CAPTURE(theory.real());
    CAPTURE(theory.imag());
    CAPTURE(computed.real());
    CAPTURE(computed.imag());
    for (const double resistance : {theory.real(), computed.real()}) {
      const double swr = std::max(kWanted / resistance, resistance / kWanted);
      CHECK(swr > row.least);
      CHECK(swr < row.most);
    }
    // What such a theory is good for: the resistance within a third. Its reactance is the difference of two
    // large ones, off by 325 of -323 ohm on 20 m, and is held to nothing.
    CHECK(std::abs(theory.real() - computed.real()) < computed.real() / 3.0);
  }
}

TEST_CASE("... and the explanation says so: on 40 m the ratio is wrong, on 20 m it is the reactance") {
  const model::Model model = rig("6 m");
  const auto explain_at = [&](double frequency) {
    const auto solve = study::solver_for_models(solver::Accuracy::normal);
    return study::explain(model, solve(model, core::Frequency{frequency}), solve, 1);
  };
  const results::Explanation lower = explain_at(7.1e6);
  const results::Explanation higher = explain_at(14.175e6);
  CHECK(*lower.ratio == 9.0);
  CHECK(lower.best_ratio < 4.0);  // 120 + j63 ohm: 136 / 50
  CHECK(lower.swr_at_best_ratio < 2.0);
  CHECK(*lower.swr_without_loss > 2.0 * lower.swr_at_best_ratio);
  CHECK(std::abs(higher.best_ratio - 9.0) < 1.0);  // 293 - j323 ohm: 436 / 50
  CHECK(*higher.swr_without_loss < 1.05 * higher.swr_at_best_ratio);
  CHECK(std::abs(*lower.fed_wire - 0.30) < 0.005);
  // What would change most on both: the soil under wires this low.
  CHECK(lower.ideals.front().part == "ground");
  CHECK(higher.ideals.front().part == "ground");
  CHECK(lower.ideals.front().delivered > 2.0 * lower.delivered);
}

TEST_CASE("... and with 2 m on the grass the order is the other way round") {
  const Classes found = classes_of(rig("2 m"));
  CHECK(tuner_of(found.lower) == decision::Tuner::wide_range);
  CHECK(tuner_of(found.higher) == decision::Tuner::wide_range);
  CHECK(found.higher.largest.swr > found.lower.largest.swr);
  CHECK(found.lower.at_middle.ports[0].impedance.imag() < -400.0);
  CHECK(found.higher.at_middle.ports[0].impedance.imag() < -800.0);
}

}  // namespace feldspar
