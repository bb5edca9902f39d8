#include "decision/advice.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace feldspar::decision {

Tuner tuner_advice(double largest_swr) noexcept {
  if (largest_swr <= 2.0) return Tuner::none;
  if (largest_swr <= 3.0) return Tuner::radio;
  if (largest_swr <= 10.0) return Tuner::wide_range;
  return Tuner::out_of_range;
}

std::string_view tuner_key(Tuner tuner) noexcept {
  switch (tuner) {
    case Tuner::none:
      return "none";
    case Tuner::radio:
      return "radio";
    case Tuner::wide_range:
      return "wide-range";
    case Tuner::out_of_range:
      break;
  }
  return "out-of-range";
}

std::string_view tuner_word(Tuner tuner) noexcept {
  switch (tuner) {
    case Tuner::none:
      return "none";
    case Tuner::radio:
      return "radio's own";
    case Tuner::wide_range:
      return "wide-range";
    case Tuner::out_of_range:
      break;
  }
  return "out of range";
}

std::string tuner_text(Tuner tuner, std::optional<double> line_loss_db) {
  if (tuner != Tuner::out_of_range) return std::string(tuner_word(tuner));
  std::string text = "out of range for a tuner at the radio";
  if (line_loss_db) text += fmt::format(" (line would lose {:.1f} dB)", *line_loss_db);
  return text;
}

bool low_swr_comes_from_loss(double swr, const results::PowerBudget& power) noexcept {
  return power.radio > 0.0 && swr < 2.0 && power.tuner == 0.0 &&
         power.sky + power.antenna < 0.2 * power.radio;
}

TouchRange touch_range(const results::Touch& touch) noexcept {
  constexpr double kWide = 1.2;
  const results::TouchEnd* lowest = nullptr;
  const results::TouchEnd* largest = nullptr;
  TouchRange range;
  for (const auto* end : {&touch.open, &touch.operated, &touch.earthed}) {
    if (!*end) continue;
    ++range.ends;
    if (!lowest || (*end)->swr_at_radio < lowest->swr_at_radio) lowest = &**end;
    if (!largest || (*end)->swr_at_radio > largest->swr_at_radio) largest = &**end;
  }
  if (!lowest) return range;
  range.lowest = lowest->swr_at_radio;
  range.largest = largest->swr_at_radio;
  // as in report/number.hpp: an impedance's error e makes one of e (S^2 + 1) / 2 in the SWR
  const auto error = [](const results::TouchEnd& end) {
    return 0.5 * end.radio_error_relative * (end.swr_at_radio * end.swr_at_radio + 1.0);
  };
  if (!std::isfinite(range.largest))
    range.line_is_antenna = std::isfinite(range.lowest);
  else
    range.line_is_antenna = range.largest > kWide * range.lowest &&
                            range.largest - range.lowest > error(*lowest) + error(*largest);
  return range;
}

std::vector<Loss> largest_losses(const results::PowerBudget& power, int count) {
  if (!(power.radio > 0.0)) return {};
  std::vector<Loss> losses = {
      {"tuner", power.tuner},
      {"line", power.line_matched + power.line_extra},
      {"stub", power.stub},
      {"transformer", power.transformer},
      {"measured part", power.two_port},
      {"choke", power.choke},
      {"coils and resistors", power.coils},
      {"wires", power.wires},
      {"ground", power.ground},
  };
  for (Loss& loss : losses) loss.share = loss.power / power.radio;
  constexpr double kWorthNaming = 1e-3;
  std::erase_if(losses, [](const Loss& loss) { return !(loss.share >= kWorthNaming); });
  std::stable_sort(losses.begin(), losses.end(),
                   [](const Loss& a, const Loss& b) { return a.power > b.power; });
  const auto kept = static_cast<std::size_t>(std::max(0, count));
  if (losses.size() > kept) losses.resize(kept);
  return losses;
}

BandAdvice advise(const results::BandRow& row) {
  BandAdvice advice;
  // The curve between the solved frequencies is interpolated; the solved ones have the last word.
  advice.tuner = tuner_advice(std::max(
      {row.largest.swr, row.at_lower.swr_at_radio, row.at_middle.swr_at_radio, row.at_upper.swr_at_radio}));
  const bool has_line = row.line_loss_at_largest > 0.0;
  advice.tuner_text =
      tuner_text(advice.tuner, has_line ? std::optional<double>(row.line_loss_at_largest) : std::nullopt);
  advice.low_swr_from_loss = low_swr_comes_from_loss(row.at_middle.swr_at_radio, row.at_middle.power);
  advice.losses = largest_losses(row.at_middle.power);
  return advice;
}

}  // namespace feldspar::decision
