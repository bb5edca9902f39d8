#include "circuit/line.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "core/constants.hpp"
#include "core/error.hpp"

namespace feldspar::circuit {
namespace {

void line_needs(bool fine, const char* what, double found) {
  if (!fine) {
    throw core::Error(core::ErrorKind::usage, fmt::format("a feed line needs {}, not {:g}", what, found));
  }
}

void validate(const Line& line, core::Frequency f) {
  line_needs(std::isfinite(f.si) && f.si > 0.0, "a frequency above 0 Hz", f.si);
  line_needs(std::isfinite(line.length) && line.length >= 0.0, "a length of 0 m or more", line.length);
  line_needs(std::isfinite(line.z0) && line.z0 > 0.0, "a characteristic impedance above 0 ohm", line.z0);
  line_needs(line.velocity_factor > 0.0 && line.velocity_factor <= 1.0,
             "a velocity factor above 0 and at most 1", line.velocity_factor);
  for (const double loss : {line.k1, line.k2, line.constant_loss}) {
    line_needs(std::isfinite(loss) && loss >= 0.0, "a loss of 0 dB/m or more", loss);
  }
}

struct Wave {
  Complex voltage;
  Complex current;
};

/// Voltage and current at the input over exp(gamma length), per unit current into the load: nothing
/// overflows.
Wave at_input(const LineConstants& line, double length, Complex load) noexcept {
  const Complex round_trip = std::exp(-2.0 * line.gamma * length);
  const Complex plus = 0.5 * (1.0 + round_trip);
  const Complex minus = 0.5 * (1.0 - round_trip);
  return {load * plus + line.z0 * minus, load / line.z0 * minus + plus};
}

}  // namespace

LineConstants line_constants(const Line& line, core::Frequency f, LineModel model) {
  validate(line, f);
  const double mhz = f.si * 1e-6;
  const double omega = core::angular(f);
  const double velocity = line.velocity_factor * core::kSpeedOfLight;
  const double conductor = line.k1 * std::sqrt(mhz) / core::kDecibelPerNeper;
  const double dielectric = line.k2 * mhz / core::kDecibelPerNeper;
  const double constant = line.constant_loss / core::kDecibelPerNeper;
  if (model == LineModel::real_z0) {
    return {{conductor + dielectric + constant, omega / velocity}, line.z0};
  }
  if (conductor == 0.0 && dielectric == 0.0) return {{constant, omega / velocity}, line.z0};
  const double skin = 2.0 * line.z0 * conductor;
  const Complex series{skin + line.z0 * constant, omega * line.z0 / velocity + skin};
  const Complex shunt{(2.0 * dielectric + constant) / line.z0, omega / (line.z0 * velocity)};
  // Both arguments lie in the first quadrant, so the principal root of the product is the decaying wave.
  return {std::sqrt(series * shunt), std::sqrt(series / shunt)};
}

std::optional<LossLaw> loss_law_through(core::Frequency first, double first_loss, core::Frequency second,
                                        double second_loss) noexcept {
  const double f1 = first.si * 1e-6;
  const double f2 = second.si * 1e-6;
  const double root1 = std::sqrt(f1);
  const double root2 = std::sqrt(f2);
  if (std::abs(f1 - f2) < 1e-6 * f2) return std::nullopt;
  const double determinant = root1 * f2 - root2 * f1;
  LossLaw law{(first_loss * f2 - second_loss * f1) / determinant,
              (root1 * second_loss - root2 * first_loss) / determinant};
  const double rounding = 1e-9 * (first_loss + second_loss);
  if (law.k1 * root2 < -rounding || law.k2 * f2 < -rounding) return std::nullopt;
  law.k1 = std::max(law.k1, 0.0);
  law.k2 = std::max(law.k2, 0.0);
  return law;
}

Line line_by_attenuation(double z0, double velocity_factor, double attenuation_db_per_m, core::Frequency at) {
  Line line;
  line.z0 = z0;
  line.velocity_factor = velocity_factor;
  line.constant_loss = attenuation_db_per_m;
  validate(line, at);
  line.constant_loss = 0.0;
  // Re gamma = a with G = 0: a^2 = (w C / 2) (sqrt((X + R)^2 + R^2) - (X + R)), X = w Z0 / v, solved for R.
  const double wavenumber = core::angular(at) / (velocity_factor * core::kSpeedOfLight);
  const double alpha = attenuation_db_per_m / core::kDecibelPerNeper;
  const double s = 2.0 * alpha * alpha * z0 / wavenumber;
  const double resistance = s + std::sqrt(2.0 * s * s + 2.0 * s * z0 * wavenumber);
  line.k1 = resistance / (2.0 * z0) * core::kDecibelPerNeper / std::sqrt(at.si * 1e-6);
  return line;
}

Complex move_plane(const LineConstants& line, Complex z, double distance) noexcept {
  const Complex rho = reflection_coefficient(z, line.z0) * std::exp(-2.0 * line.gamma * distance);
  return impedance_from_reflection(rho, line.z0);
}

TwoPort line_two_port(const LineConstants& line, double length) noexcept {
  const Complex angle = line.gamma * length;
  const Complex sinh = std::sinh(angle);
  const Complex cosh = std::cosh(angle);
  return {cosh, line.z0 * sinh, sinh / line.z0, cosh};
}

double matched_loss_db(const LineConstants& line, double length) noexcept {
  return core::kDecibelPerNeper * line.gamma.real() * length;
}

double line_loss_db(const LineConstants& line, double length, Complex load) noexcept {
  if (line.gamma.real() == 0.0) return 0.0;
  const Wave input = at_input(line, length, load);
  const double power = (input.voltage * std::conj(input.current)).real();
  return std::max(0.0, matched_loss_db(line, length) + 10.0 * std::log10(power / load.real()));
}

double line_sensitivity(const LineConstants& line, double length, Complex load) noexcept {
  // The chain matrix has determinant 1, so that the derivative is 1 over the square of the current's ratio.
  const Wave input = at_input(line, length, load);
  return std::abs(std::exp(-2.0 * line.gamma * length)) / std::norm(input.current);
}

Complex line_input(const LineConstants& line, double length, Complex load) noexcept {
  const Wave input = at_input(line, length, load);
  return input.voltage / input.current;
}

}  // namespace feldspar::circuit
