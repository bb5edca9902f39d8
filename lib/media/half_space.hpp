#pragma once

#include <complex>
#include <cstddef>
#include <memory>
#include <span>

/// Potentials of currents above a uniform soil, Formulation C of [michalski1990]: what reflection adds to the
/// mixed-potential kernels when source and observer are both above the surface.
///
/// Time factor exp(+jwt), z up, soil below z = 0. n2 = n^2 is the complex permittivity of the soil relative
/// to air (media/ground.hpp), k0 the wavenumber of air [1/m]. Every function depends on the horizontal
/// distance rho [m] and on z_sum = z + z' > 0 [m], the heights of observer and source added: R' = sqrt(rho^2
/// + z_sum^2) is the distance to the image. With K = (n2 - 1) / (n2 + 1) and g' = exp(-j k0 R') / R' the
/// reflected potentials are
///
///     A_h =                                   a_h      horizontal on horizontal current
///     A_v =  2 K g'                         + a_v      vertical on vertical current
///     A_m =  K (1 - z_sum / R') / rho       + a_m      vertical on horizontal and back (static image)
///     P   = -K g'                           + p        charge on charge
///
/// and the four small letters are the rest: smooth, finite for R' -> 0 (where they become of the order k0 n),
/// in 1/m. (1 - z_sum / R') / rho is best computed as rho / (R' (R' + z_sum)), which also holds for rho = 0.
/// Only three of the four are independent: a_v = a_h + (n2 - 1) p (derived in media/half_space_spectrum.hpp).
namespace feldspar::media {

/// What is left of the reflected potentials when the images above are taken away. [1/m]
struct ReflectedRest {
  std::complex<double> a_h;
  std::complex<double> a_v;
  std::complex<double> a_m;
  std::complex<double> p;
};

/// The rest functions from a table of Chebyshev polynomials on cells of the (rho, z_sum) plane.
///
/// A cell is built when it is first touched, from a contour integral that does not depend on which cells
/// exist already: results depend neither on the order of the calls nor on the number of threads. All const
/// members may be called from several threads at once. Arguments outside the stated range (by more than
/// rounding) are not tabulated: they are integrated directly, which is right but about a thousand times
/// slower.
class HalfSpaceTable {
 public:
  /// @param k0             > 0 [1/m]
  /// @param n2             Re >= 1, Im <= 0
  /// @param largest_rho    >= 0 [m]
  /// @param smallest_z_sum > 0 [m]
  /// @param largest_z_sum  >= smallest_z_sum [m]
  /// @param tolerance      largest error of each function relative to 1/R', 1e-9..1e-2
  /// @throws core::Error{usage} outside these ranges
  HalfSpaceTable(double k0, std::complex<double> n2, double largest_rho, double smallest_z_sum,
                 double largest_z_sum, double tolerance = 1e-6);
  ~HalfSpaceTable();
  HalfSpaceTable(HalfSpaceTable&&) noexcept;
  HalfSpaceTable& operator=(HalfSpaceTable&&) noexcept;

  [[nodiscard]] ReflectedRest operator()(double rho, double z_sum) const;

  /// The same for many points; the three spans have one length. Four points of a cell cost as much as one,
  /// within runs of 64: points that follow one another closely are about three times cheaper.
  void evaluate(std::span<const double> rho, std::span<const double> z_sum,
                std::span<ReflectedRest> out) const;

  /// K = (n2 - 1) / (n2 + 1)
  [[nodiscard]] std::complex<double> image_factor() const;

  /// Largest difference, relative to 1/R', between table and direct integration, at one point drawn at random
  /// in each cell when it was built; 0 before the first look-up.
  [[nodiscard]] double measured_error() const;

  /// Numbers kept (complex coefficients of all cells built so far).
  [[nodiscard]] std::size_t entries() const;

 private:
  class Impl;
  std::unique_ptr<Impl> impl_;
};

/// The rest functions when every spectral integral is replaced by its integrand at the specular angle:
/// reflection of one plane wave, the leading term for k0 R' -> infinity. Poor for low wires (it lacks the
/// ground wave); unlike the exact functions it grows as 1/R' for R' -> 0. Arguments as above, z_sum >= 0, R'
/// > 0.
[[nodiscard]] ReflectedRest plane_wave_rest(double k0, std::complex<double> n2, double rho,
                                            double z_sum) noexcept;

namespace reference {  ///< direct adaptive integration, the oracle: never used in a solve

/// @note Absolute error below 1e-10 / R'. @throws core::Error{numerics} when the integration does not
/// converge.
[[nodiscard]] ReflectedRest reflected_rest(double k0, std::complex<double> n2, double rho, double z_sum);

}  // namespace reference
}  // namespace feldspar::media
