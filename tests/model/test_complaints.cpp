#include <doctest/doctest.h>

#include "model_text.hpp"

using namespace feldspar;
using test::complaint_of;

namespace {

/// A good file of which each row spoils one line.
const std::string kGood = R"(title = "test"
[parameters.mast_height]
default = "8 m"
minimum = "2 m"
maximum = "15 m"
[site]
region = 1
[ground]
soil = "average"
[[wires]]
name     = "slope"
path     = [["0 m", "0 m", "0.3 m"], ["18 m", "0 m", "mast_height"]]
diameter = "1.0 mm"
material = "copper"
copies   = { count = 1 }
[[wires]]
name     = "mast"
path     = [["0 m", "0 m", "0.3 m"], ["0 m", "0 m", "5 m"]]
diameter = "5 mm"
[[inserts]]
wire       = "slope"
position   = 0.5
inductance = "18 uH"
q          = 200
[port]
wire     = "mast"
position = "start"
[feed]
power = "100 W"
mode  = "voice"
[[feed.parts]]
kind = "transformer"
impedance_ratio = 9
[[feed.parts]]
kind   = "line"
type   = "RG-58"
length = "10 m"
)";

struct Row {
  const char* instead_of;  ///< part of kGood
  const char* written;
  int line;
  int column;
  const char* key;
  const char* fragment;
};

