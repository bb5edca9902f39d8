#pragma once

#include <Eigen/Core>
#include <Eigen/SparseCore>
#include <complex>
#include <vector>

#include "geometry/mesh.hpp"
#include "moment/basis.hpp"
#include "moment/reactions_detail.hpp"
#include "moment/rotation_detail.hpp"

/// Solution of a rotationally symmetric structure, harmonic by harmonic.
///
/// Write the local currents as those of the axis, a, and of the copies, s_j, j = 0 ... n-1. With w = exp(2 pi
/// i / n) the currents of harmonic m are s_j = w^(m j) u_m; only those of m = 0 go with currents on the axis.
/// A turn changes no reaction, so that copy i sees copy i + j as copy 0 sees copy j, Z_j, and the matrix
/// couples no two harmonics (block-circulant matrices, [davis1979]):
///   axis rows:     Z_aa a + n Z_a0 u_0
///   copy 0's rows: Z_0a a + sum_j w^(m j) Z_j u_m  =: Z_0a a + S_m u_m
/// Reciprocity and a turn give Z_{n-j} = Z_j^T, so that j up to n/2 is enough, and S_{n-m} = S_m^T. In a flat
/// sector (its wires in one half-plane) a mirror between copies 0 and j gives Z_j = Z_j^T as well.
///
/// Tested with harmonic -m, the transpose of the expansion without conjugation, each harmonic has a small
/// system of its own. Kirchhoff's law at a node away from the axis joins arms of one or several copies: an
/// arm on copy j carries w^(m j) u. At a node on the axis the sum over the copies is n u for m = 0 and
/// nothing otherwise, so that there the law binds axis and sector for m = 0 and leaves each arm free for the
/// others.
namespace feldspar::moment {

/// Local functions of the axis elements, then those of the sector's.
struct SectorBasis {
  std::vector<std::size_t> elements;  ///< of the mesh: axis, then copy 0
  std::vector<int> offset;            ///< first local function of each; one more entry = total
  std::size_t axis_elements = 0;
  [[nodiscard]] int axis_size() const { return offset[axis_elements]; }
  [[nodiscard]] int size() const { return offset.back(); }
};

[[nodiscard]] SectorBasis make_sector_basis(const geometry::Mesh& mesh, const Rotation& rotation);

/// Unknowns of one harmonic: sector local functions x unknowns, Kirchhoff's law built in, and which are top
/// bubbles.
struct HarmonicBasis {
  Eigen::SparseMatrix<std::complex<double>> combine;
  std::vector<char> is_top;
};

/// @param harmonic 0 ... copies - 1; its axis rows are empty unless it is 0
[[nodiscard]] HarmonicBasis make_harmonic_basis(const geometry::Mesh& mesh, const Rotation& rotation,
                                                const SectorBasis& sector, int harmonic);

/// [Z_aa, n Z_a0; Z_0a, S_m] for each of `harmonics`, ohm; the axis parts only for m = 0, else zero.
[[nodiscard]] std::vector<Eigen::MatrixXcd> fill_harmonics(Reactions& reactions, const Rotation& rotation,
                                                           const SectorBasis& sector,
                                                           const std::vector<int>& harmonics);

}  // namespace feldspar::moment
