#include "kernel/tube_average.hpp"

#include <Eigen/Geometry>
#include <cmath>

#include "core/constants.hpp"
#include "kernel/sincos.hpp"

namespace feldspar::kernel {

namespace {

/// Points of a ring, turned by half a step against the plane of the two tangents, where touching tubes meet.
template <std::size_t Count>
std::array<Eigen::Vector3d, Count> ring(const Eigen::Vector3d& tangent, const Eigen::Vector3d& other,
                                        double radius) {
  Eigen::Vector3d first = other - other.dot(tangent) * tangent;
  if (first.norm() < 1e-6) first = tangent.unitOrthogonal();
  first.normalize();
  const Eigen::Vector3d second = tangent.cross(first);
  std::array<Eigen::Vector3d, Count> points;
  for (std::size_t i = 0; i < Count; ++i) {
    const double phi = 2.0 * core::kPi * (static_cast<double>(i) + 0.5) / static_cast<double>(Count);
    points[i] = radius * (std::cos(phi) * first + std::sin(phi) * second);
  }
  return points;
}

template <std::size_t Count>
std::complex<double> ring_sum(const Eigen::Vector3d& d, const std::array<Eigen::Vector3d, Count>& ring_m,
                              const std::array<Eigen::Vector3d, Count>& ring_n, double k, double loss,
                              double patch_squared) noexcept {
  double re = 0.0;
  double im = 0.0;
  for (const Eigen::Vector3d& m : ring_m) {
    const Eigen::Vector3d from = d + m;
    for (const Eigen::Vector3d& n : ring_n) {
      const double r = std::sqrt((from - n).squaredNorm() + patch_squared);
      double sine = 0.0;
      double cosine = 0.0;
      sincos(k * r, sine, cosine);
      const double size = (loss == 0.0 ? 1.0 : std::exp(-loss * r)) / r;
      re += size * cosine;
      im -= size * sine;
    }
  }
  constexpr double kShare = 1.0 / static_cast<double>(Count * Count);
  return {re * kShare, im * kShare};
}

}  // namespace

TubeKernel::TubeKernel(const Eigen::Vector3d& tangent_m, double radius_m, const Eigen::Vector3d& tangent_n,
                       double radius_n, std::complex<double> k, double least_distance)
    : tangent_m_(tangent_m),
      tangent_n_(tangent_n),
      quarter_m_(0.25 * radius_m * radius_m),
      quarter_n_(0.25 * radius_n * radius_n),
      near_squared_(36.0 * (radius_m + radius_n) * (radius_m + radius_n)),
      touching_squared_(4.0 * (radius_m + radius_n) * (radius_m + radius_n)),
      // A pair of ring points stands for a patch of the two surfaces; over a square of side s the mean of 1/R
      // is 3.525/s, which is what two points that happen to meet must give instead of infinity.
      patch_squared_(radius_m * radius_n * std::pow(2.0 * core::kPi / (kTouching * 3.525), 2)),
      k_(k.real()),
      loss_(-k.imag()) {
  if (least_distance * least_distance < near_squared_) {
    near_m_ = ring<kNear>(tangent_m, tangent_n, radius_m);
    near_n_ = ring<kNear>(tangent_n, tangent_m, radius_n);
  } else {
    near_squared_ = 0.0;
  }
  if (least_distance * least_distance < touching_squared_) {
    touching_m_ = ring<kTouching>(tangent_m, tangent_n, radius_m);
    touching_n_ = ring<kTouching>(tangent_n, tangent_m, radius_n);
  } else {
    touching_squared_ = 0.0;
  }
}

std::complex<double> TubeKernel::operator()(const Eigen::Vector3d& d) const noexcept {
  const double square = d.squaredNorm();
  if (square < touching_squared_) return ring_sum(d, touching_m_, touching_n_, k_, loss_, patch_squared_);
  if (square < near_squared_) return ring_sum(d, near_m_, near_n_, k_, loss_, 0.0);
  const double r = std::sqrt(square);
  const double q = 1.0 / r;
  const double cm = d.dot(tangent_m_);
  const double cn = d.dot(tangent_n_);
  const double q2 = q * q;
  const double correction =
      (quarter_m_ * (3.0 * cm * cm * q2 - 1.0) + quarter_n_ * (3.0 * cn * cn * q2 - 1.0)) * q2;
  double sine = 0.0;
  double cosine = 0.0;
  sincos(k_ * r, sine, cosine);
  const double size = loss_ == 0.0 ? q : std::exp(-loss_ * r) * q;
  return {(cosine - correction) * size, -sine * size};
}

}  // namespace feldspar::kernel
