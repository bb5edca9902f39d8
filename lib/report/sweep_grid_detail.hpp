#pragma once

#include <cstddef>
#include <string>
#include <vector>

#include "report/figures_detail.hpp"
#include "report/sweep.hpp"

/// A sweep as the page's plots have it: every quantity over the study's axes and the spectrum (private to
/// this module).
namespace feldspar::report::detail {

/// One dimension; what moves together with its first coordinate is named beside it.
struct GridAxis {
  std::string name;
  results::Coordinate values;
  /// "8 m", "7.1 MHz", "dry sand"
  [[nodiscard]] std::string text(std::size_t i) const;
};

struct GridQuantity {
  std::string name;
  std::string title;
  std::string unit;  ///< empty for ratios
  bool logarithmic = false;
  std::vector<double> values;  ///< row by row over the axes; NaN where there is none
};

struct SweepGrid {
  std::vector<GridAxis> axes;  ///< the study's, then "band" or "frequency"
  std::vector<GridQuantity> quantities;
  std::vector<std::string> left_out;  ///< titles of those for which there was no room

  [[nodiscard]] std::size_t index(const std::vector<std::size_t>& along) const;
  [[nodiscard]] std::vector<std::size_t> split(std::size_t index) const;
};

/// The SWR at the radio first; in bands the values of their middles.
/// @param most  values of all quantities together; the first quantity is there in any case
[[nodiscard]] SweepGrid sweep_grid(const SweepView& view, std::size_t most);

/// The page's first look: the spectrum along, or where it has two places at most the longest axis; a line for
/// each value of the first short one of the others, of the rest the first values.
[[nodiscard]] Figure sweep_figure(const SweepGrid& grid);

}  // namespace feldspar::report::detail
