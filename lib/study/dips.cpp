#include "study/dips.hpp"

#include <algorithm>
#include <cmath>

namespace feldspar::study {
namespace {

/// Minimum of sign * curve between a and b, by golden section.
results::Dip refine(const SwrCurve& swr, double a, double b, double sign) {
  constexpr double kGolden = 0.6180339887498949;
  constexpr double kRelative = 1e-7;
  double low = b - kGolden * (b - a);
  double high = a + kGolden * (b - a);
  double at_low = sign * swr(low);
  double at_high = sign * swr(high);
  while (b - a > kRelative * b) {
    if (at_low <= at_high) {
      b = high;
      high = low;
      at_high = at_low;
      low = b - kGolden * (b - a);
      at_low = sign * swr(low);
    } else {
      a = low;
      low = high;
      at_low = at_high;
      high = a + kGolden * (b - a);
      at_high = sign * swr(high);
    }
  }
  return at_low <= at_high ? results::Dip{low, sign * at_low} : results::Dip{high, sign * at_high};
}

std::vector<double> tabulate(const SwrCurve& swr, std::span<const double> grid) {
  std::vector<double> values;
  values.reserve(grid.size());
  for (const double f : grid) values.push_back(swr(f));
  return values;
}

/// Frequency between `inside` (below the limit) and `outside` (not below it) where the curve meets the limit.
double crossing(const SwrCurve& swr, double inside, double outside, double limit) {
  constexpr int kHalvings = 40;
  for (int i = 0; i < kHalvings; ++i) {
    const double middle = 0.5 * (inside + outside);
    (swr(middle) < limit ? inside : outside) = middle;
  }
  return inside;
}

}  // namespace

std::vector<double> fine_grid(double lower, double upper, double step) {
  const int parts = std::max(2, static_cast<int>(std::ceil(std::log(upper / lower) / step)));
  std::vector<double> grid{lower};
  for (int i = 1; i < parts; ++i)
    grid.push_back(lower * std::pow(upper / lower, static_cast<double>(i) / parts));
  grid.push_back(upper);
  return grid;
}

std::vector<results::Dip> find_dips(const SwrCurve& swr, std::span<const double> grid, double ceiling,
                                    double prominence) {
  const std::vector<double> values = tabulate(swr, grid);
  std::vector<results::Dip> dips;
  bool falling = false;  // the curve has come down by `prominence`, so the lowest point since may be a dip
  double highest = 0.0;  // since the last dip
  std::size_t lowest = 0;
  for (std::size_t i = 0; i < values.size(); ++i) {
    if (!falling) {
      highest = std::max(highest, values[i]);
      falling = prominence * values[i] <= highest;
      lowest = i;
    } else if (values[i] < values[lowest]) {
      lowest = i;
    } else if (values[i] >= prominence * values[lowest]) {
      const results::Dip dip = refine(swr, grid[lowest - 1], grid[lowest + 1], 1.0);
      if (dip.swr < ceiling) dips.push_back(dip);
      falling = false;
      highest = values[i];
    }
  }
  return dips;
}

Extremes find_extremes(const SwrCurve& swr, std::span<const double> grid) {
  const std::vector<double> values = tabulate(swr, grid);
  const auto improve = [&](std::size_t i, double sign) {
    results::Dip best{grid[i], values[i]};
    if (i > 0 && i + 1 < grid.size()) {
      const results::Dip better = refine(swr, grid[i - 1], grid[i + 1], sign);
      if (sign * better.swr < sign * best.swr) best = better;
    }
    return best;
  };
  const auto [low, high] = std::minmax_element(values.begin(), values.end());
  return {improve(static_cast<std::size_t>(low - values.begin()), 1.0),
          improve(static_cast<std::size_t>(high - values.begin()), -1.0)};
}

double width_below(const SwrCurve& swr, std::span<const double> grid, double centre, double limit) {
  if (!(swr(centre) < limit)) return 0.0;
  double lower = grid.front();
  double inside = centre;
  for (auto f = std::make_reverse_iterator(std::lower_bound(grid.begin(), grid.end(), centre));
       f != grid.rend(); ++f) {
    if (!(swr(*f) < limit)) {
      lower = crossing(swr, inside, *f, limit);
      break;
    }
    inside = *f;
  }
  double upper = grid.back();
  inside = centre;
  for (auto f = std::upper_bound(grid.begin(), grid.end(), centre); f != grid.end(); ++f) {
    if (!(swr(*f) < limit)) {
      upper = crossing(swr, inside, *f, limit);
      break;
    }
    inside = *f;
  }
  return upper - lower;
}

}  // namespace feldspar::study
