#pragma once

#include <Eigen/Core>
#include <Eigen/SparseCore>
#include <vector>

#include "geometry/mesh.hpp"
#include "kernel/line_pair.hpp"

/// Hierarchical basis on a mesh: linear functions at nodes, integrated Legendre polynomials ("bubbles")
/// inside.
namespace feldspar::moment {

/// Real matrix that maps local functions to Legendre coefficients, kept on the stack.
using LocalMatrix = Eigen::Matrix<double, Eigen::Dynamic, Eigen::Dynamic, Eigen::ColMajor,
                                  kernel::kMaxDegree + 1, kernel::kMaxDegree + 1>;

/// (order+1) x (order+1): row = local function (0 start node, 1 end node, k>=2 bubble of degree k), column n
/// = coefficient of P_n. Start node: (P0-P1)/2, end node: (P0+P1)/2, bubble k: (P_k - P_{k-2})/(2k-1).
[[nodiscard]] LocalMatrix current_coefficients(int order);

/// (order+1) x order: Legendre coefficients of the derivative along the wire, 1/m: -P0/h, P0/h, 2 P_{k-1}/h.
/// The two node functions of a constant current cancel exactly, so a constant current has no charge.
[[nodiscard]] LocalMatrix derivative_coefficients(int order, double length);

/// Unknowns and how the local functions of all elements are made of them.
struct Basis {
  std::vector<int> offset;              ///< first local function of each element; one more entry = total
  Eigen::SparseMatrix<double> combine;  ///< local functions x unknowns; Kirchhoff's law at nodes built in
  std::vector<char> is_top;             ///< per unknown: highest bubble of an element of order >= 2
  [[nodiscard]] int unknowns() const { return static_cast<int>(combine.cols()); }
};

[[nodiscard]] Basis make_basis(const geometry::Mesh& mesh);

}  // namespace feldspar::moment
