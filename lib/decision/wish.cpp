#include "decision/wish.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <numeric>
#include <sstream>

#include "core/error.hpp"

namespace feldspar::decision {

namespace {

constexpr const char* kExample = "write it like \"lowest worst swr_at_radio\" or \"highest gain\"";

[[noreturn]] void fail(const std::string& why) {
  throw core::Error(core::ErrorKind::usage, fmt::format("{}; {}", why, kExample),
                    core::Place{"--best", 0, 0, {}});
}

}  // namespace

Wish parse_wish(std::string_view text, const std::vector<std::string>& quantities) {
  std::istringstream stream{std::string(text)};
  std::vector<std::string> words;
  for (std::string word; stream >> word;) words.push_back(word);
  if (words.size() < 2 || words.size() > 3)
    fail(fmt::format("expected two or three words, found '{}'", text));
  Wish wish;
  if (words.front() != "lowest" && words.front() != "highest")
    fail(fmt::format("expected lowest or highest, found '{}'", words.front()));
  wish.highest = words.front() == "highest";
  if (words.size() == 3) {
    static const std::vector<std::string> kOver = {"worst", "mean", "best"};
    const auto over = std::find(kOver.begin(), kOver.end(), words[1]);
    if (over == kOver.end()) fail(fmt::format("expected worst, mean or best, found '{}'", words[1]));
    wish.over = static_cast<Wish::Over>(over - kOver.begin());
  }
  wish.quantity = words.back();
  if (std::find(quantities.begin(), quantities.end(), wish.quantity) == quantities.end())
    fail(fmt::format("there is no '{}' in this file (there are: {})", wish.quantity,
                     fmt::join(quantities, ", ")));
  return wish;
}

double merit(std::span<const double> values, const Wish& wish) {
  std::vector<double> known;
  std::copy_if(values.begin(), values.end(), std::back_inserter(known),
               [](double v) { return !std::isnan(v); });
  if (known.empty()) return std::numeric_limits<double>::quiet_NaN();
  if (wish.over == Wish::Over::mean)
    return std::accumulate(known.begin(), known.end(), 0.0) / static_cast<double>(known.size());
  const bool largest = (wish.over == Wish::Over::best) == wish.highest;
  return largest ? *std::max_element(known.begin(), known.end())
                 : *std::min_element(known.begin(), known.end());
}

std::vector<std::size_t> best(std::span<const double> merits, const Wish& wish, std::size_t limit) {
  std::vector<std::size_t> order;
  for (std::size_t i = 0; i < merits.size(); ++i)
    if (!std::isnan(merits[i])) order.push_back(i);
  std::stable_sort(order.begin(), order.end(), [&](std::size_t a, std::size_t b) {
    return wish.highest ? merits[a] > merits[b] : merits[a] < merits[b];
  });
  order.resize(std::min(order.size(), limit));
  return order;
}

}  // namespace feldspar::decision
