#include <doctest/doctest.h>

#include <cmath>
#include <functional>
#include <random>

#include "circuit/line_types.hpp"
#include "geometry/validity.hpp"
#include "io/document.hpp"
#include "model_text.hpp"

namespace feldspar {

namespace {

using geometry::Vec3;
using model::LineEnd;
using test::Complaint;

/// A wire fed at its foot with nothing else there, over average soil: eleven lines.
const std::string kHead = R"([[wires]]
name     = "slope"
path     = [["0 m", "0 m", "1 m"], ["0 m", "0 m", "11 m"]]
diameter = "1 mm"
[port]
wire     = "slope"
position = "start"
[[feed.parts]]
kind   = "line"
type   = "RG-58"
length = "10 m"
)";
const std::string kLevel =
    "outside = { path = [[\"8 m\", \"0 m\", \"1 m\"]], end = \"open\" }\n";  // 8 m, line 12
const std::string kBends =
    "outside = { path = [[\"0 m\", \"0 m\", \"0.02 m\"], [\"-5 m\", \"0 m\", \"0.02 m\"], [\"-5 m\", \"2 "
    "m\", "
    "\"0.02 m\"]], end = \"open\" }\n";  // 0.98 + 5 + 2 m

model::Model load(const std::string& text, const std::vector<model::Setting>& settings = {}) {
  const auto file = [](const std::string& path) -> std::string {
    if (path == "choke.s1p") return "# MHz S RI R 50\n7 0.5 0\n8 0.5 0.1\n";
    if (path == "power.s1p") return "# MHz S RI R 50\n7 1.5 0\n8 0.5 0.1\n";
    if (path == "short.s1p") return "# MHz S RI R 50\n7 0.5\n";
    throw core::Error(core::ErrorKind::usage, "the file cannot be opened", {"folder/" + path, 0, 0, {}});
  };
  return model::Family(io::parse_document(text, "mine.toml"), "mine", file).instantiate(settings);
}

std::string choke(const std::string& keys) {
  return "[[feed.parts]]\nkind = \"choke\"\n" + keys + "\n";
}
std::string perfect_at(const std::string& distance) {
  return choke("impedance = \"perfect\"\ndistance = \"" + distance + "\"");
}
std::string choke_at(const std::string& distance) {
  return choke("impedance = [\"2 kohm\", \"500 ohm\"]\ndistance = \"" + distance + "\"");
}

std::string replaced(std::string text, const std::string& old, const std::string& written) {
  const std::size_t at = text.find(old);
  REQUIRE(at != std::string::npos);
  return text.replace(at, old.size(), written);
}

const geometry::Wire& wire_at(const model::Model& model, int index) {
  return model.structure.wires.at(static_cast<std::size_t>(index));
}
std::vector<geometry::Wire> braid(const model::Model& model) {
  std::vector<geometry::Wire> wires;
  for (const int index : model.outside.value().wires) wires.push_back(wire_at(model, index));
  return wires;
}
geometry::Span choke_span(const model::Model& model, std::size_t i = 0) {
  return model.structure.inserts.at(static_cast<std::size_t>(model.outside.value().chokes.at(i))).spans.at(0);
}
const geometry::Insert& choke_insert(const model::Model& model, std::size_t i = 0) {
  return model.structure.inserts.at(static_cast<std::size_t>(model.outside.value().chokes.at(i)));
}

bool near(const Vec3& a, const Vec3& b, double within = 1e-9) {
  return (a - b).norm() <= within;
}

/// Everything the solver asks of the wires, the mesh's beginnings included. @throws core::Error
geometry::Network checked(const model::Model& model) {
  const geometry::Surface surface = model.ground.kind == media::GroundKind::real ? geometry::Surface::soil
                                    : model.ground.kind == media::GroundKind::perfect
                                        ? geometry::Surface::perfect
                                        : geometry::Surface::none;
  geometry::Network network = geometry::make_network(model.structure, surface);
  (void)geometry::check_validity(model.structure, network, surface, 21.0);
  return network;
}

/// Whether a wire ends or has a path point in a node of the network where another wire does too.
bool joined(const geometry::Network& network, int a, int b) {
  for (const geometry::Node& node : network.nodes) {
    bool has_a = false, has_b = false;
    for (const geometry::Arm& arm : node.arms) {
      const int wire = network.pieces[static_cast<std::size_t>(arm.piece)].wire;
      has_a = has_a || wire == a;
      has_b = has_b || wire == b;
    }
    if (has_a && has_b) return true;
  }
  return false;
}

}  // namespace

TEST_CASE("outside: without it nothing is laid") {
  const model::Model model = load(kHead);
  CHECK_FALSE(model.outside);
  CHECK(model.structure.wires.size() == 1);
  CHECK_THROWS_WITH_AS((void)checked(model), doctest::Contains("nowhere to return"), core::Error);
}

