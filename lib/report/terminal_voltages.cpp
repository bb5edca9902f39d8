#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <optional>
#include <string>
#include <vector>

#include "report/number.hpp"
#include "report/text_table.hpp"
#include "report/voltages_text.hpp"

namespace feldspar::report {
namespace {

using results::WireEnd;

constexpr const char* kWithinReach = "within reach: do not touch; keep people and animals away";

std::string voltage(double volts) {
  return volts >= 1.0 ? fmt::format("about {} V", two_digit_volts(volts)) : "less than 1 V";
}

std::string metres(double length) {
  return std::abs(length) < 0.0995 ? fmt::format("{:.2g} mm", 1e3 * length) : fmt::format("{:.1f} m", length);
}

/// One voltage as people read of it.
struct Voltage {
  std::string place;
  double volts = 0.0;
  bool within_reach = false;
};

/// The feed point's first, then those of wire ends and across inserts, largest first.
std::vector<Voltage> voltages(const results::FrequencyResult& result) {
  std::vector<Voltage> list;
  if (result.feed_point)
    list.push_back({"across the feed point at " + metres(result.feed_point->z), result.feed_point->voltage,
                    result.feed_point->within_reach});
  for (const WireEnd& end : result.wire_ends) list.push_back({end_name(end), end.voltage, end.within_reach});
  for (const results::InsertResult& insert : result.inserts)
    list.push_back(
        {fmt::format("across {} at {}", insert.name, metres(insert.z)), insert.voltage, insert.within_reach});
  const auto after_port = list.begin() + (result.feed_point ? 1 : 0);
  std::stable_sort(after_port, list.end(),
                   [](const Voltage& a, const Voltage& b) { return a.volts > b.volts; });
  return list;
}

std::string line_of(const Voltage& at, bool colour) {
  const std::string text = fmt::format("    {}: {}", at.place, voltage(at.volts));
  if (!at.within_reach) return wrap(text, 80, 6);
  return paint(wrap(fmt::format("{}; {}", text, kWithinReach), 80, 6), Colour::bad, colour);
}

struct Highest {
  std::string band;
  Voltage at;
};

template <class Accept>
std::optional<Highest> highest(const results::BandTable& table, Accept accept) {
  std::optional<Highest> most;
  for (const results::BandRow& row : table.bands)
    for (const Voltage& at : voltages(row.at_middle))
      if (accept(at) && (!most || at.volts > most->at.volts)) most = Highest{row.name, at};
  return most;
}

std::string on_band(const Highest& most) {
  return fmt::format("{} on {} ({})", voltage(most.at.volts), most.band, most.at.place);
}

}  // namespace

std::string two_digit_volts(double volts) {
  if (!(volts >= 1.0)) return "<1";
  return format_digits(volts, 2);
}

std::string end_name(const WireEnd& end) {
  std::string text = end.wire;
  if (end.copies > 1) text += fmt::format(" and {} like it", end.copies - 1);
  return text +
         fmt::format(", {}{} at {}", end.start ? "start" : "end", end.copies > 1 ? "s" : "", metres(end.z));
}

std::string voltages_text(const results::FrequencyResult& result, double power, bool colour) {
  const std::vector<Voltage> list = voltages(result);
  if (list.empty()) return "";
  constexpr std::size_t kMost = 7;
  std::string text =
      fmt::format("  Voltage with {:g} W from the radio (r.m.s.; wire ends to ground)\n", power);
  const std::size_t shown = std::min(kMost, list.size());
  for (std::size_t i = 0; i < shown; ++i) text += line_of(list[i], colour);
  if (shown == list.size()) return text;
  const auto low = std::count_if(list.begin() + static_cast<std::ptrdiff_t>(shown), list.end(),
                                 [](const Voltage& at) { return at.within_reach; });
  std::string more = fmt::format("    and {} places with less", list.size() - shown);
  if (low > 0) more += fmt::format(", {} of them {}", low, kWithinReach);
  return text + paint(wrap(more, 80, 6), low > 0 ? Colour::bad : Colour::none, colour);
}

std::string highest_voltage_text(const results::BandTable& table, bool colour) {
  const auto most = highest(table, [](const Voltage&) { return true; });
  if (!most) return "";
  std::string text = "Highest voltage (r.m.s., mid-band): " + on_band(*most);
  const auto low = highest(table, [](const Voltage& at) { return at.within_reach; });
  if (!low) return wrap(text + ".");
  if (!most->at.within_reach) text += "; lower than 2.5 m: " + on_band(*low);
  return paint(wrap(fmt::format("{}; {}.", text, kWithinReach)), Colour::bad, colour);
}

}  // namespace feldspar::report
