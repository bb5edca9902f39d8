#include "model/family.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <fstream>
#include <numbers>
#include <sstream>

#include "media/materials.hpp"
#include "model_text.hpp"

using namespace feldspar;
using test::kPort;
using test::kWire;
using test::make;

namespace {

const std::string kComplete = R"(
title = "Sloping wire with a counterpoise on the grass"
about = "one line"

[parameters.mast_height]
default = "8 m"
minimum = "2 m"
maximum = "15 m"
about   = "where the far end hangs"

[parameters.count]
default = 3

[parameters.slope_length]
default = "2 * mast_height"

[site]
x_bearing = "-45 deg"
region    = 2

[ground]
permittivity = 20.0
conductivity = "30 mS/m"
method = "plane-wave"

[[wires]]
name     = "slope"
path     = [["0 m", "0 m", "0.3 m"], ["18 m", "0 m", "mast_height"]]
diameter = "1.0 mm"

[[wires]]
name     = "counterpoise"
path     = [["1 m", "0 m", "0.3 m"], [1.0, 0, "mown_grass"], ["-5 m", "0 m", "mown_grass"]]
gauge    = "18 AWG"
material = "aluminium"
insulation = { thickness = "0.5 mm", permittivity = 3.0 }
copies = { count = "count + 1", around = "z" }

[[wires]]
name     = "spare"
path     = [[0, 0, 1], [1, 0, 1]]
diameter = 0.001
material = { conductivity = 7e6, permeability = 100 }
present  = false

[[inserts]]
name = "coil"
wire = "slope"
position = 0.5
inductance = "18 uH"
q = 200
length = "10 cm"

[[inserts]]
wire = "counterpoise"
position = "end"
resistance = "300 ohm"
capacitance = "100 pF"

[port]
wire     = "slope"
position = "start"
gap      = "3 mm"

[feed]
power = "50 W"
mode  = "digital"
)";

const Eigen::Vector3d at(double x, double y, double z) {
  return {x, y, z};
}

}  // namespace

