#pragma once

#include <Eigen/Core>
#include <array>
#include <complex>

/// exp(-jkR)/R between two tubes in general position, averaged round both circumferences.
namespace feldspar::kernel {

/// The averaged kernel of one pair of straight tubes as a function of the vector between points on their
/// axes.
///
/// Beyond six times the sum of the radii it is the axis value with the second-order term of the averages,
///   1/R - (a^2/4)(3 c^2 - 1)/R^3 - (b^2/4)(3 c'^2 - 1)/R^3,  c, c' cosines between R and the tubes,
/// which follows from Laplace's equation; the next term is below 1e-4 of 1/R there. Nearer, points of the two
/// rings are summed, 8 x 8, and 24 x 24 where the tubes may touch: for tubes that interpenetrate at a joint
/// the average is finite and the sum is within a few per cent of what averaging changes at all. For tubes on
/// one axis use ring_average().
class TubeKernel {
 public:
  /// @param tangent_m, tangent_n unit vectors @param radius_m, radius_n [m] @param k wavenumber, Im k <= 0
  /// [rad/m]
  /// @param least_distance a lower bound of |d| in every call [m]; saves the rings where they are not needed
  TubeKernel(const Eigen::Vector3d& tangent_m, double radius_m, const Eigen::Vector3d& tangent_n,
             double radius_n, std::complex<double> k, double least_distance = 0.0);

  /// @param d from the point on n's axis to the point on m's axis [m]; |d| > 0 @return 1/m
  [[nodiscard]] std::complex<double> operator()(const Eigen::Vector3d& d) const noexcept;

 private:
  static constexpr int kNear = 8;
  static constexpr int kTouching = 24;

  Eigen::Vector3d tangent_m_, tangent_n_;
  double quarter_m_, quarter_n_;  // a^2/4
  double near_squared_;           // below this squared distance the rings are summed
  double touching_squared_;       // below this one with more points
  double patch_squared_;
  double k_;
  double loss_;  // -Im k
  std::array<Eigen::Vector3d, kNear> near_m_, near_n_;
  std::array<Eigen::Vector3d, kTouching> touching_m_, touching_n_;
};

}  // namespace feldspar::kernel
