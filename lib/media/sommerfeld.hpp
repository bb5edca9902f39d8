#pragma once

#include <complex>
#include <cstddef>
#include <functional>
#include <span>

/// Integrals over the horizontal wavenumber (Sommerfeld integrals) above, below and across the surface of a
/// uniform soil, by direct integration.
///
/// Time factor exp(+jwt), soil below z = 0. With lambda the horizontal wavenumber, k0 the wavenumber of air
/// and k1 = k0 n that of the soil (n2 = n^2, Im n2 <= 0),
///
///     u0 = sqrt(lambda^2 - k0^2),  u1 = sqrt(lambda^2 - n2 k0^2),  Re u >= 0.
///
/// This is the slow, obvious partner of the tables in media/half_space.hpp and media/through_table.hpp, and
/// the way to single values.
namespace feldspar::media {

/// Where the integrand is asked for. u0 and u1 are on the sheet Re u >= 0.
struct SpectralPoint {
  std::complex<double> lambda;
  std::complex<double> u0;
  std::complex<double> u1;
};

/// Writes the spectral functions that multiply J_0(lambda rho) and those that multiply J_1(lambda rho), the
/// exponentials in the heights included. Those of J_0 must be odd in lambda and those of J_1 even.
using SpectralFunctions =
    std::function<void(const SpectralPoint& at, std::span<std::complex<double>> times_j0,
                       std::span<std::complex<double>> times_j1)>;

/// The half-space and the distances of one set of integrals: the functions contain exp(-u0 height - u1
/// depth).
struct SommerfeldGeometry {
  double k0 = 0.0;                ///< > 0 [1/m]
  std::complex<double> n2 = 1.0;  ///< Re >= 1, Im <= 0
  double rho = 0.0;               ///< horizontal distance, >= 0 [m]
  double height = 0.0;            ///< of the points above, added up, >= 0 [m]
  double depth = 0.0;             ///< of the points below, added up, >= 0, not both 0 [m]
};

/// All integrals from 0 to infinity of the functions of one set, each within `tolerance` of its own magnitude
/// where rounding permits (the terms that cancel grow as (k0 rho)^(3/2) times the result).
///
/// The path leaves the real axis into the first quadrant by no more than 1.5 / rho, so that it passes the
/// branch points at k0 and k1 and the pole next to k0 at a distance, and returns beyond Re k1. From there it
/// follows the axis when v = height + depth >= rho / 4; otherwise J is split into its two Hankel functions
/// and each goes its own way at atan(rho / v) to the axis, where it decays without oscillation
/// [michalski2016]. When exp(-u0 height) has died away before Re k1, the path ends there; exp(-u1 depth) does
/// not decay before. Panels are halved until 16 Gauss points agree with 32.
///
/// @param integral_j0, integral_j1  filled; their sizes say how many functions of each kind there are (at
/// most 16)
/// @throws core::Error{usage} for arguments out of range, {numerics} when a panel does not converge
void integrate_sommerfeld(const SommerfeldGeometry& geometry, const SpectralFunctions& functions,
                          std::span<std::complex<double>> integral_j0,
                          std::span<std::complex<double>> integral_j1, double tolerance = 1e-11);

/// The reflected part of the field of a dipole above soil, in terms of ten integrals over lambda from 0 to
/// infinity. E = exp(-u0 z_sum), R_te = (u0 - u1) / (u0 + u1), R_tm = (n2 u0 - u1) / (n2 u0 + u1), and W = 2
/// (n2 - 1) / ((u0 + u1) (n2 u0 + u1)) = (R_tm + R_te) / lambda^2.
struct ReflectionIntegrals {
  std::complex<double> te;       ///< R_te lambda / u0 E J_0       [1/m]
  std::complex<double> tm;       ///< R_tm lambda / u0 E J_0       [1/m]
  std::complex<double> w;        ///< W lambda E J_0               [1]
  std::complex<double> te_z;     ///< R_te lambda E J_0            [1/m^2]   -d te / d z_sum
  std::complex<double> te_rho;   ///< R_te lambda^2 / u0 E J_1     [1/m^2]   -d te / d rho
  std::complex<double> tm_rho;   ///< R_tm lambda^2 / u0 E J_1     [1/m^2]   -d tm / d rho
  std::complex<double> tm_rhoz;  ///< R_tm lambda^2 E J_1          [1/m^3]   d2 tm / (d rho d z_sum)
  std::complex<double> w_rho;    ///< W lambda^2 E J_1             [1/m]     -d w / d rho
  std::complex<double> tm_h;  ///< R_tm lambda^3 / u0 E J_0     [1/m^3]   minus the horizontal Laplacian of tm
  std::complex<double> tm_z;  ///< R_tm lambda E J_0            [1/m^2]   -d tm / d z_sum
  std::complex<double> v_rho;  ///< W lambda^2 / u0 E J_1       [1]
};

/// All of them by integrate_sommerfeld; 1e-9 relative up to k0 rho = 1600.
/// @param rho >= 0 [m] @param z_sum > 0 [m]
[[nodiscard]] ReflectionIntegrals reflection_integrals(double k0, std::complex<double> n2, double rho,
                                                       double z_sum);

}  // namespace feldspar::media
