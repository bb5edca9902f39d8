#include "circuit/tuner.hpp"

#include <doctest/doctest.h>

#include <array>
#include <cmath>
#include <random>

#include "../support/close.hpp"
#include "core/error.hpp"

namespace feldspar::circuit {
namespace {

using core::Frequency;

constexpr double kInfinite = std::numeric_limits<double>::infinity();
constexpr std::array kNetworks{Tuner::Network::l, Tuner::Network::t, Tuner::Network::pi};

Tuner without_limits(Tuner::Network network) {
  Tuner tuner;
  tuner.network = network;
  tuner.largest_swr = kInfinite;
  return tuner;
}

Tuner lossless(Tuner::Network network) {
  Tuner tuner = without_limits(network);
  tuner.coil_q = tuner.capacitor_q = kInfinite;
  return tuner;
}

/// Walks from the load to the radio through the parts by their values, without any two-port.
struct Walk {
  Complex voltage, current;
  double lost = 0.0;  // W

  void part(bool series, Complex impedance) {
    if (series) {
      lost += 0.5 * std::norm(current) * impedance.real();
      voltage += current * impedance;
    } else {
      lost += 0.5 * std::norm(voltage) * (1.0 / impedance).real();
      current += voltage / impedance;
    }
  }
};

Walk walk(const TunerSetting& setting, const Tuner& tuner, Frequency f, Complex load) {
  const double w = core::angular(f);
  Walk w0{load, 1.0};
  const auto capacitor = [&](double c) {
    if (c > 0.0) w0.part(!setting.coil_in_series, 1.0 / (w * c * Complex(1.0 / tuner.capacitor_q, 1.0)));
  };
  capacitor(setting.capacitance[1]);
  if (setting.inductance > 0.0)
    w0.part(setting.coil_in_series, w * setting.inductance * Complex(1.0 / tuner.coil_q, 1.0));
  capacitor(setting.capacitance[0]);
  return w0;
}

double mismatch(const TunerSetting& setting, Complex load) {
  return std::abs(reflection_coefficient(input_impedance(setting.two_port, load), 50.0));
}

/// Loss of a T with this capacitor at the load: steps through coils, and where the resistance seen through
/// the coil, with that of the other capacitor added, crosses 50 ohm, halves the step. Infinite without any.
double t_loss_by_search(const Tuner& t, Frequency f, Complex load, double c) {
  const double w = core::angular(f);
  const auto capacitor = [&](double value) { return 1.0 / (w * value * Complex(1.0 / t.capacitor_q, 1.0)); };
  const Complex z = load + capacitor(c);
  const auto behind = [&](double coil) {
    return 1.0 / (1.0 / z + 1.0 / (w * coil * Complex(1.0 / t.coil_q, 1.0)));
  };
  const auto excess = [&](double coil) {
    const Complex seen = behind(coil);
    return seen.real() + seen.imag() / t.capacitor_q - 50.0;
  };
  double least = kInfinite;
  constexpr double kStep = 1.05;
  for (double coil = 1e-9; coil < std::min(t.largest_inductance, 1e-2); coil *= kStep) {
    double lower = coil;
    double upper = coil * kStep;
    if ((excess(lower) > 0.0) == (excess(upper) > 0.0)) continue;
    for (int i = 0; i < 60; ++i) {
      const double middle = 0.5 * (lower + upper);
      ((excess(middle) > 0.0) == (excess(lower) > 0.0) ? lower : upper) = middle;
    }
    const Complex seen = behind(lower);
    if (seen.imag() < -capacitor(t.largest_capacitance).imag()) continue;
    // shares that arrive: through the capacitor at the radio, the coil, and the capacitor at the load
    const double through =
        seen.real() / 50.0 * (1.0 / z).real() / (1.0 / seen).real() * load.real() / z.real();
    least = std::min(least, -10.0 * std::log10(through));
  }
  return least;
}

}  // namespace

TEST_CASE("tuner: a lossless L has the reactances of the formula") {
  // Derived: with Q = sqrt(R_high/R_low - 1), the series part is Q R_low, the shunt part, on the side of the
  // higher resistance, R_high / Q.
  for (const double load : {1.0, 10.0, 49.0, 51.0, 200.0, 4000.0}) {
    const double high = std::max(load, 50.0);
    const double low = std::min(load, 50.0);
    const double q = std::sqrt(high / low - 1.0);
    const Frequency f{7.1e6};
    const TunerSetting s = match(lossless(Tuner::Network::l), f, load, 50.0);
    CAPTURE(load);
    REQUIRE(s.matched);
    const std::size_t side = load > 50.0 ? 1 : 0;  // of a shunt capacitor; a series one is on the other
    const double coil = core::angular(f) * s.inductance;
    const double capacitor = 1.0 / (core::angular(f) * s.capacitance[s.coil_in_series ? side : 1 - side]);
    CHECK(s.capacitance[s.coil_in_series ? 1 - side : side] == 0.0);
    CHECK(testing::relative_error(s.coil_in_series ? coil : capacitor, q * low) <= 1e-12);
    CHECK(testing::relative_error(s.coil_in_series ? capacitor : coil, high / q) <= 1e-12);
    CHECK(s.loss_db <= 1e-12);
  }
}

TEST_CASE("tuner: the input is the reference, and the loss is what its parts lose") {
  const std::array<Complex, 12> loads{Complex{0.5, 0.0}, {5.0, -300.0},  {13.6, -1000.0}, {25.0, 40.0},
                                      {49.0, 0.5},       {50.0, 0.01},   {50.0, 100.0},   {50.0, -100.0},
                                      {200.0, 300.0},    {461.0, -30.0}, {5000.0, 0.0},   {300.0, -3000.0}};
  for (const Tuner::Network network : kNetworks)
    for (const double mhz : {1.85, 3.6, 7.1, 14.2, 28.5, 52.0})
      for (const Complex load : loads) {
        const Tuner tuner = without_limits(network);
        const Frequency f{mhz * 1e6};
        const TunerSetting s = match(tuner, f, load, 50.0);
        CAPTURE(static_cast<int>(network));
        CAPTURE(load);
        REQUIRE(s.matched);
        CHECK(mismatch(s, load) < 1e-9);
        const Walk end = walk(s, tuner, f, load);
        CHECK(testing::relative_error(end.voltage / end.current, 50.0) <= 1e-9);
        const double into_load = 0.5 * load.real();
        CHECK(std::abs(s.loss_db - 10.0 * std::log10((into_load + end.lost) / into_load)) <= 1e-9);
      }
}

TEST_CASE("tuner: lower quality loses more") {
  for (const Tuner::Network network : kNetworks)
    for (const Complex load : {Complex{5.0, -300.0}, {461.0, -30.0}, {20.0, 200.0}}) {
      double before = 0.0;
      for (const double q : {1000.0, 300.0, 100.0, 30.0}) {
        Tuner tuner = without_limits(network);
        tuner.coil_q = q;
        tuner.capacitor_q = 10.0 * q;
        const TunerSetting s = match(tuner, Frequency{7.1e6}, load, 50.0);
        REQUIRE(s.matched);
        CHECK(s.loss_db > before);
        before = s.loss_db;
      }
    }
}

TEST_CASE("tuner: an L with a resistance at its end loses about its working Q over that of the parts") {
  // Derived, first order in 1/Q: with working quality q = sqrt(R_high/R_low - 1), coil and capacitor each
  // turn over q times the power that goes through, so that the share lost is q (1/Q_coil + 1/Q_capacitor).
  // The next term is of the order of that squared.
  for (const double load : {5.0, 10.0, 150.0, 450.0, 2000.0}) {
    const double working = std::sqrt(std::max(load, 50.0) / std::min(load, 50.0) - 1.0);
    Tuner tuner = without_limits(Tuner::Network::l);
    tuner.coil_q = 1000.0;
    tuner.capacitor_q = 10000.0;
    const double share = working * (1e-3 + 1e-4);
    const TunerSetting s = match(tuner, Frequency{3.6e6}, load, 50.0);
    REQUIRE(s.matched);
    CHECK(std::abs(1.0 - std::pow(10.0, -0.1 * s.loss_db) - share) <= 2.0 * share * share);
  }
}

TEST_CASE("tuner: where one part alone matches, an L loses no more than that part") {
  // Derived: in series x (+-j + 1/Q) ohm before 50 ohm less that, across b (+-j + 1/Q) siemens likewise; what
  // arrives is the load's share of the resistance or conductance.
  for (const double q : {30.0, 50.0, 300.0, kInfinite})
    for (const double size : {0.02, 0.3, 0.9})
      for (const bool coil : {true, false})
        for (const bool series : {true, false}) {
          const double sign = coil == series ? 1.0 : -1.0;
          const Complex left = 1.0 - size * Complex(1.0 / q, sign);  // of 50 ohm, of 20 mS
          const Complex load = series ? 50.0 * left : 50.0 / left;
          Tuner tuner = without_limits(Tuner::Network::l);
          (coil ? tuner.coil_q : tuner.capacitor_q) = q;
          CAPTURE(load);
          CAPTURE(q);
          const TunerSetting s = match(tuner, Frequency{7.1e6}, load, 50.0);
          REQUIRE(s.matched);
          CHECK(s.loss_db <= -10.0 * std::log10(left.real()) + 1e-9);
        }
}

TEST_CASE("tuner: a matched load needs no parts") {
  for (const Tuner::Network network : kNetworks) {
    const TunerSetting s = match(without_limits(network), Frequency{7e6}, 50.0, 50.0);
    CHECK(s.matched);
    CHECK(s.loss_db == 0.0);
    CHECK(s.inductance == 0.0);
  }
  // Nearly matched: next to nothing, though a lossy L cannot go to zero continuously.
  for (const Complex load :
       {Complex{50.01, 0.0}, {49.99, 0.0}, {50.0, 0.01}, {50.0, -0.01}, {50.001, 0.001}}) {
    const TunerSetting s = match(without_limits(Tuner::Network::l), Frequency{7e6}, load, 50.0);
    CAPTURE(load);
    REQUIRE(s.matched);
    CHECK(s.loss_db < 2e-3);
  }
}

TEST_CASE("tuner: every passive load is matched, at no gain, and a third part never loses more than two") {
  std::mt19937_64 random(11);
  std::uniform_real_distribution<double> unit(0.0, 1.0);
  for (int i = 0; i < 2000; ++i) {
    const double angle = (unit(random) - 0.5) * core::kPi * 0.999;  // |X| / R up to 640
    const Complex load = std::polar(std::pow(10.0, 6.0 * unit(random) - 1.0), angle);
    const Frequency f{(1.8 + 52.2 * unit(random)) * 1e6};
    Tuner tuner = without_limits(Tuner::Network::l);
    tuner.coil_q = 20.0 * std::pow(50.0, unit(random));
    tuner.capacitor_q = 50.0 * std::pow(100.0, unit(random));
    CAPTURE(load);
    CAPTURE(tuner.coil_q);
    CAPTURE(tuner.capacitor_q);
    double least_of_three = kInfinite;
    double two = 0.0;
    for (const Tuner::Network network : kNetworks) {
      tuner.network = network;
      const TunerSetting s = match(tuner, f, load, 50.0);
      CAPTURE(static_cast<int>(network));
      CHECK(s.matched);
      CHECK(mismatch(s, load) < 1e-9);
      CHECK(power_ratio(s.two_port, load) <= 1.0);
      CHECK(s.loss_db >= 0.0);
      if (network == Tuner::Network::l)
        two = s.loss_db;
      else
        least_of_three = std::min(least_of_three, s.loss_db);
    }
    CHECK(least_of_three <= two + 1e-12);
  }
}

TEST_CASE("tuner: no other capacitor at the load makes a T lose less") {
  Tuner t = without_limits(Tuner::Network::t);
  t.largest_capacitance = 300e-12;
  t.largest_inductance = 30e-6;
  for (const Complex load : {Complex{10.0, -200.0}, {10.0, 0.0}, {30.0, 500.0}, {800.0, -900.0}, {60.0, 0.0}})
    for (const double mhz : {1.85, 7.1, 28.0}) {
      const Frequency f{mhz * 1e6};
      const TunerSetting s = match(t, f, load, 50.0);
      CAPTURE(load);
      CAPTURE(mhz);
      double searched = kInfinite;
      for (double c = t.largest_capacitance; c > 3e-12; c /= 1.005)
        searched = std::min(searched, t_loss_by_search(t, f, load, c));
      REQUIRE(s.matched == std::isfinite(searched));
      if (!s.matched) continue;
      for (const double c : s.capacitance) CHECK((c > 0.0 && c <= t.largest_capacitance * (1.0 + 1e-9)));
      CHECK(s.inductance <= t.largest_inductance * (1.0 + 1e-9));
      CHECK(s.loss_db <= searched + 1e-9);
      CHECK(s.loss_db >= 0.95 * searched);  // the search takes steps
    }
}

TEST_CASE("tuner: limits") {
  const Frequency f{1.85e6};
  const Complex load{10.0, -400.0};
  for (const Tuner::Network network : kNetworks) {
    const TunerSetting free = match(without_limits(network), f, load, 50.0);
    REQUIRE(free.matched);
    Tuner tight = without_limits(network);
    tight.largest_inductance = 45e-6;
    tight.largest_capacitance = network == Tuner::Network::t ? 500e-12 : 3e-9;
    const TunerSetting s = match(tight, f, load, 50.0);
    CAPTURE(static_cast<int>(network));
    REQUIRE(s.matched);
    CHECK(s.inductance <= tight.largest_inductance * (1.0 + 1e-9));
    CHECK(std::max(s.capacitance[0], s.capacitance[1]) <= tight.largest_capacitance * (1.0 + 1e-9));
    CHECK(s.loss_db >= free.loss_db - 1e-9);
    Tuner hopeless = without_limits(network);
    hopeless.largest_inductance = 1e-9;
    hopeless.largest_capacitance = 1e-15;
    const TunerSetting none = match(hopeless, f, load, 50.0);
    CHECK_FALSE(none.matched);
    CHECK(none.loss_db == 0.0);
    CHECK(input_impedance(none.two_port, load) == load);
  }
}

TEST_CASE("tuner: range by SWR, and what no tuner matches") {
  Tuner tuner;
  CHECK(match(tuner, Frequency{7e6}, 499.0, 50.0).matched);
  CHECK_FALSE(match(tuner, Frequency{7e6}, 501.0, 50.0).matched);
  tuner.largest_swr = 3.0;
  CHECK_FALSE(match(tuner, Frequency{7e6}, 10.0, 50.0).matched);
  tuner.largest_swr = kInfinite;
  CHECK_FALSE(match(tuner, Frequency{7e6}, {0.0, 100.0}, 50.0).matched);
  CHECK_FALSE(match(tuner, Frequency{7e6}, {-5.0, 100.0}, 50.0).matched);
  tuner.coil_q = 0.0;
  CHECK_THROWS_AS((void)match(tuner, Frequency{7e6}, 100.0, 50.0), core::Error);
}

}  // namespace feldspar::circuit
