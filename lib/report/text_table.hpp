#pragma once

#include <string>
#include <vector>

/// Tables and colour for a terminal.
namespace feldspar::report {

/// Colours say again what the word says; the palette is Okabe and Ito's, in the terminal's 256 colours.
enum class Colour { none, good, fair, poor, bad, faint, strong };

/// The text between the codes of a colour, or as it is when `enabled` is false.
[[nodiscard]] std::string paint(const std::string& text, Colour colour, bool enabled);

/// One cell of a table.
struct Cell {
  std::string text;
  Colour colour = Colour::none;
};

enum class Align { left, right, decimal };

struct Column {
  std::string heading;  ///< lines separated by '\n'
  Align align = Align::left;
};

/// Columns as wide as their contents, two spaces between them, or one when that would make lines longer than
/// the screen. ASCII only.
class TextTable {
 public:
  /// @param screen  characters in a line
  explicit TextTable(std::vector<Column> columns, int screen = 80)
      : columns_(std::move(columns)), screen_(static_cast<std::size_t>(screen)) {}
  /// @param cells one for each column
  void add_row(std::vector<Cell> cells) { rows_.push_back(std::move(cells)); }
  /// Headings, then the rows, each line ended by '\n' and without spaces at its end.
  [[nodiscard]] std::string render(bool colour) const;
  [[nodiscard]] const std::vector<Column>& columns() const { return columns_; }
  [[nodiscard]] const std::vector<std::vector<Cell>>& rows() const { return rows_; }
  /// Characters in the longest line.
  [[nodiscard]] int width() const;

 private:
  struct Layout {
    std::vector<std::size_t> width;   // of each column
    std::vector<std::size_t> before;  // characters before the decimal point
    std::size_t gap = 2;
  };
  [[nodiscard]] Layout layout() const;
  [[nodiscard]] static std::size_t total(const Layout& sizes);

  std::vector<Column> columns_;
  std::size_t screen_;
  std::vector<std::vector<Cell>> rows_;
};

/// Text broken at spaces to lines of at most `width`, every line but the first indented, ended by '\n'.
/// Spaces in lines that fit stay as they are.
[[nodiscard]] std::string wrap(const std::string& text, int width = 80, int indent = 2);

}  // namespace feldspar::report
