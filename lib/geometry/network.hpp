#pragma once

#include <vector>

#include "geometry/wire.hpp"

/// Which wire ends meet where: the structure as straight pieces between nodes.
namespace feldspar::geometry {

/// What lies at z = 0.
enum class Surface { none, perfect, soil };

/// A straight stretch of one wire between two neighbouring nodes.
struct Piece {
  int wire = 0;
  double from = 0.0;  ///< arc length on the wire, m
  double to = 0.0;
  Vec3 start;
  Vec3 end;
  int node[2] = {0, 0};  ///< at `start` and `end`
  int leg = 0;           ///< the straight segment of the wire's path it belongs to
};

/// A piece that ends at a node; `end` 0 = its start, 1 = its end.
struct Arm {
  int piece = 0;
  int end = 0;
};

struct Node {
  Vec3 at;
  std::vector<Arm> arms;
  bool grounded = false;     ///< joined to its image in perfect ground
  bool at_surface = false;   ///< on the soil's surface, z = 0: a wire passes through
  bool gap_edge = false;     ///< edge of a feed gap
  bool insert_edge = false;  ///< edge of an insert
};

/// A straight segment of a wire's path; two legs that share a node, or one leg and itself, are `joined`.
struct Leg {
  int wire = 0;
  Vec3 start;
  Vec3 end;
  std::vector<int> nodes;  ///< of all its pieces
};

struct Network {
  std::vector<Piece> pieces;
  std::vector<Node> nodes;
  std::vector<Leg> legs;
};

/// Cuts the wires at path points, at the edges of gaps and inserts and where they pass through soil's
/// surface, and joins what meets: an end within the larger radius of another wire's end or path point. On
/// perfect ground ends at z = 0 are joined to their images.
/// @throws Error{geometry} for spans outside their wire or too short, wires without length or radius
[[nodiscard]] Network make_network(const Structure& structure, Surface surface);

/// Number of wires (legs) that end freely.
[[nodiscard]] int free_ends(const Network& network);

}  // namespace feldspar::geometry
