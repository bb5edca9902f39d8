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

/// What all cells of a table share. Two of the functions and n2 give the third of a_v = a_h + (n2 - 1) p, so
/// that only one of a_v and p is computed and kept: a_v unless n2 is close to 1, where the quotient would
/// magnify its error.
struct CellSoil {
  std::complex<double> n2;
  std::complex<double> image;  ///< K
  bool keeps_a_v;
  std::complex<double> from_a_h;  ///< the other of the two is from_a_h * a_h + from_kept * (the one kept)
  std::complex<double> from_kept;

  explicit CellSoil(std::complex<double> n_squared);
};

/// The rest functions on the grid rho x z_sum by one contour, with the dynamic image
/// K (1 - z_sum / R') / rho exp(-j R') taken from A_m instead of the static one. out[i * z.size() + l] for
/// rho[i], z[l].
void sample_rest(const CellSoil& soil, const Contour& contour, std::span<const double> rho,
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
  [[nodiscard]] static Size guess(const CellSoil& soil, const Rectangle& where, CellForm form,
                                  double tolerance);

  /// Samples and fits with `size` <= kMost coefficients; those that are negligible against `tolerance` / R'
  /// are dropped.
  Fit build(const CellSoil& soil, const Rectangle& where, CellForm form, double tolerance, Size size,
            ContourGrade grade);

  /// The functions at four points of the cell, static image of A_m, times `scale`. A point's result does not
  /// depend on the other three.
  void evaluate(const CellSoil& soil, const double* rho, const double* z, double scale,
                ReflectedRest* out) const noexcept;

  /// Makes `out` this cell at one height, or at one distance: polynomials of the other variable alone, for
  /// many points that share it.
  void flatten_height(double z, Cell& out) const;
  void flatten_distance(double rho, Cell& out) const;

  /// Half open, so that a point belongs to one cell only.
  [[nodiscard]] bool contains(double rho, double z) const noexcept {
    return rho >= where_.rho_from && rho < where_.rho_to && z >= where_.z_from && z < where_.z_to;
  }
  [[nodiscard]] std::size_t entries() const noexcept { return coefficients_.size() / 2; }

 private:
  using Three = std::array<std::complex<double>, 3>;  // a_h, the one kept of a_v and p, a_m
  struct View;

  void copy_frame(Cell& out) const;
  void keep(const std::vector<Three>& coefficients, std::size_t columns, std::size_t rows, double negligible);

  Rectangle where_;
  CellForm form_ = CellForm::plain;
  double rho_middle_ = 0.0;
  double rho_factor_ = 0.0;
  double z_middle_ = 0.0;
  double z_factor_ = 0.0;
  int rows_ = 0;                              ///< degrees in z_sum kept
  int columns_ = 0;                           ///< degrees in rho kept in the longest row
  std::array<std::uint8_t, kMost> length_{};  ///< degrees in rho kept in each row
  std::vector<double> coefficients_;          ///< row after row, 6 numbers (a_h, a_v or p, a_m) each
};

}  // namespace feldspar::media
