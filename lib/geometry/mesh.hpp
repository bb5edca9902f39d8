#pragma once

#include <vector>

#include "geometry/network.hpp"

/// Elements with their lengths and polynomial orders, chosen from electrical length and surroundings.
namespace feldspar::geometry {

/// What a mesh is made for. Lengths at features are in wire radii: that is the scale on which charge crowds.
struct MeshRule {
  double free_end = 1.0;        ///< first element at a free end / radius
  double gap = 4.0;             ///< first element outside a gap's edge / radius
  double junction = 8.0;        ///< first element at a junction, bend or radius step / radius
  double growth_end = 6.0;      ///< ratio of neighbouring lengths at free ends
  double growth = 8.0;          ///< the same elsewhere
  double longest = 0.25;        ///< longest element / wavelength
  int graded_order = 3;         ///< order of the shortest elements
  int gap_order = 2;            ///< order inside a gap or insert
  double order_per_wave = 8.0;  ///< added order per wavelength of element length
  int extra_order = 0;          ///< added to every order
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
  /// Legs i and j meet at a point that is joined to perfect ground (so one meets the other's image).
  std::vector<char> joined_at_ground;
};

[[nodiscard]] Mesh make_mesh(const Structure& structure, const Network& network, const MeshRule& rule,
                             double wavelength);

/// Number of unknown currents: Kirchhoff's law at nodes taken out, bubbles counted.
[[nodiscard]] int unknowns(const Mesh& mesh);

}  // namespace feldspar::geometry
