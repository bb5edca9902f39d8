#pragma once

#include <array>
#include <cstddef>
#include <cstdint>
#include <vector>

#include "media/through_path.hpp"

/// One cell of the tables of media/through_table.hpp, in units of 1 / k0.
namespace feldspar::media {

/// Chebyshev polynomials of the three functions on a box.
class ThroughCell {
 public:
  /// Largest number of coefficients along each axis.
  static constexpr int kMost = 11;

  /// Axis along which the box should be divided because kMost coefficients do not suffice; -1 when they do.
  using Division = int;

  /// Samples and fits to `tolerance` / R.
  Division build(const ThroughSoil& soil, const Box& box, double tolerance, ContourGrade grade);

  /// The functions at four points, times `scale`. x[axis * 4 + point]. A point's result does not depend on
  /// the other three.
  void evaluate(const double* x, double scale, ThroughRest* out) const noexcept;

  /// Half open, so that a point belongs to one cell only; an axis without extent is not looked at.
  [[nodiscard]] bool contains(const double* x) const noexcept {
    bool inside = true;
    for (std::size_t a = 0; a < 3; ++a)
      inside = inside && (box_.from[a] == box_.to[a] || (x[a] >= box_.from[a] && x[a] < box_.to[a]));
    return inside;
  }
  [[nodiscard]] std::size_t entries() const noexcept { return coefficients_.size() / 2; }

 private:
  using Sizes = std::array<int, 3>;
  struct View;

  Box box_;
  std::array<double, 3> middle_{};
  std::array<double, 3> factor_{};
  Sizes size_{1, 1, 1};               ///< degrees kept along each axis (the longest row in rho)
  std::vector<std::uint8_t> length_;  ///< degrees in rho kept in each row (d, z)
  std::vector<double> coefficients_;  ///< row after row, 6 numbers each
};

}  // namespace feldspar::media
