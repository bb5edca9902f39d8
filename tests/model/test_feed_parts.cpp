#include <doctest/doctest.h>

#include <cmath>
#include <functional>
#include <iterator>
#include <limits>
#include <random>
#include <set>

#include "../support/close.hpp"
#include "circuit/line.hpp"
#include "io/document.hpp"
#include "model_text.hpp"

namespace feldspar {

namespace {

using test::Complaint;
using testing::relative_error;

const std::string kHead = test::kWire + test::kPort + "[feed]\n";  // eight lines
const std::string kThrough = "# MHz S RI R 50\n7 0 0 1 0 1 0 0 0\n8 0 0 0.5 0 1 0 0 0\n";
const std::string kMakesPower = "# MHz S RI R 50\n7 0 0 1 0 1 0 0 0\n8 0 0 1.5 0 1 0 0 0\n";
const std::string kTruncated = "# MHz S RI R 50\n7 0 0 1 0 1 0 0 0\n8 0 0 1\n";
const std::string kOnePort = "# MHz S RI R 50\n7 0.5 0\n8 0.5 0.1\n";

std::string file_text(const std::string& path) {
  if (path == "unun.s2p") return kThrough;
  if (path == "power.s2p") return kMakesPower;
  if (path == "short.s2p") return kTruncated;
  if (path == "choke.s1p") return kOnePort;
  throw core::Error(core::ErrorKind::usage, "the file cannot be opened", {"folder/" + path, 0, 0, {}});
}

model::Model load(const std::string& text, const std::vector<model::Setting>& settings = {}) {
  return model::Family(io::parse_document(text, "mine.toml"), "mine", file_text).instantiate(settings);
}

std::string part_text(const std::string& kind, const std::string& keys) {
  return "[[feed.parts]]\nkind = \"" + kind + "\"\n" + keys + "\n";
}

/// The only part of a feed.
template <class Part>
Part part(const std::string& kind, const std::string& keys) {
  const model::Model model = load(kHead + part_text(kind, keys));
  REQUIRE(model.feed.parts.size() == 1);
  REQUIRE(std::holds_alternative<Part>(model.feed.parts[0]));
  return std::get<Part>(model.feed.parts[0]);
}

constexpr double kInfinity = std::numeric_limits<double>::infinity();
const std::string kTurns = "turns = [2, 14]\n";
const std::string kRatio = "impedance_ratio = 9\n";
const std::string kCore = "core = { permeability = [[\"1 MHz\", 800, 100], [\"10 MHz\", 250, 300]], ";

}  // namespace

TEST_CASE("feed parts: every key of a transformer with a core arrives in its field, in SI units") {
  struct Row {
    std::string keys;
    std::function<double(const circuit::CoreTransformer&)> field;
    double wanted;
  };
  using Part = circuit::CoreTransformer;
  const std::string inductance = "magnetising_inductance = \"8 uH\"\n";
  const std::string core = kTurns + kCore + "area = \"8 mm * 16 mm\", path_length = \"14 cm\" }\n";
  const Row rows[] = {
      {kRatio + inductance, [](const Part& p) { return p.impedance_ratio; }, 9.0},
      {kTurns + inductance, [](const Part& p) { return p.impedance_ratio; }, 49.0},
      {kRatio + inductance, [](const Part& p) { return p.magnetising_inductance; }, 8e-6},
      {kRatio + inductance, [](const Part& p) { return p.shunt_conductance; }, 0.0},
      {kRatio + "shunt_conductance = \"1.68 mS\"", [](const Part& p) { return p.shunt_conductance; },
       1.68e-3},
      {kRatio + "shunt_conductance = 0.00168", [](const Part& p) { return p.shunt_conductance; }, 1.68e-3},
      {kRatio + "shunt_conductance = \"1 / (595 ohm)\"", [](const Part& p) { return p.shunt_conductance; },
       1.0 / 595.0},
      {kRatio + "shunt_conductance = \"1.68 mS\"", [](const Part& p) { return p.magnetising_inductance; },
       kInfinity},
      {kRatio + inductance + "leakage_inductance = \"50 nH\"",
       [](const Part& p) { return p.leakage_inductance; }, 50e-9},
      {kRatio + inductance + "winding_capacitance = \"4 pF\"",
       [](const Part& p) { return p.winding_capacitance; }, 4e-12},
      {kRatio + inductance + "winding_resistance = \"120 mohm\"",
       [](const Part& p) { return p.winding_resistance; }, 0.12},
      {kRatio + inductance + "winding_resistance = 0.12\nwinding_resistance_at = \"10 MHz\"",
       [](const Part& p) { return p.resistance_frequency; }, 10e6},
      {core, [](const Part& p) { return p.impedance_ratio; }, 49.0},
      {core, [](const Part& p) { return p.core->turns; }, 2.0},
      {core, [](const Part& p) { return p.core->area; }, 128e-6},
      {core, [](const Part& p) { return p.core->path_length; }, 0.14},
      {core, [](const Part& p) { return static_cast<double>(p.core->material.size()); }, 2.0},
      {core, [](const Part& p) { return p.core->material[1].frequency; }, 10e6},
      {core, [](const Part& p) { return p.core->material[1].real; }, 250.0},
      {core, [](const Part& p) { return p.core->material[1].imaginary; }, 300.0},
      {"type = \"49:1\"", [](const Part& p) { return p.impedance_ratio; }, 49.0},
      {"type = \"49:1\"", [](const Part& p) { return p.generic ? 1.0 : 0.0; }, 1.0},
      {"type = \"9:1\"\nname = \"unun\"\nconnection = \"un-un\"",
       [](const Part& p) { return p.impedance_ratio; }, 9.0},
  };
  for (const Row& row : rows) {
    CAPTURE(row.keys);
    CHECK(relative_error(row.field(part<Part>("transformer", row.keys)), row.wanted) <= 1e-14);
  }
}

TEST_CASE("feed parts: a ratio alone, or turns alone, make a transformer with a flat loss") {
  CHECK(part<circuit::Transformer>("transformer", kRatio).impedance_ratio == 9.0);
  CHECK(part<circuit::Transformer>("transformer", kTurns + "loss = \"0.8 dB\"").impedance_ratio == 49.0);
  CHECK(part<circuit::Transformer>("transformer", kTurns + "loss = \"0.8 dB\"").loss_db == 0.8);
  CHECK(part<circuit::Transformer>("transformer", "turns = [3, 1]").impedance_ratio ==
        doctest::Approx(1.0 / 9.0));
  CHECK(part<circuit::Transformer>("transformer", kRatio + "connection = \"balun\"").impedance_ratio == 9.0);
}

TEST_CASE("feed parts: measured transformers and two-ports") {
  const auto unun = part<circuit::MeasuredPart>("transformer", "touchstone = \"unun.s2p\"");
  CHECK(unun.transformer);
  CHECK_FALSE(unun.antenna_first);
  CHECK(unun.data.frequencies == std::vector<double>{7e6, 8e6});
  const auto turned = part<circuit::MeasuredPart>("two-port", "touchstone = \"unun.s2p\"\nantenna_port = 1");
  CHECK_FALSE(turned.transformer);
  CHECK(turned.antenna_first);
  CHECK_FALSE(
      part<circuit::MeasuredPart>("two-port", "touchstone = \"unun.s2p\"\nantenna_port = 2").antenna_first);
  CHECK(unun.data.s[1][1] == 1.0);  // 21 12 stand in the file the other way round
  CHECK(unun.data.s[1][2] == 0.5);
}

TEST_CASE("feed parts: a line's loss by two rows") {
  const std::string numbers = "z0 = \"50 ohm\"\nvelocity_factor = 0.66\nlength = \"10 m\"\n";
  struct Row {
    const char* attenuation;
    double k1, k2;  // dB / m / sqrt(MHz), dB / m / MHz
  };
  // Source: derived. Each pair lies on the law itself, the first two on its borders.
  const Row rows[] = {
      {"[[\"10 MHz\", \"5 dB/100 m\"], [\"40 MHz\", \"10 dB/100 m\"]]", 0.05 / std::sqrt(10.0), 0.0},
      {"[[\"3 MHz\", \"0.7 dB/100 m\"], [\"21 MHz\", \"4.9 dB/100 m\"]]", 0.0, 0.007 / 3.0},
      {"[[\"4 MHz\", \"2.4 dB/100 m\"], [\"9 MHz\", \"3.9 dB/100 m\"]]", 0.01, 0.001},
      {"[[\"9 MHz\", \"3.9 dB/100 m\"], [\"4 MHz\", \"2.4 dB/100 m\"]]", 0.01, 0.001},
      {"[[\"4 MHz\", 0], [\"9 MHz\", 0]]", 0.0, 0.0},
  };
  for (const Row& row : rows) {
    CAPTURE(row.attenuation);
    const auto line = part<circuit::Line>("line", numbers + "attenuation = " + row.attenuation);
    CHECK(std::abs(line.k1 - row.k1) <= 1e-14);
    CHECK(std::abs(line.k2 - row.k2) <= 1e-15);
    CHECK(line.k1 >= 0.0);
    CHECK(line.k2 >= 0.0);
    CHECK(line.constant_loss == 0.0);
    CHECK(line.is_coax);
  }
}

TEST_CASE("feed parts: a line by numbers of 200 ohm or more is a parallel line") {
  const std::string rest = "velocity_factor = 0.9\nlength = \"10 m\"\nattenuation = 0\n";
  CHECK(part<circuit::Line>("line", "z0 = \"125 ohm\"\n" + rest).is_coax);
  CHECK_FALSE(part<circuit::Line>("line", "z0 = \"240 ohm\"\n" + rest).is_coax);
}

TEST_CASE("feed parts: stubs") {
  const std::string line = "type = \"RG-213\"\nlength = \"2 m\"\n";
  struct Row {
    const char* keys;
    bool open, in_series;
  };
  for (const Row& row : {Row{"end = \"open\"", true, false}, Row{"end = \"shorted\"", false, false},
                         Row{"end = \"open\"\nconnection = \"parallel\"", true, false},
                         Row{"end = \"shorted\"\nconnection = \"series\"", false, true}}) {
    CAPTURE(row.keys);
    const auto stub = part<circuit::Stub>("stub", line + row.keys);
    CHECK(stub.line.type == "RG-213");
    CHECK(stub.line.length == 2.0);
    CHECK(stub.open == row.open);
    CHECK(stub.in_series == row.in_series);
  }
  // An open stub of no length across the line, or a shorted one in series, does nothing.
  CHECK(part<circuit::Stub>("stub", "type = \"RG-58\"\nlength = 0\nend = \"open\"").line.length == 0.0);
  CHECK(
      part<circuit::Stub>("stub", "type = \"RG-58\"\nlength = 0\nend = \"shorted\"\nconnection = \"series\"")
          .in_series);
}

TEST_CASE("feed parts: tuners") {
  struct Row {
    const char* keys;
    std::function<double(const circuit::Tuner&)> field;
    double wanted;
  };
  using Part = circuit::Tuner;
  const auto network = [](const Part& p) { return static_cast<double>(p.network); };
  const Row rows[] = {
      {"", network, static_cast<double>(Part::Network::l)},
      {"network = \"L\"", network, static_cast<double>(Part::Network::l)},
      {"network = \"T\"", network, static_cast<double>(Part::Network::t)},
      {"network = \"pi\"", network, static_cast<double>(Part::Network::pi)},
      {"coil_q = 150", [](const Part& p) { return p.coil_q; }, 150.0},
      {"capacitor_q = 700", [](const Part& p) { return p.capacitor_q; }, 700.0},
      {"largest_swr = 3", [](const Part& p) { return p.largest_swr; }, 3.0},
      {"largest_inductance = \"20 uH\"", [](const Part& p) { return p.largest_inductance; }, 20e-6},
      {"largest_capacitance = \"1.5 nF\"", [](const Part& p) { return p.largest_capacitance; }, 1.5e-9},
      {"", [](const Part& p) { return p.largest_capacitance; }, kInfinity},
  };
  for (const Row& row : rows) {
    CAPTURE(row.keys);
    CHECK(relative_error(row.field(part<Part>("tuner", row.keys)), row.wanted) <= 1e-14);
  }
}

TEST_CASE("feed parts: complaints name the place and what to do") {
  struct Row {
    const char* kind;
    std::string keys;  // from line 11 on
    int line;
    int column;
    const char* key;  // after "feed.parts."
    const char* fragment;
  };
  const std::string numbers = "z0 = \"50 ohm\"\nvelocity_factor = 0.66\nlength = \"10 m\"\n";
  const std::string inductance = "magnetising_inductance = \"8 uH\"\n";
  const std::string core = kTurns + "core = ";
  const Row rows[] = {
      // kinds and their keys
      {"balun", "", 10, 8, "1.kind", "expected one of: transformer, line, stub, tuner, two-port, choke"},
      {"choke", "turns = 3", 11, 1, "1.turns", "unknown key 'turns' in a choke"},
      {"line", "impedance_ratio = 9", 11, 1, "1.impedance_ratio", "unknown key 'impedance_ratio' in a line"},
      {"transformer", "length = \"1 m\"", 11, 1, "1.length", "unknown key 'length' in a transformer"},
      {"stub", "outside = { }", 11, 1, "1.outside", "unknown key 'outside' in a stub"},
      {"tuner", "type = \"L\"", 11, 1, "1.type", "unknown key 'type' in a tuner"},
      {"two-port", "loss = \"1 dB\"", 11, 1, "1.loss", "unknown key 'loss' in a two-port"},
      {"two-port", "touchstone = 3", 11, 14, "1.touchstone", "expected a text such as \"mine.s2p\""},
      {"two-port", "", 9, 1, "1.touchstone", "needs the key 'touchstone'"},
      {"tuner", "name = 5", 11, 8, "1.name", "expected a text"},
      {"tuner", "name = \"2\"", 11, 8, "2.name", "cannot be named \"2\""},
      {"tuner", "name = \"a.b\"", 11, 8, "a.b.name", "expected a name"},
      {"tuner", "name = \"a\"\n[[feed.parts]]\nkind = \"tuner\"\nname = \"a\"", 14, 8, "a.name",
       "two feed parts are named \"a\""},
      // transformers
      {"transformer", "", 9, 1, "1.impedance_ratio", "type = \"9:1\""},
      {"transformer", inductance, 9, 1, "1.impedance_ratio", "or turns = [2, 6]"},
      {"transformer", kRatio + kTurns, 12, 9, "1.turns", "not both"},
      {"transformer", kRatio + kTurns + inductance, 12, 9, "1.turns", "not both"},
      {"transformer", "impedance_ratio = 0", 11, 19, "1.impedance_ratio", "above zero"},
      {"transformer", "impedance_ratio = 1e5", 11, 19, "1.impedance_ratio", "from 0.0001 to 10000"},
      {"transformer", "impedance_ratio = 1e-5", 11, 19, "1.impedance_ratio", "from 0.0001 to 10000"},
      {"transformer", "impedance_ratio = \"9 ohm\"", 11, 20, "1.impedance_ratio", "expected a plain number"},
      {"transformer", "impedance_ratio = \"9:1\"", 11, 21, "1.impedance_ratio", "in \"9:1\""},
      {"transformer", "turns = [1, 101]", 11, 9, "1.turns", "from 0.0001 to 10000"},
      {"transformer", "turns = 3", 11, 9, "1.turns", "as in [2, 14], found a whole number"},
      {"transformer", "turns = [2, 14, 3]", 11, 9, "1.turns", "as in [2, 14]"},
      {"transformer", "turns = [2, 0]", 11, 13, "1.turns.2", "above zero"},
      {"transformer", "turns = [2, 2000]", 11, 9, "1.turns", "at most 1000 turns"},
      {"transformer", kRatio + "loss = \"-1 dB\"", 12, 8, "1.loss", "zero or more"},
      {"transformer", kRatio + "loss = \"101 dB\"", 12, 8, "1.loss", "up to 100 dB"},
      {"transformer", kRatio + "loss = \"1 W\"", 12, 9, "1.loss", "found the power 1 W"},
      {"transformer", kRatio + inductance + "loss = \"1 dB\"", 13, 8, "1.loss", "leave out loss"},
      {"transformer", kRatio + "connection = \"bal-un\"", 12, 14, "1.connection", "did you mean 'balun'?"},
      {"transformer", kRatio + "winding_resistance = 1", 9, 1, "1.magnetising_inductance", "or core"},
      {"transformer", kRatio + "leakage_inductance = \"50 nH\"", 9, 1, "1.magnetising_inductance", "or core"},
      {"transformer", kRatio + "magnetising_inductance = \"0 H\"", 12, 26, "1.magnetising_inductance",
       "above zero"},
      {"transformer", kRatio + "magnetising_inductance = 8", 12, 26, "1.magnetising_inductance",
       "did you mean \"8 uH\"?"},
      {"transformer", kRatio + "shunt_conductance = \"600 ohm\"", 12, 22, "1.shunt_conductance",
       "found the resistance 600 ohm"},
      {"transformer", kRatio + "shunt_conductance = \"-1 mS\"", 12, 21, "1.shunt_conductance",
       "zero or more"},
      {"transformer", kRatio + inductance + "winding_resistance_at = \"7 MHz\"", 13, 25,
       "1.winding_resistance_at", "which is missing here"},
      {"transformer", kRatio + inductance + "winding_capacitance = 4", 13, 23, "1.winding_capacitance",
       "did you mean \"4 pF\"?"},
      {"transformer", kRatio + kCore + "area = 1e-4, path_length = \"14 cm\" }", 12, 8, "1.core",
       "a core needs turns"},
      {"transformer", core + "{ area = 1e-4, path_length = \"14 cm\" }", 12, 8, "1.core.permeability",
       "needs the key 'permeability'"},
      {"transformer", kTurns + kCore + "path_length = \"14 cm\" }", 12, 8, "1.core.area",
       "needs the key 'area'"},
      {"transformer", kTurns + kCore + "area = \"1 cm\", path_length = \"14 cm\" }", 12, 78, "1.core.area",
       "found the length 10 mm (in \"1 cm\")"},
      {"transformer", kTurns + kCore + "area = 100, path_length = \"14 cm\" }", 12, 77, "1.core.area",
       "not believable here"},
      {"transformer", kTurns + kCore + "area = 1e-4 }", 12, 8, "1.core.path_length", "path_length"},
      {"transformer", core + "{ mu = 800 }", 12, 10, "1.core.mu", "unknown key 'mu' in a core"},
      {"transformer", core + "{ permeability = 800, area = 1e-4, path_length = 0.1 }", 12, 25,
       "1.core.permeability", "rows of frequency, mu' and mu''"},
      {"transformer", core + "{ permeability = [], area = 1e-4, path_length = 0.1 }", 12, 25,
       "1.core.permeability", "expected 1 to 500 rows"},
      {"transformer", core + "{ permeability = [[\"1 MHz\", 800]], area = 1e-4, path_length = 0.1 }", 12, 26,
       "1.core.permeability.1", "as in [\"1 MHz\", 800, 100]"},
      {"transformer",
       core + "{ permeability = [[\"2 MHz\", 9, 1], [\"1 MHz\", 8, 1]], area = 1e-4, path_length = 0.1 }", 12,
       43, "1.core.permeability.2", "rising frequencies"},
      {"transformer", core + "{ permeability = [[\"1 MHz\", 800, -1]], area = 1e-4, path_length = 0.1 }", 12,
       41, "1.core.permeability.1.3", "zero or more"},
      {"transformer", core + "{ permeability = [[\"1 MHz\", 1e7, 1]], area = 1e-4, path_length = 0.1 }", 12,
       26, "1.core.permeability.1", "up to 1e+06"},
      {"transformer", "type = \"49:2\"", 11, 8, "1.type",
       "no ready transformer \"49:2\"; did you mean '49:1'?"},
      {"transformer", "type = \"49:1\"\nimpedance_ratio = 49", 12, 19, "1.impedance_ratio",
       "leave out impedance_ratio"},
      {"transformer", "type = \"49:1\"\nturns = [2, 14]", 12, 9, "1.turns", "leave out turns"},
      {"transformer", "type = \"49:1\"\nloss = \"1 dB\"", 12, 8, "1.loss", "leave out loss"},
      {"transformer", "type = \"49:1\"\n" + inductance, 12, 26, "1.magnetising_inductance", "type says all"},
      {"transformer", "type = \"49:1\"\nantenna_port = 1", 12, 16, "1.antenna_port", "Touchstone file"},
      {"transformer", "type = 49", 11, 8, "1.type", "expected a text such as \"49:1\""},
      {"transformer", "touchstone = \"unun.s2p\"\nloss = \"1 dB\"", 12, 8, "1.loss", "touchstone says all"},
      {"transformer", "touchstone = \"unun.s2p\"\nturns = [2, 14]", 12, 9, "1.turns", "touchstone says all"},
      {"transformer", "touchstone = \"unun.s2p\"\nantenna_port = 3", 12, 16, "1.antenna_port", "from 1 to 2"},
      {"transformer", "touchstone = \"unun.s1p\"", 11, 14, "1.touchstone",
       "cannot be used: expected a file of a two-port (.s2p)"},
      {"transformer", "touchstone = \"choke.s1p\"", 11, 14, "1.touchstone",
       "expected a file of a two-port (.s2p)"},
      {"two-port", "touchstone = \"none.s2p\"", 11, 14, "1.touchstone", "(looked for at folder/none.s2p)"},
      {"two-port", "touchstone = \"\"", 11, 14, "1.touchstone", "name of a Touchstone file"},
      // lines and stubs
      {"line", "type = \"RG-58\"", 9, 1, "1.length", "needs the key 'length'"},
      {"line", "length = \"1 m\"", 9, 1, "1.z0", "or type = \"RG-58\""},
      {"line", "type = \"RG-85\"\nlength = \"1 m\"", 11, 8, "1.type", "did you mean 'RG-58'?"},
      {"line", "type = \"RG-58\"\nz0 = \"50 ohm\"\nlength = \"1 m\"", 12, 6, "1.z0", "leave out type or z0"},
      {"line", "type = \"RG-58\"\nlength = \"-1 m\"", 12, 10, "1.length", "zero or more"},
      {"line", "type = \"RG-58\"\nlength = \"101 km\"", 12, 10, "1.length", "up to 100 km"},
      {"line", "type = \"RG-58\"\nlength = true", 12, 10, "1.length", "found true or false"},
      {"line", numbers, 9, 1, "1.attenuation", "needs the key 'attenuation'"},
      {"line", "z0 = 0\nvelocity_factor = 1\nlength = 1\nattenuation = 0", 11, 6, "1.z0", "above zero"},
      {"line", "z0 = \"0.5 ohm\"\nvelocity_factor = 1\nlength = 1\nattenuation = 0", 11, 6, "1.z0",
       "from 1 to"},
      {"line", "z0 = \"1 Mohm\"\nvelocity_factor = 1\nlength = 1\nattenuation = 0", 11, 6, "1.z0",
       "to 10000 ohm"},
      {"line", "z0 = 50\nvelocity_factor = 66\nlength = 1\nattenuation = 0", 12, 19, "1.velocity_factor",
       "velocity factor from 0.01 to 1, found 66"},
      {"line", "z0 = 50\nvelocity_factor = 1e-9\nlength = 1\nattenuation = 0", 12, 19, "1.velocity_factor",
       "from 0.01 to 1"},
      {"line", numbers + "attenuation = \"4 dB\"", 14, 16, "1.attenuation", "found the level"},
      {"line", numbers + "attenuation = [[\"1 MHz\", \"4 dB/100 m\"]]", 14, 15, "1.attenuation",
       "expected two rows of frequency and attenuation, found 1"},
      {"line", numbers + "attenuation = [1, 2]", 14, 16, "1.attenuation.1", "a frequency and an attenuation"},
      {"line", numbers + "attenuation = [[\"1 MHz\", \"4 dB/100 m\"], [\"1 MHz\", \"5 dB/100 m\"]]", 14, 15,
       "1.attenuation", "two different frequencies"},
      {"line", numbers + "attenuation = [[\"1 MHz\", \"4 dB/100 m\"], [\"2 MHz\", \"9 dB/100 m\"]]", 14, 15,
       "1.attenuation", "grows at least with the root"},
      {"line", numbers + "attenuation = [[\"1 MHz\", \"4 dB/100 m\"], [\"2 MHz\", \"4 dB/100 m\"]]", 14, 15,
       "1.attenuation", "grows at least with the root"},
      {"line",
       numbers + "attenuation = [[\"1 MHz\", \"4 dB/100 m\"], [\"2 MHz\", \"6 dB/100 m\"]]\nattenuation_at = "
                 "\"1 MHz\"",
       15, 18, "1.attenuation_at", "leave out attenuation_at"},
      {"stub", "type = \"RG-58\"\nlength = \"1 m\"", 9, 1, "1.end", "needs the key 'end'"},
      {"stub", "type = \"RG-58\"\nlength = \"1 m\"\nend = \"short\"", 13, 7, "1.end",
       "did you mean 'shorted'?"},
      {"stub", "type = \"RG-58\"\nlength = 0\nend = \"shorted\"", 12, 10, "1.length",
       "a short across the line"},
      {"stub", "type = \"RG-58\"\nlength = 0\nend = \"open\"\nconnection = \"series\"", 12, 10, "1.length",
       "lets nothing pass"},
      // tuners
      {"tuner", "network = \"X\"", 11, 11, "1.network", "expected one of: L, T, pi"},
      {"tuner", "coil_q = 0.5", 11, 10, "1.coil_q", "quality factor from 1 to 1e+06"},
      {"tuner", "capacitor_q = 0", 11, 15, "1.capacitor_q", "above zero"},
      {"tuner", "largest_swr = 1", 11, 15, "1.largest_swr", "an SWR above 1"},
      {"tuner", "largest_inductance = 20", 11, 22, "1.largest_inductance", "did you mean \"20 uH\"?"},
      {"tuner", "largest_capacitance = \"20 uH\"", 11, 24, "1.largest_capacitance",
       "found the inductance 20 uH"},
  };
  for (const Row& row : rows) {
    CAPTURE(row.kind);
    CAPTURE(row.keys);
    const Complaint found = test::complaint_of([&] { (void)load(kHead + part_text(row.kind, row.keys)); });
    CAPTURE(found.message);
    CHECK(found.kind == static_cast<int>(core::ErrorKind::model));
    CHECK(found.place.file == "mine.toml");
    CHECK(found.place.line == row.line);
    CHECK(found.place.column == row.column);
    CHECK(found.place.key == std::string("feed.parts.") + row.key);
    CHECK(found.message.find(row.fragment) != std::string::npos);
  }
}

TEST_CASE("feed parts: a bad Touchstone file is blamed itself") {
  struct Row {
    const char* file;
    int line;
    const char* fragment;
  };
  for (const Row& row : {Row{"short.s2p", 3, ""}, Row{"power.s2p", 0, "makes power at 8 MHz"}})
    for (const char* kind : {"transformer", "two-port"}) {
      CAPTURE(row.file);
      CAPTURE(kind);
      const Complaint found = test::complaint_of(
          [&] { (void)load(kHead + part_text(kind, std::string("touchstone = \"") + row.file + "\"")); });
      CAPTURE(found.message);
      CHECK(found.kind == static_cast<int>(core::ErrorKind::model));
      CHECK(found.place.file == row.file);
      CHECK(found.place.line == row.line);
      CHECK(found.message.find(row.fragment) != std::string::npos);
    }
}

TEST_CASE("feed parts: parts without a table, a kind or a right place") {
  struct Row {
    const char* text;
    const char* fragment;
  };
  for (const Row& row :
       {Row{"parts = 3\n", "[[feed.parts]]"}, Row{"parts = [1]\n", "[[feed.parts]]"},
        Row{"[[feed.parts]]\n", "needs the key 'kind'"}, Row{"[[feed.parts]]\nkind = 3\n", "expected a text"},
        Row{"[[feed.parts]]\nkind = \"tuner\"\n[feed.parts.x]\n", "unknown key 'x' in a tuner"}}) {
    CAPTURE(row.text);
    const Complaint found = test::complaint_of([&] { (void)load(kHead + row.text); });
    CAPTURE(found.message);
    CHECK(found.kind == static_cast<int>(core::ErrorKind::model));
    CHECK(found.message.find(row.fragment) != std::string::npos);
  }
  std::string many;
  for (int i = 0; i < 51; ++i) many += "[[feed.parts]]\nkind = \"tuner\"\n";
  CHECK(test::complaint_of([&] { (void)load(kHead + many); }).message.find("at most 50") !=
        std::string::npos);
}

TEST_CASE("feed parts: any mixture of keys and values gives a part or a complaint with its place") {
  struct Good {
    std::string kind;
    std::vector<std::pair<std::string, std::string>> keys;  // that make one
  };
  const Good kinds[] = {{"transformer", {{"impedance_ratio", "9"}}},
                        {"line", {{"type", "\"RG-58\""}, {"length", "\"10 m\""}}},
                        {"stub", {{"type", "\"RG-58\""}, {"length", "\"2 m\""}, {"end", "\"open\""}}},
                        {"tuner", {}},
                        {"two-port", {{"touchstone", "\"unun.s2p\""}}},
                        {"choke", {{"impedance", "\"perfect\""}}}};
  const char* keys[] = {"impedance_ratio",
                        "loss",
                        "type",
                        "turns",
                        "magnetising_inductance",
                        "shunt_conductance",
                        "core",
                        "leakage_inductance",
                        "winding_capacitance",
                        "winding_resistance",
                        "winding_resistance_at",
                        "touchstone",
                        "antenna_port",
                        "connection",
                        "length",
                        "z0",
                        "velocity_factor",
                        "attenuation",
                        "attenuation_at",
                        "outside",
                        "end",
                        "network",
                        "coil_q",
                        "largest_swr",
                        "distance",
                        "impedance",
                        "resistance",
                        "inductance",
                        "capacitance"};
  const char* values[] = {"9",
                          "0.66",
                          "-1",
                          "0",
                          "1e300",
                          "true",
                          "nan",
                          "[]",
                          "{ }",
                          "[2, 14]",
                          "[[\"7 MHz\", 0.01], [\"14 MHz\", 0.015]]",
                          "\"9:1\"",
                          "\"RG-58\"",
                          "\"unun.s2p\"",
                          "\"choke.s1p\"",
                          "\"10 m\"",
                          "\"8 uH\"",
                          "\"2 pF\"",
                          "\"3 kohm\"",
                          "\"2 mS\"",
                          "\"1 dB\"",
                          "\"4 dB/100 m\"",
                          "\"7 MHz\"",
                          "\"open\"",
                          "\"series\"",
                          "\"balun\"",
                          "\"perfect\"",
                          "[\"1 kohm\", 3]",
                          "{ path = [[\"4 m\", 0, \"1 m\"]], end = \"open\" }",
                          "{ permeability = [[\"7 MHz\", 100, 50]], area = 1e-4, path_length = 0.1 }"};
  std::mt19937 random(4);
  const auto any = [&](const auto& list) -> const auto& {
    return list[std::uniform_int_distribution<std::size_t>(0, std::size(list) - 1)(random)];
  };
  std::set<std::string> loaded;
  for (int trial = 0; trial < 20000; ++trial) {
    const Good& good = any(kinds);
    const std::string kind = good.kind;
    std::set<std::string> chosen;
    std::string text;
    for (int i = trial % 4; i > 0; --i)
      if (const std::string key = any(keys); chosen.insert(key).second)
        text += key + " = " + any(values) + "\n";
    for (const auto& [key, value] : good.keys)
      if (trial % 5 != 0 && chosen.insert(key).second) text += key + " = " + value + "\n";
    CAPTURE(kind);
    CAPTURE(text);
    try {
      (void)load(kHead + part_text(kind, text));
      loaded.insert(kind);
    } catch (const core::Error& error) {
      CHECK(error.kind() == core::ErrorKind::model);
      CHECK(error.place().line >= 8);
      CHECK_FALSE(error.message().empty());
    }
  }
  CHECK(loaded == std::set<std::string>{"transformer", "line", "stub", "tuner",
                                        "two-port"});  // no choke without outside
}

TEST_CASE("feed parts: settings reach them by number and by name, and displace what says the same") {
  const std::string text = kHead + part_text("transformer", "name = \"unun\"\ntype = \"49:1\"") +
                           part_text("line", "name = \"run\"\ntype = \"RG-58\"\nlength = \"10 m\"") +
                           part_text("tuner", "");
  const auto part_after = [&](std::size_t index, const std::vector<model::Setting>& settings) {
    return load(text, settings).feed.parts.at(index);
  };
  CHECK(std::get<circuit::Line>(part_after(1, {{"feed.parts.2.length", "20 m"}})).length == 20.0);
  CHECK(std::get<circuit::Line>(part_after(1, {{"feed.parts.run.length", "5 m"}})).length == 5.0);
  CHECK(std::get<circuit::Line>(part_after(1, {{"feed.parts.run.type", "RG-213"}})).type == "RG-213");
  CHECK(std::get<circuit::Tuner>(part_after(2, {{"feed.parts.3.network", "pi"}})).network ==
        circuit::Tuner::Network::pi);
  CHECK(
      std::get<circuit::CoreTransformer>(part_after(0, {{"feed.parts.unun.type", "9:1"}})).impedance_ratio ==
      9.0);
  CHECK(std::get<circuit::Transformer>(part_after(0, {{"feed.parts.unun.impedance_ratio", "64"}}))
            .impedance_ratio == 64.0);
  CHECK(
      std::get<circuit::MeasuredPart>(part_after(0, {{"feed.parts.1.touchstone", "unun.s2p"}})).transformer);
  const Complaint found = test::complaint_of([&] { (void)load(text, {{"feed.parts.unun.length", "1 m"}}); });
  CHECK(found.kind == static_cast<int>(core::ErrorKind::usage));
  CHECK(found.message.find("unknown key 'length' in a transformer") != std::string::npos);
}

}  // namespace feldspar
