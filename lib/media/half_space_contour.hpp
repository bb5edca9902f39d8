#pragma once

#include <complex>
#include <vector>

/// Quadrature of the rest functions of media/half_space.hpp over whole rectangles of the (rho, z_sum) plane.
namespace feldspar::media {

/// A rectangle of distances. [m]
struct Rectangle {
  double rho_from = 0.0;
  double rho_to = 0.0;
  double z_from = 0.0;
  double z_to = 0.0;
};

/// One node: the spectral functions at lambda times the weight of the node. Its share of a_h is
/// a_h exp(-u0 z_sum) times the radial function of order 0 at lambda rho; a_m takes the function of order 1.
struct ContourNode {
  std::complex<double> lambda;
  std::complex<double> u0;
  std::complex<double> a_h;
  std::complex<double> a_v;
  std::complex<double> p;
  std::complex<double> a_m;
};

/// The nodes by the radial function they take (orders 0 and 1).
struct Contour {
  std::vector<ContourNode> bessel;   ///< J
  std::vector<ContourNode> hankel1;  ///< H^(1), Im lambda >= 0
  std::vector<ContourNode> hankel2;  ///< H^(2), Im lambda <= 0 or |Im lambda| rho <= 1.5
  /// The path goes round the branch cuts and leaves out 0, where H_1^(2) has a pole: add -K exp(-j k0 z_sum)
  /// / rho to a_m.
  bool round_cuts = false;
};

/// How finely a contour is divided; `fine` is used to check `normal`.
enum class ContourGrade { normal, fine };

/// A contour good for every point of `cell`: error below 5e-7 / R' (normal) or 1e-9 / R' (fine).
///
/// Three forms. All begin at 0 and enter the first quadrant, far enough from the branch points at k0 and k1
/// and from the pole next to k0, unless they go round the cuts.
/// 1. z_sum not small against rho: parallel to the axis with J until exp(-u0 z_sum) ends it; far above the
/// soil
///    straight on, close to the path of steepest descent.
/// 2. Closer to grazing, |k1| rho not large: with J to beyond Re k1, then J = (H^(1) + H^(2)) / 2, the first
/// bent
///    up and the second down, where they decay as exp(-t rho).
/// 3. Closer to grazing, |k1| rho large: the whole axis with H^(2) / 2, bent down round the cuts from k0 and
/// k1,
///    both sides of the first tilted away from each other, close to the path of steepest descent. The
///    right-hand side passes between k1 and the pole, which stays beyond the cut.
/// @param cell one for which has_contour is true; rho_to > 0
[[nodiscard]] Contour make_contour(double k0, std::complex<double> n2, const Rectangle& cell,
                                   ContourGrade grade);

/// Whether one of the three forms is efficient over the whole cell: z_from >= rho_to / 2 or k0 z_from >= 15
/// (1), or rho_from > 0 and k0 z_to^2 <= 20 rho_from (2, 3), or |k1| rho_to <= 0.1 (1). Any cell can be
/// divided into such.
[[nodiscard]] bool has_contour(double k0, std::complex<double> n2, const Rectangle& cell);

}  // namespace feldspar::media
