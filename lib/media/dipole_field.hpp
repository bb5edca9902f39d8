#pragma once

#include <Eigen/Core>
#include <complex>

/// The field of a short dipole above a uniform soil, by direct integration.
namespace feldspar::media {

/// Peak phasors, time factor exp(+jwt).
struct DipoleField {
  Eigen::Vector3cd e;  ///< V/m
  Eigen::Vector3cd h;  ///< A/m
};

/// Field of a current element in free space.
/// @param k0       > 0 [1/m]
/// @param moment   current times length as a vector [A m]
/// @param from     where the element is [m]
/// @param at       where the field is asked for, another point [m]
[[nodiscard]] DipoleField free_space_dipole_field(double k0, const Eigen::Vector3cd& moment,
                                                  const Eigen::Vector3d& from, const Eigen::Vector3d& at);

/// What the soil below z = 0 adds to it, both points above. With A = (te p_x, te p_y, tm p_z + p . grad w)
/// for the moment p and the integrals of media/sommerfeld.hpp, H = curl A / (4 pi) and E = (k0^2 A + grad div
/// A) / (4 pi j w eps_0) [stratton1941, ch. 9].
/// @param n2   complex permittivity of the soil relative to air, Re >= 1, Im <= 0
/// @note 1e-8 of the field of the image in free space. About a millisecond: for single points and as a check
/// on
///       faster ways; lines of points want tables.
/// @throws core::Error{usage} when a point is below the surface or both are on it
[[nodiscard]] DipoleField reflected_dipole_field(double k0, std::complex<double> n2,
                                                 const Eigen::Vector3cd& moment, const Eigen::Vector3d& from,
                                                 const Eigen::Vector3d& at);

/// The sum of both.
[[nodiscard]] DipoleField dipole_field(double k0, std::complex<double> n2, const Eigen::Vector3cd& moment,
                                       const Eigen::Vector3d& from, const Eigen::Vector3d& at);

}  // namespace feldspar::media
