#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "decision/advice.hpp"
#include "report/assumptions.hpp"
#include "report/bands_cells.hpp"
#include "report/explain_text.hpp"
#include "report/number.hpp"
#include "report/terminal.hpp"
#include "report/text_table.hpp"
#include "report/touch_text.hpp"
#include "report/voltages_text.hpp"
#include "report/wide_text.hpp"

namespace feldspar::report {
namespace {

using decision::Tuner;
using results::BandRow;
using results::BandTable;
using results::FrequencyResult;

std::string heading(const std::string& text, bool colour) {
  return '\n' + paint(text, Colour::strong, colour) + '\n';
}

std::string names(const std::vector<std::string>& list) {
  return fmt::format("{}", fmt::join(list, ", "));
}

/// "Use it without a tuner on 20m; with the radio's own tuner on 15m, 10m; …"
std::string verdict(const model::Model& model, const BandTable& table) {
  const bool own_tuner =
      std::any_of(model.feed.parts.begin(), model.feed.parts.end(),
                  [](const circuit::FeedPart& p) { return std::holds_alternative<circuit::Tuner>(p); });
  std::vector<std::string> parts;
  for (const Tuner tuner : {Tuner::none, Tuner::radio, Tuner::wide_range, Tuner::out_of_range}) {
    std::vector<std::string> bands;
    for (const BandRow& row : table.bands) {
      if (decision::advise(row).tuner == tuner) bands.push_back(row.name);
    }
    if (bands.empty()) continue;
    switch (tuner) {
      case Tuner::none:
        parts.push_back((own_tuner ? "the model's own tuner suffices on " : "no tuner needed on ") +
                        names(bands));
        break;
      case Tuner::radio:
        parts.push_back("the radio's own tuner on " + names(bands));
        break;
      case Tuner::wide_range:
        parts.push_back("a wide-range tuner on " + names(bands));
        break;
      case Tuner::out_of_range:
        parts.push_back("out of range for a tuner at the radio: " + names(bands));
        break;
    }
  }
  std::string text = fmt::format("{}", fmt::join(parts, "; ")) + '.';
  text.front() = static_cast<char>(std::toupper(static_cast<unsigned char>(text.front())));
  return text;
}

std::string radio_block(const BandTable& table, bool colour) {
  TextTable text({{"band", Align::left},
                  {"feed\nR ohm", Align::decimal},
                  {"point\nX ohm", Align::decimal},
                  {"lower\nedge", Align::decimal},
                  {"\nmiddle", Align::decimal},
                  {"upper\nedge", Align::decimal},
                  {"lowest\nSWR", Align::decimal},
                  {"\nat kHz", Align::right},
                  {"SWR<2\nkHz", Align::right},
                  {"\ntuner", Align::left},
                  {"loss\ndB", Align::decimal}});
  for (const BandRow& row : table.bands) {
    const FrequencyResult& middle = row.at_middle;
    const std::complex<double> z = middle.ports.at(0).impedance;
    const double error = middle.impedance_error_relative;
    const Tuner tuner = decision::advise(row).tuner;
    text.add_row({{row.name, Colour::strong},
                  {format_number(z.real(), digit_unit(middle.resistance_error, finest_ohm(z.real())))},
                  {format_signed(z.imag(), digit_unit(error * std::abs(z), finest_ohm(z.imag())))},
                  {format_swr(row.at_lower.swr_at_radio, row.at_lower.radio_error_relative)},
                  {format_swr(middle.swr_at_radio, middle.radio_error_relative)},
                  {format_swr(row.at_upper.swr_at_radio, row.at_upper.radio_error_relative)},
                  {format_swr(row.lowest.swr, error_inside(row, table))},
                  {fmt::format("{:.0f}", row.lowest.frequency / 1e3)},
                  {width_text(row)},
                  {std::string(decision::tuner_word(tuner)), tuner_colour(tuner)},
                  {row.tuner_loss ? format_number(*row.tuner_loss, 0.1) : "-"}});
  }
  return text.render(colour);
}

/// What a table has no room for: the advice in full where no tuner at the radio helps.
std::string out_of_range_lines(const BandTable& table) {
  std::vector<std::string> parts;
  for (const BandRow& row : table.bands) {
    const decision::BandAdvice advice = decision::advise(row);
    if (advice.tuner != Tuner::out_of_range) continue;
    if (row.line_loss_at_largest > 0.0) {
      parts.push_back(std::isfinite(row.line_loss_at_largest)
                          ? fmt::format("{} {:.1f} dB", row.name, row.line_loss_at_largest)
                          : row.name + " everything");
    } else {
      parts.push_back(row.name);
    }
  }
  if (parts.empty()) return "";
  const bool line = std::any_of(table.bands.begin(), table.bands.end(),
                                [](const BandRow& row) { return row.line_loss_at_largest > 0.0; });
  return wrap(fmt::format("Out of range for a tuner at the radio{}: {}.",
                          line ? " (line would lose x dB)" : "", names(parts)));
}

std::string watts_block(const model::Model& model, const BandTable& table, bool colour) {
  TextTable text({{"band", Align::left},
                  {"SWR\nmiddle", Align::decimal},
                  {"efficiency\nof antenna", Align::decimal},
                  {model.antenna ? "into the\nantenna, W" : "into the\nsky, W", Align::decimal},
                  {"share of\nradio's W", Align::decimal},
                  {"\ntwo largest losses", Align::left}});
  for (const BandRow& row : table.bands) {
    const FrequencyResult& middle = row.at_middle;
    const double error = power_error(middle);
    const double share = sky_share(middle);
    const auto percent = [error](double fraction) {
      return format_percent(fraction, share_error(fraction, error)) + " %";
    };
    const decision::BandAdvice advice = decision::advise(row);
    std::vector<std::string> losses;
    for (const decision::Loss& loss : advice.losses) {
      losses.push_back(fmt::format("{} {}", loss.name, percent(loss.share)));
    }
    text.add_row({{row.name, Colour::strong},
                  {format_swr(middle.swr_at_radio, middle.radio_error_relative)},
                  {middle.radiation_efficiency ? percent(*middle.radiation_efficiency) : "-"},
                  {watts_text(share * middle.power.radio, middle.power.radio * share_error(share, error))},
                  {percent(share), advice.low_swr_from_loss ? Colour::bad : Colour::none},
                  {losses.empty() ? "none" : names(losses)}});
  }
  return text.render(colour);
}

std::string loss_lines(const model::Model& model, const BandTable& table, bool colour) {
  std::vector<std::string> bands;
  for (const BandRow& row : table.bands) {
    if (decision::advise(row).low_swr_from_loss) bands.push_back(row.name);
  }
  if (bands.empty()) return "";
  return paint(
      wrap(fmt::format("{}: {}: SWR is below 2, yet less than 20 % of the radio's power reaches the {}.",
                       names(bands), decision::kLowSwrFromLoss, model.antenna ? "antenna" : "sky")),
      Colour::bad, colour);
}

std::string signal_block(const BandTable& table, bool colour) {
  TextTable text(signal_columns());
  for (const BandRow& row : table.bands) text.add_row(signal_cells(row));
  return text.render(colour);
}

/// What the loss of a tuner beside the radio is that of.
std::string tuner_line(const BandTable& table) {
  const bool any =
      std::any_of(table.bands.begin(), table.bands.end(), [](const BandRow& row) { return row.tuner_loss; });
  if (!any) return "";
  const circuit::Tuner usual;
  return wrap(fmt::format(
      "- Loss of the tuner beside the radio: an L network of usual parts (coil Q {:g}, capacitor Q "
      "{:g}) at the band's largest SWR, not counted in the watts.",
      usual.coil_q, usual.capacitor_q));
}

/// For the bands that were explained.
std::string why_block(const model::Model& model, const BandTable& table, bool colour) {
  std::string text;
  for (const BandRow& row : table.bands) {
    if (!row.at_middle.explanation) continue;
    text += paint(row.name, Colour::strong, colour) + '\n' + explain_text(model, row.at_middle);
  }
  return text.empty() ? "" : heading("Why? (middle of the band)", colour) + text;
}

std::string dips_line(const BandTable& table) {
  const std::string range = fmt::format("Dips of the SWR at the radio from {:g} to {:g} MHz",
                                        table.sweep_lower / 1e6, table.sweep_upper / 1e6);
  std::vector<std::string> parts;
  for (const results::Dip& dip : table.dips) {
    parts.push_back(
        fmt::format("{} MHz ({})", megahertz(dip.frequency), format_swr(dip.swr, table.interpolation_error)));
  }
  return wrap(fmt::format("{}: {}.", range, parts.empty() ? "none below 10" : names(parts)));
}

std::string error_line(const BandTable& table) {
  double most = 0.0;
  std::string worst;
  for (const BandRow& row : table.bands) {
    if (row.at_middle.impedance_error_relative < most) continue;
    most = row.at_middle.impedance_error_relative;
    worst = row.name;
  }
  return fmt::format(
      "Own error of the calculation: impedance {} at most ({}), between the {} solved frequencies {}. "
      "Soil, heights and lengths usually matter more.",
      format_error(most), worst, table.solves, format_error(table.interpolation_error));
}

/// A table of its own, with its question; "" without one.
std::string wide_block(const std::string& question, const std::string& table, bool colour) {
  return table.empty() ? "" : heading(question, colour) + table;
}

}  // namespace

std::string bands_text(const model::Model& model, const BandTable& table, const TerminalOptions& options) {
  const bool colour = options.colour;
  std::string text = paint(model.title, Colour::strong, colour) + '\n';
  if (const std::string parameters = describe_parameters(model); !parameters.empty()) {
    text += wrap(model.name + ": " + parameters);
  } else {
    text += model.name + '\n';
  }
  text += wrap(model.antenna ? describe_antenna(*model.antenna) : describe_ground(model.ground));
  if (model.far_soil && !model.antenna) text += wrap(describe_far_soil(*model.far_soil));
  text += '\n' + wrap(verdict(model, table), 80, 0);

  text += heading("What will the radio see? (feed point mid-band; SWR at the radio)", colour);
  text += options.wide ? wide_radio_block(table, colour) : radio_block(table, colour);
  text += out_of_range_lines(table);
  text += dips_line(table);
  text += touch_block(table, colour);

  text += heading("Where do the watts go? (middle of the band)", colour);
  text += options.wide ? wide_watts_block(model, table, colour) : watts_block(model, table, colour);
  text += loss_lines(model, table, colour);
  if (options.wide) {
    text += wide_block("What do the parts bear? (middle of the band)", wide_parts_block(model, table, colour),
                       colour);
    if (!model.antenna)
      text += wide_block("Where is voltage, and what runs outside the line? (middle of the band, r.m.s.)",
                         wide_voltage_block(table, colour), colour);
  }
  text += highest_voltage_text(table, colour);

  text += heading("Where does the signal go? (middle of the band)", colour);
  text += model.antenna  ? wrap("Not known: the antenna is given by its impedance only.")
          : options.wide ? wide_signal_block(table, colour)
                         : signal_block(table, colour);

  text += why_block(model, table, colour);
  text += heading("What was assumed", colour);
  for (const std::string& line : describe_assumptions(model)) text += wrap("- " + line);
  text += wrap(fmt::format("- Bands of ITU region {}; your national rules may differ.", model.region));
  text += tuner_line(table);
  if (!model.antenna) text += wrap("- " + error_line(table));
  for (const core::Warning& warning : table.warnings) {
    text += paint(wrap("Warning: " + warning.text), Colour::poor, colour);
  }
  text += '\n' + caution();
  // The band on which most goes out is the one worth a closer look.
  const auto best = std::max_element(
      table.bands.begin(), table.bands.end(),
      [](const BandRow& a, const BandRow& b) { return sky_share(a.at_middle) < sky_share(b.at_middle); });
  if (best != table.bands.end()) {
    text += wrap(fmt::format("More of one frequency: feldspar solve {} --frequency {:.6g}MHz", model.name,
                             best->at_middle.frequency / 1e6));
  }
  return text;
}

std::string lying_heights_text(const std::vector<std::string>& parameters,
                               const std::vector<LyingVariant>& variants, const TerminalOptions& options) {
  const bool colour = options.colour;
  std::vector<std::string> heights;
  for (const LyingVariant& variant : variants) {
    heights.push_back(fmt::format("{} {:g} mm", variant.height, 1e3 * variant.metres));
  }
  std::string text = heading("How much does the height of the lying wires matter?", colour);
  text +=
      wrap(fmt::format("{} at {}, in this order; middle of the band.", names(parameters), names(heights)));
  std::vector<Column> columns{{"band", Align::left}};
  struct Group {
    const char* heading;
    Align align;
  };
  constexpr Group kGroups[] = {{"R ohm", Align::decimal},
                               {"SWR", Align::right},
                               {"% to sky", Align::decimal},
                               {"gain dBi", Align::decimal}};
  for (const Group& group : kGroups) {
    for (const LyingVariant& variant : variants) {
      const char* above = &variant == &variants.front() ? group.heading : "";
      columns.push_back({fmt::format("{}\n{:g}", above, 1e3 * variant.metres), group.align});
    }
  }
  TextTable table(columns);
  const std::size_t bands = variants.empty() ? 0 : variants.front().table.bands.size();
  for (std::size_t b = 0; b < bands; ++b) {
    std::vector<Cell> cells{{variants.front().table.bands[b].name, Colour::strong}};
    const auto add = [&](auto&& format) {
      for (const LyingVariant& variant : variants)
        cells.push_back({format(variant.table.bands[b].at_middle)});
    };
    add([](const FrequencyResult& r) {
      const double resistance = r.ports.at(0).impedance.real();
      return format_number(resistance, digit_unit(r.resistance_error, resistance < 99.95 ? 0.1 : 1.0));
    });
    add([](const FrequencyResult& r) { return format_swr(r.swr_at_radio, r.radio_error_relative); });
    add([](const FrequencyResult& r) {
      return format_percent(sky_share(r), share_error(sky_share(r), power_error(r)));
    });
    add([](const FrequencyResult& r) { return gain_text(r.gain_dbi, r); });
    table.add_row(std::move(cells));
  }
  return text + table.render(colour);
}

}  // namespace feldspar::report
