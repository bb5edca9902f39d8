#include <fmt/format.h>

#include <charconv>
#include <cmath>
#include <set>

#include "core/constants.hpp"
#include "media/materials.hpp"
#include "model/nearest.hpp"
#include "model/sections_detail.hpp"

namespace feldspar::model::detail {

namespace {

constexpr int kMostWires = 2000;           // copies counted
constexpr std::size_t kMostPoints = 1000;  // of one path
constexpr std::size_t kMostPointsInAll = 20000;
constexpr double kFarthest = 1e5;  // m
constexpr double kThickest = 5.0;  // m
constexpr double kLargestPermeability = 1e5;

}  // namespace

std::vector<geometry::Vec3> read_path(const Node& node, const Scope& scope, std::size_t least) {
  const Array* points = node.array();
  if (!points)
    fail(node, fmt::format("expected two or more points such as [[\"0 m\", \"0 m\", \"2 m\"], …], found {}",
                           describe_type(node)));
  if (points->size() < least || points->size() > kMostPoints)
    fail(node,
         fmt::format("expected a path of {} to {} points, found {}", least, kMostPoints, points->size()));
  std::vector<geometry::Vec3> path;
  for (const Node& point : *points) {
    const Array* coordinates = point.array();
    if (!coordinates || coordinates->size() != 3)
      fail(point, fmt::format(
                      "expected a point of three lengths [x, y, z], found {}",
                      coordinates ? fmt::format("a list of {}", coordinates->size()) : describe_type(point)));
    geometry::Vec3 at;
    for (std::size_t i = 0; i < 3; ++i) {
      const Node& coordinate = (*coordinates)[i];
      const double value = quantity(coordinate, kind::kCoordinate, scope);
      if (std::abs(value) > kFarthest)
        fail(coordinate,
             fmt::format("expected a coordinate within {}, found {}", format({kFarthest, dimension::kLength}),
                         format({value, dimension::kLength})));
      at[static_cast<Eigen::Index>(i)] = value;
    }
    path.push_back(at);
  }
  return path;
}

namespace {

double read_diameter(const Reader& reader, const Scope& scope) {
  const Node* diameter = reader.find("diameter");
  const Node* gauge = reader.find("gauge");
  if (diameter && gauge) fail(*gauge, "give either diameter or gauge, not both");
  if (gauge) return gauge_diameter(*gauge);
  const Node& node = reader.need("diameter", "\"1 mm\" (or gauge = \"18 AWG\")");
  const double value = positive(node, kind::kDiameter, scope);
  if (value > kThickest)
    fail(node, fmt::format("expected a wire diameter up to {:g} m, found {}", kThickest,
                           format({value, dimension::kLength})));
  return value;
}

geometry::Conductor read_material(const Node* node, const Scope& scope) {
  geometry::Conductor conductor;
  const auto named = [&](const media::Material& material) {
    conductor.conductivity = material.conductivity;
    conductor.relative_permeability = material.relative_permeability;
  };
  if (!node) {
    named(*media::material("copper"));
    return conductor;
  }
  if (node->table()) {
    const Reader reader(*node, kMaterial);
    conductor.conductivity =
        positive(reader.need("conductivity", "\"35 MS/m\""), kind::kMetalConductivity, scope);
    if (const Node* permeability = reader.find("permeability")) {
      conductor.relative_permeability = plain_number(*permeability, scope);
      if (!(conductor.relative_permeability >= 1.0 &&
            conductor.relative_permeability <= kLargestPermeability))
        fail(*permeability, fmt::format("expected a relative permeability from 1 to {:g}, found {:g}",
                                        kLargestPermeability, conductor.relative_permeability));
    }
    return conductor;
  }
  const std::string& name = text(*node, "copper");
  const auto material = media::material(name);
  if (!material)
    fail(*node,
         fmt::format("there is no material named \"{}\"{} (known: {}; or {{ conductivity = \"35 MS/m\" }})",
                     name, suggestion(name, media::material_names()), enumerate(media::material_names())));
  named(*material);
  return conductor;
}

}  // namespace

geometry::Coat read_insulation(const Node* node, const Scope& scope) {
  geometry::Coat coat;
  if (!node) return coat;
  const Reader reader(*node, kInsulation);
  const Node& thickness = reader.need("thickness", "\"0.5 mm\"");
  const Node& permittivity = reader.need("permittivity", "3.0");
  coat.thickness = not_negative(thickness, kind::kThickness, scope);
  if (coat.thickness > 1.0)
    fail(thickness, fmt::format("expected an insulation up to 1 m thick, found {}",
                                format({coat.thickness, dimension::kLength})));
  coat.relative_permittivity = plain_number(permittivity, scope);
  if (!(coat.relative_permittivity >= 1.0 && coat.relative_permittivity <= 100.0))
    fail(permittivity, fmt::format("expected a relative permittivity from 1 to 100, found {:g}",
                                   coat.relative_permittivity));
  return coat;
}

namespace {

int read_count(const Node* node, const Scope& scope) {
  if (!node) return 1;
  const Reader reader(*node, kCopies);
  if (const Node* around = reader.find("around")) (void)choice(*around, {"z"});
  return whole(reader.need("count", "4"), scope, 0, kMostWires);
}

geometry::Wire turned(geometry::Wire wire, int index, int count) {
  const double angle = 2.0 * core::kPi * index / count;
  const double c = std::cos(angle), s = std::sin(angle);
  for (geometry::Vec3& point : wire.path)
    point = geometry::Vec3(c * point.x() - s * point.y(), s * point.x() + c * point.y(), point.z());
  if (count > 1) wire.name += fmt::format(" ({})", index + 1);
  return wire;
}

}  // namespace

double gauge_diameter(const Node& node) {
  const std::string& written = text(node, "18 AWG");
  const std::size_t digits = written.find_first_not_of("0123456789");
  const std::string_view number = std::string_view(written).substr(0, digits);
  std::string_view rest = digits == std::string::npos ? "" : std::string_view(written).substr(digits);
  rest.remove_prefix(std::min(rest.find_first_not_of(' '), rest.size()));
  int n = 0;
  const auto [stop, error] = std::from_chars(number.data(), number.data() + number.size(), n);
  const bool several_noughts = number.size() > 1 && number.find_first_not_of('0') == std::string_view::npos;
  if (several_noughts) n = 1 - static_cast<int>(number.size());  // 00 is -1, 0000 is -3
  const bool readable = !number.empty() && error == std::errc{} && rest == "AWG";
  if (!readable || n < -3 || n > 40 || (number.size() > 1 && number[0] == '0' && !several_noughts))
    fail(node,
         fmt::format("expected a gauge from \"0000 AWG\" to \"40 AWG\", such as \"18 AWG\", found \"{}\"",
                     written));
  return 0.127e-3 * std::pow(92.0, (36.0 - n) / 39.0);
}

std::string read_name(const Node& node, std::string_view example) {
  const std::string& name = text(node, example);
  const auto forbidden = [](unsigned char c) { return c < 0x20 || c == 0x7f; };
  const bool bad = name.empty() || name.size() > 60 || std::any_of(name.begin(), name.end(), forbidden) ||
                   name.find_first_of(".\"'()[]=") != std::string::npos || name.front() == ' ' ||
                   name.back() == ' ';
  if (bad)
    fail(node,
         fmt::format(
             "expected a name of up to 60 letters, digits, spaces, - and _, such as \"{}\", found \"{}\"",
             example, name.substr(0, 80)));
  return name;
}

std::vector<WireEntry> read_wires(const Node* node, const Scope& scope, geometry::Structure& structure) {
  std::vector<WireEntry> entries;
  std::set<std::string> names;
  std::size_t points = 0;
  for (const Node& item : tables(node, "[[wires]]", kMostWires)) {
    const Reader reader(item, kWire);
    const Node& name = reader.need("name", "\"slope\"");
    geometry::Wire wire;
    wire.name = read_name(name, "slope");
    wire.place = item.place;
    if (!names.insert(wire.name).second)
      fail(name, fmt::format("two wires are named \"{}\"; give each its own name", wire.name));
    wire.path = read_path(reader.need("path", "[[\"0 m\", \"0 m\", \"2 m\"], [\"5 m\", \"0 m\", \"2 m\"]]"),
                          scope, 2);
    wire.radius = 0.5 * read_diameter(reader, scope);
    wire.conductor = read_material(reader.find("material"), scope);
    wire.coat = read_insulation(reader.find("insulation"), scope);
    const Node* copies = reader.find("copies");
    const Node* present = reader.find("present");
    WireEntry entry{wire.name,
                    static_cast<int>(structure.wires.size()),
                    read_count(copies, scope),
                    copies != nullptr,
                    geometry::length(wire),
                    2.0 * wire.radius};
    if (present && !flag(*present, scope)) entry.count = 0;
    points += wire.path.size() * static_cast<std::size_t>(entry.count);
    if (entry.first + entry.count > kMostWires)
      fail(copies ? *copies : item, fmt::format("expected at most {} wires, copies counted, found {} or more",
                                                kMostWires, entry.first + entry.count));
    if (points > kMostPointsInAll)
      fail(item, fmt::format("expected at most {} points in all wires, copies counted, found {} or more",
                             kMostPointsInAll, points));
    for (int i = 0; i < entry.count; ++i) structure.wires.push_back(turned(wire, i, entry.count));
    entries.push_back(std::move(entry));
  }
  return entries;
}

}  // namespace feldspar::model::detail