// Lines and columns counted by hand in kGood; a column inside a text is that of the offending word.
const Row kRows[] = {
    // TOML itself
    {"region = 1", "region = ", 7, 10, "", "not valid TOML"},
    {"region = 1", "region 1", 7, 8, "", "not valid TOML"},
    {"[site]", "[site", 6, 6, "", "not valid TOML"},
    {"region = 1", "region = 1\nregion = 2", 8, 10, "", "not valid TOML"},
    {"region = 1", "région = 1", 7, 2, "", "outside ASCII"},
    {"region = 1", "region = 2024-02-29", 7, 10, "site.region", "found a date"},
    // unknown and missing keys
    {"[ground]", "[grund]", 8, 2, "grund", "did you mean 'ground'?"},
    {"soil =", "siol =", 9, 1, "ground.siol", "unknown key 'siol' in [ground]; did you mean 'soil'?"},
    {"diameter = \"1.0 mm\"", "diametre = \"1.0 mm\"", 13, 1, "wires.slope.diametre",
     "did you mean 'diameter'?"},
    {"diameter = \"1.0 mm\"\n", "", 10, 1, "wires.slope.diameter", "needs the key 'diameter'"},
    {"name     = \"slope\"\n", "", 10, 1, "wires.1.name", "needs the key 'name'"},
    {"default = \"8 m\"\n", "", 2, 1, "parameters.mast_height.default", "needs the key 'default'"},
    {"wire     = \"mast\"\n", "", 25, 1, "port.wire", "needs the key 'wire'"},
    {"q          = 200", "quality = 200", 24, 1, "inserts.1.quality", "unknown key 'quality'"},
    {"impedance_ratio = 9", "ratio = 9", 33, 1, "feed.parts.1.ratio", "unknown key 'ratio' in a transformer"},
    // dimensions
    {"\"1.0 mm\"", "\"7.1 MHz\"", 13, 13, "wires.slope.diameter",
     "expected a length such as \"2 mm\", found the frequency 7.1 MHz"},
    {"\"mast_height\"]]", "\"7.1 MHz\"]]", 12, 55, "wires.slope.path.2.3", "found the frequency 7.1 MHz"},
    {"\"mast_height\"]]", "\"mast_height + 1 MHz\"]]", 12, 67, "wires.slope.path.2.3",
     "cannot add the length 8 m and the frequency 1 MHz"},
    {"\"mast_height\"]]", "\"mast_heigth\"]]", 12, 55, "wires.slope.path.2.3", "did you mean 'mast_height'?"},
    {"\"18 uH\"", "\"18 pF\"", 23, 15, "inserts.1.inductance", "expected an inductance"},
    {"\"100 W\"", "\"100 V\"", 29, 10, "feed.power",
     "expected a power such as \"100 W\", found the voltage 100 V"},
    {"\"15 m\"", "\"15 kHz\"", 5, 12, "parameters.mast_height.maximum", "expected a length"},
    {"\"8 m\"", "\"8 metres\"", 3, 14, "parameters.mast_height.default", "did you mean m?"},
    {"\"8 m\"", "8", 4, 12, "parameters.mast_height.minimum",
     "expected a plain number such as \"8\", found the length 2 m"},
    // bare numbers
    {"\"1.0 mm\"", "1.6", 13, 12, "wires.slope.diameter", "would mean 1.6 m"},
    {"\"1.0 mm\"", "1.6", 13, 12, "wires.slope.diameter", "did you mean \"1.6 mm\"?"},
    {"\"18 uH\"", "18", 23, 14, "inserts.1.inductance", "would mean 18 H"},
    {"\"18 uH\"", "18", 23, 14, "inserts.1.inductance", "did you mean \"18 uH\"?"},
    {"soil = \"average\"", "permittivity = 13\nconductivity = 5", 10, 16, "ground.conductivity",
     "did you mean \"5 mS/m\"?"},
    {"soil = \"average\"", "permittivity = 13\nconductivity = 30", 10, 16, "ground.conductivity",
     "did you mean \"30 mS/m\"?"},
    {"region = 1", "x_bearing = 90", 7, 13, "site.x_bearing", "did you mean \"90 deg\"?"},
    // values
    {"\"8 m\"", "\"20 m\"", 3, 11, "parameters.mast_height.default", "20 m is above its maximum, 15 m"},
    {"\"2 m\"", "\"16 m\"", 4, 11, "parameters.mast_height.minimum", "above its maximum"},
    {"mast_height]", "pi]", 2, 13, "parameters.pi", "built-in constant"},
    {"mast_height]", "ft]", 2, 13, "parameters.ft", "is a unit"},
    {"mast_height]", "mast-height]", 2, 13, "parameters.mast-height", "cannot be a parameter's name"},
    {"region = 1", "region = 4", 7, 10, "site.region", "from 1 to 3, found 4"},
    {"region = 1", "region = 1.5", 7, 10, "site.region", "expected a whole number"},
    {"region = 1", "region = true", 7, 10, "site.region", "found true or false"},
    {"\"average\"", "\"avrage\"", 9, 8, "ground.soil", "did you mean 'average'?"},
    {"soil = \"average\"", "soil = \"average\"\npermittivity = 13", 9, 8, "ground.soil", "not both"},
    {"soil = \"average\"", "permittivity = 13", 8, 1, "ground.conductivity", "needs the key 'conductivity'"},
    {"soil = \"average\"", "permittivity = 0.5\nconductivity = 0", 9, 16, "ground.permittivity", "from 1 to"},
    {"soil = \"average\"", "permittivity = 13\nconductivity = \"-5 mS/m\"", 10, 16, "ground.conductivity",
     "zero or more"},
    {"soil = \"average\"", "method = \"fast\"", 9, 10, "ground.method", "exact, plane-wave"},
    {"\"1.0 mm\"", "\"0 mm\"", 13, 12, "wires.slope.diameter", "above zero"},
    {"\"1.0 mm\"", "\"-1 mm\"", 13, 12, "wires.slope.diameter", "above zero"},
    {"\"1.0 mm\"", "\"6 m\"", 13, 12, "wires.slope.diameter", "up to 5 m"},
    {"\"1.0 mm\"", "nan", 13, 12, "wires.slope.diameter", "found nan"},
    {"\"1.0 mm\"", "\"1.0 mm\"\ngauge = \"18 AWG\"", 14, 9, "wires.slope.gauge", "not both"},
    {"diameter = \"1.0 mm\"", "gauge = \"18\"", 13, 9, "wires.slope.gauge", "such as \"18 AWG\""},
    {"diameter = \"1.0 mm\"", "gauge = \"50 AWG\"", 13, 9, "wires.slope.gauge", "\"0000 AWG\" to \"40 AWG\""},
    {"\"copper\"", "\"cooper\"", 14, 12, "wires.slope.material", "did you mean 'copper'?"},
    {"\"copper\"", "{ conductivity = 35 }", 14, 29, "wires.slope.material.conductivity",
     "did you mean \"35 MS/m\"?"},
    {"\"copper\"", "{ }", 14, 12, "wires.slope.material.conductivity", "needs the key"},
    {"count = 1 }", "count = 1000000000 }", 15, 22, "wires.slope.copies.count",
     "from 0 to 2000, found 1000000000"},
    {"count = 1 }", "count = -1 }", 15, 22, "wires.slope.copies.count", "from 0 to 2000, found -1"},
    {"count = 1 }", "count = 1, around = \"x\" }", 15, 34, "wires.slope.copies.around", "expected one of: z"},
    {"[\"18 m\", \"0 m\", ", "[\"18 m\", ", 12, 38, "wires.slope.path.2",
     "three lengths [x, y, z], found a list of 2"},
    {", [\"18 m\", \"0 m\", \"mast_height\"]]", "]", 12, 12, "wires.slope.path", "2 to 1000 points, found 1"},
    {"[\"18 m\",", "[\"300 km\",", 12, 39, "wires.slope.path.2.1", "within 100 km"},
    {"name     = \"mast\"", "name     = \"slope\"", 17, 12, "wires.slope.name", "two wires are named"},
    {"name     = \"mast\"", "name     = \"a.b\"", 17, 12, "wires.a.b.name", "expected a name"},
    // inserts, port, feed
    {"wire     = \"mast\"", "wire     = \"mats\"", 26, 12, "port.wire",
     "no wire named \"mats\"; did you mean 'mast'?"},
    {"wire     = \"mast\"", "wire     = \"slope\"", 26, 12, "port.wire", "has copies"},
    {"position = \"start\"", "position = \"strat\"", 27, 12, "port.position", "did you mean 'start'?"},
    {"position = \"start\"", "position = 1.5", 27, 12, "port.position", "from 0 to 1"},
    {"position = \"start\"", "position = 0", 27, 12, "port.position", "use position = \"start\""},
    {"position = \"start\"", "position = true", 27, 12, "port.position", "found true or false"},
    {"position = \"start\"", "position = \"start\"\ngap = \"9 m\"", 28, 7, "port.gap",
     "at most the length of the wire"},
    {"position = \"start\"", "position = \"start\"\ngap = 3", 28, 7, "port.gap", "did you mean \"3 mm\"?"},
    {"inductance = \"18 uH\"\nq          = 200", "length = \"1 cm\"", 20, 1, "inserts.1",
     "at least one of resistance"},
    {"inductance = \"18 uH\"", "resistance = \"5 ohm\"", 24, 14, "inserts.1.q", "q belongs to an inductance"},
    {"q          = 200", "q          = 0", 24, 14, "inserts.1.q", "above zero"},
    {"q          = 200", "q          = 0.01", 24, 14, "inserts.1.q", "air coils: 100 to 400"},
    {"\"18 uH\"", "\"18 H\"", 23, 14, "inserts.1.inductance", "found 18 H; did you mean uH?"},
    {"q          = 200", "q_at = \"7 MHz\"", 24, 8, "inserts.1.q_at", "q is missing here"},
    {"q          = 200", "q = 200\nq_at = \"7 Hz\"", 25, 8, "inserts.1.q_at", "did you mean MHz?"},
    {"q          = 200", "q = 200\nq_at = 7.1", 25, 8, "inserts.1.q_at", "did you mean \"7.1 MHz\"?"},
    {"q          = 200", "self_capacitance = 2", 24, 20, "inserts.1.self_capacitance",
     "did you mean \"2 pF\"?"},
    {"q          = 200", "self_capacitance = \"2 uF\"", 24, 20, "inserts.1.self_capacitance",
     "found 2 uF; did you mean pF?"},
    {"inductance = \"18 uH\"\nq          = 200", "resistance = 5\nself_capacitance = \"2 pF\"", 24, 20,
     "inserts.1.self_capacitance", "belongs to an inductance"},
    {"q          = 200", "capacitance = \"3 F\"", 24, 15, "inserts.1.capacitance", "did you mean pF?"},
    {"q          = 200", "connection = \"parallel\"", 24, 14, "inserts.1.connection",
     "at least two of resistance"},
    {"q          = 200", "connection = \"paralel\"", 24, 14, "inserts.1.connection",
     "did you mean 'parallel'?"},
    {"q          = 200", "resistance = 0\nconnection = \"parallel\"", 24, 14, "inserts.1.resistance",
     "zero in parallel is a short"},
    {"q          = 200", "coil = { turns = 10, diameter = \"5 cm\", length = \"6 cm\" }", 23, 14,
     "inserts.1.inductance", "either inductance or coil"},
    {"inductance = \"18 uH\"", "coil = { turns = 10, diameter = \"5 cm\" }", 23, 8, "inserts.1.coil.length",
     "needs the key 'length'"},
    {"inductance = \"18 uH\"", "coil = { turns = 10, diameter = 50, length = \"6 cm\" }", 23, 33,
     "inserts.1.coil.diameter", "did you mean \"50 mm\"?"},
    {"inductance = \"18 uH\"", "coil = { turns = 10, diameter = \"50 m\", length = \"6 cm\" }", 23, 33,
     "inserts.1.coil.diameter", "did you mean mm or cm?"},
    {"inductance = \"18 uH\"", "coil = { turns = 0.5, diameter = \"5 cm\", length = \"6 cm\" }", 23, 18,
     "inserts.1.coil.turns", "1 to 10000 turns"},
    {"inductance = \"18 uH\"",
     "coil = { turns = 40, diameter = \"5 cm\", length = \"6 cm\", wire = \"2 mm\" }", 23, 65,
     "inserts.1.coil.wire", "need 80 mm and do not fit"},
    {"[port]", "[[port]]", 25, 1, "port", "expected a table"},
    {"[[inserts]]", "[inserts]", 20, 1, "inserts", "two brackets"},
    {"power = \"100 W\"", "power = \"-3 W\"", 29, 9, "feed.power",
     "above zero such as \"100 W\", found -3 W"},
    {"power = \"100 W\"", "power = \"1 mi\"", 29, 10, "feed.power", "expected a power"},
    {"\"voice\"", "\"vioce\"", 30, 9, "feed.mode", "did you mean 'voice'?"},
    {"kind = \"transformer\"", "kind = \"transfomer\"", 32, 8, "feed.parts.1.kind",
     "did you mean 'transformer'?"},
    {"impedance_ratio = 9", "impedance_ratio = -9", 33, 19, "feed.parts.1.impedance_ratio", "above zero"},
    {"impedance_ratio = 9", "impedance_ratio = \"9:1\"", 33, 21, "feed.parts.1.impedance_ratio",
     "did not expect ':'"},
    {"\"RG-58\"", "\"RG-588\"", 36, 10, "feed.parts.2.type", "did you mean 'RG-58'?"},
    {"type   = \"RG-58\"", "z0 = \"50 ohm\"", 34, 1, "feed.parts.2.velocity_factor", "needs the key"},
    {"type   = \"RG-58\"", "type = \"RG-58\"\nz0 = \"50 ohm\"", 37, 6, "feed.parts.2.z0", "not both"},
    {"\"10 m\"", "\"-10 m\"", 37, 10, "feed.parts.2.length", "zero or more"},
    {"[feed]", "[antenna]\nimpedance = [\"13 ohm\", \"-1000 ohm\"]\n[feed]", 10, 1, "wires",
     "stands in place of wires"},
};

}  // namespace

