#pragma once

#include <span>
#include <string>
#include <string_view>
#include <vector>

/// What makes one case of a sweep better than another.
namespace feldspar::decision {

/// "lowest worst swr_at_radio": the case whose largest SWR over the bands is lowest.
struct Wish {
  enum class Over { worst, mean, best };
  bool highest = false;
  Over over = Over::worst;
  std::string quantity;
};

/// @param text "lowest" or "highest"; "worst" (when left out), "mean" or "best"; a quantity
/// @throws core::Error{usage} that names what is wrong and the nearest right word
[[nodiscard]] Wish parse_wish(std::string_view text, const std::vector<std::string>& quantities);

/// One number for all values of a case, those that do not exist left out; NaN where there are none.
[[nodiscard]] double merit(std::span<const double> values, const Wish& wish);

/// Indices of the `limit` best merits, best first; equal ones in their order, NaN nowhere.
[[nodiscard]] std::vector<std::size_t> best(std::span<const double> merits, const Wish& wish,
                                            std::size_t limit);

}  // namespace feldspar::decision
