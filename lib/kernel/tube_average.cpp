#include "kernel/tube_average.hpp"

#include <Eigen/Geometry>
#include <algorithm>
#include <array>
#include <cmath>

#include "core/constants.hpp"
#include "kernel/sincos.hpp"
#include "math/clones.hpp"

namespace feldspar::kernel {

namespace detail {

/// What the axis form needs: tangents, a^2/4 and b^2/4, k = real - j loss.
struct AxisForm {
  double mx, my, mz, nx, ny, nz;
  double quarter_m, quarter_n;
  double real, loss;
};

/// @return the least squared distance
template <bool kLossy>
[[gnu::always_inline]] inline double axis_values(const AxisForm& f, const double* __restrict x,
                                                 const double* __restrict y, const double* __restrict z,
                                                 std::size_t count, double* __restrict re,
                                                 double* __restrict im) noexcept {
  double least = 1e300;
#pragma omp simd reduction(min : least)
  for (std::size_t i = 0; i < count; ++i) {
    const double square = x[i] * x[i] + y[i] * y[i] + z[i] * z[i];
    least = square < least ? square : least;
    const double q2 = 1.0 / square;
    const double r = std::sqrt(square);
    const double q = r * q2;
    const double cm = x[i] * f.mx + y[i] * f.my + z[i] * f.mz;
    const double cn = x[i] * f.nx + y[i] * f.ny + z[i] * f.nz;
    const double along_m = cm * cm * q2;
    const double along_n = cn * cn * q2;
    const double a = (f.quarter_m * (3.0 * along_m - 1.0) + f.quarter_n * (3.0 * along_n - 1.0)) * q2;
    const double b = f.quarter_m * (1.0 - along_m) + f.quarter_n * (1.0 - along_n);
    const double loss = kLossy ? f.loss : 0.0;
    const double less = 1.0 - a * (1.0 + loss * r) - b * (f.real * f.real - loss * loss);
    const double turn = f.real * (a * r - 2.0 * b * loss);
    double sine = 0.0;
    double cosine = 0.0;
    sincos(f.real * r, sine, cosine);
    const double size = kLossy ? q * decay(-loss * r) : q;
    re[i] = (cosine * less - sine * turn) * size;
    im[i] = -(sine * less + cosine * turn) * size;
  }
  return least;
}

// Not in an unnamed namespace: the compiler's dispatch needs names.
FELDSPAR_CLONES double axis_values_lossless(const AxisForm& f, const double* x, const double* y,
                                            const double* z, std::size_t count, double* re,
                                            double* im) noexcept {
  return axis_values<false>(f, x, y, z, count, re, im);
}

FELDSPAR_CLONES double axis_values_lossy(const AxisForm& f, const double* x, const double* y, const double* z,
                                         std::size_t count, double* re, double* im) noexcept {
  return axis_values<true>(f, x, y, z, count, re, im);
}

/// Whole fours: what goes beyond a row is written over by the next.
FELDSPAR_CLONES void differences(const double* __restrict m, std::size_t count_m, const double* __restrict n,
                                 std::size_t count_n, double* __restrict out) noexcept {
  for (std::size_t j = 0; j < count_n; ++j, out += count_m)
    for (std::size_t i = 0; i < count_m; i += 4)
#pragma omp simd
      for (std::size_t lane = 0; lane < 4; ++lane) out[i + lane] = m[i + lane] - n[j];
}

template <bool kLossy>
[[gnu::always_inline]] inline std::complex<double> sum_of_waves(const double* d, const double* __restrict x,
                                                                const double* __restrict y,
                                                                const double* __restrict z, std::size_t count,
                                                                double real, double loss,
                                                                double patch) noexcept {
  double re = 0.0;
  double im = 0.0;
  const double dx = d[0];
  const double dy = d[1];
  const double dz = d[2];
#pragma omp simd reduction(+ : re, im)
  for (std::size_t i = 0; i < count; ++i) {
    const double ax = dx + x[i];
    const double ay = dy + y[i];
    const double az = dz + z[i];
    const double r = std::sqrt(ax * ax + ay * ay + az * az + patch);
    double sine = 0.0;
    double cosine = 0.0;
    sincos(real * r, sine, cosine);
    const double size = (kLossy ? decay(-loss * r) : 1.0) / r;
    re += size * cosine;
    im -= size * sine;
  }
  return {re, im};
}

/// Sums of exp(-jkR)/R over R^2 = |d + offset|^2 + patch.
FELDSPAR_CLONES std::complex<double> ring_sum_lossless(const double* d, const double* x, const double* y,
                                                       const double* z, std::size_t count, double real,
                                                       double, double patch) noexcept {
  return sum_of_waves<false>(d, x, y, z, count, real, 0.0, patch);
}

FELDSPAR_CLONES std::complex<double> ring_sum_lossy(const double* d, const double* x, const double* y,
                                                    const double* z, std::size_t count, double real,
                                                    double loss, double patch) noexcept {
  return sum_of_waves<true>(d, x, y, z, count, real, loss, patch);
}

/// Sums of 1/R, R, ..., R^5 over R^2 = |d + offset|^2 + patch.
struct PowerSums {
  double over, first, second, third, fourth, fifth;
};

FELDSPAR_CLONES PowerSums power_sums(const double* d, const double* __restrict x, const double* __restrict y,
                                     const double* __restrict z, std::size_t count, double patch) noexcept {
  double over = 0.0;
  double first = 0.0;
  double second = 0.0;
  double third = 0.0;
  double fourth = 0.0;
  double fifth = 0.0;
  const double dx = d[0];
  const double dy = d[1];
  const double dz = d[2];
#pragma omp simd reduction(+ : over, first, second, third, fourth, fifth)
  for (std::size_t i = 0; i < count; ++i) {
    const double ax = dx + x[i];
    const double ay = dy + y[i];
    const double az = dz + z[i];
    const double square = ax * ax + ay * ay + az * az + patch;
    const double r = std::sqrt(square);
    over += 1.0 / r;
    first += r;
    second += square;
    third += square * r;
    fourth += square * square;
    fifth += square * square * r;
  }
  return {over, first, second, third, fourth, fifth};
}

}  // namespace detail

namespace {

using Eigen::Vector3d;

constexpr std::size_t kNear = 8;       // points of a ring
constexpr std::size_t kTouching = 24;  // the same where the tubes may touch

/// cos and sin at `kCount` angles, half a step off 0.
template <std::size_t kCount>
const std::array<std::array<double, 2>, kCount>& circle() {
  static const auto points = [] {
    std::array<std::array<double, 2>, kCount> made;
    for (std::size_t i = 0; i < kCount; ++i) {
      const double phi = 2.0 * core::kPi * (static_cast<double>(i) + 0.5) / static_cast<double>(kCount);
      made[i] = {std::cos(phi), std::sin(phi)};
    }
    return made;
  }();
  return points;
}

/// Points of a ring, turned by half a step against the plane of the two tangents, where touching tubes meet.
template <std::size_t kCount>
std::array<Vector3d, kCount> ring(const Vector3d& tangent, const Vector3d& other, double radius) {
  Vector3d first = other - other.dot(tangent) * tangent;
  if (first.norm() < 1e-6) first = tangent.unitOrthogonal();
  first.normalize();
  const Vector3d second = tangent.cross(first);
  std::array<Vector3d, kCount> points;
  for (std::size_t i = 0; i < kCount; ++i)
    points[i] = radius * (circle<kCount>()[i][0] * first + circle<kCount>()[i][1] * second);
  return points;
}

/// Differences between points of one ring and all of the other.
template <std::size_t kCount>
Vectors differences(const std::array<Vector3d, kCount>& m, const std::array<Vector3d, kCount>& n,
                    std::size_t of_m) {
  Vectors apart;
  apart.resize(of_m * n.size());
  std::size_t at = 0;
  for (const Vector3d& q : n)
    for (std::size_t i = 0; i < of_m; ++i) {
      apart.x[at] = m[i].x() - q.x();
      apart.y[at] = m[i].y() - q.y();
      apart.z[at++] = m[i].z() - q.z();
    }
  return apart;
}

}  // namespace

/// Points of two rings against each other. Where the vector between them lies in the plane of both tangents,
/// mirroring in it maps the sum onto itself, and half of one ring is enough.
class TubeKernel::RingPair {
 public:
  RingPair(const Vector3d& tangent_m, double radius_m, const Vector3d& tangent_n, double radius_n,
           std::complex<double> k)
      : tangent_m_(tangent_m),
        tangent_n_(tangent_n),
        radius_m_(radius_m),
        radius_n_(radius_n),
        k_(k),
        normal_(tangent_m.cross(tangent_n)) {
    constexpr double kReach = 7.0;  // radii: the largest distance of ring points that are near
    constexpr double kShort = 0.1;  // |kR| below which the series is right to 2e-11
    short_ = kReach * std::abs(k) * (radius_m + radius_n) < kShort;
    // exp(x R)/R = 1/R + x + x^2 R/2! + x^3 R^2/3! + ..., x = -jk
    const std::complex<double> x(k.imag(), -k.real());
    std::complex<double> term = 1.0;
    for (std::size_t n = 0; n < series_.size(); ++n) series_[n] = term *= x / static_cast<double>(n + 1);
  }

