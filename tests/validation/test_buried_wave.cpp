#include <doctest/doctest.h>

#include <cmath>
#include <complex>
#include <string>
#include <vector>

#include "../support/close.hpp"
#include "../support/structures.hpp"
#include "math/bessel.hpp"
#include "media/wire_mode.hpp"
#include "solver/setting_detail.hpp"
#include "wave_fit.hpp"

// Propagation along long wires in the soil: the current that the solver finds, against the mode equation and
// the closed forms.
namespace feldspar::validation {

namespace {

using Complex = std::complex<double>;

struct Case {
  const char* name;
  double relative, conductivity;  // of the soil
  double mhz, depth, radius;
  double coat, coat_permittivity;  // thickness, m
  double length;                   // m
  double away;                     // from the feed and from the far end, m
};

Complex permittivity(const Case& c) {
  return media::complex_permittivity(testing::soil(c.relative, c.conductivity), core::Frequency{c.mhz * 1e6});
}

WaveFit wave_of(const Case& c) {
  testing::Structure s;
  s.wires = {testing::straight({0.0, 0.0, -c.depth}, {c.length, 0.0, -c.depth}, c.radius)};
  s.wires[0].coat = {c.coat, c.coat_permittivity};
  const double feed = 0.25 * c.away;
  s.ports = {{"feed", {{0, feed - 0.005, feed + 0.005}}, {}}};
  const core::Frequency f{c.mhz * 1e6};
  const solver::ElectricalStructure rig = solver::electrical(s, f);
  const moment::Solution solution =
      moment::solve(rig.structure, rig.series, testing::soil(c.relative, c.conductivity), f);
  constexpr int kSamples = 300;
  constexpr double kFaded = 20.0;  // dB below the first sample, where the fit stops
  const double first = feed + c.away;
  const double step = (c.length - c.away - first) / (kSamples - 1);
  std::vector<Complex> samples;
  for (int i = 0; i < kSamples; ++i) {
    samples.push_back(current_at(solution.unit_currents.front(), first + i * step));
    if (std::abs(samples.back()) < std::pow(10.0, -kFaded / 20.0) * std::abs(samples.front())) break;
  }
  return fit_wave(samples, step);
}

/// j beta of the mode equation.
Complex mode_of(const Case& c) {
  const core::Frequency f{c.mhz * 1e6};
  const media::LongWire wire{c.radius, c.coat, c.coat_permittivity, {}};
  return Complex{0.0, core::wavenumber(f)} *
         media::wire_mode(wire, core::Length{-c.depth}, permittivity(c), f).slowness;
}

}  // namespace

TEST_CASE("buried wire, bare: current decays with the soil's own wavenumber") {
  // Closed form: gamma = j k1. Besides, the current of a bare wire falls as 1 / ln, which adds about
  // 1 / (2 x ln(x / a)) to the decay at the distance x from the feed: 1 to 3 % of it here.
  const Case cases[] = {{"average, 3 m deep", 13.0, 5e-3, 7.1, 3.0, 1e-3, 0.0, 1.0, 40.0, 9.0},
                        {"average, 6 m deep", 13.0, 5e-3, 3.6, 6.0, 1e-3, 0.0, 1.0, 60.0, 12.0},
                        {"wet, 1.5 m deep", 30.0, 30e-3, 7.1, 1.5, 1e-3, 0.0, 1.0, 20.0, 4.0},
                        {"sea, 0.5 m deep", 81.0, 5.0, 1.85, 0.5, 1e-3, 0.0, 1.0, 4.0, 0.6}};
  for (const Case& c : cases) {
    CAPTURE(c.name);
    const WaveFit wave = wave_of(c);
    CAPTURE(wave.gamma.real());
    CAPTURE(wave.gamma.imag());
    const Complex k1 = core::wavenumber(core::Frequency{c.mhz * 1e6}) * std::sqrt(permittivity(c));
    CHECK(wave.residual <= 0.02);
    CHECK(testing::relative_error(wave.gamma, Complex{0.0, 1.0} * k1) <= 0.03);
    CHECK(testing::relative_error(wave.gamma, mode_of(c)) <= 0.03);
  }
}

TEST_CASE("buried wire, bare and shallow: the air nearby hurries the current as the mode equation says") {
  const Case cases[] = {{"average, 7.1 MHz", 13.0, 5e-3, 7.1, 0.1, 1e-3, 0.0, 1.0, 40.0, 2.0},
                        {"average, 1.85 MHz", 13.0, 5e-3, 1.85, 0.1, 1e-3, 0.0, 1.0, 60.0, 4.0},
                        {"average, 20 mm deep", 13.0, 5e-3, 7.1, 0.02, 1e-3, 0.0, 1.0, 40.0, 2.0},
                        {"wet, 7.1 MHz", 30.0, 30e-3, 7.1, 0.1, 1e-3, 0.0, 1.0, 20.0, 1.0}};
  for (const Case& c : cases) {
    CAPTURE(c.name);
    const WaveFit wave = wave_of(c);
    CHECK(wave.residual <= 0.02);
    CHECK(testing::relative_error(wave.gamma, mode_of(c)) <= 0.03);
  }
}

TEST_CASE("buried wire, insulated: current decays as on a coated line") {
  // King and Smith, Antennas in Matter (1981), ch. 8 (from memory): the closed form of
  // tests/media/test_wire_mode.cpp. A true mode, so the fit is far better than the closed form.
  const Case cases[] = {{"sea, 1 m deep", 81.0, 5.0, 7.1, 1.0, 1e-3, 1e-3, 2.3, 60.0, 4.0},
                        {"wet, 2 m deep", 30.0, 30e-3, 1.85, 2.0, 1e-3, 2e-3, 2.3, 100.0, 6.0},
                        {"wet, 0.1 m deep", 30.0, 30e-3, 7.1, 0.1, 1e-3, 1e-3, 2.3, 60.0, 4.0},
                        {"average, 0.1 m deep", 13.0, 5e-3, 1.85, 0.1, 1e-3, 1e-3, 2.3, 100.0, 6.0},
                        {"average, 0.1 m deep", 13.0, 5e-3, 7.1, 0.1, 1e-3, 1e-3, 2.3, 60.0, 4.0}};
  for (const Case& c : cases) {
    CAPTURE(c.name);
    CAPTURE(c.mhz);
    const WaveFit wave = wave_of(c);
    CHECK(testing::relative_error(wave.gamma, mode_of(c)) <= 5e-3);
    if (c.depth < 1.0) continue;  // the closed form knows no surface
    const core::Frequency f{c.mhz * 1e6};
    const double b = c.radius + c.coat;
    const Complex n2 = permittivity(c);
    const Complex z = std::sqrt(n2) * core::wavenumber(f) * b;
    const math::BesselPair h = math::hankel2_scaled(z);
    const Complex field = h.order0 / (z * h.order1);
    const double coat = std::log(b / c.radius);
    const Complex closed =
        std::sqrt(c.coat_permittivity * (coat + field) / (coat + c.coat_permittivity / n2 * field));
    CHECK(testing::relative_error(wave.gamma, Complex{0.0, core::wavenumber(f)} * closed) <= 0.03);
  }
}

}  // namespace feldspar::validation
