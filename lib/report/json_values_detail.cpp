#include "report/json_values_detail.hpp"

#include <cmath>

#include "media/soils.hpp"

namespace feldspar::report::detail {

Json number(double value) {
  return std::isfinite(value) ? Json(value) : Json(nullptr);
}
Json number(const std::optional<double>& value) {
  return value ? number(*value) : Json(nullptr);
}

Json impedance(std::complex<double> z) {
  return {{"resistance_ohm", number(z.real())}, {"reactance_ohm", number(z.imag())}};
}

Json parameters(const model::Model& model) {
  Json object = Json::object();
  for (const model::ParameterValue& parameter : model.parameters)
    object[parameter.key] = number(parameter.value);
  return object;
}

namespace {

/// The soil's two numbers at a frequency. Perfect ground has none; free space is what it is.
Json constants_at(const media::Ground& ground, double frequency) {
  if (ground.kind == media::GroundKind::perfect)
    return {{"permittivity", nullptr}, {"conductivity_s_per_m", nullptr}};
  const media::SoilConstants soil = ground.kind == media::GroundKind::real
                                        ? media::soil_constants(ground, core::Frequency{frequency})
                                        : media::SoilConstants{};
  return {{"permittivity", number(soil.relative_permittivity)},
          {"conductivity_s_per_m", number(soil.conductivity)}};
}

/// Where numbers hang on the frequency they are null here and stand with each frequency.
Json soil(const media::Ground& ground) {
  Json object = ground.table.empty() ? constants_at(ground, 1.0)
                                     : Json{{"permittivity", nullptr}, {"conductivity_s_per_m", nullptr}};
  const auto known = media::soil(ground.name);
  object["kind"] = ground.kind == media::GroundKind::real      ? "real"
                   : ground.kind == media::GroundKind::perfect ? "perfect"
                                                               : "free space";
  object["soil"] = ground.name.empty() ? Json(nullptr) : Json(ground.name);
  object["source"] = known ? Json(known->source) : Json(nullptr);
  if (ground.table.empty()) return object;
  object["table"] = Json::array();
  for (const media::SoilRow& row : ground.table) {
    object["table"].push_back({{"frequency_hz", number(row.frequency)},
                               {"permittivity", number(row.constants.relative_permittivity)},
                               {"conductivity_s_per_m", number(row.constants.conductivity)}});
  }
  return object;
}

}  // namespace

Json ground(const model::Model& model) {
  Json object = soil(model.ground);
  if (!model.far_soil) return object;
  const media::FarSoil& far = *model.far_soil;
  const auto bearing = [&](double radians) {
    return far.all_round ? Json(nullptr) : number(radians * 180.0 / core::kPi);
  };
  object["far"] = soil(far.ground);
  object["far"]["begins_m"] = number(far.begins);
  object["far"]["from_bearing_deg"] = bearing(far.from_bearing);
  object["far"]["to_bearing_deg"] = bearing(far.to_bearing);
  return object;
}

Json ground_at(const model::Model& model, double frequency) {
  Json object = constants_at(model.ground, frequency);
  if (model.far_soil) object["far"] = constants_at(model.far_soil->ground, frequency);
  return object;
}

Json warnings(const core::Warnings& list) {
  Json array = Json::array();
  for (const core::Warning& warning : list) array.push_back({{"code", warning.code}, {"text", warning.text}});
  return array;
}

std::string dump(const Json& json) {
  return json.dump(2, ' ', false, Json::error_handler_t::replace) + '\n';
}

}  // namespace feldspar::report::detail
