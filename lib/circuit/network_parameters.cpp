#include "circuit/network_parameters.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <limits>

#include "core/error.hpp"

namespace feldspar::circuit {
namespace {

Complex determinant(const Parameters& m) noexcept {
  return m[0] * m[3] - m[1] * m[2];
}

Parameters product(const Parameters& x, const Parameters& y) noexcept {
  return {x[0] * y[0] + x[1] * y[2], x[0] * y[1] + x[1] * y[3], x[2] * y[0] + x[3] * y[2],
          x[2] * y[1] + x[3] * y[3]};
}

void validate(const PortReferences& references) {
  for (const Complex z : {references.radio, references.antenna}) {
    if (!(std::isfinite(z.real()) && std::isfinite(z.imag()) && z.real() > 0.0)) {
      throw core::Error(core::ErrorKind::usage,
                        fmt::format("a reference impedance needs a resistance above 0 ohm, not {:g}{:+g}j",
                                    z.real(), z.imag()));
    }
  }
}

/// F M F^-1 with F = diag(1 / sqrt(Re z)): waves in volts to power waves, S to the equations of the ports.
Parameters scaled(const Parameters& m, const PortReferences& z) noexcept {
  const double ratio = std::sqrt(z.antenna.real() / z.radio.real());
  return {m[0], m[1] * ratio, m[2] / ratio, m[3]};
}

/// Voltages, times sqrt(Re z), per incident power wave: conj(z) + z S.
Parameters voltages(const Parameters& s, const PortReferences& z) noexcept {
  return {std::conj(z.radio) + z.radio * s[0], z.radio * s[1], z.antenna * s[2],
          std::conj(z.antenna) + z.antenna * s[3]};
}

/// Currents likewise: 1 - S.
Parameters currents(const Parameters& s) noexcept {
  return {1.0 - s[0], -s[1], -s[2], 1.0 - s[3]};
}

/// diag(x, y) M.
Parameters rows(Complex x, Complex y, const Parameters& m) noexcept {
  return {x * m[0], x * m[1], y * m[2], y * m[3]};
}

Parameters plus(const Parameters& x, const Parameters& y) noexcept {
  return {x[0] + y[0], x[1] + y[1], x[2] + y[2], x[3] + y[3]};
}

/// M^-1; empty where the determinant is not above `rounding` times what it was made of.
std::optional<Parameters> inverse(const Parameters& m, double rounding) noexcept {
  const Complex det = determinant(m);
  if (!(std::abs(det) > rounding * (std::abs(m[0] * m[3]) + std::abs(m[1] * m[2])))) return std::nullopt;
  return Parameters{m[3] / det, -m[1] / det, -m[2] / det, m[0] / det};
}

constexpr double kSingular = 1e-14;

/// above * below^-1, or empty.
std::optional<Parameters> quotient(const Parameters& above, const Parameters& below,
                                   double rounding) noexcept {
  const std::optional<Parameters> inverted = inverse(below, rounding);
  if (!inverted) return std::nullopt;
  return product(above, *inverted);
}

std::optional<Parameters> waves(const Parameters& out, const Parameters& in,
                                const PortReferences& references) noexcept {
  const auto ratio = quotient(out, in, 0.0);
  if (!ratio) return std::nullopt;
  return scaled(*ratio, references);
}

}  // namespace

std::optional<Parameters> impedance_parameters(const TwoPort& t) noexcept {
  if (t.c == 0.0) return std::nullopt;
  return Parameters{t.a / t.c, determinant(t) / t.c, 1.0 / t.c, t.d / t.c};
}

std::optional<Parameters> admittance_parameters(const TwoPort& t) noexcept {
  if (t.b == 0.0) return std::nullopt;
  return Parameters{t.d / t.b, -determinant(t) / t.b, -1.0 / t.b, t.a / t.b};
}

std::optional<TwoPort> chain_from_impedance(const Parameters& z) noexcept {
  if (z[2] == 0.0) return std::nullopt;
  return TwoPort{z[0] / z[2], determinant(z) / z[2], 1.0 / z[2], z[3] / z[2]};
}

std::optional<TwoPort> chain_from_admittance(const Parameters& y) noexcept {
  if (y[2] == 0.0) return std::nullopt;
  return TwoPort{-y[3] / y[2], -1.0 / y[2], -determinant(y) / y[2], -y[0] / y[2]};
}

std::optional<Parameters> inverse_parameters(const Parameters& m) noexcept {
  return inverse(m, kSingular);
}

std::optional<Parameters> scattering(const TwoPort& t, const PortReferences& references) {
  validate(references);
  const Complex z1 = references.radio;
  const Complex z2 = references.antenna;
  const Complex sum = t.a * z2 + t.b + t.c * z1 * z2 + t.d * z1;
  if (sum == 0.0) return std::nullopt;
  const double root = 2.0 * std::sqrt(z1.real() * z2.real());
  return Parameters{(t.a * z2 + t.b - std::conj(z1) * (t.c * z2 + t.d)) / sum, root * determinant(t) / sum,
                    root / sum, (-t.a * std::conj(z2) + t.b - z1 * (t.c * std::conj(z2) - t.d)) / sum};
}

std::optional<TwoPort> chain_from_scattering(const Parameters& s, const PortReferences& references) {
  validate(references);
  if (s[2] == 0.0) return std::nullopt;
  const Complex z1 = references.radio;
  const Complex z2 = references.antenna;
  // Port 1 and port 2 seen as voltage (v) and current (1 - S) per wave; loop = the waves that go round.
  const Complex v1 = std::conj(z1) + s[0] * z1;
  const Complex v2 = std::conj(z2) + s[3] * z2;
  const Complex i1 = 1.0 - s[0];
  const Complex i2 = 1.0 - s[3];
  const Complex loop = s[1] * s[2];
  const Complex scale = 1.0 / (2.0 * s[2] * std::sqrt(z1.real() * z2.real()));
  return TwoPort{scale * (v1 * i2 + loop * z1), scale * (v1 * v2 - loop * z1 * z2), scale * (i1 * i2 - loop),
                 scale * (i1 * v2 + loop * z2)};
}

std::optional<Parameters> scattering_from_impedance(const Parameters& z, const PortReferences& references) {
  validate(references);
  const Complex z1 = references.radio;
  const Complex z2 = references.antenna;
  return waves({z[0] - std::conj(z1), z[1], z[2], z[3] - std::conj(z2)}, {z[0] + z1, z[1], z[2], z[3] + z2},
               references);
}

std::optional<Parameters> scattering_from_admittance(const Parameters& y, const PortReferences& references) {
  validate(references);
  const Parameters one{1.0, 0.0, 0.0, 1.0};
  const Parameters out = rows(-std::conj(references.radio), -std::conj(references.antenna), y);
  return waves(plus(one, out), plus(one, rows(references.radio, references.antenna, y)), references);
}

std::optional<Parameters> impedance_from_scattering(const Parameters& s, const PortReferences& references) {
  validate(references);
  const auto z = quotient(voltages(s, references), currents(s), kSingular);
  if (!z) return std::nullopt;
  return scaled(*z, references);
}

std::optional<Parameters> admittance_from_scattering(const Parameters& s, const PortReferences& references) {
  validate(references);
  const auto y = quotient(currents(s), voltages(s, references), kSingular);
  if (!y) return std::nullopt;
  return scaled(*y, references);
}

std::optional<Parameters> with_references(const Parameters& s, const PortReferences& from,
                                          const PortReferences& to) {
  validate(from);
  validate(to);
  const double radio = 1.0 / std::sqrt(from.radio.real());
  const double antenna = 1.0 / std::sqrt(from.antenna.real());
  const Parameters v = rows(radio, antenna, voltages(s, from));
  const Parameters i = rows(radio, antenna, currents(s));
  return waves(plus(v, rows(-std::conj(to.radio), -std::conj(to.antenna), i)),
               plus(v, rows(to.radio, to.antenna, i)), to);
}

TwoPort undoing(const TwoPort& t) noexcept {
  const Complex det = determinant(t);
  return {t.d / det, -t.b / det, -t.c / det, t.a / det};
}

double largest_power_ratio(const Parameters& s) noexcept {
  const double first = std::norm(s[0]) + std::norm(s[2]);
  const double second = std::norm(s[1]) + std::norm(s[3]);
  const double cross = std::abs(std::conj(s[0]) * s[1] + std::conj(s[2]) * s[3]);
  return 0.5 * (first + second) + std::hypot(0.5 * (first - second), cross);
}

double largest_power_ratio(const TwoPort& two_port) {
  const std::optional<Parameters> s = scattering(two_port, PortReferences{});
  return s ? largest_power_ratio(*s) : std::numeric_limits<double>::infinity();
}

bool is_passive(const Parameters& s, double tolerance) noexcept {
  return largest_power_ratio(s) <= 1.0 + tolerance;
}

bool is_passive(const TwoPort& two_port, double tolerance) {
  return largest_power_ratio(two_port) <= 1.0 + tolerance;
}

bool is_reciprocal(const Parameters& parameters, double tolerance) noexcept {
  double largest = 0.0;
  for (const Complex value : parameters) largest = std::max(largest, std::abs(value));
  return std::abs(parameters[1] - parameters[2]) <= tolerance * largest;
}

bool is_reciprocal(const TwoPort& t, double tolerance) noexcept {
  const double size = 1.0 + std::abs(t.a * t.d) + std::abs(t.b * t.c);
  return std::isfinite(size) && std::abs(t.a * t.d - t.b * t.c - 1.0) <= tolerance * size;
}

}  // namespace feldspar::circuit
