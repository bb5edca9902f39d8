#include "report/assumptions.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <variant>

#include "media/soils.hpp"
#include "report/number.hpp"

namespace feldspar::report {
namespace {

std::string ratio_text(double ratio) {
  return ratio >= 1.0 ? fmt::format("{:.4g}:1", ratio) : fmt::format("1:{:.4g}", 1.0 / ratio);
}

std::string describe(const circuit::Transformer& part) {
  const std::string turns = ratio_text(part.impedance_ratio);
  if (part.loss_assumed) {
    return fmt::format("Transformer {}, {:.3g} dB loss into a matched load (assumed: the model gives none).",
                       turns, part.loss_db);
  }
  if (part.loss_db == 0.0) return fmt::format("Transformer {}, without loss (as given).", turns);
  return fmt::format("Transformer {}, {:.3g} dB loss into a matched load (as given).", turns, part.loss_db);
}

std::string describe(const circuit::Line& part) {
  if (!part.type.empty()) return fmt::format("Line: {:.4g} m of {}.", part.length, part.type);
  return fmt::format("Line: {:.4g} m, {:.4g} ohm, velocity factor {:.3g} (as given).", part.length, part.z0,
                     part.velocity_factor);
}

std::string describe(const circuit::CoreTransformer& part) {
  const std::string ratio = ratio_text(part.impedance_ratio);
  if (part.generic)
    return fmt::format("Transformer {}: generic core and leakage, of no particular product (assumed).",
                       ratio);
  return fmt::format("Transformer {}, from {} (as given).", ratio,
                     part.core ? "its core's permeability and turns" : "its magnetising admittance");
}

std::string describe(const circuit::Stub& part) {
  std::string text = describe(part.line);
  text.replace(0, text.find(':'),
               fmt::format("Stub {}, {} at its end", part.in_series ? "in series" : "across",
                           part.open ? "open" : "shorted"));
  return text;
}

std::string describe(const circuit::Tuner& part) {
  constexpr const char* kNetworks[] = {"L", "T", "pi"};
  return fmt::format("Tuner: {} network, coil Q {:.3g}, capacitor Q {:.4g}, SWR up to {:.3g}.",
                     kNetworks[static_cast<int>(part.network)], part.coil_q, part.capacitor_q,
                     part.largest_swr);
}

std::string describe(const circuit::MeasuredPart& part) {
  return fmt::format("{} as measured: {}, {} to {}.", part.transformer ? "Transformer" : "Part",
                     part.data.name, format_frequency(part.data.frequencies.front()),
                     format_frequency(part.data.frequencies.back()));
}

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
    return fmt::format("Antenna as measured: file {}, {} to {}; between its rows interpolated.", antenna.table->name,
                       format_frequency(antenna.table->frequencies.front()),
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
      list.push_back(std::visit([](const auto& p) { return describe(p); }, part));
    }
  }
  if (model.feed.reference_resistance != 50.0) {
    list.push_back(fmt::format("SWR against {:.4g} ohm.", model.feed.reference_resistance));
  }
  list.emplace_back("Coax outside not included, as if a perfect choke sat at the feed point.");
  return list;
}

std::string caution() {
  return "Caution: exposure is not computed; wire ends carry high voltage; keep everything\n"
         "clear of power lines, also when it falls. Local codes and licensed practice\n"
         "decide. Read docs/safety.md before you put anything up.\n";
}

}  // namespace feldspar::report