  /// Mean of exp(-jkR)/R.
  [[nodiscard]] std::complex<double> mean(const double* d, bool touches) {
    const Vector3d at(d[0], d[1], d[2]);
    const double aside = at.dot(normal_);
    const bool flat = normal_.squaredNorm() > 1e-12 && aside * aside <= 1e-24 * at.squaredNorm();
    Vectors& offsets = offsets_[(touches ? 2 : 0) + (flat ? 1 : 0)];
    if (offsets.size() == 0) offsets = touches ? between_rings<kTouching>(flat) : between_rings<kNear>(flat);
    // A pair of ring points stands for a patch of the two surfaces; over a square of side s the mean of 1/R
    // is 3.525/s, which is what two points that happen to meet must give instead of infinity.
    constexpr double kPatch = 2.0 * core::kPi / (static_cast<double>(kTouching) * 3.525);
    return sum(d, offsets, touches ? radius_m_ * radius_n_ * kPatch * kPatch : 0.0) /
           static_cast<double>(offsets.size());
  }

 private:
  template <std::size_t kCount>
  [[nodiscard]] Vectors between_rings(bool flat) const {
    return differences(ring<kCount>(tangent_m_, tangent_n_, radius_m_),
                       ring<kCount>(tangent_n_, tangent_m_, radius_n_), flat ? kCount / 2 : kCount);
  }

