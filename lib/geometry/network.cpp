#include "geometry/network.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <map>

namespace feldspar::geometry {

namespace {

using core::Error;
using core::ErrorKind;

struct Break {
  double s = 0.0;
  bool path_point = false;
  bool gap_edge = false;
  bool insert_edge = false;
  bool surface = false;
};

bool on_surface(const Vec3& point, const Wire& wire) {
  return std::abs(point.z()) <= 1e-9 * length(wire);
}

void check_wire(const Wire& wire) {
  if (!(wire.radius > 0.0) || !std::isfinite(wire.radius))
    throw Error(ErrorKind::geometry,
                fmt::format("wire \"{}\" has radius {:.4g} m; a wire needs a diameter above zero", wire.name,
                            wire.radius),
                wire.place);
  if (wire.path.size() < 2)
    throw Error(ErrorKind::geometry,
                fmt::format("wire \"{}\" needs two or more points in its path", wire.name), wire.place);
  for (std::size_t i = 1; i < wire.path.size(); ++i) {
    const double piece = (wire.path[i] - wire.path[i - 1]).norm();
    if (!std::isfinite(piece))
      throw Error(ErrorKind::geometry,
                  fmt::format("wire \"{}\": a point of its path is not a number", wire.name), wire.place);
    if (piece <= 0.0)
      throw Error(
          ErrorKind::geometry,
          fmt::format("wire \"{}\": points {} and {} of its path are the same, so this part has zero length; "
                      "remove one of them",
                      wire.name, i, i + 1),
          wire.place);
  }
}

/// Both ends of a part lie within one radius, so both are joined to the same node: a loop without an inside.
[[noreturn]] void refuse_short_part(const Wire& wire, std::size_t i) {
  throw Error(ErrorKind::geometry,
              fmt::format("wire \"{}\": the part between points {} and {} of its path, {:.3g} mm long, is "
                          "shorter than a radius of what meets there; make it longer or leave it out",
                          wire.name, i, i + 1, (wire.path[i] - wire.path[i - 1]).norm() * 1e3),
              wire.place);
}

void check_span(const Span& span, const Structure& structure, const std::string& what,
                const core::Place& place) {
  if (span.wire < 0 || static_cast<std::size_t>(span.wire) >= structure.wires.size())
    throw Error(ErrorKind::geometry, fmt::format("{} stands on a wire that does not exist", what), place);
  const Wire& wire = structure.wires[static_cast<std::size_t>(span.wire)];
  const double total = length(wire);
  if (!(span.from < span.to) || span.from < -1e-9 * total || span.to > total * (1.0 + 1e-9))
    throw Error(
        ErrorKind::geometry,
        fmt::format("{} does not fit on wire \"{}\": it would reach from {:.6g} m to {:.6g} m of {:.6g} m",
                    what, wire.name, span.from, span.to, total),
        place);
}

/// A gap must be long enough to be told from a point: edges closer than 1e-11 of the wire's length count as
/// one, and the capacitance of a gap grows without bound as it shrinks.
void check_spans(const std::vector<Span>& spans, const Structure& structure, const std::string& what,
                 const core::Place& place) {
  constexpr double kLeastOfRadius = 0.01;
  constexpr double kLeastOfLength = 1e-8;
  double total = 0.0;
  double least = 0.0;
  for (const Span& span : spans) {
    check_span(span, structure, what, place);
    const Wire& wire = structure.wires[static_cast<std::size_t>(span.wire)];
    total += span.to - span.from;
    least = std::max({least, kLeastOfRadius * wire.radius, kLeastOfLength * length(wire)});
  }
  if (total < least)
    throw Error(
        ErrorKind::geometry,
        fmt::format("{} is only {:.3g} mm long, too short to be computed; make it at least {:.3g} mm, "
                    "or leave its length out for one wire diameter",
                    what, total * 1e3, least * 1e3),
        place);
}

/// Where along a straight part z is 0; both ends are off the surface and on different sides.
double crossing(const Vec3& from, const Vec3& to) {
  return (to - from).norm() * from.z() / (from.z() - to.z());
}

std::vector<Break> breaks_of(const Structure& structure, int wire_index, Surface surface) {
  const Wire& wire = structure.wires[static_cast<std::size_t>(wire_index)];
  std::vector<Break> breaks;
  double s = 0.0;
  breaks.push_back({0.0, true, false, false, false});
  for (std::size_t i = 1; i < wire.path.size(); ++i) {
    s += (wire.path[i] - wire.path[i - 1]).norm();
    breaks.push_back({s, true, false, false, false});
  }
  const double total = s;
  if (surface == Surface::soil) {
    for (std::size_t i = 1; i < wire.path.size(); ++i) {
      const Vec3& from = wire.path[i - 1];
      const Vec3& to = wire.path[i];
      if (on_surface(from, wire) || on_surface(to, wire) || (from.z() < 0.0) == (to.z() < 0.0)) continue;
      Break through;
      through.s = breaks[i - 1].s + crossing(from, to);
      through.surface = true;
      breaks.push_back(through);
    }
  }
  const auto add = [&](const std::vector<Span>& spans, bool gap) {
    for (const Span& span : spans) {
      if (span.wire != wire_index) continue;
      for (const double wanted : {span.from, span.to}) {
        const double edge = std::clamp(wanted, 0.0, total);
        const double tolerance = 1e-11 * total;
        auto same = std::find_if(breaks.begin(), breaks.end(),
                                 [&](const Break& b) { return std::abs(b.s - edge) <= tolerance; });
        if (same == breaks.end()) same = breaks.insert(breaks.end(), Break{edge, false, false, false, false});
        (gap ? same->gap_edge : same->insert_edge) = true;
      }
    }
  };
  for (const Port& port : structure.ports) add(port.spans, true);
  for (const Insert& insert : structure.inserts) add(insert.spans, false);
  std::sort(breaks.begin(), breaks.end(), [](const Break& a, const Break& b) { return a.s < b.s; });
  return breaks;
}

void mark(Node& node, const Break& at) {
  node.gap_edge = node.gap_edge || at.gap_edge;
  node.insert_edge = node.insert_edge || at.insert_edge;
  node.at_surface = node.at_surface || at.surface;
}

/// Nodes that are path points of wires, found again by position within a wire's radius.
class Joiner {
 public:
  explicit Joiner(Network& network) : network_(network) {}

