#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <vector>

#include "decision/advice.hpp"
#include "report/number.hpp"
#include "report/text_table.hpp"
#include "report/touch_text.hpp"

namespace feldspar::report {
namespace {

using results::Touch;
using results::TouchEnd;

/// What stands for an operator and for earth.
std::string what_hangs() {
  return fmt::format(
      "Operator: a wire {:g} m tall for body and set; earthed: a stake {:g} m deep; unless the model gives "
      "other "
      "lengths. A tuner of the model's own is left out here.",
      model::kUsualOperatorLength, model::kUsualStakeDepth);
}

struct End {
  const char* word;
  model::LineEnd end;
  std::optional<TouchEnd> Touch::*at;
};
constexpr End kEnds[] = {{"open", model::LineEnd::open, &Touch::open},
                         {"operator", model::LineEnd::operated, &Touch::operated},
                         {"earthed", model::LineEnd::earthed, &Touch::earthed}};

/// "216 + j574", no finer than its error.
std::string impedance_text(const TouchEnd& end) {
  const std::complex<double> z = end.impedance;
  const double unit = digit_unit(end.impedance_error_relative * std::abs(z), std::abs(z) < 99.95 ? 0.1 : 1.0);
  return fmt::format("{} {} j{}", format_number(z.real(), unit), z.imag() < 0.0 ? "-" : "+",
                     format_number(std::abs(z.imag()), unit));
}

std::string swr_text(const std::optional<TouchEnd>& end) {
  return end ? format_swr(end->swr_at_radio, end->radio_error_relative) : "-";
}

/// SWR at the ends of the range, as the tables print them.
std::string range_text(const Touch& touch) {
  const TouchEnd* lowest = nullptr;
  const TouchEnd* largest = nullptr;
  for (const End& end : kEnds) {
    const auto& at = touch.*end.at;
    if (at && (!lowest || at->swr_at_radio < lowest->swr_at_radio)) lowest = &*at;
    if (at && (!largest || at->swr_at_radio > largest->swr_at_radio)) largest = &*at;
  }
  if (!lowest) return "-";
  return fmt::format("{} to {}", format_swr(lowest->swr_at_radio, lowest->radio_error_relative),
                     format_swr(largest->swr_at_radio, largest->radio_error_relative));
}

std::string ratio_text(const decision::TouchRange& range) {
  const double ratio = range.largest / range.lowest;
  return range.ends < 2 ? "-" : ratio >= 99.5 ? ">99" : format_number(ratio, ratio < 9.95 ? 0.01 : 1.0);
}

}  // namespace

std::string touch_text(const model::Model& model, const results::FrequencyResult& result, bool colour) {
  if (!result.touch) return "";
  TextTable table({{"  end", Align::left},
                   {"feed point, ohm", Align::right},
                   {"SWR at the radio", Align::decimal},
                   {"A at the radio", Align::decimal}});
  for (const End& end : kEnds) {
    const auto& at = *result.touch.*end.at;
    const bool own = model.outside && model.outside->end == end.end;
    const bool current = at && at->current_at_radio;
    table.add_row({{fmt::format("  {}{}", end.word, own ? " (as modelled)" : "")},
                   {at ? impedance_text(*at) : "-"},
                   {swr_text(at)},
                   {current ? format_number(*at->current_at_radio, 0.01) : "-"}});
  }
  const decision::TouchRange range = decision::touch_range(*result.touch);
  std::string verdict = "  ";
  if (range.ends < 2)
    verdict += "Only one end could be computed.";
  else
    verdict += fmt::format(
        "SWR {} by that end: {}.", range_text(*result.touch),
        range.line_is_antenna ? "your coax is part of the antenna" : "it makes little difference to the SWR");
  return "  By what hangs at the radio's end of the coax's outside\n" + table.render(colour) +
         paint(wrap(verdict, 80, 4), range.line_is_antenna ? Colour::poor : Colour::none, colour) +
         wrap("  " + what_hangs(), 80, 4);
}

std::string touch_block(const results::BandTable& bands, bool colour) {
  TextTable table({{"band", Align::left},
                   {"\nopen", Align::decimal},
                   {"at the\noperator", Align::decimal},
                   {"\nearthed", Align::decimal},
                   {"largest\nover lowest", Align::decimal},
                   {"\nwhat that means", Align::left}});
  std::vector<std::string> wide;
  bool asked = false;
  for (const results::BandRow& row : bands.bands) {
    if (!row.at_middle.touch) continue;
    asked = true;
    const Touch& touch = *row.at_middle.touch;
    const decision::TouchRange range = decision::touch_range(touch);
    if (range.line_is_antenna) wide.push_back(row.name);
    const std::string word = range.ends < 2          ? "-"
                             : range.line_is_antenna ? "your coax is part of the antenna"
                                                     : "little changes";
    table.add_row({{row.name, Colour::strong},
                   {swr_text(touch.open)},
                   {swr_text(touch.operated)},
                   {swr_text(touch.earthed)},
                   {ratio_text(range)},
                   {word, range.line_is_antenna ? Colour::poor : Colour::none}});
  }
  if (!asked) return "";
  std::string text = '\n' +
                     paint("What hangs at the radio's end of the coax? (SWR at the radio, mid-band)",
                           Colour::strong, colour) +
                     '\n' + table.render(colour);
  if (!wide.empty())
    text += paint(wrap(fmt::format("Your coax is part of the antenna on {}: the largest SWR over the lowest "
                                   "is above 1.2.",
                                   fmt::join(wide, ", "))),
                  Colour::poor, colour);
  return text + wrap(what_hangs()) +
         wrap("Little change of the SWR says nothing of the current on the coax; feldspar solve tells that.");
}

}  // namespace feldspar::report
