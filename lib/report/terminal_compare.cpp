#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <limits>

#include "report/assumptions.hpp"
#include "report/bands_cells.hpp"
#include "report/bands_words.hpp"
#include "report/compare.hpp"
#include "report/number.hpp"
#include "report/page_parts_detail.hpp"
#include "report/text_table.hpp"

namespace feldspar::report {
namespace {

using results::BandRow;

std::string title(const std::string& text, bool colour) {
  return '\n' + paint(text, Colour::strong, colour) + '\n';
}

std::string settings(const std::vector<Rig>& rigs, bool colour) {
  const TextTable found = detail::changed_settings(rigs);
  if (found.rows().empty()) return "";
  std::vector<Column> columns{{"setting"}};
  for (std::size_t i = 1; i <= rigs.size(); ++i) columns.push_back({std::to_string(i)});
  TextTable table(columns);
  for (const std::vector<Cell>& row : found.rows()) table.add_row(row);
  return title("Settings that differ", colour) + table.render(colour);
}

/// The smallest and the largest of what a table says of a band.
class Range {
 public:
  void add(double value) {
    if (!std::isfinite(value)) return;
    low_ = std::min(low_, value);
    high_ = std::max(high_, value);
  }
  template <typename Text>
  [[nodiscard]] std::string text(Text text_of) const {
    if (low_ > high_) return "-";
    const std::string low = text_of(low_);
    const std::string high = text_of(high_);
    return low == high ? low : low + " to " + high;
  }

 private:
  double low_ = std::numeric_limits<double>::infinity();
  double high_ = -std::numeric_limits<double>::infinity();
};

/// What no comparison may leave unsaid.
std::string cautions(const std::vector<Rig>& rigs, bool colour) {
  std::string text;
  for (std::size_t i = 0; i < rigs.size(); ++i) {
    if (!rigs[i].model.antenna) text += wrap(fmt::format("{}: {}", i + 1, error_sentence(rigs[i].table)));
    for (const core::Warning& warning : rigs[i].table.warnings)
      text += paint(wrap(fmt::format("Warning: {}: {}", i + 1, warning.text)), Colour::poor, colour);
  }
  return '\n' + text + '\n' + caution();
}

}  // namespace

std::string compare_text(const std::vector<Rig>& rigs, const TerminalOptions& options) {
  std::string text;
  for (std::size_t i = 0; i < rigs.size(); ++i)
    text += wrap(fmt::format("{}: {}. {}", i + 1, rigs[i].label, verdict(rigs[i].model, rigs[i].table)));
  text += settings(rigs, options.colour);
  const auto& items = detail::compared_items();
  TextTable table({{"band"},
                   {"rig"},
                   {"SWR", Align::right},
                   {"sky", Align::right},
                   {"gain, dBi\nat 10 deg", Align::right},
                   {"\n30 deg", Align::right},
                   {"\n60 deg", Align::right},
                   {"\n90 deg", Align::right}});
  std::vector<std::string> same;
  for (const BandRow& first : rigs.front().table.bands) {
    std::vector<std::vector<std::string>> rows;
    for (const Rig& rig : rigs) {
      const BandRow* row = detail::row_of(rig.table, first.name);
      std::vector<std::string> cells;
      for (const detail::ComparedItem& item : items) cells.push_back(row ? item.text(*row) : "-");
      rows.push_back(std::move(cells));
    }
    if (std::all_of(rows.begin(), rows.end(), [&](const auto& row) { return row == rows.front(); })) {
      same.push_back(first.name);
      continue;
    }
    for (std::size_t i = 0; i < rows.size(); ++i) {
      std::vector<Cell> cells{{i == 0 ? first.name : ""}, {std::to_string(i + 1)}};
      for (const std::string& cell : rows[i]) cells.push_back({cell});
      table.add_row(std::move(cells));
    }
  }
  text += title("What changes, in the middle of each band", options.colour);
  if (!table.rows().empty()) text += table.render(options.colour);
  if (!same.empty()) text += wrap(fmt::format("The same in all digits shown: {}.", fmt::join(same, ", ")));
  return text + wrap("sky: share of the radio's power. Gains are of the power that the antenna takes in.") +
         cautions(rigs, options.colour);
}

std::string soils_text(const results::BandTable& own, const std::vector<SoilTable>& soils,
                       const TerminalOptions& options) {
  TextTable table({{"band"},
                   {"SWR\nhere", Align::right},
                   {"\nover soils", Align::right},
                   {"sky, %\nhere", Align::right},
                   {"\nover soils", Align::right},
                   {"gain, dBi\nhere", Align::right},
                   {"\nover soils", Align::right}});
  for (const BandRow& row : own.bands) {
    const double error = row.at_middle.radio_error_relative;
    const auto swr = [&](double value) { return format_swr(value, error); };
    const double power = power_error(row.at_middle);
    const auto percent = [&](double share) { return format_percent(share, share_error(share, power)); };
    const auto decibels = [&](double value) {
      return std::isfinite(value) ? format_gain(value, power) : "-";
    };
    Range swrs;
    Range skies;
    Range gains;
    const auto add = [&](const BandRow& each) {
      swrs.add(each.at_middle.swr_at_radio);
      skies.add(sky_share(each.at_middle));
      gains.add(each.at_middle.gain_dbi.value_or(std::nan("")));
    };
    add(row);
    for (const SoilTable& soil : soils)
      if (const BandRow* each = detail::row_of(soil.table, row.name)) add(*each);
    std::vector<Cell> cells{{row.name}};
    for (const std::string& text :
         {swr(row.at_middle.swr_at_radio), swrs.text(swr), percent(sky_share(row.at_middle)),
          skies.text(percent), decibels(row.at_middle.gain_dbi.value_or(std::nan(""))), gains.text(decibels)})
      cells.push_back({text});
    table.add_row(std::move(cells));
  }
  std::vector<std::string> names;
  for (const SoilTable& soil : soils) names.push_back(soil.soil);
  std::string text = title(fmt::format("Over other soils: {}", fmt::join(names, ", ")), options.colour) +
                     table.render(options.colour);
  for (const SoilTable& soil : soils)
    for (const core::Warning& warning : soil.table.warnings) {
      const bool known = std::any_of(own.warnings.begin(), own.warnings.end(),
                                     [&](const core::Warning& one) { return one.text == warning.text; });
      if (!known)
        text += paint(wrap(fmt::format("Warning: {}: {}", soil.soil, warning.text)), Colour::poor,
                      options.colour);
    }
  return text +
         wrap("Middles of the bands; the range holds these soils and your own, and is no bound for others.");
}

}  // namespace feldspar::report
