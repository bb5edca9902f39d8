#include "report/csv_line_detail.hpp"

#include <fmt/format.h>

#include <cmath>

#include "report/csv.hpp"

namespace feldspar::report::detail {

void Line::add(const std::string& name, double value) {
  fields_.emplace_back(name, std::isfinite(value) ? fmt::format("{}", value) : "");
}

void Line::add(const std::string& name, const std::optional<double>& value) {
  add(name, value.value_or(std::nan("")));
}

void Line::add(const std::string& name, const std::string& text) {
  fields_.emplace_back(name, csv_field(text));
}

std::string Line::names() const {
  std::string line;
  for (const auto& field : fields_) line += (line.empty() ? "" : ",") + csv_field(field.first);
  return line + '\n';
}

std::string Line::values() const {
  std::string line;
  for (std::size_t i = 0; i < fields_.size(); ++i) line += (i == 0 ? "" : ",") + fields_[i].second;
  return line + '\n';
}

Line begin_line(const model::Model& model, double frequency) {
  Line line;
  line.add("model", model.name);
  for (const model::ParameterValue& parameter : model.parameters) line.add(parameter.key, parameter.value);
  const media::Ground& ground = model.ground;
  const bool perfect = ground.kind == media::GroundKind::perfect;
  const bool real = ground.kind == media::GroundKind::real;
  line.add("ground", real      ? std::string("real")
                     : perfect ? std::string("perfect")
                               : std::string("free space"));
  const media::SoilConstants soil =
      real ? media::soil_constants(ground, core::Frequency{frequency}) : media::SoilConstants{};
  line.add("ground_permittivity", perfect ? std::nan("") : soil.relative_permittivity);
  line.add("ground_conductivity_s_per_m", perfect ? std::nan("") : soil.conductivity);
  if (model.far_soil) {
    const media::SoilConstants far =
        media::soil_constants(model.far_soil->ground, core::Frequency{frequency});
    line.add("far_permittivity", far.relative_permittivity);
    line.add("far_conductivity_s_per_m", far.conductivity);
    line.add("far_begins_m", model.far_soil->begins);
  }
  return line;
}

}  // namespace feldspar::report::detail
