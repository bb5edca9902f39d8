#include "circuit/coil.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <limits>

#include "../support/close.hpp"
#include "../support/table.hpp"
#include "core/error.hpp"

namespace feldspar::circuit {

namespace {
constexpr double kInfinity = std::numeric_limits<double>::infinity();
using Complex = std::complex<double>;
}  // namespace

TEST_CASE("coil_inductance: current sheet and Wheeler's formula agree with the table") {
  // Source: data/published/inductors.csv (derived from both formulas; nine digits).
  for (const testing::Row& row : testing::Table("published/inductors.csv", 7)) {
    CAPTURE(row.text("diameter_m"));
    CAPTURE(row.text("turns"));
    const CoilDimensions coil{row.number("turns"), row.number("diameter_m"), row.number("length_m")};
    CHECK(testing::relative_error(coil_inductance(coil), row.number("current_sheet_h")) <= 1e-8);
    CHECK(testing::relative_error(wheeler_inductance(coil), row.number("wheeler_h")) <= 1e-8);
  }
}

TEST_CASE("coil_inductance: limits of Nagaoka's coefficient") {
  const auto coefficient = [](double ratio) {  // diameter over length; of a coil 1 m long with one turn
    const double sheet = core::kVacuumPermeability * core::kPi * ratio * ratio / 4.0;
    return coil_inductance({1.0, ratio, 1.0}) / sheet;
  };
  // Long: 1 - (4/3 pi) u + u^2/8 - u^4/64; the next term of the series in u = d/l is 5 u^6/1024.
  for (const double u : {5e-4, 0.9e-3, 1.1e-3, 0.01, 0.1}) {
    CAPTURE(u);
    const double series = 1.0 - 4.0 / (3.0 * core::kPi) * u + u * u / 8.0 - u * u * u * u / 64.0;
    CHECK(std::abs(coefficient(u) - series) <= 5.0 / 1024.0 * std::pow(u, 6) + 2e-10);
  }
  // Short: mu0 (d/2)(ln(4 d / l) - 1/2), a ribbon bent to a ring; next term of order (l/d)^2 ln.
  const double ring = core::kVacuumPermeability * 0.5 * (std::log(4.0 / 0.01) - 0.5);
  CHECK(testing::relative_error(coil_inductance({1.0, 1.0, 0.01}), ring) <= 1e-4);
}

TEST_CASE("coil_inductance: one turn of round wire is a ring") {
  // mu0 r (ln(8 r / a) - 2), current on the surface; inside the wire it would add 1/4, which Rosa's 5/4
  // does. The winding's length cancels when it is short. Source: any text, derived from the ring's mutual
  // inductance; next term of order (pitch / r)^2 ln. B(1) of the series is 7e-4 instead of 0.
  const double r = 0.5, a = 0.5e-3;
  const double ring = core::kVacuumPermeability * r * (std::log(8.0 * r / a) - 1.75);
  CHECK(testing::relative_error(coil_inductance({1.0, 2.0 * r, 4.0 * a, 2.0 * a}), ring) <= 2e-4);
}

TEST_CASE("coil_inductance: refuses what is no coil") {
  CHECK_THROWS_AS((void)coil_inductance({0.0, 0.1, 0.1}), core::Error);
  CHECK_THROWS_AS((void)coil_inductance({10.0, -0.1, 0.1}), core::Error);
  CHECK_THROWS_AS((void)coil_inductance({10.0, 0.1, 0.0}), core::Error);
  CHECK_THROWS_AS((void)coil_inductance({10.0, 0.1, 0.1, 0.011}), core::Error);
}

TEST_CASE("coil_impedance: laws of the quality factor") {
  const Coil constant{10e-6, 200.0, 0.0, 0.0};
  const Coil skin{10e-6, 200.0, 7e6, 0.0};
  for (const double f : {1.75e6, 7e6, 28e6}) {
    CAPTURE(f);
    const Complex z = coil_impedance(constant, core::Frequency{f});
    CHECK(z.imag() == doctest::Approx(2.0 * core::kPi * f * 10e-6).epsilon(1e-12));
    CHECK(z.imag() / z.real() == doctest::Approx(200.0).epsilon(1e-12));
    const Complex s = coil_impedance(skin, core::Frequency{f});
    const double at_7 = 2.0 * core::kPi * 7e6 * 10e-6 / 200.0;
    CHECK(s.real() == doctest::Approx(at_7 * std::sqrt(f / 7e6)).epsilon(1e-12));
    CHECK(s.imag() / s.real() == doctest::Approx(200.0 * std::sqrt(f / 7e6)).epsilon(1e-12));
  }
  CHECK(coil_impedance({10e-6, kInfinity, 0.0, 0.0}, core::Frequency{7e6}).real() == 0.0);
}

TEST_CASE("coil_impedance: self-capacitance") {
  // Below resonance the coil looks larger: X / (1 - (f/f0)^2); with loss the resonance is Q w0 L (1 + 1/Q^2).
  const double l = 20e-6, c = 3e-12;
  const double resonance = 1.0 / (2.0 * core::kPi * std::sqrt(l * c));
  const double f = 0.3 * resonance;
  const Complex lossless = coil_impedance({l, kInfinity, 0.0, c}, core::Frequency{f});
  CHECK(lossless.imag() == doctest::Approx(2.0 * core::kPi * f * l / (1.0 - 0.09)).epsilon(1e-12));
  const double q = 150.0;
  const Complex at = coil_impedance({l, q, 0.0, c}, core::Frequency{resonance});
  const Complex coil = 2.0 * core::kPi * resonance * l * Complex{1.0 / q, 1.0};
  // Z = Zc Zk / (Zc + Zk) with Zk = -j X: Zc + Zk = X / q
  CHECK(std::abs(at - coil * Complex{0.0, -q}) <= 1e-9 * std::abs(at));
  // without loss at resonance: open, not infinite
  const Complex open = coil_impedance({l, kInfinity, 0.0, c}, core::Frequency{resonance});
  CHECK(std::isfinite(std::abs(open)));
  CHECK(std::abs(open) >= 1e12);
}

TEST_CASE("coil_impedance: never gains power") {
  for (const double q : {1.0, 50.0, 400.0, kInfinity})
    for (const double at : {0.0, 3e6})
      for (const double c : {0.0, 1e-12, 1e-10})
        for (double f = 1e5; f < 1e9; f *= 1.7)
          CHECK(coil_impedance({15e-6, q, at, c}, core::Frequency{f}).real() >= 0.0);
}

}  // namespace feldspar::circuit
