#include "study/frequency_model.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <string>

#include "antennas.hpp"
#include "core/error.hpp"
#include "study/dips.hpp"

using namespace feldspar;
using antennas::Complex;

namespace {

using Impedance = std::function<Complex(double)>;

study::FrequencyModel model_of(const Impedance& truth, double spacing, int max_solves = 100, int threads = 1,
                               double noise = 0.0) {
  study::FrequencyModelOptions options;
  options.spacing = spacing;
  options.max_solves = max_solves;
  options.threads = threads;
  const antennas::Counted solve{.impedance = truth, .noise = noise};
  return study::make_frequency_model(
      [&](double f) {
        return Eigen::VectorXcd::Constant(1, 1.0 / solve(core::Frequency{f}, false).ports[0].impedance);
      },
      options);
}

double worst(const study::FrequencyModel& model, const Impedance& truth) {
  double worst = 0.0;
  for (const double f : study::fine_grid(1.8e6, 54e6))
    worst = std::max(worst, std::abs(model.impedance(f) - truth(f)) / std::abs(truth(f)));
  return worst;
}

}  // namespace

TEST_CASE("frequency model: within a tenth of a percent of the truth, with few solves") {
  struct Row {
    const char* what;
    Impedance impedance;
    double length;  // m, of wire in a line
    int max_solves;
  };
  const Row rows[] = {
      {"whip of 5.2 m", [](double f) { return antennas::wire(f, 5.2, 15.0); }, 10.2, 16},
      {"whip of 2.5 m with a coil, narrow", [](double f) { return antennas::loaded_whip(f, 2.5, 30e-6); },
       7.5, 16},
      {"wire of 10 m", [](double f) { return antennas::wire(f, 10.0, 15.0); }, 20.0, 24},
      {"wire of 21 m", [](double f) { return antennas::wire(f, 21.0, 30.0); }, 26.0, 36},
      {"wire of 41 m", [](double f) { return antennas::wire(f, 41.0, 30.0); }, 46.0, 46},
      {"wire of 84 m", [](double f) { return antennas::wire(f, 84.0, 30.0); }, 90.0, 84},
  };
  for (const Row& row : rows) {
    CAPTURE(std::string(row.what));
    const study::FrequencyModel model = model_of(row.impedance, 0.5 * 299792458.0 / row.length);
    MESSAGE(std::string(row.what) << ": " << model.frequencies.size() << " solves, worst "
                                  << worst(model, row.impedance));
    CHECK(model.converged);
    CHECK(static_cast<int>(model.frequencies.size()) <= row.max_solves);
    CHECK(model.error < 6e-4);
    CHECK(worst(model, row.impedance) < 1e-3);
  }
}

TEST_CASE("frequency model: a coil's narrow dip between the solves is found, wherever it lies") {
  for (const double resonance : {2.05e6, 3.72e6, 5.2e6, 11.3e6}) {
    CAPTURE(resonance);
    double inductance = 1e-7;
    while (antennas::loaded_whip(resonance, 2.5, inductance).imag() < 0.0) inductance *= 1.0001;
    const Impedance truth = [inductance](double f) { return antennas::loaded_whip(f, 2.5, inductance); };
    const study::FrequencyModel model = model_of(truth, 30e6);
    CHECK(static_cast<int>(model.frequencies.size()) <= 16);
    const auto dips = study::find_dips([&](double f) { return antennas::swr50(f, model.impedance(f)); },
                                       study::fine_grid(1.8e6, 54e6));
    const auto right = study::find_dips([&](double f) { return antennas::swr50(f, truth(f)); },
                                        study::fine_grid(1.8e6, 54e6, 1e-5));
    REQUIRE(dips.size() == right.size());
    REQUIRE(!dips.empty());
    for (std::size_t i = 0; i < dips.size(); ++i) {
      CAPTURE(right[i].frequency);
      CHECK(std::abs(dips[i].frequency / right[i].frequency - 1.0) < 3e-5);
      CHECK(std::abs(dips[i].swr / right[i].swr - 1.0) < 3e-3);
    }
    CHECK(std::abs(right.front().frequency / resonance - 1.0) < 0.02);
  }
}

