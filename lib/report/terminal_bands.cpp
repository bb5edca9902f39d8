#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "decision/advice.hpp"
#include "report/assumptions.hpp"
#include "report/bands_cells.hpp"
#include "report/bands_words.hpp"
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

std::string listed(const std::vector<std::string>& list) {
  return fmt::format("{}", fmt::join(list, ", "));
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
                          line ? " (line would lose x dB)" : "", listed(parts)));
}

std::string loss_lines(const model::Model& model, const BandTable& table, bool colour) {
  std::vector<std::string> bands;
  for (const BandRow& row : table.bands) {
    if (decision::advise(row).low_swr_from_loss) bands.push_back(row.name);
  }
  if (bands.empty()) return "";
  return paint(
      wrap(fmt::format("{}: {}: SWR is below 2, yet less than 20 % of the radio's power reaches the {}.",
                       listed(bands), decision::kLowSwrFromLoss, model.antenna ? "antenna" : "sky")),
      Colour::bad, colour);
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
  text += options.wide ? wide_radio_block(table, colour) : radio_table(table).render(colour);
  text += out_of_range_lines(table);
  text += wrap(dips_sentence(table));
  text += touch_block(table, colour);

  text += heading("Where do the watts go? (middle of the band)", colour);
  text += options.wide ? wide_watts_block(model, table, colour) : watts_table(model, table).render(colour);
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
                         : signal_table(table).render(colour);

  text += why_block(model, table, colour);
  text += heading("What was assumed", colour);
  for (const std::string& line : describe_assumptions(model)) text += wrap("- " + line);
  text += wrap(fmt::format("- Bands of ITU region {}; your national rules may differ.", model.region));
  text += tuner_line(table);
  if (!model.antenna) text += wrap("- " + error_sentence(table));
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
      wrap(fmt::format("{} at {}, in this order; middle of the band.", listed(parameters), listed(heights)));
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
