#include "model/nearest.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cctype>
#include <limits>

namespace feldspar::model {

namespace {

constexpr std::size_t kLongestName = 80;  // longer ones are no typing slips; also bounds the work

char folded(char c) {
  if (c == '-' || c == ' ') return '_';
  return static_cast<char>(std::tolower(static_cast<unsigned char>(c)));
}

}  // namespace

int edit_distance(std::string_view a, std::string_view b) {
  const std::size_t n = b.size();
  std::vector<int> before(n + 1), last(n + 1), row(n + 1);
  for (std::size_t j = 0; j <= n; ++j) last[j] = static_cast<int>(j);
  for (std::size_t i = 1; i <= a.size(); ++i) {
    row[0] = static_cast<int>(i);
    for (std::size_t j = 1; j <= n; ++j) {
      const int replaced = last[j - 1] + (folded(a[i - 1]) == folded(b[j - 1]) ? 0 : 1);
      row[j] = std::min({last[j] + 1, row[j - 1] + 1, replaced});
      const bool swapped =
          i > 1 && j > 1 && folded(a[i - 1]) == folded(b[j - 2]) && folded(a[i - 2]) == folded(b[j - 1]);
      if (swapped) row[j] = std::min(row[j], before[j - 2] + 1);
    }
    std::swap(before, last);
    std::swap(last, row);
  }
  return last[n];
}

std::string nearest(std::string_view wrong, const std::vector<std::string>& names) {
  if (wrong.size() > kLongestName) return {};
  std::string best;
  int least = std::numeric_limits<int>::max();
  for (const std::string& name : names) {
    if (name.size() > kLongestName) continue;
    const int distance = edit_distance(wrong, name);
    const int allowed = std::max(2, static_cast<int>(std::max(wrong.size(), name.size())) / 3);
    const bool all_different = distance >= static_cast<int>(std::max(wrong.size(), name.size()));
    if (distance <= allowed && !all_different && distance < least) {
      least = distance;
      best = name;
    }
  }
  return best;
}

std::string suggestion(std::string_view wrong, const std::vector<std::string>& names) {
  const std::string name = nearest(wrong, names);
  return name.empty() ? std::string{} : fmt::format("; did you mean '{}'?", name);
}

std::string enumerate(const std::vector<std::string>& names, std::size_t limit) {
  if (names.empty()) return "none";
  const std::size_t shown = std::min(names.size(), limit);
  std::string text =
      fmt::format("{}", fmt::join(names.begin(), names.begin() + static_cast<long>(shown), ", "));
  if (shown < names.size()) text += ", …";
  return text;
}

}  // namespace feldspar::model
