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

/// Length of a leg whose axis is less than `height` above z = 0.
double length_below(const Leg& leg, double height) {
  const double low = std::min(leg.start.z(), leg.end.z());
  const double high = std::max(leg.start.z(), leg.end.z());
  const double total = (leg.end - leg.start).norm();
  if (high <= height) return total;
  if (low >= height) return 0.0;
  return total * (height - low) / (high - low);
}

void check_surface(const Structure& structure, const Network& network, Surface surface,
                   core::Warnings& warnings) {
  const char* ground = surface == Surface::perfect ? "perfect ground" : "the ground's surface";
  std::set<int> low;
  for (const Leg& leg : network.legs) {
    const Wire& wire = structure.wires[static_cast<std::size_t>(leg.wire)];
    const double lowest = std::min(leg.start.z(), leg.end.z());
    const double radius = outer_radius(wire);
    if (lowest < -1e-9 * length(wire))
      throw Error(
          ErrorKind::geometry,
          fmt::format("wire \"{}\" goes below {}, down to z = {:.4g} m; buried wires are not supported yet: "
                      "keep every wire above z = 0",
                      wire.name, ground, lowest),
          wire.place);
    if (length_below(leg, radius * (1.0 - 1e-9)) > kLyingAllowance * radius)
      throw Error(
          ErrorKind::geometry,
          fmt::format(
              "wire \"{}\" lies in {}: more than ten radii of it are lower than its own radius of "
              "{:.3g} mm; raise its axis to bare_soil (2 mm), mown_grass (20 mm) or long_grass (50 mm)",
              wire.name, ground, radius * 1e3),
          wire.place);
    if (surface == Surface::soil && length_below(leg, kLow * radius) > kLyingAllowance * radius &&
        low.insert(leg.wire).second)
      warnings.push_back(
          {"very-low", fmt::format("wire \"{}\" runs less than three radii above the soil: its current "
                                   "is not even round the wire, which is not modelled",
                                   wire.name)});
  }
  if (surface != Surface::soil) return;
  for (const Node& node : network.nodes)
    for (const Arm& arm : node.arms) {
      const Wire& wire =
          structure.wires[static_cast<std::size_t>(network.pieces[static_cast<std::size_t>(arm.piece)].wire)];
      if (node.at.z() < 1e-6 * wire.radius)
        throw Error(
            ErrorKind::geometry,
            fmt::format("wire \"{}\" has a point at {} on real ground with nothing that goes on below; wires "
                        "through the surface are not supported yet: raise the point, or use perfect ground",
                        wire.name, at(node.at)),
            wire.place);
    }
}

/// A gap whose outer edge is a free end drives a current that can go nowhere.
void check_return(const Structure& structure, const Network& network) {
  for (const Port& port : structure.ports)
    for (const Piece& piece : network.pieces)
      for (const Span& span : port.spans) {
        const double middle = 0.5 * (piece.from + piece.to);
        if (span.wire != piece.wire || middle < span.from || middle > span.to) continue;
        for (const int node_index : piece.node) {
          const Node& node = network.nodes[static_cast<std::size_t>(node_index)];
          if (node.arms.size() == 1 && !node.grounded)
            throw Error(
                ErrorKind::geometry,
                fmt::format(
                    "port \"{}\" sits at a free end of wire \"{}\": the current has nowhere to return: "
                    "add a radial, a stake, or the outside of the coax",
                    port.name, structure.wires[static_cast<std::size_t>(span.wire)].name),
                port.place);
        }
      }
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
