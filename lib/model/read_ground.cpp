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

double read_permittivity(const Node& node, const Scope& scope) {
  const double value = plain_number(node, scope);
  if (value < 1.0 || value > kLargestPermittivity)
    fail(node, fmt::format("expected a relative permittivity from 1 to {:g}, found {:g}",
                           kLargestPermittivity, value));
  return value;
}

/// @param permittivity  of the same soil, to judge a bare number by
double read_conductivity(const Node& node, double permittivity, const Scope& scope) {
  const double value = not_negative(node, kind::kSoilConductivity, scope);
  if (value > kLargestConductivity)
    fail(node,
         fmt::format("expected a conductivity of soil or water up to {:g} S/m, found {}; soil is given in "
                     "mS/m, as in \"5 mS/m\"",
                     kLargestConductivity, format({value, dimension::kConductivity})));
  if (value >= kSaltWater && permittivity < kWaterPermittivity && is_bare(node, scope))
    fail(node,
         fmt::format("the bare number {0:g} would mean {0:g} S/m, which is salt water and not believable "
                     "with permittivity {1:g}; did you mean \"{0:g} mS/m\"?",
                     value, permittivity));
  return value;
}

media::SoilConstants read_constants(const Reader& reader, const Scope& scope) {
  const Node& permittivity = reader.need("permittivity", "13.0");
  const Node& conductivity = reader.need("conductivity", "\"5 mS/m\"");
  media::SoilConstants soil;
  soil.relative_permittivity = read_permittivity(permittivity, scope);
  soil.conductivity = read_conductivity(conductivity, soil.relative_permittivity, scope);
  return soil;
}

std::vector<media::SoilRow> read_table(const Node& node, const Scope& scope) {
  constexpr std::size_t kMostRows = 1000;
  const Array* list = node.array();
  if (!list || list->size() < 2 || list->size() > kMostRows)
    fail(node,
         fmt::format("expected a list of 2 to {} rows such as {{ frequency = \"3 MHz\", permittivity = 20, "
                     "conductivity = \"8 mS/m\" }}, found {}",
                     kMostRows, list ? fmt::format("a list of {}", list->size()) : describe_type(node)));
  std::vector<media::SoilRow> rows;
  for (const Node& item : *list) {
    const Reader reader(item, kSoilRow);
    const Node& frequency = reader.need("frequency", "\"3 MHz\"");
    media::SoilRow row;
    row.frequency = positive(frequency, kind::kFrequency, scope);
    row.constants = read_constants(reader, scope);
    if (!(row.constants.conductivity > 0.0))
      fail(reader.need("conductivity", "\"8 mS/m\""),
           "expected a conductivity above zero in a table (its logarithm is interpolated), found 0 S/m");
    if (!rows.empty() && !(row.frequency > rows.back().frequency))
      fail(frequency, fmt::format("expected rising frequencies, found {} after {}",
                                  format({row.frequency, dimension::kFrequency}),
                                  format({rows.back().frequency, dimension::kFrequency})));
    rows.push_back(row);
  }
  return rows;
}

void read_soil_name(const Node& node, media::Ground& ground) {
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

/// A name, two numbers or a table; average soil when there is none of them.
media::Ground read_soil(const Reader& reader, const Scope& scope) {
  const Node* name = reader.find("soil");
  const Node* table = reader.find("table");
  const bool numbers = reader.find("permittivity") || reader.find("conductivity");
  if (name && numbers)
    fail(*name, "give either the name of a soil or permittivity and conductivity, not both");
  if (table && (name || numbers))
    fail(*table, fmt::format("give either a table or {}, not both",
                             name ? "the name of a soil" : "permittivity and conductivity"));
  media::Ground ground;
  ground.kind = media::GroundKind::real;
  if (table) {
    ground.table = read_table(*table, scope);
  } else if (numbers) {
    const media::SoilConstants soil = read_constants(reader, scope);
    ground.relative_permittivity = soil.relative_permittivity;
    ground.conductivity = soil.conductivity;
  } else {
    Node average;
    average.value = std::string("average");
    read_soil_name(name ? *name : average, ground);
  }
  return ground;
}

double read_bearing(const Node& node, const Scope& scope) {
  const double turn = 2.0 * core::kPi;
  const double angle = quantity(node, kind::kAngle, scope);
  if (std::abs(angle) > 2.0 * turn)
    fail(node,
         fmt::format("expected a bearing from 0 to 360 deg, found {}", format({angle, dimension::kAngle})));
  return angle - turn * std::floor(angle / turn);
}

media::FarSoil read_far_soil(const Node& node, const media::Ground& near, const Scope& scope) {
  const Reader reader(node, kFarSoil);
  if (near.kind != media::GroundKind::real)
    fail(node,
         "a far soil needs a soil under the antenna, not perfect ground or free space; leave [ground.far] "
         "out");
  constexpr double kFarthest = 1e6;  // m; the earth is flat here
  media::FarSoil far;
  if (!reader.find("soil") && !reader.find("permittivity") && !reader.find("conductivity") &&
      !reader.find("table"))
    (void)reader.need("soil", "\"sea\"");
  far.ground = read_soil(reader, scope);
  if (far.ground.kind != media::GroundKind::real)
    fail(reader.need("soil", "\"sea\""),
         fmt::format("expected a soil or water, found \"{}\"", far.ground.name));
  const Node& begins = reader.need("begins", "\"30 m\"");
  far.begins = not_negative(begins, kind::kLineLength, scope);
  if (far.begins > kFarthest)
    fail(begins,
         fmt::format("expected a distance up to {}, found {}", format({kFarthest, dimension::kLength}),
                     format({far.begins, dimension::kLength})));
  const bool from = reader.find("from_bearing") != nullptr;
  const bool to = reader.find("to_bearing") != nullptr;
  far.all_round = !from && !to;
  if (!far.all_round) {
    far.from_bearing = read_bearing(reader.need("from_bearing", "\"200 deg\""), scope);
    const Node& end = reader.need("to_bearing", "\"320 deg\"");
    far.to_bearing = read_bearing(end, scope);
    if (std::abs(far.to_bearing - far.from_bearing) < 1e-9)
      fail(end,
           "expected two different bearings, clockwise from the first to the second; leave both out for all "
           "round");
  }
  return far;
}

}  // namespace

void read_site(const Node* node, const Scope& scope, Model& model) {
  if (!node) return;
  const Reader reader(*node, kSite);
  if (const Node* bearing = reader.find("x_bearing")) model.x_bearing = read_bearing(*bearing, scope);
  if (const Node* region = reader.find("region")) model.region = whole(*region, scope, 1, 3);
}

void read_ground(const Node* node, const Scope& scope, Model& model) {
  Node empty;
  empty.value = Table{};
  const Reader reader(node ? *node : empty, kGround);
  model.ground = read_soil(reader, scope);
  if (const Node* method = reader.find("method"))
    model.ground.method = choice(*method, {"exact", "plane-wave"}) == 0 ? media::GroundMethod::exact
                                                                        : media::GroundMethod::plane_wave;
  if (const Node* far = reader.find("far")) model.far_soil = read_far_soil(*far, model.ground, scope);
}

}  // namespace feldspar::model::detail
