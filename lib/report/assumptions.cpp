#include "report/assumptions.hpp"

#include <fmt/format.h>

#include <variant>

namespace feldspar::report {
namespace {

std::string describe(const circuit::Transformer& part) {
  const double ratio = part.impedance_ratio;
  const std::string turns =
      ratio >= 1.0 ? fmt::format("{:.4g}:1", ratio) : fmt::format("1:{:.4g}", 1.0 / ratio);
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
  std::string text = fmt::format(
      "Soil: {}relative permittivity {:.4g}, conductivity {:.4g} mS/m; flat and uniform.",
      ground.name.empty() ? "" : ground.name + ", ", ground.relative_permittivity, 1e3 * ground.conductivity);
  if (ground.method == media::GroundMethod::plane_wave) {
    text += " Computed by plane-wave reflection, an approximation that is poor for low wires.";
  }
  return text;
}

std::string describe_parameters(const model::Model& model) {
  std::string text;
  for (const model::ParameterValue& parameter : model.parameters) {
    std::string unit = parameter.key.substr(parameter.name.size());  // "_m", "_hz" or nothing
    if (!unit.empty()) unit.front() = ' ';
    text += fmt::format("{}{} {:.6g}{}", text.empty() ? "" : ", ", parameter.name, parameter.value, unit);
  }
  return text;
}

std::vector<std::string> describe_assumptions(const model::Model& model) {
  std::vector<std::string> list{describe_ground(model.ground)};
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
  return "Caution: exposure is not computed; wire ends carry high voltage; keep everything clear\n"
         "of power lines, also if it falls. Local codes decide. Read docs/safety.md first.\n";
}

}  // namespace feldspar::report
