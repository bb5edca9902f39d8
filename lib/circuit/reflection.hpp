#pragma once

#include <complex>

/// Reflection, standing-wave ratio and mismatch of an impedance against a reference resistance.
namespace feldspar::circuit {

using Complex = std::complex<double>;

/// (Z - Z0) / (Z + Z0), the voltage reflection coefficient. About 1e-15 relative, except near a match, where
/// it is 1e-16 absolute.
/// @param z  load [ohm], finite, z != -z0   @param z0 reference [ohm], real for SWR and power, complex for
/// the waves on a line with loss (its magnitude may then exceed 1 for a passive load).
[[nodiscard]] Complex reflection_coefficient(Complex z, Complex z0) noexcept;

/// Z0 (1 + rho) / (1 - rho); rho != 1.
[[nodiscard]] Complex impedance_from_reflection(Complex rho, Complex z0) noexcept;

/// Standing-wave ratio, >= 1; infinite for a load without resistance and for an infinite one. No cancellation
/// at high values: (|Z + R0| + |Z - R0|)^2 / (4 R R0), 1e-15 relative.
/// @param z load [ohm], Re z >= 0   @param reference_resistance > 0 [ohm]
[[nodiscard]] double swr(Complex z, double reference_resistance) noexcept;

/// 1 - |rho|^2: share of the power available from a source of that resistance which the load takes, 0..1.
/// It is not a loss on the line, and not what a radio behind a tuner gives.
[[nodiscard]] double accepted_share(Complex z, double reference_resistance) noexcept;

/// -10 log10(1 - |rho|^2), >= 0 [IEEE Std 145: realized gain = gain less this].
[[nodiscard]] double mismatch_loss_db(Complex z, double reference_resistance) noexcept;

/// -20 log10 |rho|, >= 0; infinite for a match.
[[nodiscard]] double return_loss_db(Complex z, double reference_resistance) noexcept;

}  // namespace feldspar::circuit
