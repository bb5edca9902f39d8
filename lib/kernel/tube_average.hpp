#pragma once

#include <Eigen/Core>
#include <complex>
#include <cstddef>
#include <memory>
#include <vector>

/// exp(-jkR)/R between two tubes in general position, averaged round both circumferences.
namespace feldspar::kernel {

/// Points, or vectors from points on one axis to points on the other, coordinate by coordinate. [m]
struct Vectors {
  std::vector<double> x, y, z;
  void resize(std::size_t count) {
    x.resize(count);
    y.resize(count);
    z.resize(count);
  }
  [[nodiscard]] std::size_t size() const { return x.size(); }
};

inline constexpr std::size_t kSpare = 3;

/// Vectors from all points of n to all points of m, those of m fastest, into `out` from `at` on. The arrays
/// of m and `out` have room for kSpare more numbers, whose values do not matter.
void separate(const Vectors& m, std::size_t count_m, const Vectors& n, std::size_t count_n, std::size_t at,
              Vectors& out) noexcept;

/// The averaged kernel of one pair of straight tubes as a function of the vector between points on their
/// axes.
///
/// Beyond six times the sum of the radii it is the axis value G = exp(-jkR)/R with the second-order term of
/// each average, for a ring of radius a round a tangent t (a^2/4)(laplacian - d^2/dt^2) G, which with
/// laplacian G = -k^2 G is
///   -(a^2/4) G [(3 c^2 - 1)(1 + jkR)/R^2 + k^2 (1 - c^2)],  c the cosine between R and t;
/// the next term is below 1e-4 of 1/R there and falls as (a/R)^4. Nearer, points of the two
/// rings are summed, 8 x 8, and 24 x 24 where the tubes may touch: for tubes that interpenetrate at a joint
/// the average is finite and the sum is within a few per cent of what averaging changes at all. For tubes on
/// one axis use ring_averages(). Keeps the rings' points once they are needed: one object per thread.
class TubeKernel {
 public:
  /// @param tangent_m, tangent_n unit vectors @param radius_m, radius_n [m] @param k wavenumber, Im k <= 0
  /// [rad/m]
  TubeKernel(const Eigen::Vector3d& tangent_m, double radius_m, const Eigen::Vector3d& tangent_n,
             double radius_n, std::complex<double> k);
  ~TubeKernel();
  TubeKernel(TubeKernel&&) noexcept;
  TubeKernel& operator=(TubeKernel&&) noexcept;

  /// @param d from the point on n's axis to the point on m's axis [m]; |d| > 0 @return 1/m
  [[nodiscard]] std::complex<double> operator()(const Eigen::Vector3d& d);
  /// The same for `count` separations from `first` on. @param re, im  `count` numbers
  void evaluate(const Vectors& d, std::size_t first, std::size_t count, double* re, double* im);

 private:
  class RingPair;

  Eigen::Vector3d tangent_m_, tangent_n_;
  double radius_m_, radius_n_;
  double near_squared_;      // below this squared distance the rings are summed
  double touching_squared_;  // below this one with more points
  double k_;
  double loss_;  // -Im k
  std::unique_ptr<RingPair> rings_;
};

}  // namespace feldspar::kernel
