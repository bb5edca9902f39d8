#pragma once

#include <complex>
#include <cstddef>
#include <vector>

#include "fields/spectrum_detail.hpp"

namespace feldspar::fields::detail {

/// Currents as points, for far fields in many directions: the integral of I exp(j k.r) ds over each element
/// by a Gauss rule that is exact to 1e-14 of the integral of |I| for every direction, summed over contiguous
/// arrays.
class SampledCurrents {
 public:
  /// @param k0 wavenumber, rad/m
  SampledCurrents() = default;
  SampledCurrents(const moment::Currents& currents, double k0);

  /// For the wave vector (kx, ky, kz) and for its mirror image (kx, ky, -kz), per element, the tubes' factors
  /// included. Arrays of size().
  void waves(double kx, double ky, double kz, std::complex<double>* direct,
             std::complex<double>* mirrored) const;
  [[nodiscard]] std::size_t size() const { return elements_.size(); }

 private:
  struct Element {
    std::size_t first;  // point; the count is a multiple of kPadding
    std::size_t count;
    Vec3 tangent;
    double radius_squared;
  };

  double k0_ = 0.0;
  std::vector<Element> elements_;
  std::vector<double> x_, y_, z_, re_, im_;  // position and I ds; padded with zeros
};

}  // namespace feldspar::fields::detail
