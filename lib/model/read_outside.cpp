#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "media/materials.hpp"
#include "model/nearest.hpp"
#include "model/sections_detail.hpp"

namespace feldspar::model::detail {

namespace {

constexpr std::size_t kMostChokes = 20;
constexpr double kCut = 0.02;               // m of braid that a perfect choke takes away
constexpr double kStakeDiameter = 0.01;     // m
constexpr double kOperatorDiameter = 0.05;  // m: an arm
constexpr double kUsualStake = 1.0;         // m
constexpr double kUsualOperator = 1.5;      // m
constexpr double kBraid = 0.005;            // m, where the line's type does not tell
constexpr double kSpare = 1.01;             // a braid may be this much longer than its line
constexpr double kLeastPiece = 0.05;        // m of braid between two cuts
constexpr const char* kName = "outside of the line";

/// A part that stops or hinders the current on the braid.
struct Obstacle {
  double distance = 0.0;  ///< m from the antenna's end of the braid, of its middle
  bool perfect = false;
  geometry::Insert insert;
  double length = 0.0;  ///< m; 0: the braid's diameter
  const Node* node = nullptr;
};

struct Braid {
  std::vector<geometry::Vec3> path;  ///< from the feed point on
  geometry::Wire wire;               ///< without its path
  double length = 0.0;
};

double length_of(const std::vector<geometry::Vec3>& path) {
  geometry::Wire wire;
  wire.path = path;
  return geometry::length(wire);
}

/// The stretch of a path between two arc lengths.
std::vector<geometry::Vec3> stretch(const std::vector<geometry::Vec3>& path, double from, double to) {
  geometry::Wire whole;
  whole.path = path;
  std::vector<geometry::Vec3> points{geometry::point_at(whole, from)};
  double at = 0.0;
  for (std::size_t i = 1; i + 1 < path.size(); ++i) {
    at += (path[i] - path[i - 1]).norm();
    if (at > from + kBraid && at < to - kBraid) points.push_back(path[i]);
  }
  points.push_back(geometry::point_at(whole, to));
  return points;
}

// ---- chokes

/// One impedance for every frequency, or "perfect".
void read_one_impedance(const Node& node, const Scope& scope, Obstacle& choke) {
  if (node.text()) {
    (void)choice(node, {"perfect"});
    choke.perfect = true;
    return;
  }
  const std::complex<double> z = read_impedance(node, scope);
  choke.insert.measured = {{0.0, z}};
}

void read_measured_choke(const Node& node, const Context& context, Obstacle& choke) {
  const circuit::NetworkData data = read_network(node, 1, context.files);
  for (const double f : data.frequencies)
    choke.insert.measured.push_back({f, circuit::one_port_impedance(data, core::Frequency{f})});
}

/// Resistance, inductance and capacitance side by side, as a choke on ferrite behaves round its resonance.
void read_resonant_choke(const Reader& reader, const Scope& scope, Obstacle& choke) {
  choke.insert.parallel = true;
  const Node* resistance = reader.find("resistance");
  const Node* inductance = reader.find("inductance");
  const Node* capacitance = reader.find("capacitance");
  if (!resistance && !inductance && !capacitance)
    fail(reader.node(),
         "expected impedance = [\"2 kohm\", \"500 ohm\"] (or \"perfect\"), touchstone, or resistance, "
         "inductance "
         "and capacitance in parallel; found none of them");
  if (resistance) choke.insert.resistance = positive(*resistance, kind::kResistance, scope);
  if (inductance) choke.insert.inductance = positive(*inductance, kind::kInductance, scope);
  if (capacitance) choke.insert.capacitance = positive(*capacitance, kind::kCapacitance, scope);
  if (!capacitance) choke.insert.capacitance = 0.0;
}

Obstacle read_choke(const Node& node, const Context& context) {
  const Reader reader(node, kChoke);
  const Scope& scope = context.scope;
  Obstacle choke;
  choke.node = &node;
  choke.insert.place = node.place;
  const Node* impedance = reader.find("impedance");
  const Node* file = reader.find("touchstone");
  for (const char* key : {"resistance", "inductance", "capacitance"})
    if (const Node* found = reader.find(key); found && (impedance || file))
      fail(*found, fmt::format("{} says what the choke's impedance is; leave out {}",
                               impedance ? "impedance" : "touchstone", key));
  if (impedance && file) fail(*file, "give either impedance or touchstone, not both");
  if (impedance)
    read_one_impedance(*impedance, scope, choke);
  else if (file)
    read_measured_choke(*file, context, choke);
  else
    read_resonant_choke(reader, scope, choke);
  if (const Node* distance = reader.find("distance"))
    choke.distance = not_negative(*distance, kind::kLineLength, scope);
  if (const Node* length = reader.find("length")) choke.length = positive(*length, kind::kCoil, scope);
  return choke;
}

// ---- the braid

/// Where the line's braid meets the wires: the side of the gap that lies nearer to the wire's start, or the
/// end that the port sits at.
geometry::Vec3 feed_point(geometry::Structure& structure) {
  const geometry::Span& gap = structure.ports.front().spans.front();
  geometry::Wire& wire = structure.wires[static_cast<std::size_t>(gap.wire)];
  const double length = geometry::length(wire);
  const double slack = 1e-9 * length;
  if (gap.from <= slack) return wire.path.front();
  if (gap.to >= length - slack) return wire.path.back();
  const geometry::Vec3 at = geometry::point_at(wire, gap.from);
  double s = 0.0;
  for (std::size_t i = 1; i < wire.path.size(); ++i) {  // a point of the path, so that the braid joins there
    const double piece = (wire.path[i] - wire.path[i - 1]).norm();
    if (std::abs(gap.from - s) <= slack) return wire.path[i - 1];
    if (gap.from < s + piece - slack) {
      wire.path.insert(wire.path.begin() + static_cast<std::ptrdiff_t>(i), at);
      return at;
    }
    s += piece;
  }
  return at;
}

Braid read_braid(const Reader& reader, const Scope& scope, const circuit::Line& line, double braid_diameter,
                 geometry::Structure& structure) {
  Braid braid;
  const Node& path = reader.need("path", "[[\"0 m\", \"0 m\", \"20 mm\"], [\"8 m\", \"0 m\", \"20 mm\"]]");
  std::vector<geometry::Vec3> points = read_path(path, scope, 1);
  const Node* diameter = reader.find("diameter");
  const double wide = diameter ? positive(*diameter, kind::kDiameter, scope)
                               : (braid_diameter > 0.0 ? braid_diameter : kBraid);
  const geometry::Vec3 feed = feed_point(structure);
  if ((points.front() - feed).norm() <= 2.0 * wide) points.erase(points.begin());
  points.insert(points.begin(), feed);
  if (points.size() < 2)
    fail(path, "the path ends where it begins, at the feed point; say where the line goes from there");
  braid.path = std::move(points);
  braid.length = length_of(braid.path);
  if (braid.length > kSpare * line.length)
    fail(path,
         fmt::format("the outside is {} long from the feed point on, the line itself only {}",
                     format({braid.length, dimension::kLength}), format({line.length, dimension::kLength})));
  braid.wire.name = kName;
  braid.wire.radius = 0.5 * wide;
  const auto copper = media::material("copper");
  braid.wire.conductor = {copper->conductivity, copper->relative_permeability};
  braid.wire.coat = read_insulation(reader.find("insulation"), scope);
  braid.wire.place = reader.node().place;
  return braid;
}

/// The braid cut where a perfect choke sits, with the others as inserts.
void lay(const Braid& braid, std::vector<Obstacle> obstacles, bool floating, Model& model) {
  LineOutside& outside = *model.outside;
  geometry::Structure& structure = model.structure;
  std::sort(obstacles.begin(), obstacles.end(),
            [](const Obstacle& a, const Obstacle& b) { return a.distance < b.distance; });
  struct Stretch {
    double from, to;
  };
  std::vector<Stretch> stretches;
  double from = floating ? kCut : 0.0;
  for (const Obstacle& obstacle : obstacles) {
    const Node& node = *obstacle.node;
    const double half = 0.5 * (obstacle.perfect ? kCut : std::max(obstacle.length, 2.0 * braid.wire.radius));
    if (obstacle.distance + half > braid.length - kLeastPiece && obstacle.distance > half)
      fail(node,
           fmt::format("the choke sits {} from the antenna, but the outside of the line is only {} long",
                       format({obstacle.distance, dimension::kLength}),
                       format({braid.length, dimension::kLength})));
    if (!obstacle.perfect) continue;
    if (obstacle.distance > from + half + kLeastPiece) stretches.push_back({from, obstacle.distance - half});
    from = std::max(obstacle.distance - half, from) + kCut;
  }
  stretches.push_back({from, braid.length});
  for (const Stretch& part : stretches) {
    geometry::Wire wire = braid.wire;
    wire.path = stretch(braid.path, part.from, part.to);
    if (stretches.size() > 1) wire.name += fmt::format(" ({})", outside.wires.size() + 1);
    outside.wires.push_back(static_cast<int>(structure.wires.size()));
    structure.wires.push_back(std::move(wire));
  }
  for (Obstacle& choke : obstacles) {
    if (choke.perfect) continue;
    const double width = std::max(choke.length, 2.0 * braid.wire.radius);
    for (std::size_t i = 0; i < stretches.size(); ++i) {
      if (choke.distance < stretches[i].from - width || choke.distance > stretches[i].to + width) continue;
      const double begin = std::clamp(choke.distance - 0.5 * width - stretches[i].from, 0.0,
                                      std::max(0.0, stretches[i].to - stretches[i].from - width));
      choke.insert.spans = {{outside.wires[i], begin, begin + width, 1}};
      choke.insert.name = fmt::format("choke {}", outside.chokes.size() + 1);
      outside.chokes.push_back(static_cast<int>(structure.inserts.size()));
      structure.inserts.push_back(choke.insert);
      break;
    }
  }
}

void lay_stake(const Reader& reader, const Scope& scope, const Braid& braid, Model& model) {
  geometry::Structure& structure = model.structure;
  const Node* impedance = reader.find("earth_impedance");
  const Node* depth = reader.find("stake");
  const double stake = depth ? positive(*depth, kind::kCoordinate, scope) : kUsualStake;
  const geometry::Vec3 end = braid.path.back();
  if (model.ground.kind == media::GroundKind::free_space)
    fail(reader.need("end", "\"open\""), "there is no earth in free space; use end = \"open\"");
  if (end.z() <= 0.0)
    fail(reader.need("path", ""), "the outside must end above the ground to be earthed by a stake");
  geometry::Wire wire;
  wire.name = "stake at the radio";
  wire.place = reader.node().place;
  wire.radius = 0.5 * kStakeDiameter;
  const auto steel = media::material("stainless steel");
  wire.conductor = {steel->conductivity, steel->relative_permeability};
  const double bottom = model.ground.kind == media::GroundKind::perfect ? 0.0 : -stake;
  wire.path = {end, {end.x(), end.y(), bottom}};
  model.outside->end_wires = {static_cast<int>(structure.wires.size())};
  if (impedance) {
    geometry::Insert insert;
    insert.name = "earth at the radio";
    insert.place = impedance->place;
    insert.measured = {{0.0, read_impedance(*impedance, scope)}};
    insert.spans = {{model.outside->end_wires.front(), 0.0, std::min(kStakeDiameter, 0.5 * end.z()), 1}};
    structure.inserts.push_back(insert);
  }
  structure.wires.push_back(std::move(wire));
}

void lay_operator(const Reader& reader, const Scope& scope, const Braid& braid, Model& model) {
  const Node* length = reader.find("operator_length");
  const double tall = length ? positive(*length, kind::kCoordinate, scope) : kUsualOperator;
  geometry::Wire wire;
  wire.name = "operator and set";
  wire.place = reader.node().place;
  wire.radius = 0.5 * kOperatorDiameter;
  wire.conductor = braid.wire.conductor;
  wire.path = {braid.path.back(), braid.path.back() + geometry::Vec3(0.0, 0.0, tall)};
  model.outside->end_wires = {static_cast<int>(model.structure.wires.size())};
  model.structure.wires.push_back(std::move(wire));
}

void lay_end(const Reader& reader, const Scope& scope, const Braid& braid, Model& model) {
  const auto only_with = [&](LineEnd end, std::initializer_list<const char*> keys, const char* word) {
    if (model.outside->end == end || reader.find("end")->from_setting) return;
    for (const char* key : keys)
      if (const Node* found = reader.find(key))
        fail(*found, fmt::format("{} belongs to end = \"{}\"", key, word));
  };
  only_with(LineEnd::earthed, {"stake", "earth_impedance"}, "earthed");
  only_with(LineEnd::operated, {"operator_length"}, "operator");
  if (model.outside->end == LineEnd::earthed) lay_stake(reader, scope, braid, model);
  if (model.outside->end == LineEnd::operated) lay_operator(reader, scope, braid, model);
}

/// A balun between antenna and line: nothing joins the braid to the antenna's wires.
bool has_balun_before(const Array& parts, std::size_t line) {
  for (std::size_t i = 0; i < line; ++i) {
    const Node* connection = find(*parts[i].table(), "connection");
    if (connection && connection->text() && *connection->text() == "balun") return true;
  }
  return false;
}

}  // namespace

void read_outside(const Node* feed, const Context& context, Model& model) {
  const Node* list = feed && feed->table() ? find(*feed->table(), "parts") : nullptr;
  if (!list) return;
  const Array& parts = *list->array();
  std::vector<Obstacle> chokes;
  const Node* outside = nullptr;
  std::size_t line = 0;
  int index = -1;  // of the line among the parts that are no chokes
  int count = 0;
  for (std::size_t i = 0; i < parts.size(); ++i) {
    const Table& part = *parts[i].table();
    if (*find(part, "kind")->text() == "choke") {
      if (chokes.size() == kMostChokes)
        fail(parts[i], fmt::format("expected at most {} chokes", kMostChokes));
      chokes.push_back(read_choke(parts[i], context));
      continue;
    }
    if (const Node* found = find(part, "outside")) {
      if (outside)
        fail(*found,
             "one line's outside is laid at a time; let its path go on to the radio's end of all lines");
      outside = found;
      line = i;
      index = count;
    }
    ++count;
  }
  if (!outside) {
    if (!chokes.empty())
      fail(
          *chokes.front().node,
          "a choke works on the outside of a line, and no line has one: add outside = { path = …, end = "
          "\"open\" } to the line (without it the outside is left out, as if a perfect choke sat at the feed "
          "point)");
    return;
  }
  if (model.structure.wires.empty())
    fail(*outside, "a known antenna has no wires that the outside of a line could join; leave out outside");
  const Reader reader(*outside, kOutside);
  model.outside.emplace();
  model.outside->part = index;
  const Node& end = reader.need("end", "\"open\", \"earthed\" or \"operator\"");
  model.outside->end = static_cast<LineEnd>(choice(end, {"open", "earthed", "operator"}));
  const auto& data = std::get<circuit::Line>(model.feed.parts[static_cast<std::size_t>(index)]);
  if (!data.is_coax)
    fail(*outside, "a parallel line has no outside; both its conductors carry the line's own current");
  const Braid braid = read_braid(reader, context.scope, data, data.braid_diameter, model.structure);
  const bool balun = has_balun_before(parts, line);
  model.outside->floating = balun;
  lay(braid, std::move(chokes), balun, model);
  lay_end(reader, context.scope, braid, model);
}

}  // namespace feldspar::model::detail