  [[nodiscard]] std::complex<double> sum(const double* d, const Vectors& offsets, double patch) const {
    const std::size_t count = offsets.size();
    if (!short_)
      return (k_.imag() == 0.0 ? detail::ring_sum_lossless : detail::ring_sum_lossy)(
          d, offsets.x.data(), offsets.y.data(), offsets.z.data(), count, k_.real(), -k_.imag(), patch);
    const detail::PowerSums s =
        detail::power_sums(d, offsets.x.data(), offsets.y.data(), offsets.z.data(), count, patch);
    return s.over + static_cast<double>(count) * series_[0] + s.first * series_[1] + s.second * series_[2] +
           s.third * series_[3] + s.fourth * series_[4] + s.fifth * series_[5];
  }

  Vector3d tangent_m_, tangent_n_;
  double radius_m_, radius_n_;
  std::complex<double> k_;
  Vector3d normal_;
  bool short_ = false;
  std::array<std::complex<double>, 6> series_;  // x^n / n!
  Vectors offsets_[4];                          // near, near and flat, touching, touching and flat
};

void separate(const Vectors& m, std::size_t count_m, const Vectors& n, std::size_t count_n, std::size_t at,
              Vectors& out) noexcept {
  detail::differences(m.x.data(), count_m, n.x.data(), count_n, out.x.data() + at);
  detail::differences(m.y.data(), count_m, n.y.data(), count_n, out.y.data() + at);
  detail::differences(m.z.data(), count_m, n.z.data(), count_n, out.z.data() + at);
}

TubeKernel::TubeKernel(const Vector3d& tangent_m, double radius_m, const Vector3d& tangent_n, double radius_n,
                       std::complex<double> k)
    : tangent_m_(tangent_m),
      tangent_n_(tangent_n),
      radius_m_(radius_m),
      radius_n_(radius_n),
      near_squared_(36.0 * (radius_m + radius_n) * (radius_m + radius_n)),
      touching_squared_(4.0 * (radius_m + radius_n) * (radius_m + radius_n)),
      k_(k.real()),
      loss_(-k.imag()) {}

TubeKernel::~TubeKernel() = default;
TubeKernel::TubeKernel(TubeKernel&&) noexcept = default;
TubeKernel& TubeKernel::operator=(TubeKernel&&) noexcept = default;

std::complex<double> TubeKernel::operator()(const Vector3d& d) {
  Vectors one;
  one.resize(1);
  one.x[0] = d.x();
  one.y[0] = d.y();
  one.z[0] = d.z();
  double re = 0.0;
  double im = 0.0;
  evaluate(one, 0, 1, &re, &im);
  return {re, im};
}

void TubeKernel::evaluate(const Vectors& d, std::size_t first, std::size_t count, double* re, double* im) {
  const detail::AxisForm form{tangent_m_.x(),
                              tangent_m_.y(),
                              tangent_m_.z(),
                              tangent_n_.x(),
                              tangent_n_.y(),
                              tangent_n_.z(),
                              0.25 * radius_m_ * radius_m_,
                              0.25 * radius_n_ * radius_n_,
                              k_,
                              loss_};
  const double* const x = d.x.data() + first;
  const double* const y = d.y.data() + first;
  const double* const z = d.z.data() + first;
  const double least =
      (loss_ == 0.0 ? detail::axis_values_lossless : detail::axis_values_lossy)(form, x, y, z, count, re, im);
  if (least >= near_squared_) return;
  if (rings_ == nullptr)
    rings_ = std::make_unique<RingPair>(tangent_m_, radius_m_, tangent_n_, radius_n_,
                                        std::complex<double>(k_, -loss_));
  for (std::size_t i = 0; i < count; ++i) {
    const double at[3] = {x[i], y[i], z[i]};
    const double square = at[0] * at[0] + at[1] * at[1] + at[2] * at[2];
    if (square >= near_squared_) continue;
    const std::complex<double> mean = rings_->mean(at, square < touching_squared_);
    re[i] = mean.real();
    im[i] = mean.imag();
  }
}

}  // namespace feldspar::kernel
