#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "media/materials.hpp"
#include "model/outside_detail.hpp"

namespace feldspar::model::detail {

namespace {

constexpr std::size_t kMostChokes = 20;
constexpr double kClear = 0.02;             // m between the feed point and a braid that is not joined to it
constexpr double kBraid = 0.005;            // m thick, where the line's type does not tell
constexpr double kThickestBraid = 0.1;      // m
constexpr double kShortestBraid = 0.1;      // m long
constexpr double kSpare = 1.01;             // a braid may be this much longer than its line
constexpr double kStakeDiameter = 0.01;     // m, common practice
constexpr double kLongestStake = 30.0;      // m
constexpr double kOperatorDiameter = 0.05;  // m: an arm; common practice
constexpr double kTallestOperator = 10.0;   // m
constexpr double kAside = 0.3;              // m, where the braid is in the way of stake or operator
constexpr const char* kName = "braid";
constexpr const char* kOperatorName = "operator";
constexpr const char* kStakeName = "radio stake";

using Path = std::vector<geometry::Vec3>;

double length_up_to(const Node& node, const Kind& kind, const Scope& scope, double most) {
  const double length = positive(node, kind, scope);
  if (length > most)
    fail(node, fmt::format("expected a length up to {}, found {}", length_text(most), length_text(length)));
  return length;
}

// ---- where the outside stands among the feed's parts

struct FeedLine {
  const Node* outside = nullptr;
  const circuit::Line* line = nullptr;
  int index = 0;       ///< in Feed::parts
  int number = 1;      ///< among the feed's parts as written, chokes counted
  bool balun = false;  ///< between it and the antenna
};

bool is_balun(const Table& part) {
  const Node* connection = find(part, "connection");
  return connection && connection->text() && *connection->text() == "balun";
}

/// From the antenna to the radio.
std::vector<FeedLine> lines_of(const Array& parts, const Feed& feed) {
  std::vector<FeedLine> lines;
  int index = 0;
  bool balun = false;
  for (std::size_t i = 0; i < parts.size(); ++i) {
    const Table& part = *parts[i].table();
    if (*find(part, "kind")->text() == "choke") continue;
    balun = balun || is_balun(part);
    if (const auto* line = std::get_if<circuit::Line>(&feed.parts[static_cast<std::size_t>(index)]))
      lines.push_back({find(part, "outside"), line, index, static_cast<int>(i) + 1, balun});
    ++index;
  }
  return lines;
}

/// The line whose outside is laid, which must be the first one; null without any.
const FeedLine* line_with_outside(const std::vector<FeedLine>& lines) {
  bool behind_parallel = false;
  for (const FeedLine& line : lines) {
    const Node* outside = line.outside;
    if (outside && !line.line->is_coax)
      fail(*outside, "a parallel line has no outside; both its conductors carry the line's own current");
    if (outside && behind_parallel)
      fail(
          *outside,
          "a parallel line lies between the antenna and this line, whose outside therefore does not begin at "
          "the feed point; that is not modelled, leave out outside");
    if (outside && &line != &lines.front())
      fail(
          *outside,
          "the outside begins at the feed point, so it belongs to the first line after the antenna; state it "
          "there and let its path go on along all lines up to the radio");
    behind_parallel = behind_parallel || !line.line->is_coax;
  }
  return !lines.empty() && lines.front().outside ? &lines.front() : nullptr;
}

double length_of(const std::vector<FeedLine>& lines) {
  double length = 0.0;
  for (const FeedLine& line : lines) length += line.line->length;
  return length;
}

std::vector<Choke> read_chokes(const Array& parts, const Context& context) {
  std::vector<Choke> chokes;
  for (const Node& part : parts) {
    if (*find(*part.table(), "kind")->text() != "choke") continue;
    if (chokes.size() == kMostChokes) fail(part, fmt::format("expected at most {} chokes", kMostChokes));
    chokes.push_back(read_choke(part, context));
  }
  return chokes;
}

// ---- the braid

/// A point of the wire's path at arc length s, which becomes one if it is none.
geometry::Vec3 path_point_at(geometry::Wire& wire, double s) {
  const double slack = 1e-9 * geometry::length(wire);
  double begin = 0.0;
  for (std::size_t i = 1; i < wire.path.size(); ++i) {
    const double end = begin + (wire.path[i] - wire.path[i - 1]).norm();
    if (s <= begin + slack) return wire.path[i - 1];
    if (s < end - slack) {
      geometry::Vec3 at = geometry::point_at(wire, s);
      wire.path.insert(wire.path.begin() + static_cast<std::ptrdiff_t>(i), at);
      return at;
    }
    begin = end;
  }
  return wire.path.back();
}

/// Moves a gap that has a point of the path beside or in its first `near` metres to begin there: two points
/// closer than the wires are thick cannot be told apart.
void begin_at_path_point(geometry::Span& gap, const geometry::Wire& wire, double near) {
  const double length = geometry::length(wire);
  const double width = gap.to - gap.from;
  double at = 0.0;
  for (std::size_t i = 1; i < wire.path.size(); ++i) {
    if (std::abs(at - gap.from) < near && at + width <= length) {
      gap.from = at;
      gap.to = at + width;
      return;
    }
    at += (wire.path[i] - wire.path[i - 1]).norm();
  }
}

/// Where the line meets the wires: the side of the gap that lies nearer to the wire's start, or the end that
/// the port sits at. @param joint  make it a point of the wire's path, so that the braid can be joined there
geometry::Vec3 feed_point(geometry::Structure& structure, double braid_radius, bool joint) {
  geometry::Span& gap = structure.ports.front().spans.front();
  geometry::Wire& wire = structure.wires[static_cast<std::size_t>(gap.wire)];
  const double length = geometry::length(wire);
  if (gap.from > 0.0 && gap.to >= length * (1.0 - 1e-9)) return wire.path.back();
  if (!joint) return geometry::point_at(wire, gap.from);
  begin_at_path_point(gap, wire, 4.0 * std::max(wire.radius, braid_radius));
  return path_point_at(wire, gap.from);
}

/// From the feed point on, whether or not the user's path begins there.
Path path_from(const geometry::Vec3& feed, const Node& node, const Scope& scope, double diameter) {
  const auto at_feed = [&](const geometry::Vec3& point) { return (point - feed).norm() <= 2.0 * diameter; };
  Path path = read_path(node, scope, 1);
  if (at_feed(path.front())) path.erase(path.begin());
  if (path.empty() || at_feed(path.back()))
    fail(node, "the path ends where it begins, at the feed point; say where the line goes from there");
  path.insert(path.begin(), feed);
  return path;
}

/// @param longest  m, all lines together
Braid read_braid(const Reader& reader, const Scope& scope, const FeedLine& line, double longest,
                 geometry::Structure& structure) {
  const double usual_diameter = line.line->braid_diameter;
  const Node* diameter = reader.find("diameter");
  const double thick = diameter ? length_up_to(*diameter, kind::kDiameter, scope, kThickestBraid)
                                : (usual_diameter > 0.0 ? usual_diameter : kBraid);
  for (const geometry::Wire& wire : structure.wires)
    if (wire.name.starts_with(kName) || wire.name == kOperatorName || wire.name == kStakeName)
      fail(reader.node(),
           fmt::format("the model has a wire named \"{}\", which is what the outside of the line is "
                       "called (braid, {}, {}); give that wire another name",
                       wire.name, kOperatorName, kStakeName));
  Braid braid;
  braid.wire.name = kName;
  braid.wire.place = reader.node().place;
  braid.wire.radius = 0.5 * thick;
  braid.wire.coat = read_insulation(reader.find("insulation"), scope);
  const auto copper = media::material("copper");
  braid.wire.conductor = {copper->conductivity, copper->relative_permeability};
  const Node& path = reader.need("path", "[[\"0 m\", \"0 m\", \"20 mm\"], [\"8 m\", \"0 m\", \"20 mm\"]]");
  braid.wire.path = path_from(feed_point(structure, braid.wire.radius, !line.balun), path, scope, thick);
  braid.length = geometry::length(braid.wire);
  const auto fed = static_cast<std::size_t>(structure.ports.front().spans.front().wire);
  braid.clear = std::max(kClear, 2.0 * structure.wires[fed].radius);
  if (line.balun) braid.begin = braid.clear;
  if (braid.length > kSpare * longest)
    fail(path, fmt::format("the outside is {} long from the feed point on, the line itself only {}",
                           length_text(braid.length), length_text(longest)));
  if (braid.length < braid.clear + kShortestBraid)
    fail(path, fmt::format("expected an outside at least {} long from the feed point on, found {}",
                           length_text(braid.clear + kShortestBraid), length_text(braid.length)));
  return braid;
}

// ---- what hangs at the radio

/// The level direction in which a path arrives; +x for an upright one.
geometry::Vec3 arrival(const Path& path) {
  for (std::size_t i = path.size() - 1; i > 0; --i) {
    geometry::Vec3 step = path[i] - path[i - 1];
    step.z() = 0.0;
    if (step.norm() > 0.01 * kShortestBraid) return step.normalized();
  }
  return geometry::Vec3::UnitX();
}

/// From the end of the braid straight up or down to the height z. Where the braid itself comes from there, a
/// level piece leads aside first.
Path upright_from(const Path& braid, double z) {
  const geometry::Vec3& end = braid.back();
  const geometry::Vec3 last = braid[braid.size() - 2] - end;
  constexpr double kCosine = 0.87;  // of 30 degrees
  Path path{end};
  if (last.z() * (z - end.z()) > kCosine * last.norm() * std::abs(z - end.z()))
    path.emplace_back(end + kAside * arrival(braid));
  path.emplace_back(path.back().x(), path.back().y(), z);
  return path;
}

void lay_stake(const Reader& reader, const Scope& scope, const Path& braid, Model& model) {
  geometry::Structure& structure = model.structure;
  const Node* impedance = reader.find("earth_impedance");
  const Node* depth = reader.find("stake");
  const double stake =
      depth ? length_up_to(*depth, kind::kCoordinate, scope, kLongestStake) : kUsualStakeDepth;
  const geometry::Vec3& end = braid.back();
  if (model.ground.kind == media::GroundKind::free_space)
    fail(*reader.find("end"), "there is no earth in free space; use end = \"open\"");
  if (end.z() <= 0.0)
    fail(*reader.find("path"), "the outside must end above the ground to be earthed by a stake");
  geometry::Wire wire;
  wire.name = kStakeName;
  wire.place = reader.node().place;
  wire.radius = 0.5 * kStakeDiameter;
  const auto steel = media::material("stainless steel");
  wire.conductor = {steel->conductivity, steel->relative_permeability};
  wire.path = upright_from(braid, model.ground.kind == media::GroundKind::perfect ? 0.0 : -stake);
  const int index = static_cast<int>(structure.wires.size());
  if (impedance) {
    geometry::Insert insert;
    insert.name = "radio earth";
    insert.place = impedance->place;
    insert.law = constant(read_impedance(*impedance, scope));
    insert.spans = {{index, 0.0, std::min(kStakeDiameter, 0.5 * end.z()), 1}};
    structure.inserts.push_back(std::move(insert));
  }
  structure.wires.push_back(std::move(wire));
  model.outside->end_wires = {index};
}

void lay_operator(const Reader& reader, const Scope& scope, const Braid& braid, Model& model) {
  const Node* length = reader.find("operator_length");
  const double tall =
      length ? length_up_to(*length, kind::kCoordinate, scope, kTallestOperator) : kUsualOperatorLength;
  geometry::Wire wire;
  wire.name = kOperatorName;
  wire.place = reader.node().place;
  wire.radius = 0.5 * kOperatorDiameter;
  wire.conductor = braid.wire.conductor;
  wire.path = upright_from(braid.wire.path, braid.wire.path.back().z() + tall);
  model.outside->end_wires = {static_cast<int>(model.structure.wires.size())};
  model.structure.wires.push_back(std::move(wire));
}

/// Keys of another end, which a setting of `end` may leave behind.
void refuse_keys_of(LineEnd end, std::initializer_list<const char*> keys, const char* word,
                    const Reader& reader, const LineOutside& outside) {
  if (outside.end == end || reader.find("end")->from_setting) return;
  for (const char* key : keys)
    if (const Node* found = reader.find(key))
      fail(*found, fmt::format("{} belongs to end = \"{}\"", key, word));
}

void lay_end(const Reader& reader, const Scope& scope, const Braid& braid, Model& model) {
  const LineOutside& outside = *model.outside;
  refuse_keys_of(LineEnd::earthed, {"stake", "earth_impedance"}, "earthed", reader, outside);
  refuse_keys_of(LineEnd::operated, {"operator_length"}, "operator", reader, outside);
  if (outside.end == LineEnd::earthed) lay_stake(reader, scope, braid.wire.path, model);
  if (outside.end == LineEnd::operated) lay_operator(reader, scope, braid, model);
}

}  // namespace

void read_outside(const Node* feed, const Context& context, Model& model) {
  const Node* list = feed ? find(*feed->table(), "parts") : nullptr;
  if (!list) return;
  const Array& parts = *list->array();
  const std::vector<Choke> chokes = read_chokes(parts, context);
  const std::vector<FeedLine> lines = lines_of(parts, model.feed);
  const FeedLine* line = line_with_outside(lines);
  if (!line) {
    if (!chokes.empty())
      fail(
          *chokes.front().node,
          "a choke works on the outside of a line, and no line has one: add outside = { path = …, end = "
          "\"open\" } to the line (without it the outside is left out, as if a perfect choke sat at the feed "
          "point)");
    return;
  }
  if (model.antenna)
    fail(*line->outside, "a known antenna has no wires that the outside of a line could join; leave it out");
  const Reader reader(*line->outside, kOutside);
  const Node& end = reader.need("end", "\"open\" (or \"earthed\" or \"operator\")");
  model.outside.emplace();
  model.outside->part = line->index;
  model.outside->end_key = fmt::format("feed.parts.{}.outside.end", line->number);
  model.outside->floating = line->balun;
  model.outside->end = static_cast<LineEnd>(choice(end, {"open", "earthed", "operator"}));
  const Braid braid = read_braid(reader, context.scope, *line, length_of(lines), model.structure);
  lay_braid(braid, chokes, model);
  lay_end(reader, context.scope, braid, model);
}

}  // namespace feldspar::model::detail