TEST_CASE("outside: the braid is a wire from the feed point on") {
  const model::Model model = load(kHead + kBends);
  REQUIRE(model.outside);
  CHECK(model.outside->part == 0);
  CHECK(model.outside->end == LineEnd::open);
  CHECK_FALSE(model.outside->floating);
  CHECK(model.outside->wires == std::vector<int>{1});
  CHECK(model.outside->end_wires.empty());
  CHECK(model.outside->chokes.empty());
  const geometry::Wire wire = braid(model).at(0);
  CHECK(wire.name == "braid");
  REQUIRE(wire.path.size() == 4);
  CHECK(near(wire.path[0], {0, 0, 1}));
  CHECK(near(wire.path[1], {0, 0, 0.02}));
  CHECK(near(wire.path[3], {-5, 2, 0.02}));
  CHECK(wire.radius == 0.5 * circuit::line_type("RG-58")->braid_diameter);
  CHECK(wire.coat.thickness == 0.0);
  CHECK(wire.conductor.conductivity > 5e7);
  CHECK(wire.place.line == 12);
  CHECK(joined(checked(model), 0, 1));
  // A first point at the feed point is no second one.
  const model::Model same = load(replaced(kHead + kBends, "[\"0 m\", \"0 m\", \"0.02 m\"]",
                                          "[\"0 m\", \"0 m\", \"1 m\"], [\"0 m\", \"0 m\", \"0.02 m\"]"));
  CHECK(braid(same).at(0).path == wire.path);
}

TEST_CASE("outside: no wire of the model may bear the names of what is laid") {
  for (const std::string name : {"braid", "operator", "radio stake"}) {
    CAPTURE(name);
    const std::string text =
        replaced(replaced(kHead, "\"slope\"", '"' + name + '"'), "\"slope\"", '"' + name + '"');
    CHECK_NOTHROW((void)load(text));
    CHECK_THROWS_WITH_AS((void)load(text + kLevel), doctest::Contains("give that wire another name"),
                         core::Error);
  }
}

TEST_CASE("outside: its own keys") {
  const model::Model model = load(kHead + replaced(kLevel, "end = \"open\"",
                                                   "end = \"open\", diameter = \"6 mm\", insulation = { "
                                                   "thickness = \"1 mm\", permittivity = 3.2 }"));
  CHECK(braid(model).at(0).radius == doctest::Approx(3e-3));
  CHECK(braid(model).at(0).coat.thickness == doctest::Approx(1e-3));
  CHECK(braid(model).at(0).coat.relative_permittivity == 3.2);
  const std::string numbers =
      replaced(kHead, "type   = \"RG-58\"", "z0 = 50\nvelocity_factor = 0.66\nattenuation = \"5 dB/100 m\"");
  CHECK(braid(load(numbers + kLevel)).at(0).radius == doctest::Approx(2.5e-3));  // where no type tells
}

TEST_CASE("outside: what hangs at the radio") {
  const auto with_end = [](const std::string& keys, const std::string& ground = "") {
    return load(kHead + replaced(kLevel, "end = \"open\"", keys) + ground);
  };
  const Vec3 radio{8, 0, 1};
  SUBCASE("a stake of 1 m and 10 mm, or of a stated length") {
    const model::Model model = with_end("end = \"earthed\"");
    CHECK(model.outside->end == LineEnd::earthed);
    const geometry::Wire stake = wire_at(model, model.outside->end_wires.at(0));
    CHECK(near(stake.path.front(), radio));
    CHECK(near(stake.path.back(), {8, 0, -1}));
    CHECK(stake.name == "radio stake");
    CHECK(stake.radius == doctest::Approx(5e-3));
    CHECK(model.structure.inserts.empty());
    CHECK(joined(checked(model), 1, model.outside->end_wires.at(0)));
    const model::Model deep = with_end("end = \"earthed\", stake = \"2 m\"");
    CHECK(near(wire_at(deep, deep.outside->end_wires.at(0)).path.back(), {8, 0, -2}));
  }
  SUBCASE("an impedance to the stake") {
    const model::Model model = with_end("end = \"earthed\", earth_impedance = [\"30 ohm\", \"12 ohm\"]");
    const geometry::Insert& insert = model.structure.inserts.at(0);
    CHECK(insert.law(core::Frequency{7e6}) == std::complex<double>{30, 12});
    CHECK(insert.spans.at(0).wire == model.outside->end_wires.at(0));
    CHECK(model.outside->chokes.empty());
    (void)checked(model);
  }
  SUBCASE("on perfect ground the earth is the ground itself") {
    const model::Model model = with_end("end = \"earthed\"", "[ground]\nsoil = \"perfect\"\n");
    CHECK(near(wire_at(model, model.outside->end_wires.at(0)).path.back(), {8, 0, 0}));
    (void)checked(model);
  }
  SUBCASE("the operator: 1.5 m, 50 mm thick") {
    const model::Model model = with_end("end = \"operator\"");
    CHECK(model.outside->end == LineEnd::operated);
    const geometry::Wire wire = wire_at(model, model.outside->end_wires.at(0));
    CHECK(near(wire.path.front(), radio));
    CHECK(near(wire.path.back(), {8, 0, 2.5}));
    CHECK(wire.name == "operator");
    CHECK(wire.radius == doctest::Approx(0.025));
    CHECK(joined(checked(model), 1, model.outside->end_wires.at(0)));
    const model::Model small = with_end("end = \"operator\", operator_length = \"40 cm\"");
    CHECK(near(wire_at(small, small.outside->end_wires.at(0)).path.back(), {8, 0, 1.4}));
  }
}

