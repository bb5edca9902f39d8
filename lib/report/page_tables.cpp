#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "report/bands_cells.hpp"
#include "report/figures_detail.hpp"
#include "report/number.hpp"
#include "report/page_parts_detail.hpp"

namespace feldspar::report::detail {
namespace {

using geometry::Vec3;
using geometry::Wire;
using results::BandRow;

bool alike(const Wire& a, const Wire& b) {
  const auto family = [](const std::string& name) { return name.substr(0, name.rfind(" (")); };
  if (family(a.name) != family(b.name) || a.name == family(a.name)) return false;
  constexpr double kSame = 1e-6;  // m
  return std::abs(geometry::length(a) - geometry::length(b)) < kSame && a.radius == b.radius &&
         std::abs(a.path.front().z() - b.path.front().z()) < kSame &&
         std::abs(a.path.back().z() - b.path.back().z()) < kSame;
}

/// Wires that are copies of one another, the first of each with their number.
std::vector<std::pair<const Wire*, int>> kinds(const model::Model& model) {
  std::vector<std::pair<const Wire*, int>> kinds;
  for (const Wire& wire : model.structure.wires) {
    const auto known =
        std::find_if(kinds.begin(), kinds.end(), [&](const auto& kind) { return alike(*kind.first, wire); });
    if (known == kinds.end())
      kinds.emplace_back(&wire, 1);
    else
      ++known->second;
  }
  return kinds;
}

std::string place(const Vec3& at) {
  const auto metres = [](double value) { return format_number(value, 0.01); };
  return fmt::format("{}, {}, {}", metres(at.x()), metres(at.y()), metres(at.z()));
}

std::string height(const Wire& wire) {
  double low = 1e300;
  double high = -1e300;
  for (const Vec3& point : wire.path) {
    low = std::min(low, point.z());
    high = std::max(high, point.z());
  }
  if (high - low < 0.005) return format_length_briefly(high);
  return format_length_briefly(low) + " to " + format_length_briefly(high);
}

std::string swr(const BandRow& row) {
  return format_swr(row.at_middle.swr_at_radio, row.at_middle.radio_error_relative);
}

std::string to_sky(const BandRow& row) {
  const double share = sky_share(row.at_middle);
  return format_percent(share, share_error(share, power_error(row.at_middle))) + " %";
}

std::string gain_at(const BandRow& row, double elevation) {
  for (const results::GainAt& at : row.at_middle.gain_at_elevation)
    if (std::abs(at.elevation_deg - elevation) < 1e-6)
      return format_gain(at.gain_dbi, power_error(row.at_middle));
  return "-";
}

}  // namespace

TextTable rigging_table(const model::Model& model) {
  TextTable table({{"wire", Align::left},
                   {"pieces", Align::right},
                   {"cut length", Align::right},
                   {"diameter, mm", Align::right},
                   {"height", Align::left},
                   {"from x, y, z in m", Align::left},
                   {"to x, y, z in m", Align::left}});
  for (const auto& [wire, count] : kinds(model)) {
    const std::string name = count > 1 ? wire->name.substr(0, wire->name.rfind(" (")) : wire->name;
    table.add_row({{name},
                   {std::to_string(count)},
                   {format_length_briefly(geometry::length(*wire))},
                   {format_digits(2e3 * wire->radius, 2)},
                   {height(*wire)},
                   {place(wire->path.front()) + (count > 1 ? " (first)" : "")},
                   {place(wire->path.back())}});
  }
  return table;
}

std::string rigging_total(const model::Model& model) {
  double total = 0.0;
  for (const Wire& wire : model.structure.wires) total += geometry::length(wire);
  return fmt::format(
      "In all {} in {} pieces. +x points toward {} deg (true); heights are above the surface of the "
      "ground, and what hangs or is tied off comes on top.",
      format_length(total), model.structure.wires.size(),
      format_bearing(model.x_bearing * 180.0 / core::kPi));
}

TextTable changed_settings(const std::vector<Rig>& rigs) {
  std::vector<Column> columns{{"", Align::left}};
  for (const Rig& rig : rigs) columns.push_back({rig.label, Align::left});
  TextTable table(columns);
  const auto value_of = [](const Rig& rig, const std::string& key) -> std::string {
    for (const model::ParameterValue& parameter : rig.model.parameters)
      if (parameter.key == key) return fmt::format("{:.6g}", parameter.value);
    return "-";
  };
  std::vector<std::string> keys;
  for (const Rig& rig : rigs)
    for (const model::ParameterValue& parameter : rig.model.parameters)
      if (std::find(keys.begin(), keys.end(), parameter.key) == keys.end()) keys.push_back(parameter.key);
  const auto add = [&](const std::string& name, auto&& text_of) {
    std::vector<Cell> cells{{name}};
    for (const Rig& rig : rigs) cells.push_back({text_of(rig)});
    const bool same =
        std::all_of(cells.begin() + 2, cells.end(), [&](const Cell& c) { return c.text == cells[1].text; });
    if (!same) table.add_row(std::move(cells));
  };
  add("model", [](const Rig& rig) { return rig.model.name; });
  for (const std::string& key : keys) add(key, [&](const Rig& rig) { return value_of(rig, key); });
  add("soil", [](const Rig& rig) { return rig.model.ground.name; });
  return table;
}

const std::vector<ComparedItem>& compared_items() {
  static const std::vector<ComparedItem> items{
      {"SWR at the radio", swr},
      {"power to the sky", to_sky},
      {"gain at 10 deg, dBi", [](const BandRow& row) { return gain_at(row, 10.0); }},
      {"30 deg", [](const BandRow& row) { return gain_at(row, 30.0); }},
      {"60 deg", [](const BandRow& row) { return gain_at(row, 60.0); }},
      {"90 deg", [](const BandRow& row) { return gain_at(row, 90.0); }}};
  return items;
}

TextTable changed_bands(const std::vector<Rig>& rigs) {
  std::vector<Column> columns{{"band", Align::left}};
  for (const ComparedItem& item : compared_items()) columns.push_back({item.name, Align::left});
  TextTable table(columns);
  for (const BandRow& first : rigs.front().table.bands) {
    std::vector<Cell> cells{{first.name}};
    bool any = false;
    for (const ComparedItem& item : compared_items()) {
      std::vector<std::string> texts;
      for (const Rig& rig : rigs) {
        const BandRow* row = row_of(rig.table, first.name);
        texts.push_back(row ? item.text(*row) : "-");
      }
      const bool same = std::all_of(texts.begin(), texts.end(), [&](const auto& t) { return t == texts[0]; });
      cells.push_back(
          {same ? "same" : fmt::format("{}", fmt::join(texts, rigs.size() == 2 ? " → " : " / "))});
      any = any || !same;
    }
    if (any) table.add_row(std::move(cells));
  }
  return table;
}

}  // namespace feldspar::report::detail