TEST_CASE("instantiate: a complete file becomes plain numbers") {
  const model::Family family = io::parse_family(kComplete, "mine.toml", "mine");
  CHECK(family.title() == "Sloping wire with a counterpoise on the grass");
  CHECK(family.about() == "one line");
  REQUIRE(family.parameters().size() == 3);
  CHECK(family.parameters()[0].name == "mast_height");
  CHECK(family.parameters()[0].key == "mast_height_m");
  CHECK(family.parameters()[0].default_text == "8 m");
  CHECK(family.parameters()[0].maximum_text == "15 m");
  CHECK(family.parameters()[1].default_text == "3");
  CHECK(family.parameters()[1].minimum_text.empty());

  const model::Model model = family.instantiate();
  CHECK(model.name == "mine");
  REQUIRE(model.parameters.size() == 3);
  CHECK(model.parameters[0].value == 8.0);
  CHECK(model.parameters[1].key == "count");
  CHECK(model.parameters[2].value == 16.0);
  CHECK(model.x_bearing == doctest::Approx(1.75 * std::numbers::pi));  // -45 deg is 315 deg
  CHECK(model.region == 2);
  CHECK(model.ground.kind == media::GroundKind::real);
  CHECK(model.ground.relative_permittivity == 20.0);
  CHECK(model.ground.conductivity == doctest::Approx(0.03));
  CHECK(model.ground.method == media::GroundMethod::plane_wave);
  CHECK(model.ground.name.empty());

  const auto& wires = model.structure.wires;
  REQUIRE(wires.size() == 5);  // slope, four counterpoises, no spare
  CHECK(wires[0].name == "slope");
  CHECK(wires[0].radius == doctest::Approx(0.0005));
  CHECK(wires[0].conductor.conductivity == 58e6);
  CHECK(wires[0].coat.thickness == 0.0);
  CHECK(wires[0].path[1].isApprox(at(18, 0, 8)));
  CHECK(wires[0].place.line == 26);
  CHECK(wires[0].place.key == "wires.slope");
  CHECK(wires[1].name == "counterpoise (1)");
  CHECK(wires[1].conductor.conductivity == 35e6);
  CHECK(wires[1].coat.thickness == doctest::Approx(0.0005));
  CHECK(wires[1].coat.relative_permittivity == 3.0);
  // ASTM B258: 18 AWG is 1.02368734 mm (published/awg.csv of the project's sources, from the standard's
  // formula)
  CHECK(2000 * wires[1].radius == doctest::Approx(1.02368734).epsilon(1e-8));

  REQUIRE(model.structure.ports.size() == 1);
  const geometry::Port& port = model.structure.ports[0];
  CHECK(port.name == "feed");
  REQUIRE(port.spans.size() == 1);
  CHECK(port.spans[0].wire == 0);
  CHECK(port.spans[0].from == 0.0);
  CHECK(port.spans[0].to == doctest::Approx(0.003));

  REQUIRE(model.structure.inserts.size() == 5);  // the coil, and one at the end of each copy
  const geometry::Insert& coil = model.structure.inserts[0];
  const double middle = 0.5 * std::hypot(18.0, 7.7);
  CHECK(coil.name == "coil");
  CHECK(coil.inductance == doctest::Approx(18e-6));
  CHECK(coil.q == 200.0);
  CHECK(coil.resistance == 0.0);
  CHECK(std::isinf(coil.capacitance));
  CHECK(coil.spans[0].from == doctest::Approx(middle - 0.05));
  CHECK(coil.spans[0].to == doctest::Approx(middle + 0.05));
  const geometry::Insert& last = model.structure.inserts[4];
  CHECK(last.name == "insert 1 (4)");
  CHECK(last.spans[0].wire == 4);
  CHECK(last.spans[0].to == doctest::Approx(6.28));
  CHECK(last.spans[0].to - last.spans[0].from == doctest::Approx(2 * wires[1].radius));
  CHECK(last.resistance == 300.0);
  CHECK(last.capacitance == doctest::Approx(100e-12));

  CHECK(model.feed.power == 50.0);
  CHECK(model.feed.mode == model::Mode::digital);
  CHECK(model.feed.parts.empty());
}

TEST_CASE("instantiate: what may be left out has its default") {
  const model::Model model = make(kWire + kPort);
  CHECK(model.title == "mine");
  CHECK(model.x_bearing == doctest::Approx(std::numbers::pi / 2));
  CHECK(model.region == 1);
  CHECK(model.ground.kind == media::GroundKind::real);
  CHECK(model.ground.name == "average");
  CHECK(model.ground.relative_permittivity == 13.0);
  CHECK(model.ground.conductivity == 0.005);
  CHECK(model.ground.method == media::GroundMethod::exact);
  CHECK(model.feed.power == 100.0);
  CHECK(model.feed.reference_resistance == 50.0);
  CHECK(model.structure.ports[0].spans[0].to == doctest::Approx(0.001));  // one diameter
}

TEST_CASE("instantiate: copies stand evenly round the z axis") {
  const std::string text = kWire + kPort + R"([[wires]]
name = "radial"
path = [["0 m", "0 m", "0.3 m"], ["2 m", "1 m", "0.2 m"]]
diameter = "1 mm"
copies = { count = COUNT }
)";
  const auto with = [&](const char* count) {
    std::string changed = text;
    changed.replace(changed.find("COUNT"), 5, count);
    return make(changed).structure.wires;
  };
  CHECK(with("0").size() == 1);
  const auto one = with("1");
  REQUIRE(one.size() == 2);
  CHECK(one[1].name == "radial");
  const auto four = with("\"2 * 2\"");
  REQUIRE(four.size() == 5);
  // A quarter turn takes (x, y) to (-y, x).
  CHECK(four[1].path[1].isApprox(at(2, 1, 0.2)));
  CHECK(four[2].path[1].isApprox(at(-1, 2, 0.2)));
  CHECK(four[3].path[1].isApprox(at(-2, -1, 0.2)));
  CHECK(four[4].path[1].isApprox(at(1, -2, 0.2)));
  for (std::size_t i = 1; i < 5; ++i) {
    CHECK(four[i].path[0] == at(0, 0, 0.3));  // the hub is exactly one point
    CHECK(four[i].name == "radial (" + std::to_string(i) + ")");
  }
}

