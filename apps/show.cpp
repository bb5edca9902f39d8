#include "show.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <numeric>

#include "core/error.hpp"
#include "decision/bands.hpp"
#include "decision/wish.hpp"
#include "model/expression.hpp"
#include "model/nearest.hpp"
#include "open_sweep.hpp"
#include "report/sweep.hpp"

namespace feldspar::app {
namespace {

[[noreturn]] void refuse_show(const std::string& place, const std::string& why) {
  throw core::Error(core::ErrorKind::usage, why, core::Place{place, 0, 0, {}});
}

std::vector<std::string> axis_names(const results::SweepLayout& layout) {
  std::vector<std::string> names;
  for (const results::Dimension& dimension : layout.cases)
    for (const results::Coordinate& coordinate : dimension.coordinates) names.push_back(coordinate.name);
  return names;
}

/// A coordinate and its dimension.
std::pair<std::size_t, const results::Coordinate*> find_axis(const results::SweepLayout& layout,
                                                             const std::string& name,
                                                             const std::string& place) {
  for (std::size_t d = 0; d < layout.cases.size(); ++d)
    for (const results::Coordinate& coordinate : layout.cases[d].coordinates)
      if (coordinate.name == name) return {d, &coordinate};
  const std::vector<std::string> names = axis_names(layout);
  refuse_show(place, fmt::format("there is no axis '{}'{} (axes: {})", name, model::suggestion(name, names),
                                 model::enumerate(names)));
}

/// A typed value in the units of a coordinate or of the frequency.
double number_of(const model::Setting& setting, const std::string& units) {
  try {
    const model::Evaluation found = model::evaluate(setting.text, {});
    const model::OutputUnit unit = model::output_unit(found.value.dimension);
    if (!found.bare_number && unit.name != units)
      refuse_show(setting.place.file,
                  fmt::format("expected a value in {}, found {}", units.empty() ? "plain numbers" : units,
                              model::format(found.value)));
    return found.bare_number ? found.value.si : found.value.si / unit.factor;
  } catch (const model::ExpressionError& error) {
    refuse_show(setting.place.file, error.message);
  }
}

std::size_t nearest(const std::vector<double>& numbers, double wanted) {
  const auto closer = [&](double a, double b) { return std::abs(a - wanted) < std::abs(b - wanted); };
  return static_cast<std::size_t>(std::min_element(numbers.begin(), numbers.end(), closer) - numbers.begin());
}

std::size_t index_at(const results::Coordinate& coordinate, const model::Setting& setting) {
  if (coordinate.words.empty()) return nearest(coordinate.numbers, number_of(setting, coordinate.units));
  const auto at = std::find(coordinate.words.begin(), coordinate.words.end(), setting.text);
  if (at == coordinate.words.end())
    refuse_show(setting.place.file, fmt::format("there is no '{}' on this axis{} (values: {})", setting.text,
                                                model::suggestion(setting.text, coordinate.words),
                                                model::enumerate(coordinate.words)));
  return static_cast<std::size_t>(at - coordinate.words.begin());
}

report::SweepSlice slice_of(const results::SweepLayout& layout, const CommandLine& line) {
  report::SweepSlice slice;
  slice.along.assign(layout.cases.size(), -1);
  slice.spectrum.resize(layout.spectrum[0].size);
  std::iota(slice.spectrum.begin(), slice.spectrum.end(), std::size_t{0});
  const results::Coordinate& first = layout.spectrum[0].coordinates[0];
  for (const model::Setting& setting : line.settings) {
    if (setting.name == first.name) {
      slice.spectrum = {index_at(first, setting)};
      continue;
    }
    const auto [dimension, coordinate] = find_axis(layout, setting.name, setting.place.file);
    slice.along[dimension] = static_cast<int>(index_at(*coordinate, setting));
  }
  if (line.bands.empty()) return slice;
  if (!layout.by_bands())
    refuse_show("--bands", "this file has single frequencies; choose with --at frequency=7.1MHz");
  slice.spectrum.clear();
  for (const decision::Band& band : decision::select_bands(line.bands, 1)) {
    const auto at = std::find(first.words.begin(), first.words.end(), band.name);
    if (at == first.words.end())
      refuse_show("--bands", fmt::format("{} is not in this file (bands: {})", band.name,
                                         model::enumerate(first.words)));
    slice.spectrum.push_back(static_cast<std::size_t>(at - first.words.begin()));
  }
  return slice;
}

}  // namespace

std::string run_show(const CommandLine& line, bool colour) {
  const report::SweepView view = open_sweep(line.model);
  const report::SweepSlice slice = slice_of(view.layout, line);
  if (line.format == Format::csv) return report::sweep_csv(view, slice);
  if (!line.along.empty())
    return report::along_text(view, slice, find_axis(view.layout, line.along, "--along").first, {colour});
  if (!line.best.empty()) {
    std::vector<std::string> names;
    for (const results::Quantity& quantity : view.layout.quantities) names.push_back(quantity.name);
    return report::best_text(view, slice, decision::parse_wish(line.best, names),
                             static_cast<std::size_t>(line.limit), {colour});
  }
  return report::sweep_text(view, {colour});
}

}  // namespace feldspar::app
