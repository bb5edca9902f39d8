#include <doctest/doctest.h>

#include "io/document.hpp"
#include "model_text.hpp"

namespace feldspar {

namespace {

const std::string kFeed = "[feed]\npower = \"10 W\"\n";
const std::string kGiven = "[antenna]\nimpedance = [\"13.6 ohm\", \"-1000 ohm\"]\n" + kFeed;
const std::string kMeasured = "[antenna]\ntouchstone = \"mine.s1p\"\n" + kFeed;
const std::string kFile = "# MHz S RI R 50\n7 0.5 0\n8 0.5 0.1\n";

/// A family whose only other file is mine.s1p.
model::Family with_file(const std::string& text, const std::string& content = kFile) {
  return {
      io::parse_document(text, "mine.toml"), "mine", [content](const std::string& path) {
        if (path == "mine.s1p") return content;
        throw core::Error(core::ErrorKind::usage, "the file cannot be opened", {"folder/" + path, 0, 0, {}});
      }};
}

}  // namespace

TEST_CASE("antenna: an impedance in place of wires, with expressions") {
  const model::Model model = test::make(kGiven);
  REQUIRE(model.antenna);
  CHECK(model.antenna->impedance == std::complex<double>{13.6, -1000.0});
  CHECK_FALSE(model.antenna->table);
  CHECK(model.structure.wires.empty());
  CHECK(model.structure.ports.empty());
  CHECK(model.feed.power == 10.0);
  const model::Model varied = test::make(
      "[parameters.turns]\ndefault = 2\n[ground]\nsoil = \"sea\"\n[antenna]\nimpedance = [\"turns * 10 "
      "ohm\", -3.5]\n",
      {{"turns", "4", {}}});
  CHECK(varied.antenna->impedance == std::complex<double>{40.0, -3.5});
  CHECK(varied.ground.name == "sea");
  CHECK_FALSE(test::make(test::kWire + test::kPort).antenna);
}

TEST_CASE("antenna: a Touchstone file that the family's giver reads") {
  const model::Model model = with_file(kMeasured).instantiate();
  REQUIRE(model.antenna);
  REQUIRE(model.antenna->table);
  CHECK(model.antenna->table->name == "mine.s1p");
  CHECK(model.antenna->table->frequencies == std::vector<double>{7e6, 8e6});
  CHECK(std::abs(circuit::impedance_at(*model.antenna, core::Frequency{7e6}) - 150.0) < 1e-12);
  CHECK(covers(*model.antenna, 7.5e6));
  CHECK_FALSE(covers(*model.antenna, 8.1e6));
  CHECK(covers(circuit::KnownAntenna{}, 8.1e6));
  const model::Model set = with_file(kGiven).instantiate({{"antenna.touchstone", "mine.s1p", {}}});
  CHECK(set.antenna->table);
}

TEST_CASE("antenna: complaints name the place and what to do") {
  struct Row {
    std::string text;
    std::string content;
    const char* file;
    int line;
    int column;
    const char* key;
    const char* fragment;
  };
  const Row rows[] = {
      {kGiven + test::kWire, kFile, "mine.toml", 5, 1, "wires", "leave out wires or [antenna]"},
      {kGiven + test::kPort, kFile, "mine.toml", 5, 1, "port", "has its own port"},
      {kGiven + "[[inserts]]\nwire = \"x\"\n", kFile, "mine.toml", 5, 1, "inserts", "leave out inserts"},
      {"[antenna]\n", kFile, "mine.toml", 1, 1, "antenna.impedance", "touchstone = \"mine.s1p\""},
      {"antenna = 3\n", kFile, "mine.toml", 1, 11, "antenna", "expected a table"},
      {"[antenna]\nimpedance = [\"13 ohm\"]\n", kFile, "mine.toml", 2, 13, "antenna.impedance",
       "a list of 1"},
      {"[antenna]\nimpedance = \"13 ohm\"\n", kFile, "mine.toml", 2, 13, "antenna.impedance",
       "resistance and reactance"},
      {"[antenna]\nimpedance = [\"-1 ohm\", \"0 ohm\"]\n", kFile, "mine.toml", 2, 14, "antenna.impedance.1",
       "-1 ohm"},
      {"[antenna]\nimpedance = [\"1 ohm\", \"1 H\"]\n", kFile, "mine.toml", 2, 24, "antenna.impedance.2",
       "inductance"},
      {"[antenna]\nimpedance = [1, 1]\ntouchstone = \"mine.s1p\"\n", kFile, "mine.toml", 3, 14,
       "antenna.touchstone", "not both"},
      {"[antenna]\ntouchstone = \"yours.s1p\"\n", kFile, "mine.toml", 2, 14, "antenna.touchstone",
       "\"yours.s1p\" cannot be used (looked for at folder/yours.s1p): the file cannot be opened"},
      {"[antenna]\ntouchstone = \"mine.s2p\"\n", kFile, "mine.toml", 2, 14, "antenna.touchstone",
       "one-port (.s1p)"},
      {"[antenna]\ntouchstone = \"mine.s4p\"\n", kFile, "mine.toml", 2, 14, "antenna.touchstone",
       "only one- and two-ports"},
      {"[antenna]\ntouchstone = \"\"\n", kFile, "mine.toml", 2, 14, "antenna.touchstone",
       "name of a Touchstone file"},
      {"[antenna]\ntouchstone = 3\n", kFile, "mine.toml", 2, 14, "antenna.touchstone", "a whole number"},
      {kMeasured, "# MHz S RI R 50\n7 0.5 0\n6 0.5 0\n", "mine.s1p", 3, 1, "", "above 7 MHz"},
      {kMeasured, "# MHz S RI R 50\n7 1.5 0\n", "mine.s1p", 0, 0, "", "makes power at 7 MHz"},
  };
  for (const Row& row : rows) {
    CAPTURE(row.text);
    const auto complaint = test::complaint_of([&] { (void)with_file(row.text, row.content).instantiate(); });
    CAPTURE(complaint.message);
    CHECK(complaint.kind == static_cast<int>(core::ErrorKind::model));
    CHECK(complaint.place.file == row.file);
    CHECK(complaint.place.line == row.line);
    CHECK(complaint.place.column == row.column);
    CHECK(complaint.place.key == row.key);
    CHECK(complaint.message.find(row.fragment) != std::string::npos);
  }
  const auto lone = test::complaint_of([] { (void)test::make(kMeasured); });
  CHECK(lone.message.find("was not read from a file") != std::string::npos);
  const auto set = test::complaint_of([] {
    (void)with_file(kGiven).instantiate({{"antenna.touchstone", "yours.s1p", {}}});
  });
  CHECK(set.kind == static_cast<int>(core::ErrorKind::usage));
}

}  // namespace feldspar
