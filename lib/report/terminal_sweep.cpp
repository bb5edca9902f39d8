#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <limits>

#include "report/number.hpp"
#include "report/sweep.hpp"
#include "report/sweep_values_detail.hpp"
#include "report/text_table.hpp"

namespace feldspar::report {
namespace {

using results::CaseStatus;

constexpr double kNone = std::numeric_limits<double>::quiet_NaN();

std::string plain(double value, int digits) {
  return std::isfinite(value) ? format_digits(value, digits) : "-";
}

std::string signed_db(double value) {
  return std::isfinite(value) ? format_signed(value, 0.1) : "-";
}

std::string swr_text(double swr, double error) {
  return std::isnan(swr) ? "-" : format_swr(swr, std::isfinite(error) ? error : 0.0);
}

std::string shortened(const std::vector<std::string>& values) {
  if (values.size() <= 8) return fmt::format("{}", fmt::join(values, ", "));
  return fmt::format("{}, ..., {} ({} values)", fmt::join(values.begin(), values.begin() + 3, ", "),
                     values.back(), values.size());
}

std::vector<std::string> texts_of(const results::Coordinate& coordinate) {
  std::vector<std::string> list;
  for (std::size_t i = 0; i < coordinate.size(); ++i) list.push_back(coordinate.text(i));
  return list;
}

/// The first step from which on all are below kSmallStep; 0 where there is none. A single small step between
/// large ones says nothing.
std::size_t first_small_step(const std::vector<double>& steps) {
  std::size_t first = steps.size();
  while (first > 1 && std::abs(steps[first - 1]) < kSmallStep) --first;
  return first < steps.size() ? first : 0;
}

std::string heading(const SweepView& view, const TerminalOptions& options) {
  return view.title.empty() ? "" : paint(view.title, Colour::strong, options.colour) + '\n';
}

}  // namespace

std::string sweep_text(const SweepView& view, const TerminalOptions& options) {
  std::string text = heading(view, options);
  if (!view.about.empty()) text += wrap(view.about, 80, 0);
  text += fmt::format("Written by {}{}\n\n", view.program, view.share.empty() ? "" : ", share " + view.share);
  for (const results::Dimension& dimension : view.layout.cases)
    for (const results::Coordinate& coordinate : dimension.coordinates)
      text += wrap(fmt::format("{}: {}", coordinate.name, shortened(texts_of(coordinate))));
  std::vector<std::string> places;
  for (std::size_t i = 0; i < view.layout.spectrum[0].size; ++i) places.push_back(place_name(view, i));
  text += wrap(fmt::format("{}: {}", view.layout.by_bands() ? "bands" : "frequencies", shortened(places)));
  const auto count = [&](CaseStatus status) {
    return std::count(view.status.begin(), view.status.end(), status);
  };
  text += fmt::format("\n{} cases: {} done", view.status.size(), count(CaseStatus::done));
  for (const CaseStatus status : {CaseStatus::failed, CaseStatus::left_out, CaseStatus::missing})
    if (count(status) > 0) text += fmt::format(", {} {}", count(status), results::word(status));
  text += '\n';
  for (const SweepView::Failure& failure : view.failures)
    text += wrap(fmt::format("failed: {}: {}", view.layout.name(failure.index), failure.message));
  if (static_cast<std::size_t>(count(CaseStatus::failed)) > view.failures.size())
    text += fmt::format("and {} more\n",
                        static_cast<std::size_t>(count(CaseStatus::failed)) - view.failures.size());
  TextTable table({{"quantity"}, {"unit"}, {"smallest", Align::right}, {"largest", Align::right}});
  for (const results::Quantity& quantity : view.layout.quantities) {
    const auto column = view.columns.find(quantity.name);
    if (column == view.columns.end()) continue;
    double low = std::numeric_limits<double>::infinity();
    double high = -low;
    for (const double value : column->second)
      if (std::isfinite(value)) low = std::min(low, value), high = std::max(high, value);
    table.add_row({{quantity.name},
                   {quantity.units == "1" ? "" : quantity.units},
                   {low <= high ? fmt::format("{:.4g}", low) : "-"},
                   {low <= high ? fmt::format("{:.4g}", high) : "-"}});
  }
  return text + '\n' + table.render(options.colour);
}

namespace {

/// One axis from value to value, the others held.
class AlongAxis {
 public:
  AlongAxis(const SweepView& view, const SweepSlice& slice, std::size_t dimension)
      : view_(view), axis_(view.layout.cases[dimension]) {
    std::vector<std::size_t> along;
    for (const int held : slice.along) along.push_back(static_cast<std::size_t>(std::max(held, 0)));
    for (std::size_t i = 0; i < axis_.size; ++i) {
      along[dimension] = i;
      cases_.push_back(view.layout.join(along));
    }
  }

  [[nodiscard]] std::string table(std::size_t place, bool colour) const {
    TextTable table(columns());
    const std::vector<double> steps = steps_at(place);
    const std::size_t calm = first_small_step(steps);
    for (std::size_t i = 0; i < axis_.size; ++i) {
      const CaseStatus status = view_.status[cases_[i]];
      std::vector<Cell> cells = row(i, place);
      cells.push_back({i == 0 ? "" : signed_db(steps[i])});
      cells.push_back({plain(wire_.at(cases_[i], place), 3)});
      cells.push_back({status != CaseStatus::done ? results::word(status)
                       : i > 0 && i == calm       ? "small from here on"
                                                  : ""});
      table.add_row(std::move(cells));
    }
    return table.render(colour);
  }

