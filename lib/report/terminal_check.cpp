#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "report/assumptions.hpp"
#include "report/number.hpp"
#include "report/terminal.hpp"
#include "report/text_table.hpp"

namespace feldspar::report {
namespace {

using results::CheckReport;

bool alike(const CheckReport::WireLine& a, const CheckReport::WireLine& b) {
  constexpr double kSame = 1e-6;  // m
  return std::abs(a.length - b.length) < kSame && std::abs(a.lowest - b.lowest) < kSame &&
         std::abs(a.highest - b.highest) < kSame;
}

std::string conductor_text(const model::Model& model, const std::string& name) {
  for (const geometry::Wire& wire : model.structure.wires) {
    if (wire.name != name) continue;
    std::string text = fmt::format("{:.3g} mm", 2e3 * wire.radius);
    if (wire.coat.thickness > 0.0) text += fmt::format(" + {:.2g} mm coat", 1e3 * wire.coat.thickness);
    return text;
  }
  return "-";
}

std::string wires_text(const model::Model& model, const CheckReport& report, bool colour) {
  TextTable table({{"wire", Align::left},
                   {"length", Align::left},
                   {"lowest", Align::left},
                   {"highest", Align::left},
                   {"diameter", Align::left}});
  // Copies of one wire stand on one line, under the name of the first.
  for (std::size_t i = 0; i < report.wires.size();) {
    std::size_t next = i + 1;
    while (next < report.wires.size() && alike(report.wires[i], report.wires[next])) ++next;
    const CheckReport::WireLine& wire = report.wires[i];
    std::string name = wire.name;
    if (next - i > 1) name += fmt::format(" (x {})", next - i);
    const auto height = [](double z) {
      return std::abs(z) < 5e-5 ? std::string("0 m") : format_length_briefly(z);
    };
    table.add_row({{name},
                   {format_length_briefly(wire.length)},
                   {height(wire.lowest)},
                   {height(wire.highest)},
                   {conductor_text(model, wire.name)}});
    i = next;
  }
  return table.render(colour);
}

std::string height_text(double length) {
  return length < 0.0995 ? fmt::format("{:.2g} mm", 1e3 * length) : fmt::format("{:.2f} m", length);
}

/// "radial (1) and 3 like it lie 20 mm above soil".
std::string where(const CheckReport::WaveLine& wave) {
  constexpr double kLying = 0.1;  // m; higher up a wire no longer lies on anything
  const bool several = wave.copies > 1;
  std::string name = wave.leg > 0 ? fmt::format("stretch {} of {}", wave.leg, wave.wire) : wave.wire;
  if (several) name += fmt::format(" and {} like it", wave.copies - 1);
  if (wave.insulated) name += " (insulated)";
  if (wave.height < 0.0)
    return fmt::format("{} {} {} deep in soil", name, several ? "lie" : "lies", height_text(-wave.height));
  const char* verb = wave.height <= kLying ? (several ? "lie" : "lies") : (several ? "run" : "runs");
  return fmt::format("{} {} {} above soil", name, verb, height_text(wave.height));
}

std::string wave_text(const CheckReport::WaveLine& wave) {
  return fmt::format(
      "{}: {:.2f} m acts like {:.2f} wavelength (velocity factor {:.2f}); current along it fades by {:.2g} "
      "dB "
      "per metre.",
      where(wave), wave.length, wave.wavelengths, wave.velocity_factor, wave.attenuation_db);
}

std::string waves_text(const std::vector<CheckAt>& checks) {
  std::string text;
  for (const CheckAt& check : checks)
    for (const CheckReport::WaveLine& wave : check.report.waves)
      text += wrap(format_frequency(check.frequency) + ": " + wave_text(wave));
  if (!text.empty())
    text += wrap("That is the wave along a long wire of this height, away from its ends and its feed point.");
  return text;
}

std::string position(const Eigen::Vector3d& at) {
  const auto metres = [](double v) { return format_number(v, 0.001); };
  return fmt::format("({}, {}, {}) m", metres(at.x()), metres(at.y()), metres(at.z()));
}

std::string junctions_text(const CheckReport& report) {
  if (report.junctions.empty()) return "No wires are joined.\n";
  std::string text;
  for (const CheckReport::JunctionLine& junction : report.junctions) {
    constexpr std::size_t kShown = 6;
    std::vector<std::string> names = junction.wires;
    std::string more;
    if (names.size() > kShown) {
      more = fmt::format(" and {} more", names.size() - kShown);
      names.resize(kShown);
    }
    if (names.size() == 1 && junction.ground) {
      text += wrap(fmt::format("Joined to the ground at {}: {}.", position(junction.at), names.front()));
    } else {
      text += wrap(fmt::format("Joined at {}: {}{}{}.", position(junction.at), fmt::join(names, ", "), more,
                               junction.ground ? "; to the ground as well" : ""));
    }
  }
  return text;
}

std::string verdict_text(const std::vector<CheckAt>& checks, const TerminalOptions& options) {
  std::string text;
  core::Warnings warnings;
  for (const CheckAt& check : checks) {
    for (const core::Warning& warning : check.report.warnings) {
      const bool known = std::any_of(warnings.begin(), warnings.end(),
                                     [&](const core::Warning& w) { return w.text == warning.text; });
      if (!known) warnings.push_back(warning);
    }
  }
  for (const core::Warning& warning : warnings) {
    text += paint(wrap("Warning: " + warning.text), Colour::poor, options.colour);
  }
  text += warnings.empty() ? "The model is valid.\n" : "The model is valid, with the warnings above.\n";
  return text + '\n' + caution();
}

std::string known_antenna_text(const model::Model& model, const std::vector<CheckAt>& checks,
                               const TerminalOptions& options) {
  std::string text = wrap("A known antenna in place of wires: nothing about its shape is known or computed.");
  for (const std::string& line : describe_assumptions(model)) text += wrap(line);
  return text + verdict_text(checks, options);
}

}  // namespace

std::string check_text(const model::Model& model, const std::vector<CheckAt>& checks,
                       const TerminalOptions& options) {
  std::string text = paint(model.title, Colour::strong, options.colour) + '\n';
  const std::string parameters = describe_parameters(model);
  text += wrap(model.name + (parameters.empty() ? "" : ": " + parameters)) + '\n';
  const CheckReport& report = checks.front().report;
  if (model.antenna) return text + known_antenna_text(model, checks, options);
  text += wires_text(model, report, options.colour) + '\n';

  double total = 0.0;
  double lowest = 1e300;
  std::string lowest_wire;
  for (const CheckReport::WireLine& wire : report.wires) {
    total += wire.length;
    if (wire.lowest < lowest) {
      lowest = wire.lowest;
      lowest_wire = wire.name;
    }
  }
  text += wrap(fmt::format("{} wire{}, {} in all; {} free end{}.", report.wires.size(),
                           report.wires.size() == 1 ? "" : "s", format_length(total), report.free_ends,
                           report.free_ends == 1 ? "" : "s"));
  if (!report.wires.empty() && model.ground.kind != media::GroundKind::free_space) {
    text += wrap(fmt::format("Lowest point: {} {} the ground, on {}.",
                             std::abs(lowest) < 5e-5 ? std::string("0 m") : format_length(std::abs(lowest)),
                             lowest < -5e-5 ? "below" : "above", lowest_wire));
  }
  text += junctions_text(report);
  for (const geometry::Port& port : model.structure.ports) {
    double gap = 0.0;
    for (const geometry::Span& span : port.spans) gap += span.to - span.from;
    const geometry::Span& first = port.spans.front();
    const geometry::Wire& wire = model.structure.wires.at(static_cast<std::size_t>(first.wire));
    text += wrap(fmt::format("Port {}: on {}, at {}, gap {:.3g} mm.", port.name, wire.name,
                             position(geometry::point_at(wire, 0.5 * (first.from + first.to))), 1e3 * gap));
  }
  text += waves_text(checks);
  for (const std::string& line : describe_assumptions(model)) text += wrap(line);
  for (const std::string& line : describe_soil_sources(model)) text += wrap(line);
  std::vector<std::string> unknowns;
  for (const CheckAt& check : checks) {
    unknowns.push_back(fmt::format("{} at {}", check.report.unknowns, format_frequency(check.frequency)));
  }
  text += wrap(fmt::format("Unknowns: {}.", fmt::join(unknowns, ", ")));

  return text + verdict_text(checks, options);
}

}  // namespace feldspar::report
