#include "storage/difference.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <vector>

namespace feldspar::storage {

namespace {

std::vector<std::string> lines_of(const std::string& text) {
  std::vector<std::string> lines;
  std::size_t from = 0;
  while (from < text.size()) {
    const std::size_t end = std::min(text.find('\n', from), text.size());
    lines.push_back(text.substr(from, end - from));
    from = end + 1;
  }
  return lines;
}

std::string shortened(const std::string& line) {
  constexpr std::size_t kLongest = 160;
  return line.size() <= kLongest ? line : line.substr(0, kLongest) + " ...";
}

}  // namespace

std::string difference(const std::string& before, const std::string& after, std::size_t most) {
  const std::vector<std::string> old_lines = lines_of(before);
  const std::vector<std::string> new_lines = lines_of(after);
  const auto lacks = [](const std::vector<std::string>& lines, const std::string& line) {
    return std::find(lines.begin(), lines.end(), line) == lines.end();
  };
  std::vector<std::string> different;
  for (const std::string& line : old_lines)
    if (lacks(new_lines, line)) different.push_back("- " + shortened(line));
  for (const std::string& line : new_lines)
    if (lacks(old_lines, line)) different.push_back("+ " + shortened(line));
  const std::size_t shown = std::min(most, different.size());
  std::string text = fmt::format(
      "{}", fmt::join(different.begin(), different.begin() + static_cast<std::ptrdiff_t>(shown), "\n"));
  if (shown < different.size()) text += fmt::format("\nand {} lines more", different.size() - shown);
  return text;
}

}  // namespace feldspar::storage
