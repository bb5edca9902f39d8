#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <limits>

#include "report/number.hpp"
#include "report/sweep_grid_detail.hpp"

namespace feldspar::report::detail {
namespace {

constexpr double kWidth = 720.0;
constexpr double kHeight = 380.0;
constexpr double kLeft = 52.0;
constexpr double kRight = 150.0;  // room for the lines' names
constexpr double kTop = 26.0;
constexpr double kBottom = 48.0;
constexpr std::size_t kMostLines = 8;  // as in page.js
constexpr std::size_t kNone = std::numeric_limits<std::size_t>::max();

struct Choice {
  std::size_t along = 0;
  std::size_t across = kNone;
};

Choice first_choice(const SweepGrid& grid) {
  Choice choice;
  const auto size = [&](std::size_t i) { return grid.axes[i].values.size(); };
  choice.along = grid.axes.size() - 1;
  if (size(choice.along) <= 2)
    for (std::size_t i = 0; i < grid.axes.size(); ++i)
      if (size(i) > size(choice.along)) choice.along = i;
  for (std::size_t i = 0; i < grid.axes.size(); ++i) {
    if (i != choice.along && size(i) > 1 && size(i) <= kMostLines) {
      choice.across = i;
      return choice;
    }
  }
  for (std::size_t i = 0; i < grid.axes.size(); ++i)
    if (i != choice.along && size(i) > 1) {
      choice.across = i;
      return choice;
    }
  return choice;
}

struct Trace {
  std::string name;
  std::vector<double> values;
};

std::vector<Trace> lines_of(const SweepGrid& grid, const Choice& choice) {
  const GridQuantity& quantity = grid.quantities.front();
  const std::size_t count =
      choice.across == kNone ? 1 : std::min(kMostLines, grid.axes[choice.across].values.size());
  std::vector<Trace> lines;
  for (std::size_t k = 0; k < count; ++k) {
    Trace line;
    std::vector<std::size_t> at(grid.axes.size(), 0);
    if (choice.across != kNone) {
      at[choice.across] = k;
      line.name = grid.axes[choice.across].text(k);
    }
    for (std::size_t i = 0; i < grid.axes[choice.along].values.size(); ++i) {
      at[choice.along] = i;
      line.values.push_back(quantity.values[grid.index(at)]);
    }
    lines.push_back(std::move(line));
  }
  return lines;
}

Axis value_axis(const GridQuantity& quantity, const std::vector<Trace>& lines) {
  if (quantity.logarithmic) return {1.0, 20.0, kHeight - kBottom, kTop, true};
  double low = std::numeric_limits<double>::infinity();
  double high = -low;
  for (const Trace& line : lines)
    for (const double value : line.values)
      if (std::isfinite(value)) low = std::min(low, value), high = std::max(high, value);
  if (!(low <= high)) low = 0.0, high = 1.0;
  const double margin = high > low ? 0.05 * (high - low) : std::max(std::abs(high), 1.0);
  return {low - margin, high + margin, kHeight - kBottom, kTop};
}

void draw_values(Svg& svg, const GridQuantity& quantity, const Axis& y) {
  std::vector<double> marks{1.0, 1.5, 2.0, 3.0, 5.0, 10.0, 20.0};
  if (!quantity.logarithmic) {
    marks.clear();
    for (int i = 0; i <= 4; ++i) marks.push_back(y.from + (y.to - y.from) * i / 4.0);
  }
  for (const double mark : marks) {
    svg.line({kLeft, y(mark)}, {kWidth - kRight, y(mark)}, "grid");
    svg.text({kLeft - 8.0, y(mark) + 5.0}, fmt::format("{:.3g}", mark), "end");
  }
}

/// Words stand at even distances, numbers at their value.
Axis along_axis(const GridAxis& axis) {
  double from = 0.0;
  double to = static_cast<double>(std::max<std::size_t>(axis.values.size(), 2) - 1);
  if (axis.values.words.empty()) {
    const auto [low, high] = std::minmax_element(axis.values.numbers.begin(), axis.values.numbers.end());
    from = *low;
    to = *high > *low ? *high : *low + 1.0;
  }
  return {from, to, kLeft + 12.0, kWidth - kRight - 12.0};
}

double place(const GridAxis& axis, std::size_t i) {
  return axis.values.words.empty() ? axis.values.numbers[i] : static_cast<double>(i);
}

void draw_along(Svg& svg, const GridAxis& axis, const Axis& x) {
  constexpr double kRoom = 64.0;  // between two marks
  const double foot = kHeight - kBottom;
  svg.line({kLeft, foot}, {kWidth - kRight, foot}, "axis");
  double last = -kRoom;
  for (std::size_t i = 0; i < axis.values.size(); ++i) {
    const double at = x(place(axis, i));
    if (at - last < (axis.values.size() > 8 ? kRoom : 24.0)) continue;
    last = at;
    svg.line({at, foot}, {at, foot + 5.0}, "axis");
    svg.text({at, foot + 20.0}, axis.text(i), "middle");
  }
  svg.text({kWidth - kRight, kHeight - 4.0}, axis.name, "end");
}

/// A line's name at its end, kept off the one above.
void draw_names(Svg& svg, const std::vector<Trace>& lines, const Axis& y) {
  constexpr double kStep = 16.0;
  struct Name {
    double at;
    std::size_t line;
  };
  std::vector<Name> names;
  for (std::size_t k = 0; k < lines.size(); ++k) {
    const double end = lines[k].values.empty() ? std::nan("") : lines[k].values.back();
    names.push_back({std::isfinite(end) ? y(std::clamp(end, y.from, y.to)) : kTop, k});
  }
  std::sort(names.begin(), names.end(), [](const Name& a, const Name& b) { return a.at < b.at; });
  const double room = kHeight - kBottom - kStep * static_cast<double>(lines.size() - 1);
  double least = kTop + 5.0;
  for (std::size_t i = 0; i < names.size(); ++i) {
    const double at = std::max(least, std::min(names[i].at + 5.0, room + kStep * static_cast<double>(i)));
    least = at + kStep;
    const std::string css = fmt::format("curve rig-{}", names[i].line);
    svg.line({kWidth - kRight + 4.0, at - 5.0}, {kWidth - kRight + 22.0, at - 5.0}, css);
    svg.text({kWidth - kRight + 26.0, at}, lines[names[i].line].name);
  }
}

std::string range_of(const std::vector<double>& values) {
  double low = std::numeric_limits<double>::infinity();
  double high = -low;
  for (const double value : values)
    if (std::isfinite(value)) low = std::min(low, value), high = std::max(high, value);
  return low <= high ? fmt::format("{:.3g} to {:.3g}", low, high) : "no value";
}

}  // namespace

Figure sweep_figure(const SweepGrid& grid) {
  const GridQuantity& quantity = grid.quantities.front();
  const Choice choice = first_choice(grid);
  const GridAxis& along = grid.axes[choice.along];
  const std::vector<Trace> lines = lines_of(grid, choice);
  Figure figure{"sweep", fmt::format("{} along {}", quantity.title, along.name), "", Svg(kWidth, kHeight)};
  const Axis y = value_axis(quantity, lines);
  const Axis x = along_axis(along);
  draw_values(figure.svg, quantity, y);
  draw_along(figure.svg, along, x);
  std::vector<std::string> words;
  for (std::size_t k = lines.size(); k-- > 0;) {
    std::vector<Spot> spots;
    for (std::size_t i = 0; i < lines[k].values.size(); ++i) {
      const double value = lines[k].values[i];
      spots.push_back(
          {x(place(along, i)), std::isfinite(value) ? y(std::clamp(value, y.from, y.to)) : value});
    }
    figure.svg.curve(spots, fmt::format("curve rig-{}", k));
  }
  for (const Trace& line : lines)
    words.push_back(line.name.empty() ? range_of(line.values)
                                      : fmt::format("{}: {}", line.name, range_of(line.values)));
  if (choice.across != kNone) draw_names(figure.svg, lines, y);
  figure.words = figure.heading;
  if (choice.across != kNone) figure.words += ", a line for each " + grid.axes[choice.across].name;
  std::vector<std::string> held;
  for (std::size_t i = 0; i < grid.axes.size(); ++i)
    if (i != choice.along && i != choice.across)
      held.push_back(grid.axes[i].name + ' ' + grid.axes[i].text(0));
  if (!held.empty()) figure.words += fmt::format(", at {}", fmt::join(held, ", "));
  figure.words += fmt::format(": {}.", fmt::join(words, "; "));
  if (choice.across != kNone && grid.axes[choice.across].values.size() > lines.size())
    figure.words += fmt::format(" The first {} of {}.", lines.size(), grid.axes[choice.across].values.size());
  return figure;
}

}  // namespace feldspar::report::detail
