#pragma once

#include <complex>
#include <cstddef>

/// The thin-wire kernel between two coaxial tubes, averaged round both circumferences.
namespace feldspar::kernel {

/// Average of 1/R over the ring, R^2 = u^2 + a^2 + b^2 - 2ab cos(phi), by the arithmetic-geometric mean:
/// 1 / AGM(sqrt(u^2 + (a+b)^2), sqrt(u^2 + (a-b)^2)); it equals (2/pi) K(m) / sqrt(u^2 + (a+b)^2), the
/// complete elliptic integral of the first kind [abramowitz1964, 17.6]. Logarithmic at u = 0 when a = b.
/// @param u axial distance [m], not 0 when a == b
/// @param a, b radii [m], >= 0, not both 0 at u = 0
/// @note 4e-16 relative. Unit 1/m.
[[nodiscard]] double static_ring_average(double u, double a, double b) noexcept;

/// Averages of exp(-jkR)/R over the ring at `count` distances u, real and imaginary parts apart [1/m]; k may
/// be complex with Im k <= 0 (lossy medium) [rad/m]; u, a, b as above. The part beyond the static one is
/// taken at six angles, exact to about 1e-2 (ka)^2 relative for ka << 1; beyond 20 (a + b), and where |k| (a
/// + b) < 1e-4, at their middle alone, to 0.15 (ka)^2.
void ring_averages(const double* u, std::size_t count, double a, double b, std::complex<double> k, double* re,
                   double* im) noexcept;

namespace reference {
/// One of them by adaptive integration over the angle, within 1e-12 relative; slow.
[[nodiscard]] std::complex<double> ring_average(double u, double a, double b, std::complex<double> k);
}  // namespace reference

}  // namespace feldspar::kernel
