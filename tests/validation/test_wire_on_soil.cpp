#include <doctest/doctest.h>

#include <cmath>
#include <complex>
#include <string>
#include <vector>

#include "../support/close.hpp"
#include "../support/structures.hpp"
#include "../support/table.hpp"
#include "wave_fit.hpp"

// Propagation along a long bare wire near average soil (13, 5 mS/m). Source: wire_near_soil.csv, the exact
// mode equation of a thin wire over a half-space, Wait, Radio Sci. 7 (1972) 675, in the form of D'Amore &
// Sarto, IEEE Trans. EMC 38 (1996) 127. Nothing of it is used here: velocity and attenuation come from the
// current the solver finds.
namespace feldspar::validation {

namespace {

using Complex = std::complex<double>;

constexpr double kWaves = 6.5;     // length of the wire, wavelengths in air
constexpr double kFeed = 0.25;     // of the gap from one end, wavelengths
constexpr double kKeepAway = 0.5;  // from feed and far end, wavelengths
constexpr double kFaded = 35.0;    // dB below the first sample, where the fit stops
constexpr int kSamples = 400;

struct Case {
  core::Frequency f;
  double height = 0.0;
  double radius = 0.0;
  double velocity_factor = 0.0;
  double attenuation_db = 0.0;  // per metre
};

std::vector<Case> cases() {
  std::vector<Case> result;
  for (const testing::Row& row : testing::Table("published/wire_near_soil.csv", 175)) {
    if (row.text("soil") != "average" || row.text("case") != "bare") continue;
    const double f = row.number("frequency_hz");
    const double h = row.number("axis_height_m");
    if (f != 1.85e6 && f != 7.1e6 && f != 14.1e6) continue;
    if (h != 2.0 && h != 0.1 && h != 0.02 && h != 0.005) continue;
    result.push_back({core::Frequency{f}, h, row.number("wire_radius_m"), row.number("velocity_factor"),
                      row.number("attenuation_db_per_m")});
  }
  return result;
}

moment::Solution solve(const Case& c, const moment::Setting& setting) {
  const double lambda = core::wavelength(c.f);
  const double feed = kFeed * lambda;
  testing::Structure s;
  s.wires = {testing::straight({0.0, 0.0, c.height}, {kWaves * lambda, 0.0, c.height}, c.radius)};
  s.ports = {{"feed", {{0, feed - 0.005, feed + 0.005}}, {}}};
  return moment::solve(s, {}, testing::soil(13.0, 5e-3), c.f, setting);
}

WaveFit fitted(const Case& c, const moment::Currents& currents) {
  const double lambda = core::wavelength(c.f);
  const double first = (kFeed + kKeepAway) * lambda;
  const double step = ((kWaves - kKeepAway) * lambda - first) / (kSamples - 1);
  std::vector<Complex> samples;
  for (int i = 0; i < kSamples; ++i) {
    samples.push_back(current_at(currents, first + i * step));
    if (std::abs(samples.back()) < std::pow(10.0, -kFaded / 20.0) * std::abs(samples.front())) break;
  }
  return fit_wave(samples, step);
}

double velocity_factor(const Case& c, const WaveFit& wave) {
  return core::wavenumber(c.f) / wave.gamma.imag();
}
double attenuation_db(const WaveFit& wave) {
  return wave.gamma.real() * 20.0 / std::log(10.0);
}

}  // namespace

TEST_CASE("fit_wave: finds the constants of a wave that is known") {
  const Complex gamma{0.02, 0.31};
  std::vector<Complex> samples;
  for (int i = 0; i < kSamples; ++i) {
    const double x = 0.25 * i;
    samples.push_back(std::exp(-gamma * x) +
                      Complex(0.3, -0.4) * std::exp(-gamma * (0.25 * (kSamples - 1) - x)));
  }
  const WaveFit wave = fit_wave(samples, 0.25);
  CHECK(std::abs(wave.gamma - gamma) <= 1e-10);
  CHECK(wave.residual <= 1e-10);
}

TEST_CASE("wire on soil: velocity and attenuation of the wave along it") {
  // 3 % and 10 %: the project's figures. Besides the mode a fed wire carries the continuous spectrum, which
  // falls slowly: it is 1 % of the current here (the residual) and the reason why the attenuation at 2 m is
  // not compared.
  REQUIRE(cases().size() == 12);
  for (const Case& c : cases()) {
    CAPTURE(c.f.si);
    CAPTURE(c.height);
    const moment::Solution solution = solve(c, {});
    const WaveFit wave = fitted(c, solution.unit_currents.front());
    CAPTURE(wave.residual);
    CHECK(wave.residual <= 0.02);
    CHECK(testing::relative_error(velocity_factor(c, wave), c.velocity_factor) <= 0.03);
    if (c.height < 1.0) CHECK(testing::relative_error(attenuation_db(wave), c.attenuation_db) <= 0.10);
  }
}

TEST_CASE("wire on soil: the default mesh follows the slow wave") {
  // The wave on a low wire is up to twice as short as in air. Against a mesh of half the length and three
  // orders more (itself ten times better than the default): Z keeps the 0.3 % that the default owes in any
  // reference case, the estimate is of the error's size, and the wave is right to 0.1 %.
  for (const Case& c : cases()) {
    CAPTURE(c.f.si);
    CAPTURE(c.height);
    moment::Setting finer;
    finer.mesh.longest *= 0.5;
    finer.mesh.extra_order = 3;
    const moment::Solution normal = solve(c, {});
    const moment::Solution fine = solve(c, finer);
    const double error = testing::relative_error(normal.impedance(0, 0), fine.impedance(0, 0));
    CHECK(error <= 0.003);
    CHECK(error <= 10.0 * normal.impedance_error_relative);
    const WaveFit wave = fitted(c, normal.unit_currents.front());
    const WaveFit truth = fitted(c, fine.unit_currents.front());
    CHECK(testing::relative_error(wave.gamma, truth.gamma) <= 1e-3);
  }
}

}  // namespace feldspar::validation
