#pragma once

#include <Eigen/Core>
#include <complex>

#include "geometry/mesh.hpp"
#include "media/half_space.hpp"
#include "moment/basis.hpp"

/// Matrix fill: reaction integrals between all pairs of elements.
namespace feldspar::moment {

/// What surrounds the wires at one frequency.
struct Surroundings {
  double wavenumber = 0.0;                      ///< k0, rad/m
  bool perfect_ground = false;                  ///< image in z = 0
  const media::HalfSpaceTable* soil = nullptr;  ///< real ground when set
  std::complex<double> permittivity = 1.0;      ///< n^2 of the soil
  bool plane_wave = false;  ///< with `soil`: plane-wave approximation instead of the table
};

/// Symmetric matrix of -<f_m, E(f_n)> over the local functions of all elements, ohm.
///
///   Z = 1/(4 pi j w eps0) { -k0^2 <f f' [t.t' g + t_h.t'_h A_h + t_z t'_z A_v + (t'_z t.rho - t_z t'.rho)
///   A_m]> + <df df' P> }
///
/// Formulation C [michalski1990]. Every kernel is averaged round both circumferences; what the soil adds
/// beyond its images varies so slowly that its axis value serves. @param tolerance of the quadrature,
/// relative to the integral of |kernel|
[[nodiscard]] Eigen::MatrixXcd fill_local(const geometry::Mesh& mesh, const Basis& basis,
                                          const Surroundings& surroundings, double tolerance);

}  // namespace feldspar::moment