TEST_CASE("outside: stake and operator keep out of the way of a line that comes from below or above") {
  struct Row {
    const char* path;
    const char* end;
    std::vector<Vec3> wanted;  // of what hangs at the radio
  };
  const char* from_below =
      R"([["0 m", "0 m", "0.02 m"], ["-5 m", "0 m", "0.02 m"], ["-5 m", "0 m", "0.7 m"]])";
  const char* from_above = R"([["0 m", "3 m", "4 m"], ["0 m", "3 m", "0.7 m"]])";
  const char* slanting = R"([["0 m", "3 m", "4 m"], ["0 m", "6 m", "0.7 m"]])";
  const char* straight_down = R"([["0 m", "0 m", "0.2 m"]])";
  const Row rows[] = {
      {from_below, "earthed", {{-5, 0, 0.7}, {-5.3, 0, 0.7}, {-5.3, 0, -1}}},
      {from_below, "operator", {{-5, 0, 0.7}, {-5, 0, 2.2}}},
      {from_above, "earthed", {{0, 3, 0.7}, {0, 3, -1}}},
      {from_above, "operator", {{0, 3, 0.7}, {0, 3.3, 0.7}, {0, 3.3, 2.2}}},
      {slanting, "operator", {{0, 6, 0.7}, {0, 6, 2.2}}},
      {straight_down, "operator", {{0, 0, 0.2}, {0.3, 0, 0.2}, {0.3, 0, 1.7}}},
      {straight_down, "earthed", {{0, 0, 0.2}, {0, 0, -1}}},
  };
  for (const Row& row : rows) {
    CAPTURE(row.path);
    CAPTURE(row.end);
    const model::Model model =
        load(kHead + "outside = { path = " + row.path + ", end = \"" + row.end + "\" }\n");
    const geometry::Wire wire = wire_at(model, model.outside.value().end_wires.at(0));
    REQUIRE(wire.path.size() == row.wanted.size());
    for (std::size_t i = 0; i < wire.path.size(); ++i) CHECK(near(wire.path[i], row.wanted[i]));
    CHECK(joined(checked(model), 1, model.outside->end_wires[0]));
  }
}

TEST_CASE(
    "outside: it joins the side of the gap that faces the wire's start, and leaves other parts in place") {
  struct Row {
    const char* position;
    double z;  // where the braid begins; the wire runs up from z = 1 m, its gap is 1 mm
    std::size_t points;
  };
  for (const Row& row : {Row{"\"start\"", 1.0, 2}, Row{"\"end\"", 11.0, 2}, Row{"0.25", 3.4995, 3},
                         Row{"0.5", 5.9995, 3}, Row{"0.00005", 1.0, 2}, Row{"0.99995", 11.0, 2}}) {
    CAPTURE(row.position);
    const std::string parts =
        "[[inserts]]\nwire = \"slope\"\nposition = 0.8\nlength = \"10 cm\"\ninductance = \"3 uH\"\n";
    const std::string text =
        replaced(replaced(kHead + kLevel, "\"10 m\"", "\"20 m\""), "\"start\"", row.position) + parts;
    const model::Model model = load(text);
    const model::Model plain = load(replaced(text, kLevel, ""));
    CHECK(near(braid(model).at(0).path.front(), {0, 0, row.z}));
    CHECK(wire_at(model, 0).path.size() == row.points);
    CHECK(geometry::length(wire_at(model, 0)) == doctest::Approx(10.0).epsilon(1e-14));
    for (const auto& [found, wanted] :
         {std::pair{model.structure.ports[0].spans[0], plain.structure.ports[0].spans[0]},
          std::pair{model.structure.inserts[0].spans[0], plain.structure.inserts[0].spans[0]}}) {
      CHECK(found.wire == wanted.wire);
      CHECK(near(geometry::point_at(wire_at(model, 0), found.from),
                 geometry::point_at(wire_at(plain, 0), wanted.from)));
      CHECK(near(geometry::point_at(wire_at(model, 0), found.to),
                 geometry::point_at(wire_at(plain, 0), wanted.to)));
    }
    CHECK(joined(checked(model), 0, 1));
  }
}

TEST_CASE("outside: a gap at a bend is moved to begin there") {
  struct Row {
    const char* position;
    double from;  // the bend is at 5 m, the gap 1 mm long, the braid 3.5 mm thick
  };
  for (const char* slant : {"5 m", "2 m"})  // a right angle, and an acute one: 5 m long all the same
    for (const Row& row : {Row{"0.5", 5.0}, Row{"0.50005", 5.0}, Row{"0.49995", 5.0}, Row{"0.5005", 5.0},
                           Row{"0.5008", 5.0075}, Row{"0.499", 4.9895}, Row{"0.3", 2.9995}}) {
      CAPTURE(row.position);
      const std::string height = std::string(slant) == "5 m" ? "6 m" : "6 m - sqrt(21) * 1 m";
      const std::string bent = replaced(
          kHead + kLevel, "[\"0 m\", \"0 m\", \"11 m\"]",
          "[\"0 m\", \"0 m\", \"6 m\"], [\"0 m\", \"" + std::string(slant) + "\", \"" + height + "\"]");
      const model::Model model = load(replaced(bent, "\"start\"", row.position));
      const geometry::Span gap = model.structure.ports[0].spans[0];
      CHECK(std::abs(gap.from - row.from) < 1e-9);
      CHECK(std::abs(gap.to - gap.from - 1e-3) < 1e-12);
      CHECK(near(braid(model).at(0).path.front(), geometry::point_at(wire_at(model, 0), gap.from)));
      CHECK(geometry::length(wire_at(model, 0)) == doctest::Approx(10.0).epsilon(1e-14));
      CHECK(joined(checked(model), 0, 1));
    }
}

