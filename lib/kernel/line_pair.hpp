#pragma once

#include <Eigen/Core>
#include <complex>
#include <cstddef>
#include <span>
#include <vector>

#include "kernel/contraction.hpp"

/// Double integrals of polynomials times a kernel over two straight elements.
///
/// Everything is reduced to Legendre moments
///   M_ij = integral over s, s' of P_i(xi) P_j(eta) K(s, s') ds ds',
/// xi and eta the elements' own coordinates in [-1, 1]; basis functions and their derivatives are
/// combinations of these moments, so one set of kernel samples serves the vector and the scalar potential.
namespace feldspar::kernel {

using Complex = std::complex<double>;

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

/// Samples of the correlation integral, sum of K(u) C(u) weight, on panels between which C changes.
struct ParallelSamples {
  struct Panel {
    double lower = 0.0;   ///< m, of `shift`
    double upper = 0.0;   ///< m
    std::size_t end = 0;  ///< samples up to here belong to it and those before
  };
  std::vector<double> u;       ///< m, where the kernel is wanted
  std::vector<double> shift;   ///< m, u less the distance of the centres: exact where that is large
  std::vector<double> weight;  ///< m
  std::vector<Panel> panels;
  [[nodiscard]] std::size_t size() const { return u.size(); }
};

/// How a kernel behaves near u = 0.
struct KernelShape {
  double scale = 0.0;        ///< m; K is smooth on this scale at u = 0 (offset of the lines or wire radius)
  bool logarithmic = false;  ///< K ~ -ln|u| for |u| << scale (equal coaxial tubes)
  double wavenumber = 0.0;   ///< rad/m, for oscillation
};

/// How many Gauss points a tolerance asks for; made once for many pairs.
class GaussCounts {
 public:
  static constexpr int kMost = 24;

  explicit GaussCounts(double tolerance);
  [[nodiscard]] double tolerance() const { return tolerance_; }

  /// For a function with its nearest singularity `distance` from a panel of length `length` [m]: error about
  /// rho^(-2n) on the Bernstein ellipse through the singularity [trefethen2008], and some more for the wave.
  /// Far more than kMost where that would not do.
  [[nodiscard]] int operator()(double distance, double length, double wavenumber) const noexcept;

 private:
  double tolerance_;
  double least_[kMost + 1] = {};  // (rho + 1/rho)/2 from which n points do
};

/// Gauss samples in u for which the moments below are accurate to about the tolerance of `counts`, relative
/// to the integral of |K|. Panels shrink geometrically towards u = 0; a logarithmic panel next to 0 is
/// smoothed by u = t^3.
void parallel_samples(const ParallelPair& pair, const KernelShape& shape, const GaussCounts& counts,
                      ParallelSamples& out);

/// A kernel at the samples, and the moments it goes to.
struct SampledKernel {
  const double* re = nullptr;
  const double* im = nullptr;
  MomentSums* sums = nullptr;
};

/// Contraction of kernels that share their samples with C_ij(u) = integral of P_i(xi(s)) P_j(eta(s+u)) ds,
/// exactly.
///
/// On a panel C is a polynomial of degree d = degree_m + degree_n + 1. So the samples are first contracted
/// with P_0 ... P_d, and what that gives is spread over the d + 1 nodes of a Gauss rule, where C is computed:
/// its cost does not grow with the number of samples. Owns its scratch memory.
class ParallelContraction {
 public:
  void add(const ParallelPair& pair, const ParallelSamples& samples, std::span<const SampledKernel> kernels);

 private:
  void spread(const ParallelSamples& samples, std::size_t first, const ParallelSamples::Panel& panel,
              int degree, std::span<const SampledKernel> kernels);

  std::vector<double> nodes_;              // shift
  std::vector<std::vector<double>> load_;  // per kernel: re, im of each node
  std::vector<double> work_, x_m_, x_n_, weight_;
  LegendreRows rows_m_, rows_n_;
  alignas(64) double product_[kRow * kRow] = {};
};

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

/// Cells over which tensor Gauss rules give the moments to about the tolerance of `counts`; halves the longer
/// side until the sides are short against the distance.
void skew_cells(const SkewPair& pair, const GaussCounts& counts, std::vector<Cell>& out);

}  // namespace feldspar::kernel
