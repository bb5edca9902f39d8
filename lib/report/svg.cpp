#include <fmt/format.h>

#include <cmath>

#include "report/svg_detail.hpp"

namespace feldspar::report::detail {
namespace {

/// What page/page.css gives these classes on a white page (its still figures inside a page take theirs from
/// there).
constexpr const char* kFileStyle =
    "svg{font:14px system-ui,sans-serif;background:#fff}text{fill:#1a1a1a}.small{fill:#5f6368;font-size:13px}"
    ".axis{stroke:#5f6368;fill:none}.grid{stroke:#d9dcde;fill:none}.zero{stroke:#1a1a1a;fill:none}"
    ".band{fill:#e9eef2}.curve{fill:none;stroke-width:2}.ribbon{opacity:.2;stroke:none}"
    ".wire{fill:none;stroke-linecap:round}"
    ".rig-0{stroke:#0072b2}.rig-1{stroke:#d55e00;stroke-dasharray:8 4}"
    ".rig-2{stroke:#009e73;stroke-dasharray:2 4}.rig-3{stroke:#e69f00;stroke-dasharray:8 4 2 4}"
    ".rig-4{stroke:#56b4e9;stroke-dasharray:12 4}.rig-5{stroke:#cc79a7;stroke-dasharray:4 2}"
    ".rig-6{stroke:#f0e442;stroke-dasharray:2 2}.rig-7{stroke:#000;stroke-dasharray:12 2 2 2}"
    ".ribbon.rig-0,.dot.rig-0{fill:#0072b2}.ribbon.rig-1,.dot.rig-1{fill:#d55e00}"
    ".ribbon.rig-2,.dot.rig-2{fill:#009e73}.ribbon.rig-3,.dot.rig-3{fill:#e69f00}"
    ".part-sky{fill:#009e73}.part-ground{fill:#e69f00}.part-wires{fill:#d55e00}.part-coils{fill:#cc79a7}"
    ".part-transformer{fill:#f0e442}.part-choke{fill:#56b4e9}.part-line{fill:#0072b2}.part-tuner{fill:#000}"
    ".part-other{fill:#999}";

std::string coordinate(double value) {
  return fmt::format("{:.5g}", std::abs(value) < 0.05 ? 0.0 : value);
}

std::string points(const std::vector<Spot>& spots, std::size_t from, std::size_t to) {
  std::string text;
  for (std::size_t i = from; i < to; ++i)
    text += (text.empty() ? "" : " ") + coordinate(spots[i].x) + ',' + coordinate(spots[i].y);
  return text;
}

bool is_finite(const Spot& spot) {
  return std::isfinite(spot.x) && std::isfinite(spot.y);
}

}  // namespace

std::string escape_markup(const std::string& text) {
  std::string escaped;
  for (const char c : text) {
    switch (c) {
      case '<':
        escaped += "&lt;";
        break;
      case '>':
        escaped += "&gt;";
        break;
      case '&':
        escaped += "&amp;";
        break;
      case '"':
        escaped += "&quot;";
        break;
      case '\'':
        escaped += "&#39;";
        break;
      default:
        if (static_cast<unsigned char>(c) >= 0x20 || c == '\n' || c == '\t') escaped += c;
    }
  }
  return escaped;
}

double Axis::operator()(double value) const {
  const double share =
      logarithmic ? std::log(value / from) / std::log(to / from) : (value - from) / (to - from);
  return start + share * (end - start);
}

void Svg::line(Spot from, Spot to, const std::string& css, double thickness) {
  content_ += fmt::format("<line x1=\"{}\" y1=\"{}\" x2=\"{}\" y2=\"{}\" class=\"{}\"{}/>",
                          coordinate(from.x), coordinate(from.y), coordinate(to.x), coordinate(to.y), css,
                          thickness > 0.0 ? fmt::format(" stroke-width=\"{:.2g}\"", thickness) : "");
}

void Svg::curve(const std::vector<Spot>& spots, const std::string& css) {
  for (std::size_t i = 0; i < spots.size();) {
    std::size_t end = i;
    while (end < spots.size() && is_finite(spots[end])) ++end;
    if (end > i + 1)
      content_ += fmt::format("<polyline points=\"{}\" class=\"{}\"/>", points(spots, i, end), css);
    i = end + 1;
  }
}

void Svg::area(const std::vector<Spot>& spots, const std::string& css) {
  content_ += fmt::format("<polygon points=\"{}\" class=\"{}\"/>", points(spots, 0, spots.size()), css);
}

void Svg::box(Spot corner, double width, double height, const std::string& css) {
  content_ +=
      fmt::format("<rect x=\"{}\" y=\"{}\" width=\"{}\" height=\"{}\" class=\"{}\"/>", coordinate(corner.x),
                  coordinate(corner.y), coordinate(width), coordinate(height), css);
}

void Svg::circle(Spot middle, double radius, const std::string& css) {
  content_ += fmt::format("<circle cx=\"{}\" cy=\"{}\" r=\"{}\" class=\"{}\"/>", coordinate(middle.x),
                          coordinate(middle.y), coordinate(radius), css);
}

void Svg::text(Spot at, const std::string& text, const char* anchor, const char* css) {
  content_ += fmt::format("<text x=\"{}\" y=\"{}\" text-anchor=\"{}\" class=\"{}\">{}</text>",
                          coordinate(at.x), coordinate(at.y), anchor, css, escape_markup(text));
}

std::string Svg::element(const std::string& description, const std::string& attributes,
                         const std::string& style) const {
  return fmt::format("<svg {}viewBox=\"0 0 {} {}\" role=\"img\" aria-label=\"{}\">{}{}</svg>", attributes,
                     coordinate(width_), coordinate(height_), escape_markup(description), style, content_);
}

std::string Svg::inside_page(const std::string& description) const {
  return element(description, "", "");
}

std::string Svg::file(const std::string& description) const {
  return element(description,
                 fmt::format("xmlns=\"http://www.w3.org/2000/svg\" width=\"{}\" height=\"{}\" ",
                             coordinate(width_), coordinate(height_)),
                 fmt::format("<title>{}</title><style>{}</style>", escape_markup(description), kFileStyle)) +
         '\n';
}

}  // namespace feldspar::report::detail
