#include "geometry/validity.hpp"

#include <fmt/format.h>
#include <Eigen/Geometry>

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <optional>
#include <set>
#include <utility>

#include "math/segments.hpp"

namespace feldspar::geometry {

namespace {

using core::Error;
using core::ErrorKind;

constexpr double kThick = 0.01;           // radius over wavelength above which the thin-wire model is flagged
constexpr double kProximity = 10.0;       // distance over radius below which currents crowd round the wire
constexpr double kLow = 3.0;              // height over radius below which the same happens against the soil
constexpr double kLyingAllowance = 10.0;  // length over radius that may lie within one radius of the surface
constexpr double kShortBend = 5.0;        // length over radius of a leg that makes an acute bend doubtful

double outer_radius(const Wire& wire) {
  return wire.radius + wire.coat.thickness;
}

std::string at(const Vec3& p) {
  return fmt::format("({:.4g}, {:.4g}, {:.4g}) m", p.x(), p.y(), p.z());
}

std::optional<int> shared_node(const Leg& a, const Leg& b) {
  for (const int node : a.nodes)
    if (std::binary_search(b.nodes.begin(), b.nodes.end(), node)) return node;
  return std::nullopt;
}

/// Direction of a leg away from a point at one of its ends.
Vec3 away_from(const Leg& leg, const Vec3& point) {
  const bool from_start = (leg.start - point).squaredNorm() < (leg.end - point).squaredNorm();
  return (from_start ? Vec3(leg.end - leg.start) : Vec3(leg.start - leg.end)).normalized();
}

std::string pair_name(const Wire& a, const Wire& b) {
  return &a == &b ? fmt::format("two parts of wire \"{}\"", a.name)
                  : fmt::format("wires \"{}\" and \"{}\"", a.name, b.name);
}

/// Proximity is said once per pair of wires.
class PairCheck {
 public:
  PairCheck(const Structure& structure, const Network& network, core::Warnings& warnings)
      : structure_(structure), network_(network), warnings_(warnings) {}

  void run() {
    for (std::size_t i = 0; i < network_.legs.size(); ++i)
      for (std::size_t j = i + 1; j < network_.legs.size(); ++j) check(network_.legs[i], network_.legs[j]);
  }

 private:
  void check(const Leg& a, const Leg& b) {
    const Wire& wa = structure_.wires[static_cast<std::size_t>(a.wire)];
    const Wire& wb = structure_.wires[static_cast<std::size_t>(b.wire)];
    if (const std::optional<int> node = shared_node(a, b)) {
      joined(a, b, wa, wb, network_.nodes[static_cast<std::size_t>(*node)].at);
      return;
    }
    const double touch = outer_radius(wa) + outer_radius(wb);
    const math::ClosestPoints c = math::closest_points(a.start, a.end, b.start, b.end);
    if (c.distance < touch)
      throw Error(
          ErrorKind::geometry,
          fmt::format("{} cross or touch at {}, their axes {:.3g} mm apart, but are not joined there; add a "
                      "point there to their paths to join them, or move them at least {:.3g} mm apart",
                      pair_name(wa, wb), at(c.first), c.distance * 1e3, touch * 1e3),
          wb.place);
    const double close = kProximity * std::max(wa.radius, wb.radius);
    const double cosine = std::abs((a.end - a.start).normalized().dot((b.end - b.start).normalized()));
    if (c.distance < close && cosine > 0.94 && said_.insert({a.wire, b.wire}).second)
      warnings_.push_back(
          {"proximity", fmt::format("{} run {:.3g} mm apart, less than ten radii: their current is not "
                                    "even round the wire, which is not modelled",
                                    pair_name(wa, wb), c.distance * 1e3)});
  }

