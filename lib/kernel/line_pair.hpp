#pragma once

#include <Eigen/Core>
#include <complex>
#include <vector>

/// Double integrals of polynomials times a kernel over two straight elements.
///
/// Everything is reduced to Legendre moments
///   M_ij = integral over s, s' of P_i(xi) P_j(eta) K(s, s') ds ds',
/// xi and eta the elements' own coordinates in [-1, 1]; basis functions and their derivatives are
/// combinations of these moments, so one set of kernel samples serves the vector and the scalar potential.
namespace feldspar::kernel {

using Complex = std::complex<double>;

inline constexpr int kMaxDegree = 15;  ///< largest polynomial degree of a current on one element

/// Moments, (degree_m + 1) x (degree_n + 1), unit of K times m^2; kept on the stack.
using Moments =
    Eigen::Matrix<Complex, Eigen::Dynamic, Eigen::Dynamic, Eigen::ColMajor, kMaxDegree + 1, kMaxDegree + 1>;

/// Two elements on parallel lines: coordinates along the common direction.
/// The kernel depends on u = s' - s alone.
struct ParallelPair {
  double centre_m = 0.0;  ///< m
  double length_m = 0.0;  ///< m
  double centre_n = 0.0;  ///< m
  double length_n = 0.0;  ///< m
  int sense_n = 1;        ///< -1: eta runs against the common direction
  int degree_m = 0;
  int degree_n = 0;
};

/// One sample of the correlation integral: sum of K(u) C(u) weight.
struct Sample {
  double u = 0.0;       ///< m
  double weight = 0.0;  ///< m
};

/// How a kernel behaves near u = 0.
struct KernelShape {
  double scale = 0.0;        ///< m; K is smooth on this scale at u = 0 (offset of the lines or wire radius)
  bool logarithmic = false;  ///< K ~ -ln|u| for |u| << scale (equal coaxial tubes)
  double wavenumber = 0.0;   ///< rad/m, for oscillation
};

/// Gauss samples in u for which the moments below are accurate to about `tolerance`, relative to the integral
/// of |K|. Panels shrink geometrically towards u = 0; a logarithmic panel next to 0 is smoothed by u = t^3.
void parallel_samples(const ParallelPair& pair, const KernelShape& shape, double tolerance,
                      std::vector<Sample>& out);

/// moments += sum over samples of value * weight * C(u), where C_ij(u) = integral of P_i(xi(s)) P_j(eta(s+u))
/// ds is integrated exactly. `values` holds K at each sample; several kernels may use the same samples in
/// turn.
void add_parallel_moments(const ParallelPair& pair, const std::vector<Sample>& samples, const Complex* values,
                          Moments& moments);

/// A rectangle of the square [-1,1]^2 with its Gauss orders, for elements in general position.
struct Cell {
  double xi0, xi1, eta0, eta1;
  int points_m, points_n;
};

/// Two elements in general position and the smallest length on which their kernel varies when they touch.
struct SkewPair {
  Eigen::Vector3d start_m, end_m, start_n, end_n;  ///< m
  double softening = 0.0;                          ///< m; R^2 = d^2 + softening^2, 0 for elements apart
  int degree_m = 0;
  int degree_n = 0;
  double wavenumber_m = 0.0;  ///< rad/m, along m
  double wavenumber_n = 0.0;  ///< rad/m, along n
};

/// Cells over which tensor Gauss rules give the moments to about `tolerance`; halves the longer side until
/// the sides are short against the distance.
void skew_cells(const SkewPair& pair, double tolerance, std::vector<Cell>& out);

}  // namespace feldspar::kernel
