#include "report/bands_words.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cctype>
#include <cmath>
#include <complex>

#include "decision/advice.hpp"
#include "report/bands_cells.hpp"
#include "report/number.hpp"

namespace feldspar::report {

using decision::Tuner;
using results::BandRow;
using results::BandTable;
using results::FrequencyResult;

namespace {

std::string names(const std::vector<std::string>& list) {
  return fmt::format("{}", fmt::join(list, ", "));
}

}  // namespace

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

TextTable radio_table(const BandTable& table) {
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
  return text;
}

TextTable watts_table(const model::Model& model, const BandTable& table) {
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
  return text;
}

TextTable signal_table(const BandTable& table) {
  TextTable text(signal_columns());
  for (const BandRow& row : table.bands) text.add_row(signal_cells(row));
  return text;
}

std::string dips_sentence(const BandTable& table) {
  const std::string range = fmt::format("Dips of the SWR at the radio from {:g} to {:g} MHz",
                                        table.sweep_lower / 1e6, table.sweep_upper / 1e6);
  std::vector<std::string> parts;
  for (const results::Dip& dip : table.dips) {
    parts.push_back(
        fmt::format("{} MHz ({})", megahertz(dip.frequency), format_swr(dip.swr, table.interpolation_error)));
  }
  return fmt::format("{}: {}.", range, parts.empty() ? "none below 10" : names(parts));
}

std::string error_sentence(const BandTable& table) {
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

}  // namespace feldspar::report