 private:
  [[nodiscard]] std::vector<Column> columns() const {
    std::vector<Column> columns;
    for (const results::Coordinate& coordinate : axis_.coordinates)
      columns.push_back({coordinate.name, Align::right});
    for (const char* name : {"R ohm", "X ohm", "SWR at\nradio"}) columns.push_back({name, Align::decimal});
    if (largest_.there()) columns.push_back({"largest\nin band", Align::decimal});
    for (const char* name : {"efficiency\n%", "from radio\ndBi", "over row\nbefore, dB", "wire\nm"})
      columns.push_back({name, Align::decimal});
    columns.push_back({""});
    return columns;
  }

  [[nodiscard]] std::vector<double> steps_at(std::size_t place) const {
    std::vector<double> steps = {kNone};
    for (std::size_t i = 1; i < cases_.size(); ++i)
      steps.push_back(gain_.at(cases_[i], place) - gain_.at(cases_[i - 1], place));
    return steps;
  }

  /// All cells before the step.
  [[nodiscard]] std::vector<Cell> row(std::size_t i, std::size_t place) const {
    const std::size_t index = cases_[i];
    const double r = resistance_.at(index, place);
    const double x = reactance_.at(index, place);
    const double error = error_.at(index, place);
    const double unit = std::isfinite(error) ? digit_unit(error * std::hypot(r, x), 0.1) : 0.1;
    std::vector<Cell> cells;
    for (const results::Coordinate& coordinate : axis_.coordinates) cells.push_back({coordinate.text(i)});
    cells.push_back({format_number(r, unit)});
    cells.push_back({std::isfinite(x) ? format_signed(x, unit) : "-"});
    cells.push_back({swr_text(swr_.at(index, place), error)});
    if (largest_.there()) cells.push_back({swr_text(largest_.at(index, place), error)});
    cells.push_back({plain(100.0 * efficiency_.at(index, place), 2)});
    cells.push_back({signed_db(gain_.at(index, place))});
    return cells;
  }

  const SweepView& view_;
  const results::Dimension& axis_;
  std::vector<std::size_t> cases_;  // along the axis
  Values resistance_{view_, "resistance"};
  Values reactance_{view_, "reactance"};
  Values swr_{view_, "swr_at_radio"};
  Values largest_{view_, "swr_largest"};
  Values efficiency_{view_, "radiation_efficiency"};
  Values gain_{view_, "gain_from_radio"};
  Values error_{view_, "impedance_error_relative"};
  Values wire_{view_, "total_wire"};
};

/// What the other axes stand at, a line each.
std::string held_text(const SweepView& view, const SweepSlice& slice, std::size_t dimension) {
  std::string text;
  for (std::size_t d = 0; d < slice.along.size(); ++d) {
    if (d == dimension) continue;
    const results::Dimension& held = view.layout.cases[d];
    const bool chosen = slice.along[d] >= 0 || held.size == 1;
    for (const results::Coordinate& coordinate : held.coordinates)
      text += fmt::format(
          "{} {}{}\n", coordinate.name,
          coordinate.text(static_cast<std::size_t>(std::max(slice.along[d], 0))),
          chosen ? "" : fmt::format(" (first of {}; --at {}=... takes another)", held.size, coordinate.name));
  }
  return text;
}

}  // namespace

std::string along_text(const SweepView& view, const SweepSlice& slice, std::size_t dimension,
                       const TerminalOptions& options) {
  std::string text = heading(view, options) + held_text(view, slice, dimension);
  const AlongAxis axis(view, slice, dimension);
  for (const std::size_t place : slice.spectrum)
    text += '\n' + paint(place_name(view, place), Colour::strong, options.colour) + '\n' +
            axis.table(place, options.colour);
  return text +
         fmt::format("\n\"small from here on\": this step and all after it are below {} dB\n", kSmallStep);
}

std::string best_text(const SweepView& view, const SweepSlice& slice, const decision::Wish& wish,
                      std::size_t limit, const TerminalOptions& options) {
  const results::SweepLayout& layout = view.layout;
  const Values wished(view, wish.quantity);
  const Values efficiency(view, "radiation_efficiency");
  std::vector<double> merits(layout.count(), kNone);
  for (std::size_t i = 0; i < merits.size(); ++i)
    if (view.status[i] == CaseStatus::done && inside(layout, slice, i))
      merits[i] = decision::merit(wished.over(i, slice.spectrum), wish);
  std::vector<std::string> places;
  for (const std::size_t place : slice.spectrum) places.push_back(place_name(view, place));
  constexpr const char* kOver[] = {"worst", "mean", "best"};
  std::string text = heading(view, options);
  text +=
      wrap(fmt::format("{} {} {} over {}", wish.highest ? "Highest" : "Lowest",
                       kOver[static_cast<std::size_t>(wish.over)], wish.quantity, fmt::join(places, ", ")));
  const std::vector<std::size_t> order = decision::best(merits, wish, limit);
  if (order.empty()) return text + "No case has it there.\n";
  std::vector<Column> columns = {{wish.quantity, Align::right}, {"least\nefficiency, %", Align::decimal}};
  for (const results::Dimension& dimension : layout.cases)
    for (const results::Coordinate& coordinate : dimension.coordinates) columns.push_back({coordinate.name});
  TextTable table(columns);
  for (const std::size_t index : order) {
    const std::vector<double> all = efficiency.over(index, slice.spectrum);
    const double least = decision::merit(all, {false, decision::Wish::Over::best, ""});
    std::vector<Cell> cells = {{fmt::format("{:.4g}", merits[index])}, {plain(100.0 * least, 2)}};
    const std::vector<std::size_t> along = layout.split(index);
    for (std::size_t d = 0; d < along.size(); ++d)
      for (const results::Coordinate& coordinate : layout.cases[d].coordinates)
        cells.push_back({coordinate.text(along[d])});
    table.add_row(std::move(cells));
  }
  return text + table.render(options.colour);
}

}  // namespace feldspar::report