TEST_CASE("complaints name file, line, column, key, what was expected and what was found") {
  REQUIRE_NOTHROW((void)test::make(kGood));
  for (const Row& row : kRows) {
    CAPTURE(row.written);
    std::string text = kGood;
    const std::string old = row.instead_of;
    REQUIRE(text.find(old) != std::string::npos);
    text.replace(text.find(old), old.size(), row.written);
    const auto complaint = complaint_of([&] { (void)test::make(text); });
    CAPTURE(complaint.message);
    CHECK(complaint.kind == static_cast<int>(core::ErrorKind::model));
    CHECK(complaint.place.file == "mine.toml");
    CHECK(complaint.place.line == row.line);
    CHECK(complaint.place.column == row.column);
    CHECK(complaint.place.key == row.key);
    CHECK(complaint.message.find(row.fragment) != std::string::npos);
  }
}

TEST_CASE("complaints about what is missing as a whole") {
  struct Whole {
    std::string text;
    const char* key;
    const char* fragment;
  };
  const Whole rows[] = {
      {"", "wires", "needs the key 'wires'"},
      {"title = \"x\"\n" + test::kWire, "port", "needs the key 'port'"},
      {test::kWire + test::kPort + "[[ports]]\nname = \"a\"\nwire = \"slope\"\nposition = 0.5\n", "ports",
       "not both"},
      {test::kWire + "[[ports]]\nwire = \"slope\"\nposition = 0.5\n", "ports.1.name", "needs the key 'name'"},
      {"wires = []\n" + test::kPort, "port.wire", "there is no wire named \"slope\" (wires: none)"},
      {"wires = 3\n" + test::kPort, "wires", "expected one or more [[wires]] tables, found a whole number"},
      {"parameters = 3\n" + test::kWire + test::kPort, "parameters", "expected tables"},
      {"[parameters]\nheight = \"3 m\"\n" + test::kWire + test::kPort, "parameters.height",
       "expected a table"},
  };
  for (const Whole& row : rows) {
    CAPTURE(row.text);
    const auto complaint = complaint_of([&] { (void)test::make(row.text); });
    CAPTURE(complaint.message);
    CHECK(complaint.kind == static_cast<int>(core::ErrorKind::model));
    CHECK(complaint.place.file == "mine.toml");
    CHECK(complaint.place.key == row.key);
    CHECK(complaint.message.find(row.fragment) != std::string::npos);
  }
}

