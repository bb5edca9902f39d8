#pragma once

#include <Eigen/Core>
#include <complex>
#include <vector>

#include "core/work.hpp"
#include "moment/fill.hpp"
#include "moment/rotation_detail.hpp"

/// What the linear system of a mesh answers to its ports.
namespace feldspar::moment {

struct Response {
  Eigen::MatrixXcd admittance;       ///< S, ports x ports
  Eigen::MatrixXcd coarse;           ///< the same without the top bubbles
  Eigen::MatrixXcd currents;         ///< A, local functions x ports, 1 V at each port in turn
  Eigen::VectorXcd field;            ///< V, per local function: matrix times the first column of `currents`
  Eigen::VectorXcd conjugate_field;  ///< V, matrix times that column's conjugate
  core::Work work;                   ///< samples and solves
  double residual = 0.0;             ///< relative, of the linear solve before its refinement
};

/// What is to be solved. Refers to its parts, which must outlive it.
struct System {
  const geometry::Mesh& mesh;
  const Basis& basis;
  const Surroundings& around;
  const std::vector<ElementLaw>& laws;  ///< per element
  const Eigen::MatrixXd& ports;         ///< local functions x ports: mean current over each gap
  double angular = 0.0;                 ///< rad/s
  double tolerance = 1e-7;              ///< of quadrature
};

/// Series impedance and coat in the block of an element with itself, ohm: r <f f'> + <df df'> / (j w C).
[[nodiscard]] Eigen::MatrixXcd own_block(const geometry::Element& element, const ElementLaw& law,
                                         double angular);

/// x in z x = b, once refined: short elements make the matrix's entries very unequal.
/// @param work counts it @param residual if not null: |b - z x| / (|z| |x| + |b|) before that
[[nodiscard]] Eigen::MatrixXcd solve_refined(const Eigen::MatrixXcd& z, const Eigen::MatrixXcd& b,
                                             core::Work& work, double* residual = nullptr);

/// Indices of the unknowns that are no top bubbles.
[[nodiscard]] std::vector<Eigen::Index> without_top(const std::vector<char>& is_top);

/// Of a mesh that a rotation maps onto itself: one sector's unknowns, harmonic by harmonic
/// (harmonics_detail.hpp), only as many harmonics as the ports excite: one when each port lies on the axis or
/// drives all copies alike.
[[nodiscard]] Response rotation_response(const System& system, const Rotation& rotation);

}  // namespace feldspar::moment
