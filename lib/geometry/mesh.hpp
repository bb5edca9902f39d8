#pragma once

#include <cstddef>
#include <vector>

#include "geometry/network.hpp"

/// Elements with their lengths and polynomial orders, chosen from electrical length and surroundings.
namespace feldspar::geometry {

/// What a mesh is made for. Lengths at features are in wire radii: that is the scale on which charge crowds.
inline constexpr int kLargestOrder = 15;

struct MeshRule {
  double free_end = 0.5;   ///< first element at a free end / radius
  double gap = 3.0;        ///< first element outside a feed gap / radius
  double insert = 10.0;    ///< first element outside an insert / radius
  double junction = 30.0;  ///< first element at a junction, bend, radius step or ground contact / radius
  double echo = 2.0;       ///< first element where another wire's feature is near / distance of that feature
  double growth = 5.0;     ///< ratio of neighbouring lengths, unless the numbers below run out
  int most_end = 3;        ///< graded elements at a free end, at most; then they grow faster
  int most_gap = 2;        ///< the same on each side of a feed gap
  int most_insert = 1;     ///< the same on each side of an insert
  int most_junction = 1;   ///< the same on each arm at a junction, bend, radius step or ground contact
  int most_surface = 0;    ///< the same on both sides where a straight wire passes through the surface
  int most_echo = 1;       ///< the same on each side of such a place
  double longest = 1.0;    ///< longest element / wavelength
  int graded_order = 3;    ///< order of short elements
  int end_order = 2;       ///< order of the outermost elements at a free end
  int gap_order = 2;       ///< order inside a gap or insert
  double order_offset = 2.8;    ///< order of long elements: this ...
  double order_per_wave = 6.5;  ///< ... plus so much per wavelength of element length
  int extra_order = 0;          ///< added to every order; orders stay at or below kLargestOrder
};

[[nodiscard]] MeshRule draft_mesh();
[[nodiscard]] MeshRule normal_mesh();
[[nodiscard]] MeshRule fine_mesh();

/// A straight element with a polynomial current.
struct Element {
  Vec3 start;
  Vec3 end;
  double radius = 0.0;
  int wire = 0;
  int leg = 0;
  double from = 0.0;  ///< arc length on the wire, m
  double to = 0.0;
  int order = 1;         ///< polynomial degree of the current, >= 1
  int node[2] = {0, 0};  ///< index into Mesh::nodes at start and end
  [[nodiscard]] double length() const { return to - from; }
};

/// Element that ends at a node.
struct ElementEnd {
  int element = 0;
  int end = 0;  ///< 0 start, 1 end
};

struct MeshNode {
  std::vector<ElementEnd> arms;
  bool grounded = false;
};

struct Mesh {
  std::vector<Element> elements;
  std::vector<MeshNode> nodes;
  std::vector<Leg> legs;
  /// joined[i * legs.size() + j]: legs i and j are the same or share a node.
  std::vector<char> joined;
  /// Legs i and j meet at a point that is joined to perfect ground or lies on the soil's surface (so one
  /// meets the other's image).
  std::vector<char> joined_at_ground;
};

/// Free waves.
struct Wavelengths {
  double air = 0.0;          ///< m
  double soil = 0.0;         ///< m, 2 pi / Re k1; 0 without soil
  double soil_fading = 0.0;  ///< Np/m, -Im k1
};

/// Elements follow the wavelength of the medium they lie in. Over soil low wires get shorter ones, for waves
/// on them are slow.
[[nodiscard]] Mesh make_mesh(const Structure& structure, const Network& network, const MeshRule& rule,
                             const Wavelengths& wavelengths);

/// Calls visit(element, sign) for every element whose middle lies in a span, with the span's sign. The edges
/// of gaps and inserts are edges of elements, so that an element lies in one wholly or not at all.
template <class Visit>
void for_elements_in(const Mesh& mesh, const std::vector<Span>& spans, const Visit& visit) {
  for (std::size_t e = 0; e < mesh.elements.size(); ++e) {
    const Element& element = mesh.elements[e];
    const double middle = 0.5 * (element.from + element.to);
    for (const Span& span : spans)
      if (span.wire == element.wire && span.from < middle && middle < span.to) visit(e, span.sign);
  }
}

/// Number of unknown currents: Kirchhoff's law at nodes taken out, bubbles counted.
[[nodiscard]] int unknowns(const Mesh& mesh);

}  // namespace feldspar::geometry
