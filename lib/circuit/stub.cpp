#include "circuit/stub.hpp"

#include <cmath>

#include "circuit/line.hpp"
#include "core/error.hpp"

namespace feldspar::circuit {
namespace {

struct Ends {
  Complex minus;  // 1 - exp(-2 gamma l), without cancellation on short stubs
  Complex plus;   // 1 + exp(-2 gamma l)
};

Ends ends(Complex gamma, double length) {
  const double fade = -2.0 * gamma.real() * length;
  const double turn = -2.0 * gamma.imag() * length;
  const double half = std::sin(0.5 * turn);
  const double size = std::exp(fade);
  const Complex minus{2.0 * size * half * half - std::expm1(fade), -size * std::sin(turn)};
  return {minus, 2.0 - minus};
}

/// A quotient whose divisor may vanish at resonance of a stub without loss.
Complex bounded_quotient(Complex above, Complex below) {
  constexpr double kSmallest = 1e-12;
  return above / (std::abs(below) < kSmallest ? Complex{kSmallest} : below);
}

/// tanh(gamma l) or its inverse.
Complex end_value(const Line& line, const LineConstants& constants, bool inverse, const char* trouble) {
  if (inverse && line.length == 0.0) throw core::Error(core::ErrorKind::usage, trouble);
  const auto [minus, plus] = ends(constants.gamma, line.length);
  return inverse ? bounded_quotient(plus, minus) : bounded_quotient(minus, plus);
}

}  // namespace

Complex stub_impedance(const Stub& stub, core::Frequency f) {
  const LineConstants constants = line_constants(stub.line, f);
  return constants.z0 * end_value(stub.line, constants, stub.open,
                                  "an open stub of length 0 in series cuts the line; give it a length");
}

Complex stub_admittance(const Stub& stub, core::Frequency f) {
  const LineConstants constants = line_constants(stub.line, f);
  return end_value(stub.line, constants, !stub.open,
                   "a shorted stub of length 0 across the line shorts it; give it a length") /
         constants.z0;
}

TwoPort stub_two_port(const Stub& stub, core::Frequency f) {
  return stub.in_series ? series_impedance(stub_impedance(stub, f))
                        : shunt_admittance(stub_admittance(stub, f));
}

}  // namespace feldspar::circuit
