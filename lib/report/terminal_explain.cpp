#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <string_view>
#include <vector>

#include "decision/advice.hpp"
#include "report/explain_text.hpp"
#include "report/number.hpp"
#include "report/text_table.hpp"

namespace feldspar::report {
namespace {

using results::Explanation;
using results::IdealPart;

constexpr double kWorthSaying = 0.005;  // of the radio's power
constexpr double kWantsTuner = 2.0;     // SWR
constexpr double kHidden = 1.15;        // SWR without loss over SWR, from which loss hides something

std::string watts(double value) {
  return format_tenths(value) + " W";
}

std::string loss_text(double ratio) {
  return format_signed(10.0 * std::log10(ratio), 0.1) + " dB";
}

/// "Most is lost in the ground: 48 W." Of all that the budget knows, also what nothing ideal stands in for.
std::string most_lost(const results::PowerBudget& power, const std::vector<IdealPart>& ideals) {
  const std::vector<decision::Loss> losses = decision::largest_losses(power, 1);
  if (losses.empty() || losses[0].share <= kWorthSaying) return "";
  const std::string_view name = losses[0].name;
  const bool tried = std::any_of(ideals.begin(), ideals.end(),
                                 [&](const IdealPart& ideal) { return name.starts_with(ideal.part); });
  const std::string_view word = name == "stub" ? "stubs" : name == "wires" ? "wires' metal" : name;
  return fmt::format(" Most is lost in the {}: {}{}.", word, watts(losses[0].power),
                     tried ? "" : ", which cannot be made ideal");
}

std::string dominates(const results::FrequencyResult& result, const char* where) {
  const Explanation& e = *result.explanation;
  return fmt::format("{} of {} {} ({}).", watts(e.delivered), watts(e.power), where,
                     loss_text(e.delivered / e.power)) +
         most_lost(result.power, e.ideals);
}

/// "With perfect ground 58 W (+3.4 dB); with a line without loss 31 W (+0.6 dB)."
std::string would_change(const Explanation& e, const char* where) {
  std::string list;
  bool wants_tuner = false;
  for (const IdealPart& ideal : e.ideals) {
    if (std::abs(ideal.delivered - e.delivered) < kWorthSaying * e.power) continue;
    list +=
        fmt::format("{}with {} {} ({}, SWR {})", list.empty() ? "" : "; ", ideal.made, watts(ideal.delivered),
                    loss_text(ideal.delivered / e.delivered), format_swr(ideal.swr_at_radio, 0.0));
    wants_tuner = wants_tuner || ideal.swr_at_radio > kWantsTuner;
  }
  if (e.ideals.empty()) return "No part of it can be made ideal.";
  if (list.empty())
    return fmt::format(
        "Solved again with each part made ideal in turn: none changes what {} by half a percent "
        "of the power.",
        where);
  return fmt::format("Solved again with one part made ideal at a time, what {} would be: {}{}.", where, list,
                     wants_tuner ? "; into an SWR above 2 only with a tuner" : "");
}

std::string as_built(const Explanation& e) {
  if (!e.swr_without_loss) return "";
  const std::string how =
      e.ratio && std::abs(*e.ratio - 1.0) > 1e-9 ? format_ratio(*e.ratio, 4) : "without a ratio";
  std::string text =
      fmt::format(" As built, {}, that is SWR {} without loss", how, format_swr(*e.swr_without_loss, 0.0));
  if (*e.swr_without_loss > kHidden * e.swr_at_radio)
    text += fmt::format(", of which loss hides a part ({} at the radio)", format_swr(e.swr_at_radio, 0.0));
  return text + '.';
}

/// Whether another ratio would help, or none.
std::string about_ratio(const Explanation& e) {
  std::string text = fmt::format(" The best ratio for it, {}, gives SWR {}", format_ratio(e.best_ratio, 2),
                                 format_swr(e.swr_at_best_ratio, 0.0));
  if (e.swr_at_best_ratio > 2.0)
    text += fmt::format(
        ": its reactance is {} times its resistance, and no ratio changes that; another length, a coil or "
        "a capacitor there would",
        format_digits(std::abs(e.feed_point.imag()) / e.feed_point.real(), 2));
  return text + '.';
}

std::string about_swr(const Explanation& e) {
  std::string text = fmt::format("SWR: the feed point is {} ohm", format_impedance(e.feed_point));
  if (e.fed_wire) text += fmt::format(", of a fed wire {:.2f} wavelengths long", *e.fed_wire);
  text += '.';
  if (!(e.feed_point.real() > 0.0)) return text + " Without resistance it takes no power.";
  return text + as_built(e) + about_ratio(e);
}

}  // namespace

std::string explain_text(const model::Model& model, const results::FrequencyResult& result) {
  const Explanation& explanation = *result.explanation;
  const char* where = model.antenna ? "reach the antenna" : "reach the sky";
  const char* reaches = model.antenna ? "reaches the antenna" : "reaches the sky";
  std::string text;
  if (explanation.delivered > 0.0) {
    text += wrap("  " + dominates(result, where), 80, 4);
    text += wrap("  " + would_change(explanation, reaches), 80, 4);
  }
  return text + wrap("  " + about_swr(explanation), 80, 4);
}

}  // namespace feldspar::report
