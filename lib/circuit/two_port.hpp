#pragma once

#include <complex>

#include "circuit/reflection.hpp"

/// Linear two-ports by their chain matrix, for exact cascades.
namespace feldspar::circuit {

/// Chain matrix: V1 = a V2 + b I2, I1 = c V2 + d I2, I2 flows into the load. Port 1 faces the radio, port 2
/// the antenna. Reciprocal when a d - b c = 1.
struct TwoPort {
  Complex a = 1.0;
  Complex b = 0.0;  ///< ohm
  Complex c = 0.0;  ///< S
  Complex d = 1.0;
};

/// `first` nearer to the radio, `second` nearer to the antenna.
[[nodiscard]] TwoPort cascade(const TwoPort& first, const TwoPort& second) noexcept;
[[nodiscard]] TwoPort series_impedance(Complex z) noexcept;  ///< z [ohm]
[[nodiscard]] TwoPort shunt_admittance(Complex y) noexcept;  ///< y [S]
/// Voltage ratio V1/V2, > 0: sqrt(1 / impedance ratio) for a transformer that steps up towards the antenna.
[[nodiscard]] TwoPort ideal_transformer(double voltage_ratio) noexcept;

/// a d - b c, 1 for a reciprocal two-port. Exactly 1 where that is within the rounding of a d and b c: above
/// about 150 dB nothing but rounding is left of the difference.
[[nodiscard]] Complex determinant(const TwoPort& two_port) noexcept;

/// Impedance at port 1 with the load at port 2 [ohm].
[[nodiscard]] Complex input_impedance(const TwoPort& two_port, Complex load) noexcept;

/// Power into the load over power into port 1. 0..1 for a passive two-port with Re load > 0 (rounding apart);
/// 0 when the load has no resistance. Where |V||I| far exceeds the power, about 1e-16 |V||I|/P is lost to
/// rounding.
[[nodiscard]] double power_ratio(const TwoPort& two_port, Complex load) noexcept;

/// -10 log10(power_ratio).
[[nodiscard]] double loss_db(const TwoPort& two_port, Complex load) noexcept;

}  // namespace feldspar::circuit
