#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "report/number.hpp"
#include "report/text_table.hpp"
#include "report/wire_ends_text.hpp"

namespace feldspar::report {
namespace {

using results::WireEnd;

constexpr const char* kWithinReach = "within reach: do not touch; keep people and animals away";

/// Two digits: soil, heights and bends of the wire allow no more.
std::string voltage(double volts) {
  if (!(volts >= 1.0)) return "less than 1 V";
  return fmt::format("about {} V", format_number(volts, std::pow(10.0, std::floor(std::log10(volts)) - 1.0)));
}

std::string metres(double length) {
  return std::abs(length) < 0.0995 ? fmt::format("{:.2g} mm", 1e3 * length) : fmt::format("{:.1f} m", length);
}

/// "radial (1) and 3 like it, ends at 20 mm".
std::string place(const WireEnd& end) {
  std::string text = end.wire;
  if (end.copies > 1) text += fmt::format(" and {} like it", end.copies - 1);
  return text +
         fmt::format(", {}{} at {}", end.start ? "start" : "end", end.copies > 1 ? "s" : "", metres(end.z));
}

std::string line_of(const WireEnd& end, bool colour) {
  const std::string text = fmt::format("    {}: {}", place(end), voltage(end.voltage));
  if (!end.within_reach) return wrap(text, 80, 6);
  return paint(wrap(fmt::format("{}; {}", text, kWithinReach), 80, 6), Colour::bad, colour);
}

struct Highest {
  const results::BandRow* row = nullptr;
  const WireEnd* end = nullptr;
};

template <class Accept>
Highest highest(const results::BandTable& table, Accept accept) {
  Highest most;
  for (const results::BandRow& row : table.bands)
    for (const WireEnd& end : row.at_middle.wire_ends)
      if (accept(end) && (most.end == nullptr || end.voltage > most.end->voltage)) most = {&row, &end};
  return most;
}

std::string on_band(const Highest& most) {
  return fmt::format("{} on {} ({})", voltage(most.end->voltage), most.row->name, place(*most.end));
}

}  // namespace

std::string wire_ends_text(const results::FrequencyResult& result, double power, bool colour) {
  if (result.wire_ends.empty()) return "";
  constexpr std::size_t kMost = 6;
  std::string text =
      fmt::format("  Voltage at wire ends with {:.4g} W from the radio (r.m.s., to ground)\n", power);
  const std::size_t shown = std::min(kMost, result.wire_ends.size());
  for (std::size_t i = 0; i < shown; ++i) text += line_of(result.wire_ends[i], colour);
  if (shown == result.wire_ends.size()) return text;
  const auto rest = result.wire_ends.begin() + static_cast<std::ptrdiff_t>(shown);
  const auto low =
      std::count_if(rest, result.wire_ends.end(), [](const WireEnd& end) { return end.within_reach; });
  std::string more = fmt::format("    and {} with less", result.wire_ends.size() - shown);
  if (low > 0) more += fmt::format(", {} of them {}", low, kWithinReach);
  return text + paint(wrap(more, 80, 6), low > 0 ? Colour::bad : Colour::none, colour);
}

std::string highest_voltage_text(const results::BandTable& table, bool colour) {
  const Highest most = highest(table, [](const WireEnd&) { return true; });
  if (most.end == nullptr) return "";
  std::string text = "Highest voltage at a wire end (r.m.s., to ground): " + on_band(most);
  const Highest low = highest(table, [](const WireEnd& end) { return end.within_reach; });
  if (low.end == nullptr) return wrap(text + ".");
  if (low.end != most.end) text += "; lower than 2.5 m: " + on_band(low);
  return paint(wrap(fmt::format("{}; {}.", text, kWithinReach)), Colour::bad, colour);
}

}  // namespace feldspar::report
