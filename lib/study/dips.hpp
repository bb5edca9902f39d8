#pragma once

#include <functional>
#include <span>
#include <vector>

#include "results/band_table.hpp"

/// Looking for low SWR on a curve that costs nothing to evaluate.
namespace feldspar::study {

/// Frequencies for looking at a curve closely: geometric steps of at most `step`, both ends among them.
/// @param lower, upper > 0 [Hz]
[[nodiscard]] std::vector<double> fine_grid(double lower, double upper, double step = 5e-4);

/// SWR as a function of frequency in Hz.
using SwrCurve = std::function<double(double)>;

/// Local minima of a curve between lower and upper, those that stand out: below `ceiling`, and the curve
/// rises by at least `prominence` (a factor) on both sides before it falls below the minimum again. A minimum
/// at either end of the range is none. Frequencies to 1e-6 of themselves.
/// @param grid rising frequencies, fine enough to see each dip [Hz]
[[nodiscard]] std::vector<results::Dip> find_dips(const SwrCurve& swr, std::span<const double> grid,
                                                  double ceiling = 10.0, double prominence = 1.1);

/// Lowest and largest SWR of a curve in [lower, upper], ends included.
struct Extremes {
  results::Dip lowest;
  results::Dip largest;
};
[[nodiscard]] Extremes find_extremes(const SwrCurve& swr, std::span<const double> grid);

/// Width of the stretch round `centre` in which the curve stays below `limit`, cut at the grid's ends, Hz; 0
/// when the curve is not below the limit at the centre.
[[nodiscard]] double width_below(const SwrCurve& swr, std::span<const double> grid, double centre,
                                 double limit);

}  // namespace feldspar::study
