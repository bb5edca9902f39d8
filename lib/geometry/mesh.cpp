#include "geometry/mesh.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>

namespace feldspar::geometry {

namespace {

/// First element length and growth at one end of a piece; length 0 = nothing to grade for.
struct Grading {
  double first = 0.0;
  double growth = 2.0;
};

bool straight_through(const Network& network, const Node& node, const Structure& structure) {
  if (node.arms.size() != 2 || node.grounded) return false;
  const Piece& a = network.pieces[static_cast<std::size_t>(node.arms[0].piece)];
  const Piece& b = network.pieces[static_cast<std::size_t>(node.arms[1].piece)];
  const double ra = structure.wires[static_cast<std::size_t>(a.wire)].radius;
  const double rb = structure.wires[static_cast<std::size_t>(b.wire)].radius;
  if (std::abs(ra - rb) > 1e-9 * ra) return false;
  const Vec3 ta = (a.end - a.start).normalized() * (node.arms[0].end == 0 ? 1.0 : -1.0);
  const Vec3 tb = (b.end - b.start).normalized() * (node.arms[1].end == 0 ? 1.0 : -1.0);
  return (ta + tb).norm() < 1e-6;
}

Grading grading_at(const Network& network, const Structure& structure, const Piece& piece, int end,
                   const MeshRule& rule, double radius) {
  const Node& node = network.nodes[static_cast<std::size_t>(piece.node[end])];
  if (node.span_edge) return {rule.gap * radius, rule.growth};
  if (node.grounded) return {rule.junction * radius, rule.growth};
  if (node.arms.size() == 1) return {rule.free_end * radius, rule.growth_end};
  if (straight_through(network, node, structure)) return {0.0, 2.0};
  return {rule.junction * radius, rule.growth};
}

/// Lengths from one end: first, first*growth, ... while they fit into `room` and stay below `longest`.
std::vector<double> graded(const Grading& grading, double room, double longest) {
  std::vector<double> lengths;
  double h = grading.first;
  double used = 0.0;
  while (h > 0.0 && h < 0.7 * longest && used + h * (1.0 + 0.5 * grading.growth) < room) {
    lengths.push_back(h);
    used += h;
    h *= grading.growth;
  }
  return lengths;
}

std::vector<double> element_lengths(double total, const Grading& left, const Grading& right, double longest) {
  const double room_left = left.first > 0.0 ? (right.first > 0.0 ? 0.5 * total : total) : 0.0;
  const double room_right = right.first > 0.0 ? (left.first > 0.0 ? 0.5 * total : total) : 0.0;
  std::vector<double> lengths = graded(left, room_left, longest);
  std::vector<double> tail = graded(right, room_right, longest);
  double rest = total;
  for (const double h : lengths) rest -= h;
  for (const double h : tail) rest -= h;
  const int count = std::max(1, static_cast<int>(std::ceil(rest / longest - 1e-9)));
  lengths.insert(lengths.end(), static_cast<std::size_t>(count), rest / count);
  lengths.insert(lengths.end(), tail.rbegin(), tail.rend());
  return lengths;
}

bool inside_span(const Structure& structure, const Piece& piece) {
  const double middle = 0.5 * (piece.from + piece.to);
  const auto covers = [&](const std::vector<Span>& spans) {
    return std::any_of(spans.begin(), spans.end(), [&](const Span& span) {
      return span.wire == piece.wire && span.from < middle && middle < span.to;
    });
  };
  return std::any_of(structure.ports.begin(), structure.ports.end(), [&](const Port& p) { return covers(p.spans); }) ||
         std::any_of(structure.inserts.begin(), structure.inserts.end(),
                     [&](const Insert& i) { return covers(i.spans); });
}

void mark_joined(const Network& network, Mesh& mesh) {
  const std::size_t n = network.legs.size();
  mesh.joined.assign(n * n, 0);
  mesh.joined_at_ground.assign(n * n, 0);
  std::vector<std::vector<int>> legs_at(network.nodes.size());
  for (std::size_t i = 0; i < n; ++i) {
    mesh.joined[i * n + i] = 1;
    for (const int node : network.legs[i].nodes) legs_at[static_cast<std::size_t>(node)].push_back(static_cast<int>(i));
  }
  for (std::size_t node = 0; node < legs_at.size(); ++node)
    for (const int i : legs_at[node])
      for (const int j : legs_at[node]) {
        const std::size_t at = static_cast<std::size_t>(i) * n + static_cast<std::size_t>(j);
        mesh.joined[at] = 1;
        if (network.nodes[node].grounded) mesh.joined_at_ground[at] = 1;
      }
}

}  // namespace

MeshRule draft_mesh() {
  MeshRule rule;
  rule.growth_end = 10.0;
  rule.growth = 12.0;
  rule.graded_order = 2;
  return rule;
}

MeshRule normal_mesh() { return {}; }

MeshRule fine_mesh() {
  MeshRule rule;
  rule.free_end = 0.3;
  rule.gap = 0.5;
  rule.junction = 1.0;
  rule.growth_end = 3.0;
  rule.growth = 3.0;
  rule.graded_order = 4;
  rule.gap_order = 4;
  rule.order_per_wave = 10.0;
  return rule;
}

Mesh make_mesh(const Structure& structure, const Network& network, const MeshRule& rule, double wavelength) {
  Mesh mesh;
  mesh.legs = network.legs;
  mark_joined(network, mesh);
  mesh.nodes.resize(network.nodes.size());
  for (std::size_t i = 0; i < network.nodes.size(); ++i) mesh.nodes[i].grounded = network.nodes[i].grounded;
  for (const Piece& piece : network.pieces) {
    const double radius = structure.wires[static_cast<std::size_t>(piece.wire)].radius;
    const double total = piece.to - piece.from;
    const bool span = inside_span(structure, piece);
    const double longest = rule.longest * wavelength;
    const std::vector<double> lengths =
        span ? std::vector<double>(static_cast<std::size_t>(std::max(1, static_cast<int>(std::ceil(total / longest)))),
                                   total / std::max(1.0, std::ceil(total / longest)))
             : element_lengths(total, grading_at(network, structure, piece, 0, rule, radius),
                               grading_at(network, structure, piece, 1, rule, radius), longest);
    double s = 0.0;
    int previous = piece.node[0];
    for (std::size_t i = 0; i < lengths.size(); ++i) {
      const bool last = i + 1 == lengths.size();
      Element element;
      element.start = piece.start + (piece.end - piece.start) * (s / total);
      s = last ? total : s + lengths[i];
      element.end = last ? piece.end : Vec3(piece.start + (piece.end - piece.start) * (s / total));
      element.radius = radius;
      element.wire = piece.wire;
      element.leg = piece.leg;
      element.from = piece.from + s - lengths[i];
      element.to = piece.from + s;
      const int base = span ? rule.gap_order : rule.graded_order;
      element.order = base + rule.extra_order +
                      static_cast<int>(std::lround(rule.order_per_wave * lengths[i] / wavelength));
      int node = piece.node[1];
      if (!last) {
        node = static_cast<int>(mesh.nodes.size());
        mesh.nodes.push_back({});
      }
      element.node[0] = previous;
      element.node[1] = node;
      const int index = static_cast<int>(mesh.elements.size());
      mesh.nodes[static_cast<std::size_t>(previous)].arms.push_back({index, 0});
      mesh.nodes[static_cast<std::size_t>(node)].arms.push_back({index, 1});
      mesh.elements.push_back(element);
      previous = node;
    }
  }
  return mesh;
}

int unknowns(const Mesh& mesh) {
  int count = 0;
  for (const Element& element : mesh.elements) count += element.order - 1;
  for (const MeshNode& node : mesh.nodes)
    if (!node.arms.empty()) count += static_cast<int>(node.arms.size()) - (node.grounded ? 0 : 1);
  return count;
}

}  // namespace feldspar::geometry