TEST_CASE("complaints: parameters that go round in circles or too deep") {
  const std::string rest = test::kWire + test::kPort;
  const auto circle = complaint_of(
      [&] { (void)test::make("[parameters.a]\ndefault = \"b\"\n[parameters.b]\ndefault = \"a\"\n" + rest); });
  CHECK(circle.kind == static_cast<int>(core::ErrorKind::model));
  CHECK(circle.message.find("defined by itself") != std::string::npos);
  std::string chain;
  for (int i = 0; i < 60; ++i)
    chain += "[parameters.p" + std::to_string(i) + "]\ndefault = \"p" + std::to_string(i + 1) + "\"\n";
  chain += "[parameters.p60]\ndefault = 1\n";
  const auto deep = complaint_of([&] { (void)test::make(chain + rest); });
  CHECK(deep.message.find("shorten the chain") != std::string::npos);
}

TEST_CASE("complaints: absurd amounts are refused before they are made") {
  const auto count = [](const std::string& text) { return complaint_of([&] { (void)test::make(text); }); };
  const std::string copied = test::kWire + "copies = { count = 1500 }\n";
  std::string second = copied;
  second.replace(second.find("slope"), 5, "other");
  CHECK(count(copied + second + test::kPort).message.find("at most 2000 wires, copies counted") !=
        std::string::npos);

  std::string many;
  for (int i = 0; i < 2001; ++i) many += "[[wires]]\n";
  CHECK(count(many).message.find("at most 2000 [[wires]]") != std::string::npos);

  std::string path = "[[wires]]\nname = \"w\"\ndiameter = \"1 mm\"\npath = [";
  for (int i = 0; i < 1001; ++i) path += "[" + std::to_string(i) + ", 0, 1],";
  CHECK(count(path + "]\n").message.find("2 to 1000 points, found 1001") != std::string::npos);

  std::string points = "[[wires]]\nname = \"w\"\ndiameter = \"1 mm\"\ncopies = { count = 100 }\npath = [";
  for (int i = 0; i < 900; ++i) points += "[" + std::to_string(i) + ", 0, 1],";
  CHECK(count(points + "]\n").message.find("at most 20000 points") != std::string::npos);
}
