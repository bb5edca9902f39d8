#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <nlohmann/json.hpp>
#include <optional>

#include "report/assumptions.hpp"
#include "report/number.hpp"
#include "report/page.hpp"
#include "report/page_parts_detail.hpp"
#include "report/sweep_grid_detail.hpp"
#include "report/sweep_values_detail.hpp"

namespace feldspar::report {
namespace detail {

namespace {

constexpr const char* kFirst = "swr_at_radio";
constexpr std::size_t kMostValues = 600'000;  // about 4 MB of text

GridAxis axis_of(const results::Dimension& dimension) {
  GridAxis axis{"", dimension.coordinates.front()};
  for (const results::Coordinate& coordinate : dimension.coordinates)
    axis.name += (axis.name.empty() ? "" : " with ") + coordinate.name;
  return axis;
}

GridQuantity quantity_of(const SweepView& view, const results::Quantity& quantity) {
  GridQuantity shown{quantity.name,
                     quantity.long_name,
                     quantity.units == "1" ? "" : quantity.units,
                     quantity.units == "1" && quantity.name.starts_with("swr"),
                     {}};
  const Values values(view, quantity.name);
  const std::size_t places = view.layout.spectrum.front().size;
  shown.values.reserve(view.layout.count() * places);
  for (std::size_t i = 0; i < view.layout.count(); ++i)
    for (std::size_t place = 0; place < places; ++place) shown.values.push_back(values.at(i, place));
  return shown;
}

}  // namespace

std::string GridAxis::text(std::size_t i) const {
  return values.units == "Hz" && values.words.empty() ? format_frequency(values.numbers[i]) : values.text(i);
}

std::size_t SweepGrid::index(const std::vector<std::size_t>& along) const {
  std::size_t index = 0;
  for (std::size_t d = 0; d < axes.size(); ++d) index = index * axes[d].values.size() + along[d];
  return index;
}

std::vector<std::size_t> SweepGrid::split(std::size_t index) const {
  std::vector<std::size_t> along(axes.size());
  for (std::size_t d = axes.size(); d-- > 0;) {
    along[d] = index % axes[d].values.size();
    index /= axes[d].values.size();
  }
  return along;
}

SweepGrid sweep_grid(const SweepView& view, std::size_t most) {
  SweepGrid grid;
  for (const results::Dimension& dimension : view.layout.cases) grid.axes.push_back(axis_of(dimension));
  grid.axes.push_back(axis_of(view.layout.spectrum.front()));
  std::vector<results::Quantity> wanted;
  for (const results::Quantity& quantity : view.layout.quantities)
    if (quantity.extent != results::Extent::each_direction &&
        quantity.extent != results::Extent::each_place && view.columns.contains(quantity.name))
      wanted.push_back(quantity);
  std::stable_partition(wanted.begin(), wanted.end(), [](const auto& one) { return one.name == kFirst; });
  const std::size_t each = view.layout.count() * view.layout.spectrum.front().size;
  for (const results::Quantity& quantity : wanted) {
    if (grid.quantities.empty() || (grid.quantities.size() + 1) * each <= most)
      grid.quantities.push_back(quantity_of(view, quantity));
    else
      grid.left_out.push_back(quantity.long_name);
  }
  if (grid.quantities.empty())
    throw core::Error(core::ErrorKind::usage, "the file holds no values to look at");
  return grid;
}

}  // namespace detail

namespace {

using detail::GridAxis;
using detail::GridQuantity;
using detail::headings_of;
using detail::html_table;
using detail::paragraph;
using detail::section;
using detail::SweepGrid;
using Json = nlohmann::ordered_json;
using results::CaseStatus;

/// Five digits: a plot shows fewer.
Json rounded(double value) {
  if (!std::isfinite(value)) return nullptr;
  return std::strtod(fmt::format("{:.5g}", value).c_str(), nullptr);
}

std::string data_of(const SweepView& view, const SweepGrid& grid) {
  Json sweep{{"title", view.title}, {"axes", Json::array()}, {"quantities", Json::array()}};
  for (const GridAxis& axis : grid.axes) {
    Json values = Json::array();
    for (std::size_t i = 0; i < axis.values.size(); ++i)
      values.push_back(axis.values.words.empty() ? Json(axis.values.numbers[i]) : Json(axis.values.words[i]));
    sweep["axes"].push_back({{"name", axis.name},
                             {"unit", axis.values.units == "1" ? "" : axis.values.units},
                             {"values", values}});
  }
  for (const GridQuantity& quantity : grid.quantities) {
    Json values = Json::array();
    for (const double value : quantity.values) values.push_back(rounded(value));
    sweep["quantities"].push_back({{"name", quantity.name},
                                   {"title", quantity.title},
                                   {"unit", quantity.unit},
                                   {"logarithmic", quantity.logarithmic},
                                   {"values", std::move(values)}});
  }
  const Json document{{"format", 1}, {"rigs", Json::array()}, {"sweep", std::move(sweep)}};
  return detail::without_markup(document.dump(-1, ' ', false, Json::error_handler_t::replace));
}

struct Extremes {
  std::size_t lowest = 0;
  std::size_t highest = 0;
};

std::optional<Extremes> extremes(const std::vector<double>& values) {
  std::optional<Extremes> found;
  for (std::size_t i = 0; i < values.size(); ++i) {
    if (!std::isfinite(values[i])) continue;
    if (!found) found = Extremes{i, i};
    if (values[i] < values[found->lowest]) found->lowest = i;
    if (values[i] > values[found->highest]) found->highest = i;
  }
  return found;
}

/// "radial_count 16, 40m": axes with a single value left out.
std::string where(const SweepGrid& grid, std::size_t index) {
  const std::vector<std::size_t> along = grid.split(index);
  std::string text;
  for (std::size_t d = 0; d < grid.axes.size(); ++d) {
    if (grid.axes[d].values.size() < 2) continue;
    const bool bare = d + 1 == grid.axes.size();  // a band or a frequency says itself what it is
    text += fmt::format("{}{}{}", text.empty() ? "" : ", ", bare ? "" : grid.axes[d].name + ' ',
                        grid.axes[d].text(along[d]));
  }
  return text;
}

std::string value_text(const GridQuantity& quantity, double value) {
  return quantity.unit == "Hz" ? format_frequency(value) : fmt::format("{:.3g}", value);
}

std::size_t count(const SweepView& view, CaseStatus status) {
  return static_cast<std::size_t>(std::count(view.status.begin(), view.status.end(), status));
}

std::string headline(const SweepView& view, const SweepGrid& grid) {
  std::string text = fmt::format("{} of {} cases done", count(view, CaseStatus::done), view.status.size());
  const GridQuantity& first = grid.quantities.front();
  if (const auto found = extremes(first.values)) {
    text += fmt::format("; {} from {}", first.title, value_text(first, first.values[found->lowest]));
    if (const std::string at = where(grid, found->lowest); !at.empty()) text += " (" + at + ")";
    text += " to " + value_text(first, first.values[found->highest]);
    if (const std::string at = where(grid, found->highest); !at.empty()) text += " (" + at + ")";
  }
  return text + '.';
}

std::string axes_table(const SweepGrid& grid) {
  constexpr std::size_t kMost = 12;
  TextTable table({{"axis"}, {"values", Align::right}, {"which"}});
  for (const GridAxis& axis : grid.axes) {
    std::vector<std::string> texts;
    const std::size_t size = axis.values.size();
    for (std::size_t i = 0; i < size; ++i)
      if (size <= kMost || i < 3 || i + 1 == size)
        texts.push_back((i + 1 == size && size > kMost ? "… " : "") + axis.text(i));
    table.add_row({{axis.name}, {std::to_string(size)}, {fmt::format("{}", fmt::join(texts, ", "))}});
  }
  return html_table(headings_of(table), table);
}

std::string ranges_table(const SweepGrid& grid) {
  TextTable table(
      {{"quantity"}, {"unit"}, {"smallest", Align::right}, {"at"}, {"largest", Align::right}, {"at"}});
  for (const GridQuantity& quantity : grid.quantities) {
    const auto found = extremes(quantity.values);
    if (!found) continue;
    table.add_row({{quantity.title},
                   {quantity.unit == "Hz" ? "" : quantity.unit},
                   {value_text(quantity, quantity.values[found->lowest])},
                   {where(grid, found->lowest)},
                   {value_text(quantity, quantity.values[found->highest])},
                   {where(grid, found->highest)}});
  }
  return html_table(headings_of(table), table);
}

/// Browsers take ten seconds for the cells of 10,000 cases; the plots have them all.
std::string first_cases(const SweepView& view, const SweepGrid& grid) {
  constexpr std::size_t kMostCases = 200;
  constexpr std::size_t kMostPlaces = 24;
  const GridAxis& spectrum = grid.axes.back();
  const std::size_t places = std::min(spectrum.values.size(), kMostPlaces);
  std::vector<Column> columns;
  for (std::size_t d = 0; d + 1 < grid.axes.size(); ++d) columns.push_back({grid.axes[d].name});
  for (std::size_t i = 0; i < places; ++i) columns.push_back({spectrum.text(i), Align::right});
  TextTable table(columns);
  const std::size_t cases = std::min(view.layout.count(), kMostCases);
  for (std::size_t i = 0; i < cases; ++i) {
    std::vector<Cell> cells;
    const std::vector<std::size_t> along = view.layout.split(i);
    for (std::size_t d = 0; d < along.size(); ++d) cells.push_back({grid.axes[d].text(along[d])});
    for (std::size_t place = 0; place < places; ++place) {
      const double value = grid.quantities.front().values[i * spectrum.values.size() + place];
      cells.push_back({std::isfinite(value)                 ? value_text(grid.quantities.front(), value)
                       : view.status[i] == CaseStatus::done ? "-"
                                                            : results::word(view.status[i])});
    }
    table.add_row(std::move(cells));
  }
  std::string text =
      paragraph(grid.quantities.front().title + (view.layout.by_bands() ? ", middle of each band." : "."));
  text += html_table(headings_of(table), table);
  if (cases < view.layout.count())
    text +=
        paragraph(fmt::format("The first {} of {} cases; the plot has them all, feldspar show prints them.",
                              cases, view.layout.count()));
  if (places < spectrum.values.size())
    text += paragraph(fmt::format("The first {} of {} frequencies.", places, spectrum.values.size()));
  return text;
}

std::string failures(const SweepView& view) {
  const std::size_t failed = count(view, CaseStatus::failed);
  if (failed == 0) return "";
  std::string html = "<ul class=\"warnings\">";
  for (const SweepView::Failure& failure : view.failures)
    html +=
        "<li>" + detail::escape_markup(view.layout.name(failure.index) + ": " + failure.message) + "</li>";
  html += "</ul>\n";
  if (failed > view.failures.size())
    html += paragraph(fmt::format("And {} more.", failed - view.failures.size()));
  return section("failed", "Cases that failed", html);
}

std::string origin(const SweepView& view, const SweepGrid& grid) {
  std::string text = "Written by " + view.program + (view.share.empty() ? "" : ", share " + view.share) + '.';
  for (const CaseStatus status : {CaseStatus::left_out, CaseStatus::missing})
    if (count(view, status) > 0)
      text += fmt::format(" {} cases {}.", count(view, status), results::word(status));
  std::string html = paragraph(text);
  if (!grid.left_out.empty())
    html += paragraph(
        fmt::format("Too many values for one page; only in the file: {}.", fmt::join(grid.left_out, "; ")));
  return html + paragraph(caution());
}

}  // namespace

std::string sweep_page_html(const SweepView& view, const PageOptions& options) {
  const SweepGrid grid = detail::sweep_grid(view, detail::kMostValues);
  std::string body = section("sweep", "Results over the axes",
                             (view.about.empty() ? "" : paragraph(view.about)) +
                                 detail::figure_html(detail::sweep_figure(grid)) + first_cases(view, grid));
  body += section("axes", "What was varied", axes_table(grid));
  body += section("ranges", "From where to where", ranges_table(grid));
  body += failures(view);
  body += section("assumptions", "Where it comes from", origin(view, grid));
  return detail::whole_page(
      {view.title.empty() ? "Sweep" : view.title, headline(view, grid), body, data_of(view, grid)}, options);
}

std::vector<Picture> sweep_pictures(const SweepView& view) {
  const detail::Figure figure = detail::sweep_figure(detail::sweep_grid(view, 0));
  return {{figure.name, figure.svg.file(figure.heading + ". " + figure.words)}};
}

}  // namespace feldspar::report