TEST_CASE("outside: it belongs to the first of several ports, and wires that are left out do not count") {
  const std::string text = R"([[wires]]
name     = "absent"
path     = [["0 m", "3 m", "1 m"], ["0 m", "3 m", "4 m"]]
diameter = "1 mm"
present  = false
[[wires]]
name     = "a"
path     = [["0 m", "0 m", "5 m"], ["0 m", "10 m", "5 m"]]
diameter = "1 mm"
[[wires]]
name     = "b"
path     = [["3 m", "0 m", "5 m"], ["3 m", "10 m", "5 m"]]
diameter = "1 mm"
[[ports]]
name     = "one"
wire     = "b"
position = 0.5
[[ports]]
name     = "two"
wire     = "a"
position = 0.5
[[feed.parts]]
kind    = "line"
type    = "RG-58"
length  = "10 m"
outside = { path = [["9 m", "5 m", "5 m"]], end = "open" }
)";
  const model::Model model = load(text);
  CHECK(model.structure.wires.size() == 3);
  CHECK(model.outside->wires == std::vector<int>{2});
  CHECK(near(braid(model).at(0).path.front(), {3, 4.9995, 5}));
  CHECK(wire_at(model, 0).path.size() == 2);
  CHECK(wire_at(model, 1).path.size() == 3);
  const geometry::Network network = checked(model);
  CHECK(joined(network, 1, 2));
  CHECK_FALSE(joined(network, 0, 2));
}

TEST_CASE("outside: a balun keeps the braid off the antenna's wires") {
  const std::string balun =
      "[[feed.parts]]\nkind = \"transformer\"\ntype = \"1:1\"\nconnection = \"balun\"\n";
  const auto before_line = [&](const std::string& part) {
    return replaced(kHead, "[[feed.parts]]\n", part + "[[feed.parts]]\n");
  };
  const model::Model model = load(before_line(balun) + kLevel);
  CHECK(model.outside->floating);
  CHECK(model.outside->part == 1);
  CHECK(near(braid(model).at(0).path.front(), {0.02, 0, 1}));
  CHECK_THROWS_WITH_AS((void)checked(model), doctest::Contains("nowhere to return"), core::Error);
  const model::Model dipole = load(replaced(before_line(balun) + kLevel, "\"start\"", "0.5"));
  CHECK_FALSE(joined(checked(dipole), 0, 1));
  const model::Model unun = load(before_line(replaced(balun, "\"balun\"", "\"un-un\"")) + kLevel);
  CHECK_FALSE(unun.outside->floating);
  CHECK(joined(checked(unun), 0, 1));
  const model::Model at_radio =
      load(kHead + kLevel + balun);  // behind the line: nothing to do with its outside
  CHECK_FALSE(at_radio.outside->floating);
  // A thick wire keeps its distance in proportion: ends within a radius would be joined.
  const model::Model thick = load(replaced(replaced(before_line(balun) + kLevel, "\"start\"", "0.5"),
                                           "diameter = \"1 mm\"", "diameter = \"60 mm\""));
  CHECK(near(braid(thick).at(0).path.front(), {0.06, 0, 1}, 5.0));
  CHECK_FALSE(joined(checked(thick), 0, 1));
}

TEST_CASE("chokes: each way to state one") {
  const model::Model one = load(kHead + kLevel + choke_at("3 m"));
  CHECK(one.feed.parts.size() == 1);  // a choke is none of the parts between port and radio
  REQUIRE(choke_insert(one).law);
  CHECK(choke_insert(one).law(core::Frequency{21e6}) == std::complex<double>{2000, 500});
  CHECK(choke_insert(one).name == "choke 1");
  CHECK(choke_insert(one).place.line == 13);

  const model::Model rlc = load(
      kHead + kLevel +
      choke("name = \"beads\"\nresistance = \"4 kohm\"\ninductance = \"30 uH\"\ncapacitance = \"2 pF\""));
  CHECK(choke_insert(rlc).name == "beads");
  CHECK(choke_insert(rlc).parallel);
  CHECK(choke_insert(rlc).resistance == doctest::Approx(4000));
  CHECK(std::abs(choke_insert(rlc).inductance - 30e-6) < 1e-15);
  CHECK(std::abs(choke_insert(rlc).capacitance - 2e-12) < 1e-20);

  const model::Model resistive = load(kHead + kLevel + choke("resistance = \"4 kohm\""));
  CHECK(choke_insert(resistive).inductance == 0.0);   // absent
  CHECK(choke_insert(resistive).capacitance == 0.0);  // absent: no short

  const model::Model file = load(kHead + kLevel + choke("touchstone = \"choke.s1p\"\ndistance = \"2 m\""));
  REQUIRE(choke_insert(file).law);
  CHECK(choke_insert(file).law_to == 8e6);
  CHECK(std::abs(choke_insert(file).law(core::Frequency{7e6}) - 150.0) < 1e-9);  // 50 (1 + 0.5)/(1 - 0.5)

  const model::Model none = load(kHead + kLevel + perfect_at("3 m"));
  CHECK(none.outside->chokes.empty());
  CHECK(none.outside->wires.size() == 2);
}

