#include "media/dipole_field.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <span>

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

// The potentials of dipole_field.hpp where a point is below, and U = h + dw/dz and X = dh/dz + lambda^2 w
// with the derivatives that fields need. U / eps and X / eps without cancellation: across both U are 2 lambda
// / D2.
struct SoilIntegrals {
  Complex h_z;    // dh/dz
  Complex u_h;    // lambda^2 U / eps: minus the horizontal Laplacian
  Complex v_h;    // lambda^2 v / eps
  Complex w_h;    // lambda^2 w
  Complex h_rho;  // minus the derivatives over rho
  Complex u_rho;  // of U / eps
  Complex v_rho;
  Complex vz_rho;  // of dv/dz / eps
  Complex w_rho;
  Complex x_rho;  // of X / eps
  Complex h;
};

SoilIntegrals soil_integrals(double k0, Complex n2, double rho, double from_z, double at_z) {
  const bool from_above = from_z >= 0.0;
  const bool at_above = at_z >= 0.0;
  const double height = std::max(from_z, 0.0) + std::max(at_z, 0.0);
  const double depth = std::max(-from_z, 0.0) + std::max(-at_z, 0.0);
  const auto functions = [&](const SpectralPoint& s, std::span<Complex> times_j0,
                             std::span<Complex> times_j1) {
    const Complex decay = s.lambda * std::exp(-s.u0 * height - s.u1 * depth);
    const Complex over_d1 = 1.0 / (s.u0 + s.u1);
    const Complex over_d2 = 1.0 / (n2 * s.u0 + s.u1);
    const Complex w = 2.0 * (n2 - 1.0) * over_d1 * over_d2 * decay;
    const Complex square = s.lambda * s.lambda;
    Complex h, h_z, u, v, v_z, x;  // u, x, v_z divided by eps
    if (from_above || at_above) {
      const Complex slope = from_above ? s.u1 : -s.u0;
      h = 2.0 * over_d1 * decay;
      h_z = slope * h;
      u = 2.0 * over_d2 * decay;
      v = from_above ? n2 * u : u;
      v_z = slope * u;
      x = from_above ? s.u0 * u : -s.u1 * u;
    } else {
      const Complex te = (1.0 - n2) * k0 * k0 * over_d1 * over_d1 * decay;  // -R_te
      const Complex tm = (n2 * s.u0 - s.u1) * over_d2 * decay;
      h = te / s.u1;
      h_z = te;
      u = (h + s.u1 * w) / n2;
      v = -tm / s.u1;
      v_z = -tm / n2;
      x = -v_z;
    }
    const Complex v_over = at_above ? v : v / n2;
    times_j0[0] = h_z;
    times_j0[1] = square * u;
    times_j0[2] = square * v_over;
    times_j0[3] = square * w;
    times_j0[4] = h;
    times_j1[0] = s.lambda * h;
    times_j1[1] = s.lambda * u;
    times_j1[2] = s.lambda * v;
    times_j1[3] = s.lambda * v_z;
    times_j1[4] = s.lambda * w;
    times_j1[5] = s.lambda * x;
  };
  std::array<Complex, 5> j0;
  std::array<Complex, 6> j1;
  integrate_sommerfeld({k0, n2, rho, height, depth}, functions, j0, j1);
  return {j0[0], j0[1], j0[2], j0[3], j1[0], j1[1], j1[2], j1[3], j1[4], j1[5], j0[4]};
}

// What is left of the field besides the direct one of two points below.
DipoleField field_in_soil(double k0, Complex n2, const Vector3cd& moment, const Vector3d& from,
                          const Vector3d& at) {
  const double dx = at.x() - from.x();
  const double dy = at.y() - from.y();
  const double rho = std::hypot(dx, dy);
  const bool axial = on_axis(rho, std::abs(at.z()) + std::abs(from.z()));
  const SoilIntegrals s = soil_integrals(k0, n2, axial ? 0.0 : rho, from.z(), at.z());
  const double cx = axial ? 1.0 : dx / rho;
  const double cy = axial ? 0.0 : dy / rho;
  const Complex px = moment.x();
  const Complex py = moment.y();
  const Complex pz = moment.z();
  const Complex radial = cx * px + cy * py;

  // second derivatives over rho: Laplacian and the slope divided by rho
  const Complex u_slope = axial ? -0.5 * s.u_h : -s.u_rho / rho;
  const Complex u_twist = radial * (-s.u_h - 2.0 * u_slope) - pz * s.vz_rho;
  const Complex u_side = k0 * k0 * s.h + u_slope;
  const Vector3cd e(u_side * px + u_twist * cx, u_side * py + u_twist * cy, pz * s.v_h - radial * s.x_rho);

  const Complex w_slope = axial ? -0.5 * s.w_h : -s.w_rho / rho;
  const Complex w_twist = radial * (-s.w_h - 2.0 * w_slope) - pz * s.v_rho;
  const Complex az_x = w_slope * px + w_twist * cx;  // grad A_z
  const Complex az_y = w_slope * py + w_twist * cy;
  const Vector3cd h(az_y - s.h_z * py, s.h_z * px - az_x, -s.h_rho * (cx * py - cy * px));
  return {electric_factor(k0) * e, kOverFourPi * h};
}

}  // namespace

DipoleField uniform_dipole_field(double k0, Complex n2, const Vector3cd& moment, const Vector3d& from,
                                 const Vector3d& at) {
  const Vector3d step = at - from;
  const double r = step.norm();
  const Vector3d unit = step / r;
  const Complex k = k0 * std::sqrt(n2);
  const Complex jkr = Complex(0.0, 1.0) * k * r;
  const Complex wave = std::polar(std::exp(k.imag() * r) / r, -k.real() * r);
  const Complex slope = -wave * (1.0 + jkr) / r;                    // dg / dr
  const Complex bend = wave * (2.0 + jkr * (2.0 + jkr)) / (r * r);  // d2g / dr2
  const Complex along = unit.x() * moment.x() + unit.y() * moment.y() + unit.z() * moment.z();
  const Vector3cd axial = along * unit.cast<Complex>();
  const Vector3cd e = k0 * k0 * wave * moment + (bend * axial + slope / r * (moment - axial)) / n2;
  return {electric_factor(k0) * e, kOverFourPi * slope * cross(unit, moment)};
}

DipoleField free_space_dipole_field(double k0, const Vector3cd& moment, const Vector3d& from,
                                    const Vector3d& at) {
  return uniform_dipole_field(k0, 1.0, moment, from, at);
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
  if (at.z() < 0.0 || from.z() < 0.0) {
    DipoleField by_surface = field_in_soil(k0, n2, moment, from, at);
    if (at.z() >= 0.0 || from.z() >= 0.0) return by_surface;
    const DipoleField direct = uniform_dipole_field(k0, n2, moment, from, at);
    return {direct.e + by_surface.e, direct.h + by_surface.h};
  }
  const DipoleField direct = free_space_dipole_field(k0, moment, from, at);
  const DipoleField reflected = reflected_dipole_field(k0, n2, moment, from, at);
  return {direct.e + reflected.e, direct.h + reflected.h};
}

}  // namespace feldspar::media
