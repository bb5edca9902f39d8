#pragma once

#include <Eigen/Core>
#include <complex>

#include "core/work.hpp"
#include "geometry/mesh.hpp"
#include "media/half_space.hpp"
#include "media/through_table.hpp"
#include "moment/basis.hpp"

/// Matrix fill: reaction integrals between all pairs of elements.
namespace feldspar::moment {

/// What surrounds the wires at one frequency. Tables are needed for the pairs that occur: above, below,
/// across.
struct Surroundings {
  double wavenumber = 0.0;                      ///< k0, rad/m
  bool perfect_ground = false;                  ///< image in z = 0
  const media::HalfSpaceTable* soil = nullptr;  ///< real ground, wires above
  const media::BelowTable* below = nullptr;     ///< real ground, wires below
  const media::AcrossTable* across = nullptr;   ///< real ground, wires on both sides
  std::complex<double> permittivity = 1.0;      ///< n^2 of the soil
  double least_height_sum = 0.0;                ///< m, where `soil` begins
  bool plane_wave = false;  ///< plane-wave approximation instead of `soil`; wires above only
};

/// Symmetric matrix of -<f_m, E(f_n)> over the local functions of all elements, ohm.
///
///   Z = 1/(4 pi j w eps0) { -k0^2 <f f' [t.t' g + t_h.t'_h A_h + t_z t'_z A_v + (t'_z t.rho - t_z t'.rho)
///   A_m]> + <df df' P> }
///
/// Formulation C [michalski1990]. Every kernel is averaged round both circumferences; what the soil adds
/// beyond its images, and what passes through the surface beyond its static part, varies so slowly that its
/// axis value serves. Elements below z = 0 lie in the soil when there is a table `below`; none lies on both
/// sides. @param tolerance of the quadrature, relative to the integral of |kernel|
/// @param work where kernel samples are counted, if anywhere
/// @param threads at a time; the matrix is the same bits for any number
[[nodiscard]] Eigen::MatrixXcd fill_local(const geometry::Mesh& mesh, const Basis& basis,
                                          const Surroundings& surroundings, double tolerance,
                                          core::Work* work = nullptr, int threads = 1);

}  // namespace feldspar::moment