TEST_CASE("chokes: where they sit on the braid") {
  struct Row {
    const char* distance;
    const char* length;  // empty: as much as the braid is thick, 3.5 mm
    double from, to;     // m on the braid of 8 m
  };
  for (const Row& row :
       {Row{"3 m", "", 2.99825, 3.00175}, Row{"3 m", "30 cm", 2.85, 3.15}, Row{"0 m", "", 0.0, 0.0035},
        Row{"1 mm", "", 0.0, 0.0035}, Row{"0 m", "30 cm", 0.0, 0.3}, Row{"10 cm", "30 cm", 0.0, 0.3},
        Row{"8 m", "", 7.9965, 8.0}, Row{"7.9 m", "1 m", 7.0, 8.0}, Row{"4 m", "8 m", 0.0, 8.0}}) {
    CAPTURE(row.distance);
    CAPTURE(row.length);
    const std::string length = *row.length ? std::string("\nlength = \"") + row.length + "\"" : "";
    const model::Model model =
        load(kHead + kLevel +
             choke("resistance = \"4 kohm\"\ndistance = \"" + std::string(row.distance) + "\"" + length));
    const geometry::Span span = choke_span(model);
    CHECK(span.wire == 1);
    CHECK(std::abs(span.from - row.from) < 1e-12);
    CHECK(std::abs(span.to - row.to) < 1e-12);
    (void)checked(model);
  }
}

TEST_CASE("chokes: a perfect one takes 20 mm of braid away") {
  struct Row {
    std::string chokes;
    std::vector<std::pair<double, double>> pieces;  // x of both ends
  };
  const Row rows[] = {
      {perfect_at("3 m"), {{0, 2.99}, {3.01, 8}}},
      {perfect_at("3 m") + perfect_at("3 m"), {{0, 2.99}, {3.01, 8}}},
      {perfect_at("3 m") + perfect_at("3.01 m"), {{0, 2.99}, {3.02, 8}}},
      {perfect_at("3 m") + perfect_at("3.03 m"), {{0, 2.99}, {3.04, 8}}},  // 10 mm between them: left out
      {perfect_at("5 m") + perfect_at("3 m"), {{0, 2.99}, {3.01, 4.99}, {5.01, 8}}},
      {perfect_at("0 m"), {{0.02, 8}}},
      {perfect_at("5 mm"), {{0.02, 8}}},
      {perfect_at("40 mm"), {{0.05, 8}}},
      {perfect_at("70 mm"), {{0, 0.06}, {0.08, 8}}},
      {perfect_at("8 m"), {{0, 7.95}}},  // clear of what hangs at the radio
      {perfect_at("7.97 m"), {{0, 7.95}}},
      {perfect_at("7.9 m"), {{0, 7.89}, {7.91, 8}}},
      {choke("impedance = \"perfect\"\ndistance = \"3 m\"\nlength = \"1 m\""), {{0, 2.5}, {3.5, 8}}},
  };
  for (const char* end : {"\"open\"", "\"earthed\"", "\"operator\""})
    for (const Row& row : rows) {
      CAPTURE(end);
      CAPTURE(row.chokes);
      const model::Model model = load(kHead + replaced(kLevel, "\"open\"", end) + row.chokes);
      const std::vector<geometry::Wire> wires = braid(model);
      REQUIRE(wires.size() == row.pieces.size());
      for (std::size_t i = 0; i < wires.size(); ++i) {
        CAPTURE(i);
        CHECK(near(wires[i].path.front(), {row.pieces[i].first, 0, 1}));
        CHECK(near(wires[i].path.back(), {row.pieces[i].second, 0, 1}));
        CHECK(wires[i].name == (wires.size() > 1 ? "braid (" + std::to_string(i + 1) + ")" : "braid"));
      }
      const bool touches = row.pieces[0].first == 0.0;
      if (!touches) {
        CHECK_THROWS_WITH_AS((void)checked(model), doctest::Contains("nowhere to return"), core::Error);
        continue;
      }
      const geometry::Network network = checked(model);
      CHECK(joined(network, 0, model.outside->wires[0]));
      for (std::size_t i = 1; i < wires.size(); ++i)
        CHECK_FALSE(joined(network, model.outside->wires[i - 1], model.outside->wires[i]));
      if (!model.outside->end_wires.empty())
        CHECK(joined(network, model.outside->wires.back(), model.outside->end_wires[0]) ==
              (row.pieces.back().second == 8.0));
    }
}

TEST_CASE("chokes: cuts and others together, round bends") {
  // 0.98 m down, 5 m along, 2 m aside
  const model::Model model = load(kHead + kBends + choke_at("6.5 m") + perfect_at("2 m") + choke_at("1 m"));
  const std::vector<geometry::Wire> wires = braid(model);
  REQUIRE(wires.size() == 2);
  CHECK(near(wires[0].path.back(), {-1.01, 0, 0.02}));
  CHECK(near(wires[1].path.front(), {-1.03, 0, 0.02}));
  REQUIRE(wires[1].path.size() == 3);
  CHECK(near(wires[1].path[1], {-5, 0, 0.02}));
  REQUIRE(model.outside->chokes.size() == 2);
  CHECK(choke_span(model, 0).wire == model.outside->wires[0]);
  CHECK(choke_span(model, 1).wire == model.outside->wires[1]);
  const auto middle = [&](std::size_t i) {
    const geometry::Span span = choke_span(model, i);
    return geometry::point_at(wire_at(model, span.wire), 0.5 * (span.from + span.to));
  };
  CHECK(near(middle(0), {-0.02, 0, 0.02}));
  CHECK(near(middle(1), {-5, 0.52, 0.02}));
  (void)checked(model);
  // a cut at a bend: the bend is left out with it
  for (const char* distance : {"0.98 m", "0.985 m", "0.9915 m", "0.968 m", "0.9685 m"}) {
    CAPTURE(distance);
    const model::Model cut = load(kHead + kBends + perfect_at(distance));
    CHECK(braid(cut).size() == 2);
    (void)checked(cut);
  }
}

