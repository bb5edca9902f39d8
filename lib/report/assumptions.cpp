#include "report/assumptions.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "media/soils.hpp"
#include "report/feed_parts.hpp"
#include "report/number.hpp"

namespace feldspar::report {
namespace {

/// A value whose key ends in a unit, with the prefix that suits it: (4e-5, "_h") -> "40 uH".
std::string with_unit(double value, const std::string& suffix) {
  struct Unit {
    const char* suffix;
    const char* symbol;
    bool large_prefixes;  // 12 m is not 0.012 km
  };
  constexpr Unit kUnits[] = {{"_m", "m", false},        {"_hz", "Hz", true},   {"_h", "H", true},
                             {"_f", "F", true},         {"_ohm", "ohm", true}, {"_w", "W", true},
                             {"_s_per_m", "S/m", false}};
  struct Prefix {
    double factor;
    const char* symbol;
  };
  constexpr Prefix kPrefixes[] = {{1e6, "M"},  {1e3, "k"},  {1.0, ""},   {1e-3, "m"},
                                  {1e-6, "u"}, {1e-9, "n"}, {1e-12, "p"}};
  for (const Unit& unit : kUnits) {
    if (suffix != unit.suffix) continue;
    for (const Prefix& prefix : kPrefixes) {
      if (prefix.factor > 1.0 && !unit.large_prefixes) continue;
      const double least =
          prefix.factor == 1.0 && !unit.large_prefixes ? 0.1 : prefix.factor;  // 0.5 m, yet 20 mm
      if (std::abs(value) >= least * (1.0 - 1e-12)) {
        return fmt::format("{:.6g} {}{}", value / prefix.factor, prefix.symbol, unit.symbol);
      }
    }
    return fmt::format("{:.6g} {}", value, unit.symbol);
  }
  std::string text = fmt::format("{:.6g}{}", value, suffix);  // "45_deg"
  std::replace(text.begin(), text.end(), '_', ' ');
  return text;
}

std::string describe_numbers(const media::Ground& ground) {
  if (ground.table.empty()) {
    return fmt::format("{}relative permittivity {:.4g}, conductivity {:.4g} mS/m",
                       ground.name.empty() ? "" : ground.name + ", ", ground.relative_permittivity,
                       1e3 * ground.conductivity);
  }
  const media::SoilRow& first = ground.table.front();
  const media::SoilRow& last = ground.table.back();
  return fmt::format(
      "table of {} rows, relative permittivity {:.4g} to {:.4g}, conductivity {:.4g} to {:.4g} mS/m from {} "
      "to {}",
      ground.table.size(), first.constants.relative_permittivity, last.constants.relative_permittivity,
      1e3 * first.constants.conductivity, 1e3 * last.constants.conductivity,
      format_frequency(first.frequency), format_frequency(last.frequency));
}

}  // namespace

std::string describe_ground(const media::Ground& ground) {
  switch (ground.kind) {
    case media::GroundKind::free_space:
      return "Free space: no ground.";
    case media::GroundKind::perfect:
      return "Perfect ground: no loss in it.";
    case media::GroundKind::real:
      break;
  }
  std::string text = "Soil: " + describe_numbers(ground) + "; flat and uniform.";
  if (ground.method == media::GroundMethod::plane_wave) {
    text += " Computed by plane-wave reflection, an approximation that is poor for low wires.";
  }
  return text;
}

std::string describe_far_soil(const media::FarSoil& far) {
  const auto degrees = [](double bearing) { return format_bearing(bearing * 180.0 / core::kPi); };
  const std::string sector = far.all_round ? "all round"
                                           : fmt::format("between bearings {} and {} deg (true, clockwise)",
                                                         degrees(far.from_bearing), degrees(far.to_bearing));
  return fmt::format(
      "Far soil: {}, from {:.4g} m on, {}; for the reflection out there only, an estimate without "
      "diffraction at its border.",
      describe_numbers(far.ground), far.begins, sector);
}

std::vector<std::string> describe_soil_sources(const model::Model& model) {
  std::vector<std::string> list;
  const auto add = [&list](const media::Ground& ground) {
    const auto soil = media::soil(ground.name);
    if (!soil) return;
    const std::string line = fmt::format("Numbers of \"{}\": {}.", soil->name, soil->source);
    if (std::find(list.begin(), list.end(), line) == list.end()) list.push_back(line);
  };
  add(model.ground);
  if (model.far_soil) add(model.far_soil->ground);
  return list;
}

std::string describe_parameters(const model::Model& model) {
  std::string text;
  for (const model::ParameterValue& parameter : model.parameters) {
    text += fmt::format("{}{} {}", text.empty() ? "" : ", ", parameter.name,
                        with_unit(parameter.value, parameter.key.substr(parameter.name.size())));
  }
  return text;
}

std::string describe_antenna(const circuit::KnownAntenna& antenna) {
  if (antenna.table)
    return fmt::format("Antenna as measured: file {}, {} to {}; between its rows interpolated.",
                       antenna.table->name, format_frequency(antenna.table->frequencies.front()),
                       format_frequency(antenna.table->frequencies.back()));
  return fmt::format("Antenna as given: {:.6g} {} j{:.6g} ohm at every frequency.", antenna.impedance.real(),
                     antenna.impedance.imag() < 0.0 ? "-" : "+", std::abs(antenna.impedance.imag()));
}

std::vector<std::string> describe_assumptions(const model::Model& model) {
  std::vector<std::string> list;
  if (model.antenna) {
    list.push_back(describe_antenna(*model.antenna) + " What becomes of the power it takes is not known.");
  } else {
    list.push_back(describe_ground(model.ground));
    if (model.far_soil) list.push_back(describe_far_soil(*model.far_soil));
  }
  if (model.feed.parts.empty()) {
    list.push_back(fmt::format("{:.4g} W at the feed point; the radio is there, without transformer or line.",
                               model.feed.power));
  } else {
    list.push_back(fmt::format("{:.4g} W enter the first part after the radio.", model.feed.power));
    for (const circuit::FeedPart& part : model.feed.parts) {
      list.push_back(describe_part(part));
    }
  }
  if (model.feed.reference_resistance != 50.0) {
    list.push_back(fmt::format("SWR against {:.4g} ohm.", model.feed.reference_resistance));
  }
  list.push_back(describe_outside(model));
  return list;
}

std::string caution() {
  return "Caution: exposure is not computed; wire ends carry high voltage; keep everything\n"
         "clear of power lines, also when it falls. Local codes and licensed practice\n"
         "decide. Read docs/safety.md before you put anything up.\n";
}

}  // namespace feldspar::report
