#pragma once

#include <string>
#include <utility>
#include <vector>

/// Still pictures: scalable vector graphics (W3C SVG 1.1) with the classes of page/page.css (private to this
/// module).
namespace feldspar::report::detail {

/// `<`, `>`, `&` and quotes as entities; control characters left out. For text and for attributes in quotes.
[[nodiscard]] std::string escape_markup(const std::string& text);

struct Spot {
  double x = 0.0;
  double y = 0.0;
};

/// A picture in the making; units are CSS pixels at its natural size, y downwards.
class Svg {
 public:
  Svg(double width, double height) : width_(width), height_(height) {}

  [[nodiscard]] double width() const { return width_; }
  [[nodiscard]] double height() const { return height_; }

  void line(Spot from, Spot to, const std::string& css, double thickness = 0.0);
  /// Open; parts that are not finite are left out.
  void curve(const std::vector<Spot>& spots, const std::string& css);
  void area(const std::vector<Spot>& spots, const std::string& css);
  void box(Spot corner, double width, double height, const std::string& css);
  void circle(Spot middle, double radius, const std::string& css);
  /// @param anchor "start", "middle" or "end"
  void text(Spot at, const std::string& text, const char* anchor = "start", const char* css = "small");

  /// For a page. @param description  what somebody who cannot see it should know
  [[nodiscard]] std::string inside_page(const std::string& description) const;
  /// A file of its own: colours included.
  [[nodiscard]] std::string file(const std::string& description) const;

 private:
  [[nodiscard]] std::string element(const std::string& description, const std::string& attributes,
                                    const std::string& style) const;

  double width_;
  double height_;
  std::string content_;
};

/// A line of numbers on a picture.
struct Axis {
  double from = 0.0;  ///< value at `start`
  double to = 1.0;
  double start = 0.0;  ///< coordinate
  double end = 1.0;
  bool logarithmic = false;

  [[nodiscard]] double operator()(double value) const;
};

}  // namespace feldspar::report::detail
