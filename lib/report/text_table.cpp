#include "report/text_table.hpp"

#include <algorithm>
#include <sstream>

namespace feldspar::report {
namespace {

std::size_t before_point(const std::string& text) {
  const std::size_t point = text.find('.');
  return point == std::string::npos ? text.size() : point;
}

std::vector<std::string> lines_of(const std::string& heading) {
  std::vector<std::string> lines;
  std::istringstream stream(heading);
  for (std::string line; std::getline(stream, line);) lines.push_back(line);
  return lines;
}

void trim_end(std::string& line) {
  line.erase(line.find_last_not_of(' ') + 1);
}

}  // namespace

std::string paint(const std::string& text, Colour colour, bool enabled) {
  if (!enabled || colour == Colour::none || text.empty()) return text;
  const char* code = "";
  switch (colour) {
    case Colour::good:
      code = "38;5;36";
      break;  // bluish green
    case Colour::fair:
      code = "38;5;32";
      break;  // blue
    case Colour::poor:
      code = "38;5;172";
      break;  // orange
    case Colour::bad:
      code = "38;5;166";
      break;  // vermilion
    case Colour::faint:
      code = "2";
      break;
    case Colour::strong:
      code = "1";
      break;
    case Colour::none:
      break;
  }
  return std::string("\033[") + code + "m" + text + "\033[0m";
}

std::size_t TextTable::total(const Layout& sizes) {
  std::size_t sum = 0;
  for (const std::size_t width : sizes.width) sum += (sum > 0 ? sizes.gap : 0) + width;
  return sum;
}

TextTable::Layout TextTable::layout() const {
  Layout result;
  for (std::size_t c = 0; c < columns_.size(); ++c) {
    std::size_t width = 0;
    std::size_t before = 0;
    std::size_t after = 0;
    for (const auto& row : rows_) {
      const std::string& text = row[c].text;
      width = std::max(width, text.size());
      before = std::max(before, before_point(text));
      after = std::max(after, text.size() - before_point(text));
    }
    if (columns_[c].align == Align::decimal) width = before + after;
    for (const std::string& line : lines_of(columns_[c].heading)) width = std::max(width, line.size());
    if (columns_[c].align == Align::decimal) before = width - after;
    result.width.push_back(width);
    result.before.push_back(before);
  }
  if (total(result) > screen_) result.gap = 1;
  return result;
}

std::string TextTable::render(bool colour) const {
  const Layout sizes = layout();
  const std::size_t gap = sizes.gap;
  std::size_t heading_lines = 0;
  for (const Column& column : columns_)
    heading_lines = std::max(heading_lines, lines_of(column.heading).size());
  std::string text;
  for (std::size_t k = 0; k < heading_lines; ++k) {
    std::string line;
    for (std::size_t c = 0; c < columns_.size(); ++c) {
      const std::vector<std::string> heading = lines_of(columns_[c].heading);
      const std::size_t empty = heading_lines - heading.size();  // headings stand on the last line
      const std::string part = k < empty ? "" : heading[k - empty];
      const std::string pad(sizes.width[c] - part.size(), ' ');
      if (c > 0) line.append(gap, ' ');
      line += columns_[c].align == Align::left ? part + pad : pad + part;
    }
    trim_end(line);
    text += paint(line, Colour::strong, colour) + '\n';
  }
  for (const auto& row : rows_) {
    std::string painted;  // colours do not count as width: padding follows the plain text
    for (std::size_t c = 0; c < columns_.size(); ++c) {
      const std::string& cell = row[c].text;
      std::size_t left = 0;
      if (columns_[c].align == Align::right) left = sizes.width[c] - cell.size();
      if (columns_[c].align == Align::decimal) left = sizes.before[c] - before_point(cell);
      std::string pad = std::string((c > 0 ? gap : 0) + left, ' ');
      const std::size_t right = sizes.width[c] - left - cell.size();
      painted += pad + paint(cell, row[c].colour, colour) + std::string(right, ' ');
    }
    trim_end(painted);
    text += painted + '\n';
  }
  return text;
}

int TextTable::width() const {
  return static_cast<int>(total(layout()));
}

std::string wrap(const std::string& text, int width, int indent) {
  const auto limit = static_cast<std::size_t>(width);
  const std::string margin(static_cast<std::size_t>(indent), ' ');
  std::string result;
  std::string rest = text;
  while (rest.size() > limit) {
    // The last space that leaves something on the line; a word longer than the line stands out.
    const std::size_t start = rest.find_first_not_of(' ');
    std::size_t at = rest.rfind(' ', limit);
    if (at == std::string::npos || at <= start) at = rest.find(' ', start);
    if (at == std::string::npos) break;
    std::string line = rest.substr(0, at);
    trim_end(line);
    result += line;
    result += '\n';
    rest = margin + rest.substr(rest.find_first_not_of(' ', at));
  }
  return result + rest + '\n';
}

}  // namespace feldspar::report