  /// The node for a path point; ends look for any path point, inner points only for ends.
  int node_at(const Vec3& at, double radius, bool is_end) {
    for (std::size_t i = 0; i < points_.size(); ++i) {
      const Point other = points_[i];  // a copy: the list grows below
      if (!is_end && !other.is_end) continue;
      if ((other.at - at).norm() <= std::max(radius, other.radius) * (1.0 + 1e-9)) {
        points_.push_back({at, radius, is_end, other.node});
        return other.node;
      }
    }
    const int node = static_cast<int>(network_.nodes.size());
    network_.nodes.push_back({at, {}});
    points_.push_back({at, radius, is_end, node});
    return node;
  }

 private:
  struct Point {
    Vec3 at;
    double radius;
    bool is_end;
    int node;
  };
  Network& network_;
  std::vector<Point> points_;
};

}  // namespace

Network make_network(const Structure& structure, Surface surface) {
  for (const Wire& wire : structure.wires) check_wire(wire);
  for (const Port& port : structure.ports)
    check_spans(port.spans, structure, fmt::format("port \"{}\"", port.name), port.place);
  for (const Insert& insert : structure.inserts)
    check_spans(insert.spans, structure, fmt::format("insert \"{}\"", insert.name), insert.place);

  Network network;
  Joiner joiner(network);
  // Path points first, wire by wire, so that node numbers follow the user's order.
  std::vector<std::vector<int>> path_nodes(structure.wires.size());
  for (std::size_t w = 0; w < structure.wires.size(); ++w) {
    const Wire& wire = structure.wires[w];
    for (std::size_t i = 0; i < wire.path.size(); ++i) {
      const bool is_end = i == 0 || i + 1 == wire.path.size();
      const int node = joiner.node_at(wire.path[i], wire.radius, is_end);
      if (i > 0 && node == path_nodes[w].back()) refuse_short_part(wire, i);
      path_nodes[w].push_back(node);
      if (!on_surface(wire.path[i], wire)) continue;
      Node& joint = network.nodes[static_cast<std::size_t>(node)];
      joint.grounded = joint.grounded || (surface == Surface::perfect && is_end);
      joint.at_surface = joint.at_surface || surface == Surface::soil;
    }
  }
  for (std::size_t w = 0; w < structure.wires.size(); ++w) {
    const Wire& wire = structure.wires[w];
    const std::vector<Break> breaks = breaks_of(structure, static_cast<int>(w), surface);
    const int first_leg = static_cast<int>(network.legs.size());
    for (std::size_t i = 1; i < wire.path.size(); ++i)
      network.legs.push_back({static_cast<int>(w), wire.path[i - 1], wire.path[i], {}});
    int segment = 0;
    int previous = path_nodes[w][0];
    mark(network.nodes[static_cast<std::size_t>(previous)], breaks[0]);
    for (std::size_t b = 1; b < breaks.size(); ++b) {
      int node = 0;
      const int leg = first_leg + segment;
      if (breaks[b].path_point) {
        ++segment;
        node = path_nodes[w][static_cast<std::size_t>(segment)];
      } else {
        node = static_cast<int>(network.nodes.size());
        network.nodes.push_back({point_at(wire, breaks[b].s), {}});
      }
      mark(network.nodes[static_cast<std::size_t>(node)], breaks[b]);
      Piece piece;
      piece.wire = static_cast<int>(w);
      piece.from = breaks[b - 1].s;
      piece.to = breaks[b].s;
      piece.start = point_at(wire, piece.from);
      piece.end =
          breaks[b].path_point ? wire.path[static_cast<std::size_t>(segment)] : point_at(wire, piece.to);
      if (surface == Surface::soil) {  // no element has both ends on different sides, not even by rounding
        for (Vec3* point : {&piece.start, &piece.end})
          if (on_surface(*point, wire)) point->z() = 0.0;
      }
      piece.node[0] = previous;
      piece.node[1] = node;
      piece.leg = leg;
      const int index = static_cast<int>(network.pieces.size());
      network.nodes[static_cast<std::size_t>(previous)].arms.push_back({index, 0});
      network.nodes[static_cast<std::size_t>(node)].arms.push_back({index, 1});
      std::vector<int>& leg_nodes = network.legs[static_cast<std::size_t>(leg)].nodes;
      leg_nodes.push_back(previous);
      leg_nodes.push_back(node);
      network.pieces.push_back(piece);
      previous = node;
    }
  }
  for (Leg& leg : network.legs) {
    std::sort(leg.nodes.begin(), leg.nodes.end());
    leg.nodes.erase(std::unique(leg.nodes.begin(), leg.nodes.end()), leg.nodes.end());
  }
  return network;
}

int free_ends(const Network& network) {
  return static_cast<int>(std::count_if(network.nodes.begin(), network.nodes.end(), [](const Node& node) {
    return node.arms.size() == 1 && !node.grounded;
  }));
}

}  // namespace feldspar::geometry
