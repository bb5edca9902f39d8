#include "media/dipole_field.hpp"

#include <cmath>

#include "core/constants.hpp"
#include "core/error.hpp"
#include "media/sommerfeld.hpp"

namespace feldspar::media {
namespace {

using Complex = std::complex<double>;
using Eigen::Vector3cd;
using Eigen::Vector3d;
constexpr double kOverFourPi = 1.0 / (4.0 * core::kPi);

// 1 / (4 pi j w eps_0)
Complex electric_factor(double k0) {
  return {0.0, -core::kVacuumImpedance * kOverFourPi / k0};
}

// Without the complex conjugate that Eigen's own takes.
Vector3cd cross(const Vector3d& a, const Vector3cd& b) {
  return {a.y() * b.z() - a.z() * b.y(), a.z() * b.x() - a.x() * b.z(), a.x() * b.y() - a.y() * b.x()};
}

// J_1(lambda rho) / rho for rho -> 0 is lambda / 2; above this rho the quotient of the integral is as good.
bool on_axis(double rho, double z_sum) {
  return rho < 1e-9 * z_sum;
}

}  // namespace

DipoleField free_space_dipole_field(double k0, const Vector3cd& moment, const Vector3d& from,
                                    const Vector3d& at) {
  const Vector3d step = at - from;
  const double r = step.norm();
  const Vector3d unit = step / r;
  const double kr = k0 * r;
  const Complex wave = std::polar(1.0 / r, -kr);
  const Complex slope = -wave * Complex(1.0, kr) / r;                      // dg / dr
  const Complex bend = wave * Complex(2.0 - kr * kr, 2.0 * kr) / (r * r);  // d2g / dr2
  const Complex along = unit.x() * moment.x() + unit.y() * moment.y() + unit.z() * moment.z();
  const Vector3cd axial = along * unit.cast<Complex>();
  const Vector3cd e = k0 * k0 * wave * moment + bend * axial + slope / r * (moment - axial);
  return {electric_factor(k0) * e, kOverFourPi * slope * cross(unit, moment)};
}

DipoleField reflected_dipole_field(double k0, Complex n2, const Vector3cd& moment, const Vector3d& from,
                                   const Vector3d& at) {
  const double z_sum = at.z() + from.z();
  if (at.z() < 0.0 || from.z() < 0.0 || !(z_sum > 0.0)) {
    throw core::Error(core::ErrorKind::usage, "a dipole's field above soil was asked for below the surface");
  }
  const double dx = at.x() - from.x();
  const double dy = at.y() - from.y();
  const double rho = std::hypot(dx, dy);
  const bool axial = on_axis(rho, z_sum);
  const ReflectionIntegrals s = reflection_integrals(k0, n2, axial ? 0.0 : rho, z_sum);
  const double cx = axial ? 1.0 : dx / rho;
  const double cy = axial ? 0.0 : dy / rho;
  const Complex px = moment.x();
  const Complex py = moment.y();
  const Complex pz = moment.z();
  const Complex radial = cx * px + cy * py;
  const double k2 = k0 * k0;

  // div A = p . grad u + pz d tm / dz with u = te + dw / dz, in the spectrum -lambda R_tm / u0 + k0^2 lambda
  // W / u0; second derivatives over rho: laplacian and the slope divided by rho.
  const Complex u_laplacian = s.tm_h - k2 * (s.te + s.tm);
  const Complex u_slope = axial ? 0.5 * u_laplacian : (s.tm_rho - k2 * s.v_rho) / rho;
  const Complex u_twist = radial * (u_laplacian - 2.0 * u_slope) + pz * s.tm_rhoz;
  const Complex u_side = k2 * s.te + u_slope;
  const Vector3cd e(u_side * px + u_twist * cx, u_side * py + u_twist * cy, pz * s.tm_h - radial * s.tm_rhoz);

  const Complex w_laplacian = -(s.te_z + s.tm_z);
  const Complex w_slope = axial ? 0.5 * w_laplacian : -s.w_rho / rho;
  const Complex w_twist = radial * (w_laplacian - 2.0 * w_slope) - pz * s.tm_rho;
  const Complex az_x = w_slope * px + w_twist * cx;  // grad A_z
  const Complex az_y = w_slope * py + w_twist * cy;
  const Vector3cd h(az_y + s.te_z * py, -s.te_z * px - az_x, -s.te_rho * (cx * py - cy * px));
  return {electric_factor(k0) * e, kOverFourPi * h};
}

DipoleField dipole_field(double k0, Complex n2, const Vector3cd& moment, const Vector3d& from,
                         const Vector3d& at) {
  const DipoleField direct = free_space_dipole_field(k0, moment, from, at);
  const DipoleField reflected = reflected_dipole_field(k0, n2, moment, from, at);
  return {direct.e + reflected.e, direct.h + reflected.h};
}

}  // namespace feldspar::media
