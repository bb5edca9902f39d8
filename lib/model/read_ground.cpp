#include <fmt/format.h>

#include <cmath>

#include "core/constants.hpp"
#include "media/soils.hpp"
#include "model/nearest.hpp"
#include "model/sections_detail.hpp"

namespace feldspar::model::detail {

namespace {

constexpr double kLargestPermittivity = 200.0;  // water 81; nothing at HF comes near
constexpr double kLargestConductivity = 20.0;   // S/m; sea water 3 to 7
constexpr double kSaltWater = 0.5;              // S/m, more than any soil
constexpr double kWaterPermittivity = 60.0;

bool is_bare(const Node& node, const Scope& scope) {
  return evaluate(node, kind::kSoilConductivity, scope).bare_number;
}

void read_numbers(const Reader& reader, const Scope& scope, media::Ground& ground) {
  const Node& permittivity = reader.need("permittivity", "13.0");
  const Node& conductivity = reader.need("conductivity", "\"5 mS/m\"");
  ground.kind = media::GroundKind::real;
  ground.relative_permittivity = plain_number(permittivity, scope);
  if (ground.relative_permittivity < 1.0 || ground.relative_permittivity > kLargestPermittivity)
    fail(permittivity, fmt::format("expected a relative permittivity from 1 to {:g}, found {:g}",
                                   kLargestPermittivity, ground.relative_permittivity));
  ground.conductivity = not_negative(conductivity, kind::kSoilConductivity, scope);
  if (ground.conductivity > kLargestConductivity)
    fail(conductivity,
         fmt::format("expected a conductivity of soil or water up to {:g} S/m, found {}; soil is given in "
                     "mS/m, as in \"5 mS/m\"",
                     kLargestConductivity, format({ground.conductivity, dimension::kConductivity})));
  if (ground.conductivity >= kSaltWater && ground.relative_permittivity < kWaterPermittivity &&
      is_bare(conductivity, scope))
    fail(conductivity,
         fmt::format("the bare number {0:g} would mean {0:g} S/m, which is salt water and not believable "
                     "with permittivity {1:g}; did you mean \"{0:g} mS/m\"?",
                     ground.conductivity, ground.relative_permittivity));
}

void read_soil(const Node& node, media::Ground& ground) {
  const std::string& name = text(node, "average");
  if (name == "perfect") {
    ground.kind = media::GroundKind::perfect;
  } else if (name == "free space") {
    ground.kind = media::GroundKind::free_space;
  } else if (const auto soil = media::soil(name)) {
    ground.kind = media::GroundKind::real;
    ground.relative_permittivity = soil->relative_permittivity;
    ground.conductivity = soil->conductivity;
  } else {
    std::vector<std::string> names = media::soil_names();
    names.insert(names.end(), {"perfect", "free space"});
    fail(node,
         fmt::format("there is no soil named \"{}\"{} (known: {}; or give permittivity and conductivity)",
                     name, suggestion(name, names), enumerate(names)));
  }
  ground.name = name;
}

}  // namespace

void read_site(const Node* node, const Scope& scope, Model& model) {
  if (!node) return;
  const Reader reader(*node, kSite);
  if (const Node* bearing = reader.find("x_bearing")) {
    const double turn = 2.0 * core::kPi;
    const double angle = quantity(*bearing, kind::kAngle, scope);
    if (std::abs(angle) > 2.0 * turn)
      fail(*bearing,
           fmt::format("expected a bearing from 0 to 360 deg, found {}", format({angle, dimension::kAngle})));
    model.x_bearing = angle - turn * std::floor(angle / turn);
  }
  if (const Node* region = reader.find("region")) model.region = whole(*region, scope, 1, 3);
}

media::Ground read_ground(const Node* node, const Scope& scope) {
  media::Ground ground;
  Node average;
  average.value = std::string("average");
  if (!node) {
    read_soil(average, ground);
    return ground;
  }
  const Reader reader(*node, kGround);
  const Node* soil = reader.find("soil");
  const Node* permittivity = reader.find("permittivity");
  const Node* conductivity = reader.find("conductivity");
  if (soil && (permittivity || conductivity))
    fail(*soil, "give either the name of a soil or permittivity and conductivity, not both");
  if (soil)
    read_soil(*soil, ground);
  else if (permittivity || conductivity)
    read_numbers(reader, scope, ground);
  else
    read_soil(average, ground);
  if (const Node* method = reader.find("method"))
    ground.method = choice(*method, {"exact", "plane-wave"}) == 0 ? media::GroundMethod::exact
                                                                  : media::GroundMethod::plane_wave;
  return ground;
}

}  // namespace feldspar::model::detail