  void joined(const Leg& a, const Leg& b, const Wire& wa, const Wire& wb, const Vec3& joint) {
    const double cosine = away_from(a, joint).dot(away_from(b, joint));
    const double shorter = std::min((a.end - a.start).norm(), (b.end - b.start).norm());
    const double sine = std::sqrt(std::max(0.0, 1.0 - cosine * cosine));
    if (cosine > 0.0 && sine * shorter < outer_radius(wa) + outer_radius(wb))
      throw Error(
          ErrorKind::geometry,
          fmt::format("{} leave {} in the same direction and overlap; give them different directions or "
                      "remove one",
                      pair_name(wa, wb), at(joint)),
          wb.place);
    const double radius = std::max(wa.radius, wb.radius);
    if (cosine > 0.7 && shorter < kShortBend * radius)
      warnings_.push_back(
          {"sharp-bend", fmt::format("{} make a sharp bend at {} with a part only {:.3g} mm long, a few "
                                     "radii: the result there is rough",
                                     pair_name(wa, wb), at(joint), shorter * 1e3)});
  }

  const Structure& structure_;
  const Network& network_;
  core::Warnings& warnings_;
  std::set<std::pair<int, int>> said_;
};

/// Length of a leg whose axis is less than `reach` above or below z = 0.
double length_within(const Leg& leg, double reach) {
  const double low = std::min(leg.start.z(), leg.end.z());
  const double high = std::max(leg.start.z(), leg.end.z());
  const double total = (leg.end - leg.start).norm();
  if (low >= reach || high <= -reach) return 0.0;
  if (high - low < 1e-12 * total) return total;
  return total * (std::min(high, reach) - std::max(low, -reach)) / (high - low);
}

void refuse_below_perfect(const Wire& wire) {
  double lowest = 0.0;
  for (const Vec3& point : wire.path) lowest = std::min(lowest, point.z());
  if (lowest < -1e-9 * length(wire))
    throw Error(
        ErrorKind::geometry,
        fmt::format("wire \"{}\" goes below perfect ground, down to z = {:.4g} m, where there is no field: "
                    "keep it above z = 0, or choose a soil",
                    wire.name, lowest),
        wire.place);
}

/// A wire that comes down to the surface must go on below it: what contact it makes is not known otherwise.
void check_ends_on_soil(const Structure& structure, const Network& network) {
  for (const Node& node : network.nodes) {
    bool below = false;
    const Wire* above = nullptr;
    for (const Arm& arm : node.arms) {
      const Piece& piece = network.pieces[static_cast<std::size_t>(arm.piece)];
      const Wire& wire = structure.wires[static_cast<std::size_t>(piece.wire)];
      const Vec3& here = arm.end == 0 ? piece.start : piece.end;
      below = below || piece.start.z() + piece.end.z() < 0.0;
      if (std::abs(here.z()) < 1e-6 * wire.radius) above = &wire;
    }
    if (above != nullptr && !below)
      throw Error(
          ErrorKind::geometry,
          fmt::format("wire \"{}\" has a point at {} on real ground with nothing that goes on below: add a "
                      "stake (a wire from there to z = -0.35 m, say), raise the point, or use perfect ground",
                      above->name, at(node.at)),
          above->place);
  }
}

/// The voltage of a gap that is half in the soil depends on how the contact there is made, which is not
/// known.
void check_gaps_at_surface(const Structure& structure) {
  for (const Port& port : structure.ports)
    for (const Span& span : port.spans) {
      const Wire& wire = structure.wires[static_cast<std::size_t>(span.wire)];
      const double from = point_at(wire, span.from).z();
      const double to = point_at(wire, span.to).z();
      if (from * to < 0.0)
        throw Error(
            ErrorKind::geometry,
            fmt::format("port \"{}\" lies across the ground's surface, from z = {:.3g} mm to {:.3g} mm; "
                        "move it or the wire until its gap is wholly above (or wholly below)",
                        port.name, from * 1e3, to * 1e3),
            port.place);
    }
}

void check_surface(const Structure& structure, const Network& network, Surface surface,
                   core::Warnings& warnings) {
  std::set<int> close;
  for (const Leg& leg : network.legs) {
    const Wire& wire = structure.wires[static_cast<std::size_t>(leg.wire)];
    const double radius = outer_radius(wire);
    if (surface == Surface::perfect) refuse_below_perfect(wire);
    if (length_within(leg, radius * (1.0 - 1e-9)) > kLyingAllowance * radius)
      throw Error(
          ErrorKind::geometry,
          fmt::format("wire \"{}\" lies in {}: more than ten radii of it are nearer to z = 0 than its own "
                      "radius of {:.3g} mm. Choose which of three you mean: on the soil, axis at bare_soil "
                      "(2 mm) or at least its radius; in the grass, mown_grass (20 mm) or long_grass (50 mm)"
                      "{}",
                      wire.name, surface == Surface::perfect ? "perfect ground" : "the ground's surface",
                      radius * 1e3, surface == Surface::soil ? "; or buried, at z = -20 mm or lower" : ""),
          wire.place);
    if (surface == Surface::soil && length_within(leg, kLow * radius) > kLyingAllowance * radius &&
        close.insert(leg.wire).second)
      warnings.push_back(
          {"very-low", fmt::format("wire \"{}\" runs less than three radii from the soil's surface: its "
                                   "current is not even round the wire, which is not modelled",
                                   wire.name)});
  }
  if (surface != Surface::soil) return;
  check_ends_on_soil(structure, network);
  check_gaps_at_surface(structure);
}

void check_return(const Structure& structure, const Network& network) {
  for (const Port& port : structure.ports)
    if (!has_return(port, network))
      throw Error(
          ErrorKind::geometry,
          fmt::format("port \"{}\" sits at a free end of wire \"{}\": the current has nowhere to "
                      "return: add a radial, a stake, or the outside of the coax",
                      port.name, structure.wires[static_cast<std::size_t>(port.spans.front().wire)].name),
          port.place);
}

void check_overlapping_ports(const Structure& structure) {
  for (std::size_t i = 0; i < structure.ports.size(); ++i)
    for (std::size_t j = i + 1; j < structure.ports.size(); ++j)
      for (const Span& a : structure.ports[i].spans)
        for (const Span& b : structure.ports[j].spans)
          if (a.wire == b.wire && std::max(a.from, b.from) < std::min(a.to, b.to) - 1e-12)
            throw Error(ErrorKind::geometry,
                        fmt::format("ports \"{}\" and \"{}\" overlap on wire \"{}\"; move one of them",
                                    structure.ports[i].name, structure.ports[j].name,
                                    structure.wires[static_cast<std::size_t>(a.wire)].name),
                        structure.ports[j].place);
}

}  // namespace

bool has_return(const Port& port, const Network& network) {
  const auto is_free = [&](int index) {
    const Node& node = network.nodes[static_cast<std::size_t>(index)];
    return node.arms.size() == 1 && !node.grounded;
  };
  return std::none_of(network.pieces.begin(), network.pieces.end(), [&](const Piece& piece) {
    const double middle = 0.5 * (piece.from + piece.to);
    const bool inside = std::any_of(port.spans.begin(), port.spans.end(), [&](const Span& span) {
      return span.wire == piece.wire && span.from <= middle && middle <= span.to;
    });
    return inside && (is_free(piece.node[0]) || is_free(piece.node[1]));
  });
}

core::Warnings check_validity(const Structure& structure, const Network& network, Surface surface,
                              double wavelength) {
  core::Warnings warnings;
  for (const Wire& wire : structure.wires)
    if (wire.radius > kThick * wavelength)
      warnings.push_back(
          {"thick-wire", fmt::format("wire \"{}\" has a radius above a hundredth of the wavelength: the "
                                     "current is not even round the wire, which is not modelled",
                                     wire.name)});
  if (surface != Surface::none) check_surface(structure, network, surface, warnings);
  PairCheck(structure, network, warnings).run();
  check_return(structure, network);
  check_overlapping_ports(structure);
  return warnings;
}

}  // namespace feldspar::geometry
