#pragma once

#include <array>
#include <complex>
#include <cstddef>
#include <cstdint>
#include <span>
#include <vector>

#include "media/half_space.hpp"
#include "media/half_space_contour.hpp"

/// One cell of media/half_space.hpp's table. Everything here is in units of 1 / k0: lengths are k0 rho and
/// k0 z_sum, functions are divided by k0.
namespace feldspar::media {

/// The rest functions on the grid rho x z_sum by one contour, with the dynamic image
/// K (1 - z_sum / R') / rho exp(-j R') taken from A_m instead of the static one. out[i * z.size() + l] for
/// rho[i], z[l].
void sample_rest(std::complex<double> n2, const Contour& contour, std::span<const double> rho,
                 std::span<const double> z, std::span<ReflectedRest> out);

/// The form in which a cell keeps the functions.
enum class CellForm {
  plain,  ///< as they are (static image of A_m): close to the image, where R' k1 is small
  wave,   ///< dynamic image of A_m, times R' exp(j R'): further away, where they travel
};

/// Chebyshev polynomials of the four functions on a rectangle.
class Cell {
 public:
  /// Largest number of coefficients in either direction.
  static constexpr int kMost = 12;

  /// Numbers of coefficients in each direction.
  struct Size {
    int rho;
    int z;
  };

  /// How a fit went.
  struct Fit {
    double tail_rho;  ///< what the highest degrees in rho contribute, relative to 1 / R'
    double tail_z;    ///< the same in z_sum
    Size enough;  ///< what it takes to bring both below half the tolerance, extrapolated; may exceed kMost
  };

  /// A first guess of what a cell needs; may exceed kMost.
  [[nodiscard]] static Size guess(std::complex<double> n2, const Rectangle& where, CellForm form,
                                  double tolerance);

  /// Samples and fits with `size` <= kMost coefficients; those that are negligible against `tolerance` / R'
  /// are dropped.
  Fit build(std::complex<double> n2, const Rectangle& where, CellForm form, double tolerance, Size size,
            ContourGrade grade);

  /// The functions at four points of the cell, static image of A_m, times `scale`. A point's result does not
  /// depend on the other three. @param image K
  void evaluate(const double* rho, const double* z, std::complex<double> image, double scale,
                ReflectedRest* out) const noexcept;

  /// Half open, so that a point belongs to one cell only.
  [[nodiscard]] bool contains(double rho, double z) const noexcept {
    return rho >= where_.rho_from && rho < where_.rho_to && z >= where_.z_from && z < where_.z_to;
  }
  [[nodiscard]] std::size_t entries() const noexcept { return coefficients_.size() / 2; }

 private:
  struct View;

  Rectangle where_;
  CellForm form_ = CellForm::plain;
  double rho_middle_ = 0.0;
  double rho_factor_ = 0.0;
  double z_middle_ = 0.0;
  double z_factor_ = 0.0;
  int rows_ = 0;                              ///< degrees in z_sum kept
  int columns_ = 0;                           ///< degrees in rho kept in the longest row
  std::array<std::uint8_t, kMost> length_{};  ///< degrees in rho kept in each row
  std::vector<double> coefficients_;          ///< row after row, 8 numbers (a_h, a_v, a_m, p) each
};

}  // namespace feldspar::media
