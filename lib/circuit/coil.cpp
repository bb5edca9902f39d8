#include "circuit/coil.hpp"

#include <cmath>
#include <initializer_list>

#include "core/constants.hpp"
#include "core/error.hpp"

namespace feldspar::circuit {

namespace {

constexpr double kMetresPerInch = 0.0254;

struct Elliptic {
  double first;
  double second;
};

/// K and E of modulus k by the arithmetic-geometric mean [abramowitz1964, 17.6].
Elliptic complete_elliptic(double k) {
  double a = 1.0;
  double g = std::sqrt(1.0 - k * k);
  double sum = 0.5 * k * k;
  double power = 0.5;
  constexpr int kSteps = 8;  // digits double with each; more than enough for g > 1e-12
  for (int i = 0; i < kSteps; ++i) {
    const double c = 0.5 * (a - g);
    const double mean = 0.5 * (a + g);
    g = std::sqrt(a * g);
    a = mean;
    power *= 2.0;
    sum += power * c * c;
  }
  const double first = 0.5 * core::kPi / a;
  return {first, first * (1.0 - sum)};
}

/// Nagaoka's coefficient, 1 for a long coil.
double nagaoka(double diameter, double length) {
  const double diagonal = std::hypot(diameter, length);
  const double k = diameter / diagonal;
  const double l = length / diagonal;
  if (k < 1e-3) return 1.0 - 4.0 / (3.0 * core::kPi) * diameter / length + 0.125 * k * k;  // cancels there
  const auto [first, second] = complete_elliptic(k);
  return 4.0 / (3.0 * core::kPi * l) * (l * l / (k * k) * (first - second) + second - k);
}

/// Rosa's B for the mutual inductance of turns; asymptotic series in 1/n.
double rosa_mutual(double n) {
  return std::log(2.0 * core::kPi) - 1.5 - std::log(n) / (6.0 * n) - 0.33084236 / n -
         1.0 / (120.0 * n * n * n) + 1.0 / (504.0 * n * n * n * n * n);
}

void check(const CoilDimensions& coil) {
  for (const double value : {coil.turns, coil.diameter, coil.length})
    if (!(value > 0.0) || !std::isfinite(value))
      throw core::Error(core::ErrorKind::usage,
                        "a coil needs turns, diameter and length above zero; give all three");
}

}  // namespace

double coil_inductance(const CoilDimensions& coil) {
  check(coil);
  const double sheet = core::kVacuumPermeability * coil.turns * coil.turns * core::kPi * coil.diameter *
                       coil.diameter / (4.0 * coil.length) * nagaoka(coil.diameter, coil.length);
  if (coil.wire_diameter == 0.0) return sheet;
  const double pitch = coil.length / coil.turns;
  if (!(coil.wire_diameter > 0.0 && coil.wire_diameter <= pitch * (1.0 + 1e-9)))
    throw core::Error(core::ErrorKind::usage,
                      "the turns of the coil do not fit: its wire is thicker than length / turns");
  const double self = 1.25 - std::log(2.0 * pitch / coil.wire_diameter);
  return sheet - core::kVacuumPermeability * 0.5 * coil.diameter * coil.turns *
                     (self + rosa_mutual(std::max(coil.turns, 1.0)));
}

double wheeler_inductance(const CoilDimensions& coil) {
  check(coil);
  const double r = 0.5 * coil.diameter / kMetresPerInch;
  const double l = coil.length / kMetresPerInch;
  return 1e-6 * r * r * coil.turns * coil.turns / (9.0 * r + 10.0 * l);
}

std::complex<double> impedance_of(std::complex<double> admittance) noexcept {
  constexpr double kOpen = 1e12;  // ohm
  return std::abs(admittance) * kOpen < 1.0 ? std::complex<double>{kOpen} : 1.0 / admittance;
}

std::complex<double> coil_impedance(const Coil& coil, core::Frequency f) noexcept {
  const double w = core::angular(f);
  const double reactance = w * coil.inductance;
  double resistance = std::isfinite(coil.q) ? reactance / coil.q : 0.0;
  if (coil.q_frequency > 0.0) resistance *= std::sqrt(coil.q_frequency / f.si);  // w0 L / q * sqrt(f / f0)
  const std::complex<double> z{resistance, reactance};
  if (coil.self_capacitance == 0.0 || z == 0.0) return z;
  return impedance_of(1.0 / z + std::complex<double>{0.0, w * coil.self_capacitance});
}

}  // namespace feldspar::circuit
