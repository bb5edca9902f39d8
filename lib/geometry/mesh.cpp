#include "geometry/mesh.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <limits>

namespace feldspar::geometry {

namespace {

/// First element length and growth at one end of a piece; length 0 = nothing to grade for.
struct Grading {
  double first = 0.0;
  double growth = 2.0;
  int most = 0;  ///< largest number of graded elements
  bool free_end = false;
};

/// An element to be: its length, and whether the low order of free ends is enough.
struct Part {
  double length = 0.0;
  bool low_order = false;
  bool quiet = false;  ///< where a current fed at the ends has died away
};
using Parts = std::vector<Part>;

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

constexpr double kLongEnough = 0.22;  // length over wavelength from which a wire can afford one element more

/// The gap in this wire with this edge has a thicker wire on its other side, a stake for example.
bool fed_on_thicker(const Network& network, const Structure& structure, const Piece& piece,
                    const Node& edge) {
  const auto radius = [&](const Arm& arm) {
    const Piece& owner = network.pieces[static_cast<std::size_t>(arm.piece)];
    return structure.wires[static_cast<std::size_t>(owner.wire)].radius;
  };
  const double own = structure.wires[static_cast<std::size_t>(piece.wire)].radius;
  return std::any_of(edge.arms.begin(), edge.arms.end(), [&](const Arm& arm) {
    const Piece& gap = network.pieces[static_cast<std::size_t>(arm.piece)];
    if (&gap == &piece || gap.wire != piece.wire) return false;
    const Node& other = network.nodes[static_cast<std::size_t>(gap.node[1 - arm.end])];
    return std::any_of(other.arms.begin(), other.arms.end(),
                       [&](const Arm& beyond) { return radius(beyond) > 1.5 * own; });
  });
}

Grading grading_at(const Network& network, const Structure& structure, const Piece& piece, int end,
                   const MeshRule& rule, double radius, double wavelength) {
  const Node& node = network.nodes[static_cast<std::size_t>(piece.node[end])];
  const double total = piece.to - piece.from;
  if (node.gap_edge) {
    // The same for a gap in a long thin wire next to a thicker one, where more charge crowds.
    constexpr double kThinAtGap = 1000.0;
    const double first = rule.gap * radius;
    const bool more = total > kThinAtGap * first && total > kLongEnough * wavelength &&
                      fed_on_thicker(network, structure, piece, node);
    return {first, rule.growth, rule.most_gap + (more ? 1 : 0)};
  }
  if (node.insert_edge) return {rule.insert * radius, rule.growth, rule.most_insert};
  if (node.grounded) return {rule.junction * radius, rule.growth, rule.most_junction};
  if (node.arms.size() == 1) {
    // A wire so thin that each of the usual elements would be over 30 times its neighbour gets one more,
    // where the wire is long enough in wavelengths to afford it.
    constexpr double kVeryThin = 35000.0;
    const double first = rule.free_end * radius;
    const bool more = total > kVeryThin * first && total > kLongEnough * wavelength;
    return {first, rule.growth, rule.most_end + (more ? 1 : 0), true};
  }
  if (straight_through(network, node, structure))
    return node.at_surface ? Grading{rule.junction * radius, rule.growth, rule.most_surface} : Grading{};
  return {rule.junction * radius, rule.growth, rule.most_junction};
}

/// Number of graded elements between a feature and a middle element of length `middle`.
int steps(const Grading& grading, double middle) {
  if (grading.first <= 0.0 || middle <= grading.first) return 0;
  const double ratio = middle / grading.first;
  return std::min(grading.most,
                  static_cast<int>(std::ceil(std::log(ratio) / std::log(grading.growth) - 1e-9)));
}

/// Graded parts from a feature inwards: geometric, ending one ratio below `middle`. At a free end the
/// outermost has the low order; of four, the outer three: it keeps the unknowns of one free end nearly the
/// same.
Parts graded(const Grading& grading, double middle) {
  const int count = steps(grading, middle);
  const int low = grading.free_end ? (count > 3 ? 3 : 1) : 0;
  Parts parts;
  for (int i = 0; i < count; ++i)
    parts.push_back(
        {grading.first * std::pow(middle / grading.first, static_cast<double>(i) / count), i < low});
  return parts;
}

/// sum(graded(grading, middle)) without the parts.
double graded_length(const Grading& grading, double middle) {
  const int count = steps(grading, middle);
  if (count == 0) return 0.0;
  const double ratio = std::pow(middle / grading.first, 1.0 / count);
  double total = 0.0;
  double length = grading.first;
  for (int i = 0; i < count; ++i, length *= ratio) total += length;
  return total;
}

double sum(const Parts& parts) {
  double total = 0.0;
  for (const Part& part : parts) total += part.length;
  return total;
}

/// How a current varies along a piece, m.
struct Waves {
  double length = 0.0;                                     ///< wavelength
  double reach = std::numeric_limits<double>::infinity();  ///< distance in which it dies away
  double quiet = 0.0;                                      ///< wavelength of what is left beyond
};

/// `total` in equal elements of at most `longest`; in the middle of a long wire in a lossy soil, where only
/// slow changes in air drive it, longer ones.
Parts even_parts(double total, double longest, const Waves& waves) {
  const double near = std::ceil(waves.reach / longest) * longest;
  const double middle = total - 2.0 * near;
  if (!(middle > 2.0 * longest)) {
    const int count = std::max(1, static_cast<int>(std::ceil(total / longest - 1e-9)));
    return Parts(static_cast<std::size_t>(count), {total / count});
  }
  const auto sides = static_cast<std::size_t>(std::lround(near / longest));
  const int count = static_cast<int>(std::ceil(middle / (0.5 * waves.quiet) - 1e-9));
  Parts parts(sides, {longest});
  parts.insert(parts.end(), static_cast<std::size_t>(count), {middle / count, false, true});
  parts.insert(parts.end(), sides, {longest});
  return parts;
}

/// Parts of a stretch: graded from both ends towards equal elements in the middle. The middle length is found
/// so that everything fits, so a small change of a wire changes the mesh little.
Parts stretch_parts(double total, const Grading& left, const Grading& right, double longest,
                    const Waves& waves) {
  double low = 0.0;
  double high = total;
  for (int step = 0; step < 60; ++step) {
    const double middle = 0.5 * (low + high);
    (graded_length(left, middle) + graded_length(right, middle) + middle > total ? high : low) = middle;
  }
  const double middle = std::min(high, longest);
  Parts parts = graded(left, middle);
  const Parts tail = graded(right, middle);
  const double rest = total - sum(parts) - sum(tail);
  if (rest <=
      0.3 * middle) {  // at a jump of the count the parts may overfill the stretch: shrink them together
    if (parts.empty() && tail.empty()) return {{total, false}};
    parts.insert(parts.end(), tail.rbegin(), tail.rend());
    const double shrink = total / sum(parts);
    for (Part& part : parts) part.length *= shrink;
    return parts;
  }
  const Parts even = even_parts(rest, longest, waves);
  parts.insert(parts.end(), even.begin(), even.end());
  parts.insert(parts.end(), tail.rbegin(), tail.rend());
  return parts;
}

bool inside_span(const Structure& structure, const Piece& piece) {
  const double middle = 0.5 * (piece.from + piece.to);
  const auto covers = [&](const std::vector<Span>& spans) {
    return std::any_of(spans.begin(), spans.end(), [&](const Span& span) {
      return span.wire == piece.wire && span.from < middle && middle < span.to;
    });
  };
  return std::any_of(structure.ports.begin(), structure.ports.end(),
                     [&](const Port& p) { return covers(p.spans); }) ||
         std::any_of(structure.inserts.begin(), structure.inserts.end(),
                     [&](const Insert& i) { return covers(i.spans); });
}

/// A place on a piece that lies near a gap, end, bend or junction of another wire: charge gathers there as
/// well.
struct Echo {
  double at = 0.0;        ///< from the piece's start, m
  double distance = 0.0;  ///< of the feature, m
};

bool is_feature(const Network& network, const Structure& structure, const Node& node) {
  return node.gap_edge || node.insert_edge || node.grounded || !straight_through(network, node, structure);
}

/// Echoes that are close against the piece's length and not covered by the grading of its own ends.
std::vector<Echo> echoes_on(const Network& network, const Piece& piece, const std::vector<int>& features) {
  constexpr double kNear = 0.25;    // of the piece's length: farther features act evenly on it
  constexpr double kCovered = 1.5;  // of the feature's distance: nearer to an end than that is graded already
  constexpr std::size_t kMost = 8;
  const double total = piece.to - piece.from;
  const Vec3 along = (piece.end - piece.start) / total;
  std::vector<Echo> found;
  for (const int index : features) {
    const Vec3 apart = network.nodes[static_cast<std::size_t>(index)].at - piece.start;
    const double at = apart.dot(along);
    const double distance = (apart - at * along).norm();
    if (distance > kNear * total || distance < 1e-9 * total) continue;
    if (at < kCovered * distance || total - at < kCovered * distance) continue;
    found.push_back({at, distance});
  }
  std::sort(found.begin(), found.end(), [](const Echo& a, const Echo& b) {
    return a.distance < b.distance || (a.distance == b.distance && a.at < b.at);
  });
  std::vector<Echo> kept;
  for (const Echo& echo : found) {
    const bool near_other = std::any_of(kept.begin(), kept.end(), [&](const Echo& other) {
      return std::abs(other.at - echo.at) < kCovered * echo.distance;
    });
    if (!near_other && kept.size() < kMost) kept.push_back(echo);
  }
  std::sort(kept.begin(), kept.end(), [](const Echo& a, const Echo& b) { return a.at < b.at; });
  return kept;
}

/// Parts of a whole piece, cut at its echoes.
Parts piece_parts(const Network& network, const Structure& structure, const Piece& piece,
                  const std::vector<int>& features, const MeshRule& rule, const Waves& waves) {
  const double wavelength = waves.length;
  const double longest = rule.longest * wavelength;
  const double radius = structure.wires[static_cast<std::size_t>(piece.wire)].radius;
  Parts parts;
  Grading left = grading_at(network, structure, piece, 0, rule, radius, wavelength);
  double from = 0.0;
  for (const Echo& echo : echoes_on(network, piece, features)) {
    const Grading there{rule.echo * echo.distance, rule.growth, rule.most_echo};
    const Parts part = stretch_parts(echo.at - from, left, there, longest, waves);
    parts.insert(parts.end(), part.begin(), part.end());
    left = there;
    from = echo.at;
  }
  const Grading right = grading_at(network, structure, piece, 1, rule, radius, wavelength);
  const Parts part = stretch_parts(piece.to - piece.from - from, left, right, longest, waves);
  parts.insert(parts.end(), part.begin(), part.end());
  return parts;
}

/// Gaps and inserts of a few radii are one element; longer ones are graded inside as well.
bool is_short_span(const Structure& structure, const Piece& piece) {
  constexpr double kShort = 8.0;  // radii
  const double radius = structure.wires[static_cast<std::size_t>(piece.wire)].radius;
  return piece.to - piece.from <= kShort * radius * (1.0 + 1e-9) && inside_span(structure, piece);
}

void mark_joined(const Network& network, Mesh& mesh) {
  const std::size_t n = network.legs.size();
  mesh.joined.assign(n * n, 0);
  mesh.joined_at_ground.assign(n * n, 0);
  std::vector<std::vector<int>> legs_at(network.nodes.size());
  for (std::size_t i = 0; i < n; ++i) {
    mesh.joined[i * n + i] = 1;
    for (const int node : network.legs[i].nodes)
      legs_at[static_cast<std::size_t>(node)].push_back(static_cast<int>(i));
  }
  for (std::size_t node = 0; node < legs_at.size(); ++node)
    for (const int i : legs_at[node])
      for (const int j : legs_at[node]) {
        const std::size_t at = static_cast<std::size_t>(i) * n + static_cast<std::size_t>(j);
        mesh.joined[at] = 1;
        if (network.nodes[node].grounded || network.nodes[node].at_surface) mesh.joined_at_ground[at] = 1;
      }
}

/// Velocity of a wave on a bare wire low over average soil against light, by height over wavelength: about
/// 0.6, 0.7, 0.85 at 1e-4, 5e-4, 3e-3, and 1 from 0.02 up. A rough fit to the thin-wire mode equation
/// [wait1972], good enough to choose elements by; it must depend on the ratio alone, or scaled models would
/// get other meshes.
double velocity_factor(const Piece& piece, double wavelength) {
  const double height = std::max(piece.start.z(), piece.end.z()) / wavelength;
  return height > 0.0 ? std::clamp(0.6 + 0.17 * std::log10(height / 1.2e-4), 0.45, 1.0) : 0.45;
}

Waves waves_along(const Structure& structure, const Piece& piece, const Wavelengths& wavelengths) {
  if (wavelengths.soil <= 0.0) return {wavelengths.air};
  if (piece.start.z() + piece.end.z() >= 0.0)
    return {wavelengths.air * velocity_factor(piece, wavelengths.air)};
  // Insulation keeps the wave from the soil; the factor is for thin coats in salt water, the slowest.
  constexpr double kSlowestCoated = 8.0;
  if (structure.wires[static_cast<std::size_t>(piece.wire)].coat.thickness > 0.0)
    return {std::max(wavelengths.soil, wavelengths.air / kSlowestCoated)};
  // Bare wires close below the surface fade by at least 0.7 Im k1 (sqrt((1 + n^2) / 2) at the surface
  // itself).
  constexpr double kFaded = 12.0;  // neper
  return {wavelengths.soil, kFaded / (0.7 * wavelengths.soil_fading), wavelengths.air};
}

int order_for(const MeshRule& rule, const Part& part, bool span, double wavelength) {
  const int base = span ? rule.gap_order : (part.low_order ? rule.end_order : rule.graded_order);
  const double offset = span || part.low_order ? 0.0 : rule.order_offset;
  const double waves = offset + rule.order_per_wave * part.length / wavelength;
  return std::min(kLargestOrder, std::max(base, static_cast<int>(std::lround(waves))) + rule.extra_order);
}

}  // namespace

MeshRule draft_mesh() {
  MeshRule rule;
  rule.graded_order = 2;
  rule.order_offset = 2.0;
  return rule;
}

MeshRule normal_mesh() {
  return {};
}

MeshRule fine_mesh() {
  MeshRule rule;
  rule.free_end = 0.3;
  rule.gap = 0.5;
  rule.insert = 1.0;
  rule.junction = 2.0;
  rule.echo = 1.0;
  rule.growth = 3.5;
  rule.most_end = 20;
  rule.most_gap = 20;
  rule.most_insert = 20;
  rule.most_junction = 20;
  rule.most_surface = 20;
  rule.most_echo = 20;
  rule.longest = 0.3;
  rule.graded_order = 4;
  rule.gap_order = 4;
  rule.end_order = 4;
  rule.order_offset = 4.0;
  rule.order_per_wave = 10.0;
  return rule;
}

Mesh make_mesh(const Structure& structure, const Network& network, const MeshRule& rule,
               const Wavelengths& wavelengths) {
  Mesh mesh;
  mesh.legs = network.legs;
  mark_joined(network, mesh);
  mesh.nodes.resize(network.nodes.size());
  for (std::size_t i = 0; i < network.nodes.size(); ++i) mesh.nodes[i].grounded = network.nodes[i].grounded;
  std::vector<int> features;
  for (std::size_t i = 0; i < network.nodes.size(); ++i)
    if (is_feature(network, structure, network.nodes[i])) features.push_back(static_cast<int>(i));
  for (const Piece& piece : network.pieces) {
    const double radius = structure.wires[static_cast<std::size_t>(piece.wire)].radius;
    const double total = piece.to - piece.from;
    const bool span = is_short_span(structure, piece);
    const Waves waves = waves_along(structure, piece, wavelengths);
    const Parts parts =
        span ? Parts{{total, false}} : piece_parts(network, structure, piece, features, rule, waves);
    double s = 0.0;
    int previous = piece.node[0];
    for (std::size_t i = 0; i < parts.size(); ++i) {
      const bool last = i + 1 == parts.size();
      const double start = s;
      s = last ? total : s + parts[i].length;
      Element element;
      element.start = piece.start + (piece.end - piece.start) * (start / total);
      element.end = last ? piece.end : Vec3(piece.start + (piece.end - piece.start) * (s / total));
      element.radius = radius;
      element.wire = piece.wire;
      element.leg = piece.leg;
      element.from = piece.from + start;
      element.to = piece.from + s;
      element.order = order_for(rule, parts[i], span, parts[i].quiet ? waves.quiet : waves.length);
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
