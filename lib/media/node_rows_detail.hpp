#pragma once

#include <complex>
#include <cstddef>
#include <span>
#include <vector>

#include "math/bessel_lanes.hpp"
#include "math/lanes.hpp"

/// What the two samplers of contours share: nodes as rows of numbers, and the functions they are multiplied
/// with.
namespace feldspar::media::detail {

enum class Radial { bessel, hankel1, hankel2 };

/// J, H^(1) or H^(2), orders 0 and 1.
[[gnu::always_inline]] inline math::BesselLanes radial_lanes(Radial radial, math::Lanes x, math::Lanes y) {
  return radial == Radial::bessel ? math::bessel_j_lanes(x, y)
                                  : math::hankel_lanes(x, y, radial == Radial::hankel1);
}

[[gnu::always_inline]] inline double sum_of_lanes(math::Lanes x) {
  return (x[0] + x[1]) + (x[2] + x[3]);
}

/// Complex numbers of all nodes as rows of their real parts, each followed by the row of imaginary parts; the
/// rows are filled up to whole lanes with zeros.
class NodeRows {
 public:
  NodeRows(std::size_t nodes, std::size_t numbers)
      : nodes_(nodes),
        stride_(math::kLanes * ((nodes + math::kLanes - 1) / math::kLanes)),
        values_(2 * numbers * stride_, 0.0) {}

  void put(std::size_t number, std::size_t node, std::complex<double> value) {
    values_[2 * number * stride_ + node] = value.real();
    values_[(2 * number + 1) * stride_ + node] = value.imag();
  }
  /// Repeats the last node's number where the row is filled up: a place where functions of it are finite.
  void pad(std::size_t number) {
    for (std::size_t row = 2 * number; row < 2 * number + 2; ++row)
      for (std::size_t i = nodes_; i < stride_; ++i)
        values_[row * stride_ + i] = values_[row * stride_ + nodes_ - 1];
  }

  [[nodiscard]] std::size_t size() const { return stride_; }
  [[nodiscard]] const double* real(std::size_t number) const { return values_.data() + 2 * number * stride_; }
  [[nodiscard]] const double* imag(std::size_t number) const { return real(number) + stride_; }

 private:
  std::size_t nodes_;
  std::size_t stride_;
  std::vector<double> values_;
};

/// exp(-u distance) at all nodes, for each distance a row of real and one of imaginary parts; u_re and u_im
/// have n numbers.
[[gnu::always_inline]] inline void fill_decay(std::span<const double> distances, const double* u_re,
                                              const double* u_im, std::size_t n, double* out) {
  for (std::size_t l = 0; l < distances.size(); ++l) {
    for (std::size_t i = 0; i < n; i += math::kLanes) {
      const math::Lanes size = math::exp_lanes(-distances[l] * math::load_lanes(u_re + i));
      math::Lanes sine, cosine;
      math::sincos_lanes(-distances[l] * math::load_lanes(u_im + i), sine, cosine);
      math::store_lanes(out + 2 * n * l + i, size * cosine);
      math::store_lanes(out + 2 * n * l + n + i, size * sine);
    }
  }
}

}  // namespace feldspar::media::detail
