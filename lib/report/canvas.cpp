#include "report/canvas.hpp"

#include <algorithm>
#include <cmath>

namespace feldspar::report {
namespace {

/// UTF-8 of a code point from U+0800 to U+FFFF.
std::string utf8(unsigned code) {
  return {static_cast<char>(0xE0 | (code >> 12)), static_cast<char>(0x80 | ((code >> 6) & 0x3F)),
          static_cast<char>(0x80 | (code & 0x3F))};
}

}  // namespace

Canvas::Canvas(int columns, int rows, Strokes strokes)
    : columns_(std::max(columns, 1)),
      rows_(std::max(rows, 1)),
      strokes_(strokes),
      across_(strokes == Strokes::braille ? 2 : 1),
      down_(strokes == Strokes::braille ? 4 : 2),
      dots_(static_cast<std::size_t>(width()) * static_cast<std::size_t>(height()), false),
      text_(static_cast<std::size_t>(columns_) * static_cast<std::size_t>(rows_), '\0') {}

double Canvas::dots_down_per_across() const {
  constexpr double kHighPerWide = 2.0;  // a character
  return down_ / (kHighPerWide * across_);
}

void Canvas::dot(double x, double y) {
  const long column = std::lround(x);
  const long row = std::lround(y);
  if (column < 0 || row < 0 || column >= width() || row >= height()) return;
  dots_[static_cast<std::size_t>(row) * static_cast<std::size_t>(width()) +
        static_cast<std::size_t>(column)] = true;
}

void Canvas::line(double x0, double y0, double x1, double y1) {
  const double longest = std::max(std::abs(x1 - x0), std::abs(y1 - y0));
  const int steps = std::clamp(static_cast<int>(std::ceil(longest)), 1, 10 * (width() + height()));
  for (int i = 0; i <= steps; ++i) dot(x0 + (x1 - x0) * i / steps, y0 + (y1 - y0) * i / steps);
}

void Canvas::write(int column, int row, const std::string& ascii) {
  if (row < 0 || row >= rows_) return;
  for (std::size_t i = 0; i < ascii.size(); ++i) {
    const int at = column + static_cast<int>(i);
    if (at >= 0 && at < columns_)
      text_[static_cast<std::size_t>(row) * static_cast<std::size_t>(columns_) +
            static_cast<std::size_t>(at)] = ascii[i];
  }
}

std::string Canvas::character(int column, int row) const {
  const char letter = text_[static_cast<std::size_t>(row) * static_cast<std::size_t>(columns_) +
                            static_cast<std::size_t>(column)];
  if (letter != '\0') return {letter};
  const auto is_set = [&](int x, int y) {
    return dots_[static_cast<std::size_t>(row * down_ + y) * static_cast<std::size_t>(width()) +
                 static_cast<std::size_t>(column * across_ + x)];
  };
  if (strokes_ == Strokes::ascii) {
    const bool upper = is_set(0, 0);
    const bool lower = is_set(0, 1);
    return upper && lower ? "|" : upper ? "'" : lower ? "." : " ";
  }
  // The eight dots of a braille pattern in the order of its bits, Unicode chapter 21.1.
  constexpr int kBits[4][2] = {{0, 3}, {1, 4}, {2, 5}, {6, 7}};
  unsigned pattern = 0;
  for (int y = 0; y < down_; ++y)
    for (int x = 0; x < across_; ++x)
      if (is_set(x, y)) pattern |= 1U << kBits[y][x];
  return pattern == 0 ? " " : utf8(0x2800U + pattern);
}

std::string Canvas::render() const {
  std::string text;
  for (int row = 0; row < rows_; ++row) {
    std::string line;
    for (int column = 0; column < columns_; ++column) line += character(column, row);
    line.erase(line.find_last_not_of(' ') + 1);
    text += line + '\n';
  }
  return text;
}

std::string bar(double share, int columns, Strokes strokes) {
  const int parts = strokes == Strokes::braille ? 8 : 1;  // of a character
  const int filled = static_cast<int>(std::lround(std::clamp(share, 0.0, 1.0) * columns * parts));
  std::string text;
  for (int column = 0; column < columns; ++column) {
    const int here = std::clamp(filled - column * parts, 0, parts);
    if (here == 0)
      text += ' ';
    else if (strokes == Strokes::ascii)
      text += '#';
    else
      text += utf8(0x2590U - static_cast<unsigned>(here));  // U+2588 full block ... U+258F one eighth
  }
  return text;
}

}  // namespace feldspar::report