TEST_CASE(
    "chokes: any of them at any distance give a structure that can be computed, or a complaint of the file") {
  std::mt19937 random(20);
  std::uniform_real_distribution<double> anywhere(0.0, 7.98);
  std::uniform_int_distribution<int> count(1, 5), coin(0, 3);
  int laid = 0;
  for (int trial = 0; trial < 400; ++trial) {
    std::string text = kHead + replaced(kBends, "\"open\"", trial % 3 == 0 ? "\"operator\"" : "\"open\"");
    text += "[[wires]]\nname = \"radial\"\npath = [[0, 0, 1], [0, 5, 1]]\ndiameter = \"1 mm\"\n";
    const bool close = coin(random) == 0;
    for (int i = count(random); i > 0; --i) {
      const double at = close ? 2.0 + 0.01 * anywhere(random) : anywhere(random);
      const std::string where = std::to_string(at) + " m";
      text += coin(random) < 2 ? perfect_at(where) : choke_at(where);
    }
    CAPTURE(text);
    try {
      const model::Model model = load(text);
      for (const int index : model.outside->chokes)
        for (const geometry::Span& span : model.structure.inserts.at(static_cast<std::size_t>(index)).spans) {
          CHECK(span.from >= 0.0);
          CHECK(span.to <= geometry::length(wire_at(model, span.wire)) + 1e-12);
        }
      (void)checked(model);
      ++laid;
    } catch (const core::Error& error) {
      CAPTURE(error.what());
      CHECK(error.kind() == core::ErrorKind::model);
      CHECK(error.place().line > 12);
    }
  }
  CHECK(laid > 200);
}

