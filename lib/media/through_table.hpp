#pragma once

#include <complex>
#include <cstddef>
#include <memory>
#include <span>

#include "media/through_surface.hpp"

/// The rest functions of media/through_surface.hpp from tables of Chebyshev polynomials on cells: boxes in
/// (rho, depth sum) below, in (rho, height, depth) across, twice as large from shell to shell round the image
/// and divided further where needed.
///
/// A cell is built when it is first touched, from a contour integral that does not depend on which cells
/// exist already: results depend neither on the order of the calls nor on the number of threads. All const
/// members may be called from several threads at once. Arguments beyond the stated range are taken at its
/// edge (rounding); nearer to the image than 1e-4 / |k1| (1e-5 / |k1| at a tolerance of 1e-8) they are taken
/// at that distance, where they have nearly reached their limit.

namespace feldspar::media {

/// Both points below.
class BelowTable {
 public:
  /// @param k0                > 0 [1/m]
  /// @param n2                Re >= 1, Im <= 0
  /// @param largest_rho       >= 0 [m]
  /// @param largest_depth_sum > 0 [m]
  /// @param tolerance         largest error of each function relative to 1/R', 1e-9..1e-2
  /// @throws core::Error{usage} outside these ranges
  BelowTable(double k0, std::complex<double> n2, double largest_rho, double largest_depth_sum,
             double tolerance = 1e-6);
  ~BelowTable();
  BelowTable(BelowTable&&) noexcept;
  BelowTable& operator=(BelowTable&&) noexcept;

  [[nodiscard]] ReflectedRest operator()(double rho, double depth_sum) const;
  /// The same for many points; the spans have one length.
  void evaluate(std::span<const double> rho, std::span<const double> depth_sum,
                std::span<ReflectedRest> out) const;

  /// Largest difference, relative to 1/R', between table and direct integration, at one point drawn at random
  /// in each cell when it was built; 0 before the first look-up.
  [[nodiscard]] double measured_error() const;
  /// Numbers kept.
  [[nodiscard]] std::size_t entries() const;

 private:
  class Impl;
  std::unique_ptr<Impl> impl_;
};

/// One point above and one below.
class AcrossTable {
 public:
  /// @param largest_height, largest_depth >= 0 [m]; otherwise as BelowTable
  AcrossTable(double k0, std::complex<double> n2, double largest_rho, double largest_height,
              double largest_depth, double tolerance = 1e-6);
  ~AcrossTable();
  AcrossTable(AcrossTable&&) noexcept;
  AcrossTable& operator=(AcrossTable&&) noexcept;

  [[nodiscard]] AcrossRest operator()(double rho, double height, double depth) const;
  /// The same for many points; the spans have one length.
  void evaluate(std::span<const double> rho, std::span<const double> height, std::span<const double> depth,
                std::span<AcrossRest> out) const;

  [[nodiscard]] double measured_error() const;
  [[nodiscard]] std::size_t entries() const;

 private:
  class Impl;
  std::unique_ptr<Impl> impl_;
};

}  // namespace feldspar::media