TEST_CASE("instantiate: positions are measured along the polyline") {
  const std::string bent = R"([[wires]]
name = "bent"
path = [["0 m", "0 m", "1 m"], ["0 m", "0 m", "4 m"], ["1 m", "0 m", "4 m"]]
diameter = "2 mm"
[port]
wire = "bent"
)";
  struct Row {
    const char* keys;
    double from, to;
  };
  const Row rows[] = {
      {"position = \"start\"", 0.0, 0.002},
      {"position = \"end\"", 3.998, 4.0},
      {"position = 0.25", 0.999, 1.001},
      {"position = \"1/2\"\ngap = \"10 cm\"", 1.95, 2.05},
      {"position = 0.75\ngap = \"0.5 m\"", 2.75, 3.25},  // astride the bend at 3 m
      {"position = \"end\"\ngap = \"1.5 m\"", 2.5, 4.0},
      {"position = 0.5\ngap = \"4 m\"", 0.0, 4.0},  // the whole wire
  };
  for (const Row& row : rows) {
    CAPTURE(row.keys);
    const model::Model model = make(bent + row.keys);
    const geometry::Span span = model.structure.ports[0].spans[0];
    CHECK(span.from == doctest::Approx(row.from).epsilon(1e-12));
    CHECK(span.to == doctest::Approx(row.to).epsilon(1e-12));
    CHECK(span.sign == 1);
  }
}

TEST_CASE("instantiate: several ports have names") {
  const model::Model model = make(kWire + R"([[ports]]
name = "near"
wire = "slope"
position = "start"
[[ports]]
name = "far"
wire = "slope"
position = "end"
)");
  REQUIRE(model.structure.ports.size() == 2);
  CHECK(model.structure.ports[0].name == "near");
  CHECK(model.structure.ports[1].name == "far");
  CHECK(model.structure.ports[1].spans[0].to == doctest::Approx(5.0));
}

TEST_CASE("instantiate: grounds by name, by numbers, none and perfect") {
  const auto ground = [](const std::string& keys) {
    return make(kWire + kPort + "[ground]\n" + keys).ground;
  };
  CHECK(ground("soil = \"perfect\"").kind == media::GroundKind::perfect);
  CHECK(ground("soil = \"free space\"").kind == media::GroundKind::free_space);
  CHECK(ground("soil = \"sea\"").conductivity == 5.0);
  CHECK(ground("soil = \"dry sand\"").relative_permittivity == 4.0);
  CHECK(ground("permittivity = 81\nconductivity = 5").conductivity == 5.0);  // bare, but water
  CHECK(ground("permittivity = 13\nconductivity = 0.005").conductivity == 0.005);
  CHECK(ground("method = \"plane-wave\"").name == "average");
}

TEST_CASE("instantiate: materials by name and by number") {
  const auto conductor = [](const std::string& material) {
    return make(kWire + "material = " + material + "\n" + kPort).structure.wires[0].conductor;
  };
  for (const media::Material& row : media::materials())
    CHECK(conductor("\"" + row.name + "\"").conductivity == row.conductivity);
  CHECK(conductor("{ conductivity = 3.5e7 }").conductivity == 3.5e7);
  CHECK(conductor("{ conductivity = \"35 MS/m\" }").conductivity == doctest::Approx(35e6));
  CHECK(conductor("{ conductivity = \"7 MS/m\", permeability = 100 }").relative_permeability == 100.0);
}

