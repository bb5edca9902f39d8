#include "circuit/stub.hpp"

#include <doctest/doctest.h>

#include <cmath>

#include "circuit/line.hpp"
#include "circuit/line_types.hpp"
#include "circuit/network_parameters.hpp"
#include "core/error.hpp"

namespace feldspar::circuit {
namespace {

constexpr core::Frequency kFrequency{7.1e6};

Line cable(const char* type, double length) {
  Line line = *line_type(type);
  line.length = length;
  return line;
}

Line lossless(double length) {
  Line line;
  line.z0 = 50.0;
  line.velocity_factor = 1.0;
  line.length = length;
  return line;
}

}  // namespace

TEST_CASE("stub: impedance agrees with a line that ends in an open or a short") {
  // Independent route: the wave form of the loaded line, circuit/line.hpp, with a load of 0 or next to
  // infinite (1e18 ohm).
  for (const double length : {0.01, 1.0, 6.9, 13.7, 100.0}) {
    CAPTURE(length);
    for (const char* type : {"RG-58", "450 ohm window line"}) {
      const Line line = cable(type, length);
      const LineConstants constants = line_constants(line, kFrequency);
      const Complex shorted = line_input(constants, length, 0.0);
      CHECK(std::abs(stub_impedance({line, false, true}, kFrequency) / shorted - 1.0) <= 1e-11);
      const Complex open = line_input(constants, length, 1e18);
      CHECK(std::abs(stub_admittance({line, true, false}, kFrequency) * open - 1.0) <= 1e-11);
      // Both forms of one stub are each other's inverse.
      for (const bool is_open : {true, false}) {
        CHECK(std::abs(stub_admittance({line, is_open, false}, kFrequency) *
                           stub_impedance({line, is_open, true}, kFrequency) -
                       1.0) <= 1e-13);
      }
    }
  }
}

TEST_CASE("stub: without loss it is a reactance by the textbook") {
  // Z0 tan(bl) shorted, -Z0 cot(bl) open.
  for (const double share : {0.03, 0.125, 0.2, 0.4}) {
    CAPTURE(share);
    const Line line = lossless(share * core::wavelength(kFrequency));
    const double tangent = std::tan(2.0 * core::kPi * share);
    const Complex shorted = stub_impedance({line, false, true}, kFrequency);
    CHECK(std::abs(shorted - Complex{0.0, 50.0 * tangent}) <= 1e-12 * std::abs(shorted));
    const Complex open = stub_impedance({line, true, true}, kFrequency);
    CHECK(std::abs(open - Complex{0.0, -50.0 / tangent}) <= 1e-12 * std::abs(open));
  }
}

TEST_CASE("stub: short pieces keep the digits of their loss") {
  // For gamma l -> 0 the shorted stub is (R + jwL) l = gamma z0 l; next term (gamma l)^2 / 3.
  const Line line = cable("RG-213", 1e-4);
  const LineConstants constants = line_constants(line, kFrequency);
  const Complex wanted = constants.gamma * constants.z0 * 1e-4;
  const Complex found = stub_impedance({line, false, true}, kFrequency);
  CHECK(std::abs(found.real() / wanted.real() - 1.0) <= 1e-9);
  CHECK(std::abs(found.imag() / wanted.imag() - 1.0) <= 1e-9);
}

TEST_CASE("stub: resonance without loss and any length stay finite, passive and reciprocal") {
  for (const double share : {0.0, 0.25, 0.5, 0.75, 1.0, 1e7}) {
    for (const bool open : {true, false}) {
      for (const bool in_series : {true, false}) {
        if (share == 0.0 && open == in_series) continue;  // refused, below
        CAPTURE(share);
        CAPTURE(open);
        CAPTURE(in_series);
        for (const Line& line : {lossless(share * core::wavelength(kFrequency)),
                                 cable("RG-58", share * core::wavelength(kFrequency))}) {
          const TwoPort t = stub_two_port({line, open, in_series}, kFrequency);
          CHECK(std::isfinite(std::abs(t.b)));
          CHECK(std::isfinite(std::abs(t.c)));
          CHECK(is_passive(t));
          CHECK(is_reciprocal(t, 1e-14));
        }
      }
    }
  }
}

TEST_CASE("stub: a very long one is its characteristic impedance") {
  const Line line = cable("RG-174", 1e7);
  const LineConstants constants = line_constants(line, kFrequency);
  for (const bool open : {true, false}) {
    CHECK(std::abs(stub_impedance({line, open, true}, kFrequency) - constants.z0) <= 1e-12 * 50.0);
  }
}

TEST_CASE("stub: a quarter-wave open one notches its frequency and passes twice that") {
  // Common practice: a harmonic filter. Without loss nothing passes at f0; at 2 f0 it is not there.
  const Stub stub{lossless(0.25 * core::wavelength(kFrequency)), true, false};
  const auto s = scattering(stub_two_port(stub, kFrequency), PortReferences{}).value();
  CHECK(std::abs(s[2]) <= 1e-9);
  const auto twice =
      scattering(stub_two_port(stub, core::Frequency{2.0 * kFrequency.si}), PortReferences{}).value();
  CHECK(std::abs(twice[2] - 1.0) <= 1e-9);
}

TEST_CASE("stub: of length 0") {
  CHECK(stub_two_port({lossless(0.0), true, false}, kFrequency).c == 0.0);
  CHECK(stub_two_port({lossless(0.0), false, true}, kFrequency).b == 0.0);
  CHECK_THROWS_WITH_AS((void)stub_two_port({lossless(0.0), false, false}, kFrequency),
                       "a shorted stub of length 0 across the line shorts it; give it a length", core::Error);
  CHECK_THROWS_WITH_AS((void)stub_two_port({lossless(0.0), true, true}, kFrequency),
                       "an open stub of length 0 in series cuts the line; give it a length", core::Error);
  Line wrong = lossless(1.0);
  wrong.z0 = -50.0;
  CHECK_THROWS_AS((void)stub_two_port({wrong, true, false}, kFrequency), core::Error);
}

}  // namespace feldspar::circuit
