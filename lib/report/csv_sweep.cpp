#include <fmt/format.h>

#include <cmath>

#include "report/csv.hpp"
#include "report/sweep.hpp"
#include "report/sweep_values_detail.hpp"

namespace feldspar::report {

namespace {

/// "resistance_ohm", "gain_dbi", "ground.conductivity_s_per_m"
std::string with_unit(const std::string& name, const std::string& units) {
  if (units.empty() || units == "1") return name;
  std::string suffix;
  for (const char c : units)
    suffix += c == '/' ? '_' : c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c;
  const std::size_t per = units.find('/');
  if (per != std::string::npos) suffix.insert(per, "_per");
  return name + "_" + suffix;
}

/// Values of the axes of a case, each ended by a comma.
std::string axes_csv(const results::SweepLayout& layout, std::size_t index) {
  std::string text;
  const std::vector<std::size_t> along = layout.split(index);
  for (std::size_t d = 0; d < along.size(); ++d)
    for (const results::Coordinate& coordinate : layout.cases[d].coordinates)
      text += (coordinate.words.empty() ? fmt::format("{}", coordinate.numbers[along[d]])
                                        : csv_field(coordinate.words[along[d]])) +
              ",";
  return text;
}

/// What fits a line for each frequency.
std::vector<const results::Quantity*> flat_quantities(const results::SweepLayout& layout) {
  std::vector<const results::Quantity*> list;
  for (const results::Quantity& quantity : layout.quantities)
    if (quantity.extent != results::Extent::each_direction && quantity.extent != results::Extent::each_place)
      list.push_back(&quantity);
  return list;
}

}  // namespace

std::string sweep_csv(const SweepView& view, const SweepSlice& slice) {
  const results::SweepLayout& layout = view.layout;
  std::string text;
  for (const results::Dimension& dimension : layout.cases)
    for (const results::Coordinate& coordinate : dimension.coordinates)
      text += csv_field(with_unit(coordinate.name, coordinate.units)) + ",";
  text += layout.by_bands() ? "band,edge,frequency_hz,status" : "frequency_hz,status";
  std::vector<Values> columns;
  for (const results::Quantity* quantity : flat_quantities(layout)) {
    text += "," + with_unit(quantity->name, quantity->units);
    columns.emplace_back(view, quantity->name);
  }
  text += '\n';
  const std::size_t edges = layout.by_bands() ? 3 : 1;
  for (std::size_t index = 0; index < layout.count(); ++index) {
    if (!inside(layout, slice, index)) continue;
    const std::string axes = axes_csv(layout, index);
    for (const std::size_t place : slice.spectrum)
      for (std::size_t edge = 0; edge < edges; ++edge) {
        text += axes;
        if (layout.by_bands())
          text +=
              fmt::format("{},{},", place_name(view, place), layout.spectrum[1].coordinates[0].words[edge]);
        text +=
            fmt::format("{},{}", layout.frequencies[edges * place + edge], results::word(view.status[index]));
        for (const Values& column : columns) {
          const double value = column.at(index, place, edge);
          text += std::isfinite(value) ? fmt::format(",{}", value) : ",";
        }
        text += '\n';
      }
  }
  return text;
}

}  // namespace feldspar::report
