#pragma once

#include <string>
#include <vector>

/// Pictures made of characters.
namespace feldspar::report {

/// What a terminal's characters can draw with.
enum class Strokes { braille, ascii };

/// A grid of dots, several to a character: 2 x 4 in braille, 1 x 2 in ASCII. Dots outside are left out.
class Canvas {
 public:
  /// @param columns, rows  in characters
  Canvas(int columns, int rows, Strokes strokes);

  [[nodiscard]] int width() const { return columns_ * across_; }  ///< dots
  [[nodiscard]] int height() const { return rows_ * down_; }      ///< dots
  /// Dots of one unit: those of a character are about twice as high as wide together.
  [[nodiscard]] double dots_down_per_across() const;

  /// @param x, y  dots from the upper left corner
  void dot(double x, double y);
  void line(double x0, double y0, double x1, double y1);
  /// Text over the picture. @param column, row  of its first character
  void write(int column, int row, const std::string& ascii);

  /// Lines without spaces at their ends, each ended by '\n'.
  [[nodiscard]] std::string render() const;

 private:
  [[nodiscard]] std::string character(int column, int row) const;

  int columns_;
  int rows_;
  Strokes strokes_;
  int across_;
  int down_;
  std::vector<bool> dots_;
  std::string text_;  // of every character, 0 where there is none
};

/// A horizontal bar of `share` (0 to 1) of `columns` characters: eighths of a block, or whole '#'. Padded
/// with spaces.
[[nodiscard]] std::string bar(double share, int columns, Strokes strokes);

}  // namespace feldspar::report
