#include "circuit/two_port.hpp"

#include <cmath>
#include <limits>

namespace feldspar::circuit {

TwoPort cascade(const TwoPort& first, const TwoPort& second) noexcept {
  return {first.a * second.a + first.b * second.c, first.a * second.b + first.b * second.d,
          first.c * second.a + first.d * second.c, first.c * second.b + first.d * second.d};
}

TwoPort series_impedance(Complex z) noexcept {
  return {1.0, z, 0.0, 1.0};
}

TwoPort shunt_admittance(Complex y) noexcept {
  return {1.0, 0.0, y, 1.0};
}

TwoPort ideal_transformer(double voltage_ratio) noexcept {
  return {voltage_ratio, 0.0, 0.0, 1.0 / voltage_ratio};
}

Complex determinant(const TwoPort& two_port) noexcept {
  constexpr double kRounding = 64.0 * std::numeric_limits<double>::epsilon();
  const Complex forward = two_port.a * two_port.d;
  const Complex backward = two_port.b * two_port.c;
  const Complex found = forward - backward;
  const double size = std::abs(forward) + std::abs(backward);
  return !std::isfinite(size) || std::abs(found - 1.0) <= kRounding * size ? Complex{1.0} : found;
}

Complex input_impedance(const TwoPort& two_port, Complex load) noexcept {
  return (two_port.a * load + two_port.b) / (two_port.c * load + two_port.d);
}

double power_ratio(const TwoPort& two_port, Complex load) noexcept {
  const Complex voltage = two_port.a * load + two_port.b;
  const Complex current = two_port.c * load + two_port.d;
  if (load.real() == 0.0) return 0.0;
  return load.real() / (voltage * std::conj(current)).real();
}

double loss_db(const TwoPort& two_port, Complex load) noexcept {
  return -10.0 * std::log10(power_ratio(two_port, load));
}

}  // namespace feldspar::circuit
