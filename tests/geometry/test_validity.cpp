#include "geometry/validity.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <limits>
#include <string>
#include <vector>

#include "wires.hpp"

// The rows are the list of what the program promises to refuse and to flag (docs of the geometry rules).

namespace feldspar::geometry {

namespace {

using testing::wire;

constexpr double kPi = 3.14159265358979;

core::Warnings validate(const Structure& structure, Surface surface, double wavelength = 40.0) {
  return check_validity(structure, make_network(structure, surface), surface, wavelength);
}

std::string codes(const core::Warnings& warnings) {
  std::string all;
  for (const core::Warning& warning : warnings) all += (all.empty() ? "" : " ") + warning.code;
  return all;
}

Structure of(std::vector<Wire> wires) {
  return {std::move(wires), {}, {}};
}

Structure with_ports(Structure structure, std::vector<Port> ports) {
  structure.ports = std::move(ports);
  return structure;
}

Wire coated(Wire w, double thickness) {
  w.coat = {thickness, 2.3};
  return w;
}

/// A whip with radials from one hub.
Structure whip_with_radials(int count, double height, double radial_radius = 5e-4) {
  Structure structure = of({wire("whip", {{0, 0, height}, {0, 0, height + 5.1}}, 3e-3)});
  for (int i = 0; i < count; ++i) {
    const double angle = 2.0 * kPi * i / count;
    structure.wires.push_back(
        wire("radial", {{0, 0, height}, {5 * std::cos(angle), 5 * std::sin(angle), height}}, radial_radius));
  }
  return with_ports(structure, {{"feed", {{0, 0.0, 0.01, 1}}, {}}});
}

}  // namespace

TEST_CASE("check_validity: what is refused, with both wires, and what to do") {
  struct Row {
    const char* what;
    Structure structure;
    Surface surface;
    std::vector<std::string> words;
  };
  constexpr double r = 1e-3;
  const Wire level = wire("level", {{0, 0, 5}, {4, 0, 5}}, r);
  const Wire mast = wire("mast", {{0, 0, 0.1}, {0, 0, 5}}, r);
  const std::vector<std::string> both = {"\"level\"", "\"other\"", "add a point there", "move them"};
  const Row table[] = {
      {"wires that cross", of({level, wire("other", {{2, -1, 5}, {2, 1, 5}}, r)}), Surface::none, both},
      {"wires that cross at an angle in space", of({level, wire("other", {{1, -1, 4}, {3, 1, 6}}, r)}),
       Surface::none, both},
      {"wires that touch: axes less than two radii apart",
       of({level, wire("other", {{2, -1, 5 + 1.99 * r}, {2, 1, 5 + 1.99 * r}}, r)}), Surface::none, both},
      {"an end on the middle of another wire", of({level, wire("other", {{2, 0, 5}, {2, 0, 9}}, r)}),
       Surface::none, both},
      {"coats that touch",
       of({coated(level, r), coated(wire("other", {{2, -1, 5 + 3.9 * r}, {2, 1, 5 + 3.9 * r}}, r), r)}),
       Surface::none, both},
      {"parallel wires that overlap", of({level, wire("other", {{1, r, 5}, {3, r, 5}}, r)}), Surface::none,
       both},
      {"collinear wires that overlap", of({level, wire("other", {{3, 0, 5}, {7, 0, 5}}, r)}), Surface::none,
       both},
      {"the same wire twice",
       of({level, wire("other", {{0, 0, 5}, {4, 0, 5}}, r)}),
       Surface::none,
       {"\"level\"", "\"other\"", "overlap", "remove one"}},
      {"overlapping from the same joint",
       of({level, wire("other", {{0, 0, 5}, {2, 0, 5}}, r)}),
       Surface::none,
       {"\"level\"", "\"other\"", "overlap", "different directions", "remove one"}},
      {"nearly the same direction from the same joint",
       of({level, wire("other", {{0, 0, 5}, {2, 0.5 * r, 5}}, r)}),
       Surface::none,
       {"\"level\"", "\"other\"", "overlap", "different directions"}},
      {"a wire that crosses itself",
       of({wire("knot", {{0, 0, 5}, {4, 0, 5}, {4, 4, 5}, {2, -2, 5}}, r)}),
       Surface::none,
       {"two parts of wire \"knot\"", "add a point there"}},
      {"a wire folded back onto itself",
       of({wire("fold", {{0, 0, 5}, {4, 0, 5}, {1, 0, 5}}, r)}),
       Surface::none,
       {"two parts of wire \"fold\"", "overlap"}},

      {"below perfect ground",
       of({wire("stake", {{0, 0, -1}, {0, 0, 5}}, r)}),
       Surface::perfect,
       {"\"stake\"", "-1 m", "above z = 0"}},
      {"below perfect ground by several points: the lowest is named",
       of({wire("stake", {{0, 0, 0.1}, {0, 0, -0.05}, {0, 0, -0.35}}, r)}),
       Surface::perfect,
       {"\"stake\"", "-0.35 m"}},
      {"wholly below perfect ground",
       of({mast, wire("buried", {{1, 0, -0.1}, {9, 0, -0.1}}, r)}),
       Surface::perfect,
       {"\"buried\"", "above z = 0"}},
      {"lying in the surface from below",
       of({wire("radial", {{0, 0, -0.9 * r}, {5, 0, -0.9 * r}}, r)}),
       Surface::soil,
       {"\"radial\"", "ten radii", "on the soil", "in the grass", "buried"}},
      {"passing through the surface too flat",
       of({wire("slope", {{0, 0, 8 * r}, {5, 0, -12 * r}}, r)}),
       Surface::soil,
       {"\"slope\"", "ten radii", "on the soil"}},
      {"lying in the surface of soil",
       of({wire("radial", {{0, 0, 0.9 * r}, {5, 0, 0.9 * r}}, r)}),
       Surface::soil,
       {"\"radial\"", "ten radii", "bare_soil", "mown_grass", "buried"}},
      {"its coat in the surface",
       of({coated(wire("radial", {{0, 0, 1.5 * r}, {5, 0, 1.5 * r}}, r), r)}),
       Surface::soil,
       {"\"radial\"", "ten radii", "on the soil"}},
      {"lying in perfect ground",
       of({wire("radial", {{0, 0, 0}, {5, 0, 0}}, r)}),
       Surface::perfect,
       {"\"radial\"", "perfect ground", "on the soil"}},
      {"sloping into the surface",
       of({wire("slope", {{0, 0, 0.5 * r}, {5, 0, 20 * r}}, r)}),
       Surface::soil,
       {"\"slope\"", "ten radii"}},
      {"an end at z = 0 on real soil",
       of({wire("whip", {{0, 0, 0}, {0, 0, 5}}, r)}),
       Surface::soil,
       {"\"whip\"", "real ground", "stake", "raise the point"}},
      {"an end at z = 0 turned round",
       of({wire("whip", {{0, 0, 5}, {0, 0, 0}}, r)}),
       Surface::soil,
       {"\"whip\"", "real ground", "stake", "raise the point"}},
      {"a bend at z = 0 on real soil",
       of({wire("vee", {{-2, 0, 3}, {0, 0, 0}, {2, 0, 3}}, r)}),
       Surface::soil,
       {"\"vee\"", "real ground", "stake", "raise the point"}},

      {"a port half in the soil",
       with_ports(of({wire("whip", {{0, 0, -1}, {0, 0, 4}}, r)}), {{"feed", {{0, 0.99, 1.02, 1}}, {}}}),
       Surface::soil,
       {"\"feed\"", "across the ground's surface", "-10 mm", "20 mm", "move it"}},
      {"port at the start, a free end",
       with_ports(of({level}), {{"feed", {{0, 0, 0.01, 1}}, {}}}),
       Surface::none,
       {"\"feed\"", "\"level\"", "nowhere to return", "add a radial"}},
      {"port at the end, a free end",
       with_ports(of({level}), {{"feed", {{0, 3.99, 4, 1}}, {}}}),
       Surface::soil,
       {"\"feed\"", "\"level\"", "nowhere to return", "add a radial"}},
      {"overlapping ports",
       with_ports(of({level}), {{"left", {{0, 1.0, 1.02, 1}}, {}}, {"right", {{0, 1.01, 1.03, 1}}, {}}}),
       Surface::none,
       {"\"left\"", "\"right\"", "\"level\"", "move one"}},
      {"the same port twice",
       with_ports(of({level}), {{"left", {{0, 1.0, 1.02, 1}}, {}}, {"right", {{0, 1.0, 1.02, 1}}, {}}}),
       Surface::none,
       {"\"left\"", "\"right\"", "\"level\"", "move one"}},
  };
  for (const Row& row : table) {
    CAPTURE(row.what);
    testing::check_refused([&] { (void)validate(row.structure, row.surface); }, row.words);
  }
}

TEST_CASE("check_validity: the message says where wires cross and how far apart they are") {
  const Structure s =
      of({wire("a", {{0, 0, 5}, {4, 0, 5}}, 1e-3), wire("b", {{2.5, -1, 5.0015}, {2.5, 1, 5.0015}}, 1e-3)});
  testing::check_refused([&] { (void)validate(s, Surface::none); },
                         {"(2.5, 0, 5) m", "1.5 mm", "2 mm apart"});
}

TEST_CASE("check_validity: what is flagged, and what is not") {
  struct Row {
    const char* what;
    Structure structure;
    Surface surface;
    double wavelength;
    const char* codes;
  };
  constexpr double r = 1e-3;
  const Wire level = wire("level", {{0, 0, 5}, {4, 0, 5}}, r);
  const auto beside = [&](double distance) {
    return wire("beside", {{0, distance, 5}, {4, distance, 5}}, r);
  };
  const auto lying = [&](double height) { return of({wire("lying", {{0, 0, height}, {5, 0, height}}, r)}); };
  const auto hook = [&](double length) {  // a short part that turns back by 150 degrees
    return of({wire(
        "hook", {{0, 0, 5}, {4, 0, 5}, {4 - length * std::cos(kPi / 6), length * std::sin(kPi / 6), 5}}, r)});
  };
  const auto loop =
      of({wire("sides", {{0, 0, 2}, {5, 0, 10}, {10, 0, 2}}, r), wire("base", {{10, 0, 2}, {0, 0, 2}}, r)});
  const Row table[] = {
      {"radius above a hundredth of the wavelength", of({level}), Surface::none, 0.099, "thick-wire"},
      {"radius below it", of({level}), Surface::none, 0.101, ""},
      {"parallel within ten radii", of({level, beside(9.9 * r)}), Surface::none, 40, "proximity"},
      {"parallel beyond ten radii", of({level, beside(10.1 * r)}), Surface::none, 40, ""},
      {"ten radii of the thicker one", of({level, wire("tube", {{0, 0.09, 5}, {4, 0.09, 5}}, 0.01)}),
       Surface::none, 40, "proximity"},
      {"crossing at right angles within ten radii",
       of({level, wire("across", {{2, -1, 5.009}, {2, 1, 5.009}}, r)}), Surface::none, 40, ""},
      {"1 m apart", of({level, beside(1.0)}), Surface::soil, 40, ""},
      {"less than three radii above soil", lying(2.9 * r), Surface::soil, 40, "very-low"},
      {"more than three radii above soil", lying(3.1 * r), Surface::soil, 40, ""},
      {"less than three radii above z = 0 in free space", lying(2.9 * r), Surface::none, 40, ""},
      {"a whip's foot is low, but short", of({wire("whip", {{0, 0, 1.5 * r}, {0, 0, 5}}, r)}), Surface::soil,
       40, ""},
      {"an acute bend with a part of four radii", hook(4.5 * r), Surface::none, 40, "sharp-bend"},
      {"an acute bend with a part of six radii", hook(6.0 * r), Surface::none, 40, ""},
      {"a right angle with a short part", of({wire("l", {{0, 0, 5}, {4, 0, 5}, {4, 3 * r, 5}}, r)}),
       Surface::none, 40, ""},
      {"inverted vee, 60 degrees between its legs",
       of({wire("vee", {{-5, 0, 2}, {0, 0, 10.66}, {5, 0, 2}}, r)}), Surface::soil, 40, ""},
      {"120 radials from one hub", whip_with_radials(120, 0.02), Surface::soil, 40, ""},
      {"four radials on bare soil", whip_with_radials(4, 0.002), Surface::soil, 40, ""},
      {"a closed loop of two wires", loop, Surface::soil, 80, ""},
      {"a port in a loop", with_ports(loop, {{"feed", {{1, 0.0, 0.01, 1}}, {}}}), Surface::soil, 80, ""},
      {"a vertical on perfect ground, fed at its foot",
       with_ports(of({wire("mast", {{0, 0, 0}, {0, 0, 5}}, r)}), {{"feed", {{0, 0, 0.01, 1}}, {}}}),
       Surface::perfect, 40, ""},
      {"ports side by side",
       with_ports(of({level}), {{"left", {{0, 1.0, 1.01, 1}}, {}}, {"right", {{0, 1.01, 1.02, 1}}, {}}}),
       Surface::none, 40, ""},
      {"a stake through the soil", of({wire("stake", {{0, 0, -1}, {0, 0, 5}}, r)}), Surface::soil, 40, ""},
      {"a wire wholly in the soil", of({wire("buried", {{1, 0, -0.1}, {9, 0, -0.1}}, r)}), Surface::soil, 40,
       ""},
      {"less than three radii below the surface", lying(-2.9 * r), Surface::soil, 40, "very-low"},
      {"a bend at the surface that goes on below",
       of({wire("slope", {{-3, 0, 3}, {0, 0, 0}, {0, 0, -1}}, r)}), Surface::soil, 40, ""},
      {"a stake's top flush with the surface", of({wire("stake", {{0, 0, 0}, {0, 0, -1}}, r)}), Surface::soil,
       40, ""},
      {"z below zero in free space", of({wire("mast", {{0, 0, -5}, {0, 0, 5}}, r)}), Surface::none, 40, ""},
  };
  for (const Row& row : table) {
    CAPTURE(row.what);
    std::string found;
    CHECK_NOTHROW(found = codes(validate(row.structure, row.surface, row.wavelength)));
    CHECK(found == row.codes);
  }
}

TEST_CASE("check_validity: warnings name the wires, once for each pair or wire") {
  constexpr double r = 1e-3;
  // two bent wires side by side: four pairs of legs, one warning
  const Structure s = of({wire("inner", {{0, 0, 5}, {4, 0, 5}, {4, 4, 5}}, r),
                          wire("outer", {{0, -0.008, 5}, {4.008, -0.008, 5}, {4.008, 4, 5}}, r)});
  const core::Warnings warnings = validate(s, Surface::none);
  REQUIRE(codes(warnings) == "proximity");
  CHECK(warnings[0].text.find("\"inner\" and \"outer\"") != std::string::npos);
  CHECK(warnings[0].text.find("8 mm") != std::string::npos);

  const core::Warnings low =
      validate(of({wire("lying", {{0, 0, 0.002}, {2, 0, 0.002}, {2, 2, 0.002}}, r)}), Surface::soil);
  REQUIRE(codes(low) == "very-low");
  CHECK(low[0].text.find("\"lying\"") != std::string::npos);
}

}  // namespace feldspar::geometry