TEST_CASE("instantiate: gauges follow the formula of ASTM B258") {
  struct Row {
    const char* gauge;
    double diameter_mm;
  };
  // Derived: 0.127 mm * 92^((36-n)/39); the standard's own exact points are 36 AWG = 0.127 mm and
  // 0000 AWG = 0.46 in = 11.684 mm. 10 AWG = 2.588 mm is printed in wire tables.
  const Row rows[] = {{"36 AWG", 0.127},       {"0000 AWG", 11.684},  {"10 AWG", 2.58818673},
                      {"14 AWG", 1.62772663},  {"18AWG", 1.02368734}, {"0 AWG", 8.2514628},
                      {"40 AWG", 0.0798710851}};
  for (const Row& row : rows) {
    CAPTURE(row.gauge);
    std::string text = kWire + kPort;
    const std::string diameter = "diameter = \"1 mm\"";
    text.replace(text.find(diameter), diameter.size(), std::string("gauge = \"") + row.gauge + "\"");
    CHECK(2000 * make(text).structure.wires[0].radius == doctest::Approx(row.diameter_mm).epsilon(1e-8));
  }
}

TEST_CASE("instantiate: present may be a condition") {
  const std::string text = "[parameters.count]\ndefault = 2\n" + kWire + R"([[wires]]
name = "extra"
path = [["0 m", "0 m", "0.3 m"], ["-2 m", "0 m", "0.3 m"]]
diameter = "1 mm"
present = "count > 1"
)" + kPort;
  CHECK(make(text).structure.wires.size() == 2);
  CHECK(make(text, {{"count", "1"}}).structure.wires.size() == 1);
}

TEST_CASE("instantiate: coils by dimensions, quality factor at a frequency, traps") {
  const model::Model model = make(kWire + kPort + R"(
[[inserts]]
wire = "slope"
position = 0.5
coil = { turns = 20, diameter = "50 mm", length = "100 mm" }
q = 250
q_at = "7 MHz"
self_capacitance = "2 pF"
[[inserts]]
wire = "slope"
position = 0.8
length = "5 cm"
connection = "parallel"
inductance = "3 uH"
capacitance = "40 pF"
)");
  REQUIRE(model.structure.inserts.size() == 2);
  const geometry::Insert& coil = model.structure.inserts[0];
  CHECK(coil.inductance == doctest::Approx(8.07467622e-06).epsilon(1e-8));  // published/inductors.csv
  CHECK(coil.q == 250.0);
  CHECK(coil.q_frequency == doctest::Approx(7e6));
  CHECK(coil.self_capacitance == doctest::Approx(2e-12));
  CHECK(!coil.parallel);
  CHECK(coil.spans[0].to - coil.spans[0].from == doctest::Approx(0.1));  // spread over its own length
  const geometry::Insert& trap = model.structure.inserts[1];
  CHECK(trap.parallel);
  CHECK(trap.inductance == doctest::Approx(3e-6));
  CHECK(trap.capacitance == doctest::Approx(40e-12));
  CHECK(trap.spans[0].to - trap.spans[0].from == doctest::Approx(0.05));
}

TEST_CASE("instantiate: an insert goes with a wire that is left out") {
  const model::Model model = make(kWire + R"([[wires]]
name = "extra"
path = [["0 m", "0 m", "0.3 m"], ["-2 m", "0 m", "0.3 m"]]
diameter = "1 mm"
present = false
[[inserts]]
wire = "extra"
position = 0.5
resistance = "50 ohm"
)" + kPort);
  CHECK(model.structure.inserts.empty());
}

TEST_CASE("instantiate: the same file may be used many times and from copies") {
  const model::Family family = io::parse_family(kComplete, "mine.toml", "mine");
  const model::Family copy = family;
  CHECK(copy.instantiate({{"mast_height", "10 m"}}).parameters[0].value == 10.0);
  CHECK(family.instantiate().parameters[0].value == 8.0);
}

TEST_CASE("instantiate: the example of docs/model-files.md is a model") {
  std::ifstream stream(FELDSPAR_SOURCE_DIR "/docs/model-files.md");
  std::ostringstream page;
  page << stream.rdbuf();
  const std::string text = page.str();
  const std::string open = "```toml\n";
  const std::size_t from = text.find(open);
  REQUIRE(from != std::string::npos);
  const std::string example =
      text.substr(from + open.size(), text.find("```", from + open.size()) - from - open.size());
  const model::Model model = make(example);
  CHECK(model.structure.wires.size() == 2);
  CHECK(model.structure.inserts.size() == 1);
  CHECK(model.feed.parts.size() == 2);
}
