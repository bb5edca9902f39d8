#include "geometry/network.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <functional>
#include <limits>
#include <string>

#include "wires.hpp"

namespace feldspar::geometry {

namespace {

using testing::wire;

/// Number of nodes at which different wires meet.
int junctions(const Network& network) {
  int count = 0;
  for (const Node& node : network.nodes) {
    bool several = false;
    for (const Arm& arm : node.arms)
      several = several || network.pieces[static_cast<std::size_t>(arm.piece)].wire !=
                               network.pieces[static_cast<std::size_t>(node.arms[0].piece)].wire;
    count += several ? 1 : 0;
  }
  return count;
}

/// Laws of every network: pieces tile their wires, and nodes and pieces point at each other.
void check_consistent(const Structure& structure, const Network& network) {
  for (std::size_t w = 0; w < structure.wires.size(); ++w) {
    double reached = 0.0;
    int previous = -1;
    for (const Piece& piece : network.pieces) {
      if (piece.wire != static_cast<int>(w)) continue;
      CHECK(piece.from == reached);
      CHECK(piece.to > piece.from);
      CHECK((piece.end - piece.start).norm() == doctest::Approx(piece.to - piece.from).epsilon(1e-12));
      CHECK((piece.start - point_at(structure.wires[w], piece.from)).norm() <= 1e-12);
      CHECK((piece.end - point_at(structure.wires[w], piece.to)).norm() <= 1e-12);
      if (previous >= 0) CHECK(piece.node[0] == previous);
      previous = piece.node[1];
      reached = piece.to;
    }
    CHECK(reached == doctest::Approx(length(structure.wires[w])).epsilon(1e-14));
  }
  std::size_t arms = 0;
  for (std::size_t n = 0; n < network.nodes.size(); ++n)
    for (const Arm& arm : network.nodes[n].arms) {
      CHECK(network.pieces[static_cast<std::size_t>(arm.piece)].node[arm.end] == static_cast<int>(n));
      ++arms;
    }
  CHECK(arms == 2 * network.pieces.size());
}

}  // namespace

TEST_CASE("make_network: what is joined and what is not") {
  struct Row {
    const char* what;
    Wire a;
    Wire b;
    int junctions;
    int free_ends;
  };
  constexpr double r = 1e-3;
  const Wire level = wire("level", {{0, 0, 5}, {4, 0, 5}}, r);
  const Wire bent = wire("bent", {{-2, 0, 5}, {0, 0, 5}, {0, 2, 5}}, r);
  const Row table[] = {
      {"end on end", level, wire("b", {{4, 0, 5}, {4, 0, 9}}, r), 1, 2},
      {"start on end, other way round", wire("b", {{4, 0, 9}, {4, 0, 5}}, r), level, 1, 2},
      {"within the radius", level, wire("b", {{4 + 0.999 * r, 0, 5}, {4 + 0.999 * r, 0, 9}}, r), 1, 2},
      {"just beyond the radius", level, wire("b", {{4 + 1.001 * r, 0, 5}, {4 + 1.001 * r, 0, 9}}, r), 0, 4},
      {"within the larger radius, the other's", level, wire("b", {{4, 0.0099, 5}, {4, 0.0099, 9}}, 0.01), 1,
       2},
      {"within the larger radius, its own", wire("a", {{0, 0, 5}, {4, 0, 5}}, 0.01),
       wire("b", {{4, 0.0099, 5}, {4, 0.0099, 9}}, r), 1, 2},
      {"the smaller radius does not reach", level, wire("b", {{4, 0.0101, 5}, {4, 0.0101, 9}}, 0.01), 0, 4},
      {"end on an inner point", bent, wire("b", {{0, 0, 5}, {0, 0, 9}}, r), 1, 3},
      {"end on an inner point, order turned", wire("b", {{0, 0, 5}, {0, 0, 9}}, r), bent, 1, 3},
      {"end on the middle of a leg, no point there", level, wire("b", {{2, 0, 5}, {2, 0, 9}}, r), 0, 4},
      {"two inner points on each other", bent, wire("b", {{0, 0, 8}, {0, 0, 5}, {0, -2, 3}}, r), 0, 4},
      {"both ends on both ends", level, wire("b", {{0, 0, 5}, {2, 0, 8}, {4, 0, 5}}, r), 2, 0},
      {"far apart", level, wire("b", {{0, 0, 9}, {4, 0, 9}}, r), 0, 4},
  };
  for (const Row& row : table) {
    CAPTURE(row.what);
    const Structure structure{{row.a, row.b}, {}, {}};
    const Network network = make_network(structure, Surface::none);
    check_consistent(structure, network);
    CHECK(junctions(network) == row.junctions);
    CHECK(free_ends(network) == row.free_ends);
  }
}

TEST_CASE("make_network: a wire that ends where it begins is closed") {
  const Structure structure{{wire("loop", {{0, 0, 5}, {3, 0, 5}, {0, 3, 5}, {0, 0, 5}}, 1e-3)}, {}, {}};
  const Network network = make_network(structure, Surface::none);
  check_consistent(structure, network);
  CHECK(network.nodes.size() == 3);
  CHECK(free_ends(network) == 0);
}

TEST_CASE("make_network: many wires share one node") {
  Structure structure;
  for (int i = 0; i < 120; ++i) {
    const double angle = 2.0 * 3.14159265358979 * i / 120;
    structure.wires.push_back(
        wire("radial", {{0, 0, 0.02}, {5 * std::cos(angle), 5 * std::sin(angle), 0.02}}, 5e-4));
  }
  const Network network = make_network(structure, Surface::none);
  check_consistent(structure, network);
  CHECK(network.nodes.size() == 121);
  CHECK(network.nodes[0].arms.size() == 120);
  CHECK(free_ends(network) == 120);
}

TEST_CASE("make_network: spans cut the wire and mark their edges") {
  struct Row {
    const char* what;
    Span span;
    std::size_t pieces;
    std::size_t edges;   ///< nodes that are an edge of the span
    std::size_t inside;  ///< pieces inside the span
  };
  // an L of 4 m + 3 m: its bend is at 4 m
  const Wire l = wire("l", {{0, 0, 5}, {4, 0, 5}, {4, 3, 5}}, 1e-3);
  const Row table[] = {
      {"in a leg", {0, 1.0, 1.1, 1}, 4, 2, 1},
      {"from the start", {0, 0.0, 0.1, 1}, 3, 2, 1},
      {"up to the end", {0, 6.9, 7.0, 1}, 3, 2, 1},
      {"a hair beyond the end is the end", {0, 6.9, 7.0 * (1 + 5e-10), 1}, 3, 2, 1},
      {"up to the bend", {0, 3.9, 4.0, 1}, 3, 2, 1},
      {"astride the bend", {0, 3.95, 4.05, 1}, 4, 2, 2},
      {"the whole wire", {0, 0.0, 7.0, 1}, 2, 2, 2},
  };
  for (const Row& row : table)
    for (const bool port : {true, false}) {
      CAPTURE(row.what);
      CAPTURE(port);
      Structure structure{{l}, {}, {}};
      if (port) {
        structure.ports.push_back({"feed", {row.span}, {}});
      } else {
        Insert coil;
        coil.name = "coil";
        coil.spans = {row.span};
        structure.inserts.push_back(coil);
      }
      const Network network = make_network(structure, Surface::none);
      check_consistent(structure, network);
      CHECK(network.pieces.size() == row.pieces);
      std::size_t edges = 0;
      for (const Node& node : network.nodes) {
        CHECK_FALSE((port ? node.insert_edge : node.gap_edge));
        edges += (port ? node.gap_edge : node.insert_edge) ? 1 : 0;
      }
      CHECK(edges == row.edges);
      std::size_t inside = 0;
      double covered = 0.0;
      for (const Piece& piece : network.pieces)
        if (piece.from >= row.span.from - 1e-8 && piece.to <= row.span.to + 1e-8) {
          ++inside;
          covered += piece.to - piece.from;
        }
      CHECK(inside == row.inside);
      CHECK(covered == doctest::Approx(row.span.to - row.span.from).epsilon(1e-7));
    }
}

TEST_CASE("make_network: legs are the straight parts, however they are cut") {
  Structure structure{{wire("l", {{0, 0, 5}, {4, 0, 5}, {4, 3, 5}}, 1e-3)}, {}, {}};
  structure.ports.push_back({"feed", {{0, 1.0, 1.1, 1}}, {}});
  const Network network = make_network(structure, Surface::none);
  REQUIRE(network.legs.size() == 2);
  CHECK(network.legs[0].nodes.size() == 4);
  CHECK(network.legs[1].nodes.size() == 2);
  for (const Piece& piece : network.pieces) CHECK(piece.leg == (piece.to <= 4.0 ? 0 : 1));
}

TEST_CASE("make_network: ends on perfect ground") {
  struct Row {
    const char* what;
    double z;
    bool perfect;
    bool grounded;
  };
  for (const Row& row :
       {Row{"at z = 0 on perfect ground", 0.0, true, true}, Row{"rounding", 1e-12, true, true},
        Row{"1 mm above", 1e-3, true, false}, Row{"no perfect ground", 0.0, false, false}}) {
    CAPTURE(row.what);
    const Structure structure{{wire("mast", {{0, 0, row.z}, {0, 0, 10}}, 0.01)}, {}, {}};
    const Network network = make_network(structure, row.perfect ? Surface::perfect : Surface::none);
    CHECK(network.nodes[0].grounded == row.grounded);
    CHECK_FALSE(network.nodes[1].grounded);
    CHECK(free_ends(network) == (row.grounded ? 1 : 2));
  }
}

TEST_CASE("make_network: what is refused, with the name of the culprit") {
  struct Row {
    const char* what;
    std::function<void(Structure&)> spoil;
    const char* name;
    const char* word;
  };
  constexpr double nan = std::numeric_limits<double>::quiet_NaN();
  const auto coil = [](Span span) {
    Insert insert;
    insert.name = "loading coil";
    insert.spans = {span};
    return insert;
  };
  const Row table[] = {
      {"zero radius", [](Structure& s) { s.wires[1].radius = 0.0; }, "\"stay\"", "diameter above zero"},
      {"negative radius", [](Structure& s) { s.wires[1].radius = -1e-3; }, "\"stay\"", "diameter above zero"},
      {"radius not a number", [](Structure& s) { s.wires[1].radius = nan; }, "\"stay\"",
       "diameter above zero"},
      {"infinite radius", [](Structure& s) { s.wires[1].radius = 1.0 / 0.0; }, "\"stay\"",
       "diameter above zero"},
      {"zero length", [](Structure& s) { s.wires[1].path[1] = s.wires[1].path[0]; }, "\"stay\"",
       "zero length"},
      {"a part as short as its radius", [](Structure& s) { s.wires[1].path.emplace_back(4, 0, 1 + 0.9e-3); },
       "\"stay\"", "shorter than"},
      {"a wire shorter than the radius of the one it stands on",
       [](Structure& s) {
         s.wires[1].path = {{0, 0, 5}, {0, 0.009, 5}};
       },
       "\"stay\"", "shorter than"},
      {"one point only", [](Structure& s) { s.wires[1].path.pop_back(); }, "\"stay\"", "two or more points"},
      {"no point", [](Structure& s) { s.wires[1].path.clear(); }, "\"stay\"", "two or more points"},
      {"a point not a number", [](Structure& s) { s.wires[1].path[1].z() = nan; }, "\"stay\"",
       "not a number"},
      {"port beyond the end",
       [](Structure& s) {
         s.ports[0].spans[0] = {0, 3.9, 4.1, 1};
       },
       "\"feed\"", "does not fit on wire \"mast\""},
      {"port before the start",
       [](Structure& s) {
         s.ports[0].spans[0] = {0, -0.1, 0.1, 1};
       },
       "\"feed\"", "does not fit on wire \"mast\""},
      {"empty gap",
       [](Structure& s) {
         s.ports[0].spans[0] = {0, 1.0, 1.0, 1};
       },
       "\"feed\"", "does not fit on wire \"mast\""},
      {"gap of a nanometre",
       [](Structure& s) {
         s.ports[0].spans[0] = {0, 1.0, 1.0 + 1e-9, 1};
       },
       "\"feed\"", "too short"},
      {"gap turned round",
       [](Structure& s) {
         s.ports[0].spans[0] = {0, 1.1, 1.0, 1};
       },
       "\"feed\"", "does not fit on wire \"mast\""},
      {"gap not a number",
       [](Structure& s) {
         s.ports[0].spans[0] = {0, 1.0, nan, 1};
       },
       "\"feed\"", "does not fit on wire \"mast\""},
      {"port on no wire", [](Structure& s) { s.ports[0].spans[0].wire = 7; }, "\"feed\"", "does not exist"},
      {"port on wire -1", [](Structure& s) { s.ports[0].spans[0].wire = -1; }, "\"feed\"", "does not exist"},
      {"insert beyond the end",
       [&](Structure& s) {
         s.inserts = {coil({1, 2.9, 3.5, 1})};
       },
       "\"loading coil\"", "does not fit on wire \"stay\""},
  };
  for (const Row& row : table) {
    CAPTURE(row.what);
    Structure structure{
        {wire("mast", {{0, 0, 1}, {0, 0, 5}}, 0.01), wire("stay", {{1, 0, 1}, {4, 0, 1}}, 1e-3)},
        {{"feed", {{0, 1.0, 1.1, 1}}, {}}},
        {}};
    CHECK_NOTHROW((void)make_network(structure, Surface::none));
    row.spoil(structure);
    testing::check_refused([&] { (void)make_network(structure, Surface::none); }, {row.name, row.word});
  }
}

}  // namespace feldspar::geometry