TEST_CASE("outside and chokes: complaints name the place and what to do") {
  struct Row {
    std::string text;
    int line;
    int column;
    const char* key;
    const char* fragment;
  };
  const std::string parallel = replaced(kHead, "\"RG-58\"", "\"450 ohm window line\"");
  const std::string second = "[[feed.parts]]\nkind = \"line\"\ntype = \"RG-58\"\nlength = \"9 m\"\n";
  const std::string known =
      "[antenna]\nimpedance = [50, 0]\n[[feed.parts]]\nkind = \"line\"\ntype = \"RG-58\"\nlength = 9\n";
  const auto outside = [](const std::string& old, const std::string& written) {
    return kHead + replaced(kLevel, old, written);
  };
  const Row rows[] = {
      // the outside and its keys
      {kHead + "outside = \"8 m\"\n", 12, 11, "feed.parts.1.outside", "expected a table"},
      {outside(", end = \"open\"", ""), 12, 11, "feed.parts.1.outside.end", "needs the key 'end'"},
      {outside("path = [[\"8 m\", \"0 m\", \"1 m\"]], ", ""), 12, 11, "feed.parts.1.outside.path",
       "needs the key 'path'"},
      {outside("end", "and"), 12, 45, "feed.parts.1.outside.and",
       "unknown key 'and' in the outside of a line"},
      {outside("\"open\"", "\"grounded\""), 12, 51, "feed.parts.1.outside.end",
       "expected one of: open, earthed, operator; found \"grounded\""},
      {outside("\"open\"", "3"), 12, 51, "feed.parts.1.outside.end", "expected a text"},
      {outside("[[\"8 m\", \"0 m\", \"1 m\"]]", "[]"), 12, 20, "feed.parts.1.outside.path",
       "1 to 1000 points"},
      {outside("\"8 m\"", "\"0 m\""), 12, 20, "feed.parts.1.outside.path", "the path ends where it begins"},
      {outside("\"1 m\"]", "\"1 m\"], [\"3 m\", \"1 m\", \"1 m\"], [\"0 m\", \"0 m\", \"1 m\"]"), 12, 20,
       "feed.parts.1.outside.path", "the path ends where it begins"},
      {outside("\"8 m\"", "\"11 m\""), 12, 20, "feed.parts.1.outside.path",
       "the outside is 11 m long from the feed point on, the line itself only 10 m"},
      {outside("\"8 m\"", "\"10.2 m\""), 12, 20, "feed.parts.1.outside.path", "the line itself only 10 m"},
      {outside("\"8 m\"", "\"5 cm\""), 12, 20, "feed.parts.1.outside.path", "expected an outside at least"},
      {outside("\"8 m\"", "\"8 MHz\""), 12, 23, "feed.parts.1.outside.path.1.1", "found the frequency"},
      {outside("\"open\"", "\"open\", diameter = 5"), 12, 70, "feed.parts.1.outside.diameter",
       "did you mean \"5 mm\"?"},
      {outside("\"open\"", "\"open\", diameter = \"1 m\""), 12, 70, "feed.parts.1.outside.diameter",
       "up to 0.1 m"},
      {outside("\"open\"", "\"open\", insulation = 3"), 12, 72, "feed.parts.1.outside.insulation",
       "expected a table"},
      {outside("\"open\"", "\"open\", stake = \"1 m\""), 12, 67, "feed.parts.1.outside.stake",
       "stake belongs to end = \"earthed\""},
      {outside("\"open\"", "\"operator\", earth_impedance = [1, 1]"), 12, 81,
       "feed.parts.1.outside.earth_impedance", "belongs to end = \"earthed\""},
      {outside("\"open\"", "\"earthed\", operator_length = \"1 m\""), 12, 80,
       "feed.parts.1.outside.operator_length", "operator_length belongs to end = \"operator\""},
      {outside("\"open\"", "\"earthed\", stake = 0"), 12, 70, "feed.parts.1.outside.stake", "above zero"},
      {outside("\"open\"", "\"earthed\", stake = \"40 m\""), 12, 70, "feed.parts.1.outside.stake",
       "up to 30 m"},
      {outside("\"open\"", "\"operator\", operator_length = \"12 m\""), 12, 81,
       "feed.parts.1.outside.operator_length", "up to 10 m"},
      {outside("\"open\"", "\"earthed\", earth_impedance = 30"), 12, 80,
       "feed.parts.1.outside.earth_impedance", "resistance and reactance"},
      {outside("\"open\"", "\"earthed\"") + "[ground]\nsoil = \"free space\"\n", 12, 51,
       "feed.parts.1.outside.end", "no earth in free space"},
      {kHead + replaced(replaced(kLevel, "\"open\"", "\"earthed\""), "\"1 m\"", "\"-0.3 m\""), 12, 20,
       "feed.parts.1.outside.path", "must end above the ground"},
      // whose outside
      {parallel + kLevel, 12, 11, "feed.parts.1.outside", "a parallel line has no outside"},
      {replaced(kHead, "type   = \"RG-58\"", "z0 = 300\nvelocity_factor = 0.8\nattenuation = 0") + kLevel, 14,
       11, "feed.parts.1.outside", "a parallel line has no outside"},
      {kHead + kLevel + second + kLevel, 17, 11, "feed.parts.2.outside", "belongs to the first line"},
      {kHead + second + kLevel, 16, 11, "feed.parts.2.outside", "let its path go on along all lines"},
      {parallel + second + kLevel, 16, 11, "feed.parts.2.outside", "a parallel line lies between"},
      {known + kLevel, 7, 11, "feed.parts.1.outside", "a known antenna has no wires"},
      // chokes
      {kHead + choke_at("3 m"), 12, 1, "feed.parts.2", "no line has one: add outside"},
      {known + choke_at("3 m"), 7, 1, "feed.parts.2", "no line has one: add outside"},
      {kHead + kLevel + choke("distance = \"3 m\""), 13, 1, "feed.parts.2",
       "(or \"perfect\"), touchstone, or"},
      {kHead + kLevel + choke("impedance = \"perfekt\""), 15, 13, "feed.parts.2.impedance",
       "did you mean 'perfect'?"},
      {kHead + kLevel + choke("impedance = 3000"), 15, 13, "feed.parts.2.impedance",
       "resistance and reactance"},
      {kHead + kLevel + choke("impedance = [\"-1 ohm\", 0]"), 15, 14, "feed.parts.2.impedance.1",
       "zero or more"},
      {kHead + kLevel + choke("impedance = [100, \"1 uH\"]"), 15, 20, "feed.parts.2.impedance.2",
       "found the inductance"},
      {kHead + kLevel + choke("impedance = \"perfect\"\nresistance = 3000"), 16, 14,
       "feed.parts.2.resistance", "leave out resistance"},
      {kHead + kLevel + choke("touchstone = \"choke.s1p\"\ninductance = \"1 uH\""), 16, 14,
       "feed.parts.2.inductance", "leave out inductance"},
      {kHead + kLevel + choke("touchstone = \"choke.s1p\"\nimpedance = [1, 1]"), 15, 14,
       "feed.parts.2.touchstone", "not both"},
      {kHead + kLevel + choke("touchstone = \"none.s1p\""), 15, 14, "feed.parts.2.touchstone",
       "(looked for at folder/none.s1p)"},
      {kHead + kLevel + choke("resistance = 0"), 15, 14, "feed.parts.2.resistance", "above zero"},
      {kHead + kLevel + choke("inductance = 30"), 15, 14, "feed.parts.2.inductance",
       "did you mean \"30 uH\"?"},
      {kHead + kLevel + choke("capacitance = \"0 pF\""), 15, 15, "feed.parts.2.capacitance", "above zero"},
      {kHead + kLevel + choke("resistance = 9\ndistance = \"-1 m\""), 16, 12, "feed.parts.2.distance",
       "zero or more"},
      {kHead + kLevel + choke("resistance = 9\nlength = 0"), 16, 10, "feed.parts.2.length", "above zero"},
      {kHead + kLevel + choke("resistance = 9\nlength = \"9 m\""), 13, 1, "feed.parts.2",
       "the choke is 9 m long, the outside of the line only 8 m"},
      {kHead + kLevel + choke_at("8.5 m"), 13, 1, "feed.parts.2",
       "the choke sits 8.5 m from the antenna, but the outside of the line is only 8 m long"},
      {kHead + kLevel + perfect_at("8.5 m"), 13, 1, "feed.parts.2", "only 8 m long"},
      {kHead + kLevel + choke_at("3 m") + choke_at("3 m"), 17, 1, "feed.parts.3", "two chokes overlap"},
      {kHead + kLevel + choke_at("0 m") + choke_at("1 mm"), 17, 1, "feed.parts.3", "two chokes overlap"},
      {kHead + kLevel + perfect_at("3 m") + choke_at("3 m"), 17, 1, "feed.parts.3", "two chokes overlap"},
      {kHead + kLevel + choke_at("3.01 m") + perfect_at("3 m"), 13, 1, "feed.parts.2", "two chokes overlap"},
      {kHead + kLevel + perfect_at("3 m") + perfect_at("3.06 m") + choke_at("3.03 m"), 21, 1, "feed.parts.4",
       "leave no braid here"},
      {kHead + kLevel + choke("impedance = \"perfect\"\nlength = \"8 m\""), 13, 1, "feed.parts.2",
       "leave nothing of the outside"},
  };
  for (const Row& row : rows) {
    CAPTURE(row.text);
    const Complaint found = test::complaint_of([&] { (void)load(row.text); });
    CAPTURE(found.message);
    CHECK(found.kind == static_cast<int>(core::ErrorKind::model));
    CHECK(found.place.file == "mine.toml");
    CHECK(found.place.line == row.line);
    CHECK(found.place.column == row.column);
    CHECK(found.place.key == row.key);
    CHECK(found.message.find(row.fragment) != std::string::npos);
  }
  std::string many = kHead + kLevel;
  for (int i = 0; i < 21; ++i) many += choke_at(std::to_string(0.1 * (i + 1)) + " m");
  CHECK(test::complaint_of([&] { (void)load(many); }).message.find("at most 20 chokes") != std::string::npos);
}

