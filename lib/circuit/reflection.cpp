#include "circuit/reflection.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

namespace feldspar::circuit {

Complex reflection_coefficient(Complex z, Complex z0) noexcept {
  return (z - z0) / (z + z0);
}

Complex impedance_from_reflection(Complex rho, Complex z0) noexcept {
  return z0 * ((1.0 + rho) / (1.0 - rho));
}

double swr(Complex z, double reference_resistance) noexcept {
  if (!(z.real() > 0.0) || !std::isfinite(std::abs(z))) return std::numeric_limits<double>::infinity();
  const double sum = std::abs(z + reference_resistance) + std::abs(z - reference_resistance);
  // |Z + R0|^2 - |Z - R0|^2 = 4 R R0 exactly; the quotient is 1 at a match up to rounding.
  return std::max(1.0, sum / (4.0 * z.real()) * (sum / reference_resistance));
}

double accepted_share(Complex z, double reference_resistance) noexcept {
  if (!(z.real() > 0.0) || !std::isfinite(std::abs(z))) return 0.0;
  const double sum = std::abs(z + reference_resistance);
  return std::min(1.0, 4.0 * (z.real() / sum) * (reference_resistance / sum));
}

double mismatch_loss_db(Complex z, double reference_resistance) noexcept {
  return -10.0 * std::log10(accepted_share(z, reference_resistance)) + 0.0;
}

double return_loss_db(Complex z, double reference_resistance) noexcept {
  return -20.0 * std::log10(std::min(1.0, std::abs(reflection_coefficient(z, reference_resistance)))) + 0.0;
}

}  // namespace feldspar::circuit
