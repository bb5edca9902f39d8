#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <vector>

#include "decision/advice.hpp"
#include "model/duty.hpp"
#include "report/bands_cells.hpp"
#include "report/feed_parts.hpp"
#include "report/text_table.hpp"
#include "report/voltages_text.hpp"
#include "report/wide_text.hpp"
#include "results/power_parts.hpp"

namespace feldspar::report {
namespace {

using results::BandRow;
using results::BandTable;
using results::FrequencyResult;

constexpr int kAnyWidth = std::numeric_limits<int>::max();

/// An impedance's two cells; neither finer than the error that belongs to it.
void add_impedance(std::vector<Cell>& cells, std::complex<double> z, double resistance_error,
                   double reactance_error) {
  cells.push_back({format_number(z.real(), digit_unit(resistance_error, finest_ohm(z.real())))});
  cells.push_back({format_signed(z.imag(), digit_unit(reactance_error, finest_ohm(z.imag())))});
}

/// Voltage and current, r.m.s., where `watts` go into an impedance; what stands there must bear them.
void add_load(std::vector<Cell>& cells, double watts, std::complex<double> z) {
  const bool takes_some = z.real() > 0.0;
  const double current = takes_some ? std::sqrt(watts / z.real()) : 0.0;
  cells.push_back({takes_some ? format_digits(current * std::abs(z), 3) : "-"});
  cells.push_back({takes_some ? format_number(current, 0.01) : "-"});
}

/// The parts of the budget that are not zero everywhere.
std::vector<results::PowerPart> power_parts_in(const BandTable& table) {
  std::vector<results::PowerPart> parts;
  for (const results::PowerPart& part : results::kPowerParts) {
    const bool used = std::any_of(table.bands.begin(), table.bands.end(),
                                  [&](const BandRow& row) { return row.at_middle.power.*part.watts != 0.0; });
    if (used) parts.push_back(part);
  }
  return parts;
}

/// "line, by mismatch" on two lines.
std::string two_lines(std::string text) {
  const std::size_t space = text.find(' ');
  if (space == std::string::npos) return '\n' + text;
  text[space] = '\n';
  return text;
}

struct PartColumn {
  std::size_t part = 0;
  const char* word;
  std::string (*cell)(const results::PartResult& part, double share);
};

std::string decibels(double value) {
  return format_number(value, std::abs(value) < 9.995 ? 0.01 : 0.1);
}

/// What is told of a part, by its kind.
std::vector<PartColumn> part_columns(const model::Model& model) {
  std::vector<PartColumn> columns;
  for (std::size_t i = 0; i < model.feed.parts.size(); ++i) {
    columns.push_back({i, "loss\ndB", [](const results::PartResult& p, double) {
                         return p.works ? decibels(p.loss_db) : std::string("passed by");
                       }});
    if (std::holds_alternative<circuit::Line>(model.feed.parts[i])) {
      columns.push_back({i, "matched\ndB",
                         [](const results::PartResult& p, double) { return decibels(p.matched_loss_db); }});
      columns.push_back({i, "extra\ndB", [](const results::PartResult& p, double) {
                           return decibels(p.loss_db - p.matched_loss_db);
                         }});
    }
    columns.push_back(
        {i, "heat\nW", [](const results::PartResult& p, double) { return format_tenths(p.lost); }});
    columns.push_back({i, "average\nW", [](const results::PartResult& p, double share) {
                         return format_tenths(share * p.lost);
                       }});
    columns.push_back(
        {i, "\nV", [](const results::PartResult& p, double) { return format_digits(p.voltage, 3); }});
    columns.push_back(
        {i, "\nA", [](const results::PartResult& p, double) { return format_number(p.current, 0.01); }});
  }
  return columns;
}

}  // namespace

std::string wide_radio_block(const BandTable& table, bool colour) {
  TextTable text({{"band", Align::left},
                  {"from\nMHz", Align::decimal},
                  {"to\nMHz", Align::decimal},
                  {"feed\nR ohm", Align::decimal},
                  {"point\nX ohm", Align::decimal},
                  {"SWR\non line", Align::decimal},
                  {"radio\nR ohm", Align::decimal},
                  {"\nX ohm", Align::decimal},
                  {"SWR, lower\nedge", Align::decimal},
                  {"\nmiddle", Align::decimal},
                  {"upper\nedge", Align::decimal},
                  {"lowest\nSWR", Align::decimal},
                  {"\nat MHz", Align::decimal},
                  {"largest\nSWR", Align::decimal},
                  {"\nat MHz", Align::decimal},
                  {"SWR<2\nkHz", Align::right},
                  {"\ntuner", Align::left},
                  {"loss\ndB", Align::decimal},
                  {"at radio\nV", Align::decimal},
                  {"\nA", Align::decimal}},
                 kAnyWidth);
  for (const BandRow& row : table.bands) {
    const FrequencyResult& middle = row.at_middle;
    const std::complex<double> z = middle.ports.at(0).impedance;
    const double error = middle.impedance_error_relative;
    const double inside = error_inside(row, table);
    const decision::Tuner tuner = decision::advise(row).tuner;
    std::vector<Cell> cells{{row.name, Colour::strong},
                            {fmt::format("{:.6g}", row.lower / 1e6)},
                            {fmt::format("{:.6g}", row.upper / 1e6)}};
    add_impedance(cells, z, middle.resistance_error, error * std::abs(z));
    cells.push_back({format_swr(middle.swr_on_line, error)});
    const double at_radio = middle.radio_error_relative * std::abs(middle.radio_impedance);
    add_impedance(cells, middle.radio_impedance, at_radio, at_radio);
    cells.push_back({format_swr(row.at_lower.swr_at_radio, row.at_lower.radio_error_relative)});
    cells.push_back({format_swr(middle.swr_at_radio, middle.radio_error_relative)});
    cells.push_back({format_swr(row.at_upper.swr_at_radio, row.at_upper.radio_error_relative)});
    for (const results::Dip& at : {row.lowest, row.largest}) {
      cells.push_back({format_swr(at.swr, inside)});
      cells.push_back({megahertz(at.frequency)});
    }
    cells.push_back({width_text(row)});
    cells.push_back({std::string(decision::tuner_word(tuner)), tuner_colour(tuner)});
    cells.push_back({row.tuner_loss ? format_number(*row.tuner_loss, 0.1) : "-"});
    add_load(cells, middle.power.radio, middle.radio_impedance);
    text.add_row(std::move(cells));
  }
  return text.render(colour);
}

std::string wide_watts_block(const model::Model& model, const BandTable& table, bool colour) {
  const std::vector<results::PowerPart> parts = power_parts_in(table);
  std::vector<Column> columns{{"\nband", Align::left}, {"SWR\nmiddle", Align::decimal}};
  for (const results::PowerPart& part : parts) {
    columns.push_back({two_lines(part.word) + "\nW", Align::decimal});
    if (part.watts != &results::PowerBudget::radio) columns.push_back({"\n\n%", Align::decimal});
  }
  columns.push_back({"efficiency\nof antenna\n%", Align::decimal});
  TextTable text(columns, kAnyWidth);
  for (const BandRow& row : table.bands) {
    const FrequencyResult& middle = row.at_middle;
    const double radio = middle.power.radio;
    const double error = power_error(middle);
    std::vector<Cell> cells{{row.name, Colour::strong},
                            {format_swr(middle.swr_at_radio, middle.radio_error_relative)}};
    for (const results::PowerPart& part : parts) {
      const double watts = middle.power.*part.watts;
      const double share = radio > 0.0 ? watts / radio : 0.0;
      const bool known = !(part.beyond_port && model.antenna);
      cells.push_back({known ? watts_text(watts, radio * share_error(share, error)) : "-"});
      if (part.watts != &results::PowerBudget::radio)
        cells.push_back({known ? format_percent(share, share_error(share, error)) : "-"});
    }
    const auto& efficiency = middle.radiation_efficiency;
    cells.push_back({efficiency ? format_percent(*efficiency, share_error(*efficiency, error)) : "-"});
    text.add_row(std::move(cells));
  }
  return text.render(colour);
}

std::string wide_parts_block(const model::Model& model, const BandTable& table, bool colour) {
  const auto& parts = model.feed.parts;
  const bool known = std::all_of(table.bands.begin(), table.bands.end(), [&](const BandRow& row) {
    return row.at_middle.parts.size() == parts.size();
  });
  if (parts.empty() || !known) return "";
  std::string list;
  for (std::size_t i = 0; i < parts.size(); ++i)
    list += fmt::format("{}({}) {}", i == 0 ? "" : ", ", i + 1, part_name(parts[i]));
  const double share = model::average_share(model.feed.mode);
  const std::vector<PartColumn> told = part_columns(model);
  std::vector<Column> columns{{"\n\nband", Align::left}};
  for (const PartColumn& column : told) {
    const bool first = columns.size() == 1 || told[columns.size() - 2].part != column.part;
    const std::string number = first ? fmt::format("({})", column.part + 1) : "";
    columns.push_back({number + '\n' + column.word, Align::decimal});
  }
  TextTable text(columns, kAnyWidth);
  for (const BandRow& row : table.bands) {
    std::vector<Cell> cells{{row.name, Colour::strong}};
    for (const PartColumn& column : told)
      cells.push_back({column.cell(row.at_middle.parts[column.part], share)});
    text.add_row(std::move(cells));
  }
  return fmt::format(
             "From the antenna to the radio: {}. Average heat: {}, times {:.2g}. V and A, r.m.s., at each "
             "part's "
             "antenna end.\n",
             list, model::mode_name(model.feed.mode), share) +
         text.render(colour);
}

std::string wide_voltage_block(const BandTable& table, bool colour) {
  TextTable text({{"band", Align::left},
                  {"feed\npoint V", Align::decimal},
                  {"\nat m", Align::decimal},
                  {"wire end\nV", Align::decimal},
                  {"\nat m", Align::decimal},
                  {"outside of line:\nA at radio", Align::decimal},
                  {"most\nA", Align::decimal},
                  {"% of the\nantenna's", Align::decimal},
                  {"takes\nW", Align::decimal},
                  {"lower than\n2.5 m", Align::left},
                  {"\nhighest wire end", Align::left}},
                 kAnyWidth);
  for (const BandRow& row : table.bands) {
    const FrequencyResult& middle = row.at_middle;
    const auto& feed = middle.feed_point;
    const auto* end = middle.wire_ends.empty() ? nullptr : &middle.wire_ends.front();
    const auto& braid = middle.braid;
    const bool compared = braid && braid->largest_on_antenna > 0.0;
    const bool reach = (feed && feed->within_reach) ||
                       std::any_of(middle.wire_ends.begin(), middle.wire_ends.end(),
                                   [](const results::WireEnd& at) { return at.within_reach; });
    text.add_row({{row.name, Colour::strong},
                  {feed ? two_digit_volts(feed->voltage) : "-"},
                  {feed ? format_number(feed->z, 0.01) : "-"},
                  {end ? two_digit_volts(end->voltage) : "-"},
                  {end ? format_number(end->z, 0.01) : "-"},
                  {braid ? format_number(braid->at_radio, 0.01) : "-"},
                  {braid ? format_number(braid->largest, 0.01) : "-"},
                  {compared ? format_number(100.0 * braid->largest / braid->largest_on_antenna, 1.0) : "-"},
                  {braid ? format_number(braid->power, 0.1) : "-"},
                  {reach ? "do not touch" : "-", reach ? Colour::bad : Colour::none},
                  {end ? end_name(*end) : "-"}});
  }
  return text.render(colour);
}

std::string wide_signal_block(const BandTable& table, bool colour) {
  std::vector<Column> columns = signal_columns();
  columns.push_back({"own error\nof Z", Align::right});
  columns.push_back({"of R\nohm", Align::decimal});
  columns.push_back({"\nunknowns", Align::right});
  TextTable text(columns, kAnyWidth);
  for (const BandRow& row : table.bands) {
    std::vector<Cell> cells = signal_cells(row);
    cells.push_back({format_error(row.at_middle.impedance_error_relative)});
    cells.push_back({format_digits(row.at_middle.resistance_error, 1)});
    cells.push_back({fmt::to_string(row.at_middle.unknowns)});
    text.add_row(std::move(cells));
  }
  return text.render(colour);
}

}  // namespace feldspar::report