TEST_CASE("frequency model: a trap's notch between the solves is found") {
  // 6 m of wire behind a trap of Q = 300 at 18.1 MHz, whose impedance is narrow in frequency
  const Impedance truth = [](double f) {
    const double w = 2.0 * core::kPi * f;
    const double l = 1.5e-6;
    const double w0 = 2.0 * core::kPi * 18.1e6;
    const Complex coil(w * l / 300.0, w * l);
    return antennas::wire(f, 6.0, 15.0, 0.05) + 1.0 / (1.0 / coil + Complex(0.0, w / (w0 * w0 * l)));
  };
  const study::FrequencyModel model = model_of(truth, 25e6);
  CHECK(model.converged);
  CHECK(static_cast<int>(model.frequencies.size()) <= 20);
  CHECK(worst(model, truth) < 1e-3);
}

TEST_CASE("frequency model: corners in what the system is made of cost accuracy, and that is said") {
  // loss that grows by a third from octave to octave of a table, straight pieces between its rows: no
  // rational function has corners
  const Impedance truth = [](double f) {
    const double at[] = {1e6, 3e6, 10e6, 30e6, 100e6};
    const double nepers[] = {0.05, 0.09, 0.10, 0.16, 0.17};
    int i = 0;
    while (f > at[i + 1]) ++i;
    const double share = std::log(f / at[i]) / std::log(at[i + 1] / at[i]);
    return antennas::wire(f, 6.0, 20.0, nepers[i] + share * (nepers[i + 1] - nepers[i]));
  };
  const study::FrequencyModel model = model_of(truth, 20e6);
  MESSAGE(model.frequencies.size() << " solves, worst " << worst(model, truth) << ", says " << model.error);
  CHECK(worst(model, truth) < 0.01);
  CHECK(model.error > 0.3 * worst(model, truth));
  CHECK(model.frequencies.size() < 70);
}

TEST_CASE("frequency model: noise in the solves is lived with, and said") {
  const Impedance truth = [](double f) { return antennas::wire(f, 5.2, 15.0); };
  const study::FrequencyModel model = model_of(truth, 30e6, 40, 1, 2e-3);
  MESSAGE("noise 2e-3: " << model.frequencies.size() << " solves, worst " << worst(model, truth) << ", says "
                         << model.error);
  CHECK(worst(model, truth) < 0.03);  // ten times the noise: a fit through noise is not better than that
  CHECK(model.error > 0.1 * worst(model, truth));
}

TEST_CASE("frequency model: a budget that is too small is not called converged") {
  const Impedance truth = [](double f) { return antennas::wire(f, 84.0, 5.0); };
  const study::FrequencyModel model = model_of(truth, 30e6, 12);
  CHECK(worst(model, truth) > 1e-2);
  CHECK_FALSE(model.converged);
  CHECK(model.frequencies.size() == 12);
  CHECK(model.error > 1e-3);
}

TEST_CASE("frequency model: the answer does not depend on the number of threads") {
  const Impedance truth = [](double f) { return antennas::wire(f, 10.0, 15.0); };
  const study::FrequencyModel one = model_of(truth, 15e6, 100, 1);
  const study::FrequencyModel four = model_of(truth, 15e6, 100, 4);
  for (const double f : study::fine_grid(1.8e6, 54e6, 1e-2)) CHECK(one.impedance(f) == four.impedance(f));
}

TEST_CASE("frequency model: a range out of order is refused") {
  study::FrequencyModelOptions options;
  options.lower = 2e6;
  options.upper = 1e6;
  const study::StateFunction state = [](double) { return Eigen::VectorXcd::Ones(1); };
  CHECK_THROWS_AS((void)study::make_frequency_model(state, options), core::Error);
}