TEST_CASE("chokes: a bad Touchstone file is blamed itself") {
  struct Row {
    std::string file;
    int line;
    const char* fragment;
  };
  for (const Row& row : {Row{"short.s1p", 2, ""}, Row{"power.s1p", 0, "makes power"}}) {
    CAPTURE(row.file);
    const Complaint found =
        test::complaint_of([&] { (void)load(kHead + kLevel + choke("touchstone = \"" + row.file + "\"")); });
    CHECK(found.kind == static_cast<int>(core::ErrorKind::model));
    CHECK(found.place.file == row.file);
    CHECK(found.place.line == row.line);
    CHECK(found.message.find(row.fragment) != std::string::npos);
  }
}

TEST_CASE("outside: the name of a setting that changes its end") {
  const std::string early = choke_at("3 m");
  const std::string line = "[[feed.parts]]\n";
  for (const std::string& text :
       {kHead + kLevel, kHead + "name = \"run\"\n" + kLevel, replaced(kHead, line, early + line) + kLevel,
        replaced(kHead, line, "[[feed.parts]]\nkind = \"transformer\"\nimpedance_ratio = 9\n" + line) +
            kLevel}) {
    CAPTURE(text);
    const std::string key = load(text).outside->end_key;
    CHECK(load(text, {{key, "operator"}}).outside->end == LineEnd::operated);
    CHECK(load(text, {{key, "earthed"}}).outside->end == LineEnd::earthed);
    CHECK(load(text, {{key, "earthed"}}).outside->end_key == key);
  }
}

TEST_CASE("outside: lines behind the first lengthen what may be laid") {
  const std::string second = "[[feed.parts]]\nkind = \"line\"\ntype = \"RG-213\"\nlength = \"9 m\"\n";
  const model::Model model = load(kHead + replaced(kLevel, "\"8 m\"", "\"18.5 m\"") + second);
  CHECK(model.outside->part == 0);
  CHECK(geometry::length(braid(model).at(0)) == doctest::Approx(18.5));
}

TEST_CASE("outside: settings change its end, its chokes and their distance") {
  const std::string text =
      kHead + "name = \"run\"\n" +
      replaced(kLevel, "end = \"open\"", "end = \"operator\", operator_length = \"1 m\"") +
      choke("name = \"beads\"\nresistance = \"4 kohm\"\ncapacitance = \"2 pF\"\ndistance = \"3 m\"");
  const auto with = [&](const std::string& name, const std::string& value) {
    return load(text, {{name, value}});
  };
  for (const char* name : {"feed.parts.1.outside.end", "feed.parts.run.outside.end"}) {
    CAPTURE(name);
    CHECK(with(name, "earthed").outside->end == LineEnd::earthed);  // operator_length is left behind
    CHECK(with(name, "open").outside->end_wires.empty());
  }
  CHECK(choke_span(with("feed.parts.beads.distance", "5 m")).to == doctest::Approx(5.00175));
  CHECK(with("feed.parts.beads.impedance", "perfect").outside->wires.size() == 2);
  CHECK(choke_insert(with("feed.parts.2.touchstone", "choke.s1p")).law_from == 7e6);
  CHECK(near(wire_at(with("feed.parts.run.outside.operator_length", "2 m"), 2).path.back(), {8, 0, 3}));
  struct Row {
    model::Setting setting;
    const char* fragment;
  };
  for (const Row& row : {Row{{"feed.parts.1.outside.end", "grounded"}, "open, earthed, operator"},
                         Row{{"feed.parts.1.outside.path", "1 m"}, "change it in a copy of the file"},
                         Row{{"feed.parts.1.outside", "none"}, "is not a single value"},
                         Row{{"feed.parts.2.distance", "9 m"}, "only 8 m long"},
                         Row{{"feed.parts.2.outside.end", "open"}, "unknown key 'outside' in a choke"},
                         Row{{"feed.parts.3.distance", "9 m"}, "no '3' among the parts"}}) {
    CAPTURE(row.setting.name);
    const Complaint found = test::complaint_of([&] { (void)load(text, {row.setting}); });
    CAPTURE(found.message);
    CHECK(found.kind >= 0);
    CHECK(found.message.find(row.fragment) != std::string::npos);
  }
}

}  // namespace feldspar
