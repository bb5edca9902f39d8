#include <doctest/doctest.h>

#include "core/constants.hpp"
#include "model_text.hpp"

using namespace feldspar;
using test::complaint_of;

namespace {

const std::string kRest = test::kWire + test::kPort;

constexpr const char* kTable = R"([ground]
table = [{ frequency = "2 MHz", permittivity = 25, conductivity = "4 mS/m" },
         { frequency = "7 MHz", permittivity = 20, conductivity = "8 mS/m" }]
)";

constexpr const char* kFar = R"([ground]
soil = "poor"
[ground.far]
soil         = "sea"
begins       = "25 m"
from_bearing = "200 deg"
to_bearing   = "-40 deg"
)";

model::Model ground(const std::string& text, const std::vector<model::Setting>& settings = {}) {
  return test::make(text + kRest, settings);
}

}  // namespace

TEST_CASE("ground: a table of numbers by frequency") {
  const media::Ground soil = ground(kTable).ground;
  CHECK(soil.kind == media::GroundKind::real);
  CHECK(soil.name.empty());
  REQUIRE(soil.table.size() == 2);
  CHECK(soil.table[0].frequency == 2e6);
  CHECK(soil.table[1].constants.relative_permittivity == 20.0);
  CHECK(soil.table[1].constants.conductivity == 8e-3);
  CHECK(ground("[[ground.table]]\nfrequency = \"2 MHz\"\npermittivity = 25\nconductivity = \"4 mS/m\"\n"
               "[[ground.table]]\nfrequency = \"7 MHz\"\npermittivity = 20\nconductivity = \"8 mS/m\"\n")
            .ground.table.size() == 2);
}

TEST_CASE("ground: another soil far away, all round or between two bearings") {
  CHECK_FALSE(ground("").far_soil.has_value());
  const model::Model model = ground(kFar);
  CHECK(model.ground.name == "poor");
  REQUIRE(model.far_soil.has_value());
  CHECK(model.far_soil->ground.name == "sea");
  CHECK(model.far_soil->ground.conductivity == 5.0);
  CHECK(model.far_soil->begins == 25.0);
  CHECK_FALSE(model.far_soil->all_round);
  CHECK(model.far_soil->from_bearing == doctest::Approx(200.0 * core::kPi / 180.0));
  CHECK(model.far_soil->to_bearing == doctest::Approx(320.0 * core::kPi / 180.0));
  const model::Model round =
      ground("[ground.far]\npermittivity = 30\nconductivity = \"9 mS/m\"\nbegins = 0\n");
  CHECK(round.ground.name == "average");
  CHECK(round.far_soil->all_round);
  CHECK(round.far_soil->begins == 0.0);
  CHECK(round.far_soil->ground.relative_permittivity == 30.0);
  const std::string table = kTable;
  CHECK(ground("[ground.far]\nbegins = \"9 m\"\n" + table.substr(table.find("table")))
            .far_soil->ground.table.size() == 2);
}

TEST_CASE("ground: settings put one way to name a soil in the place of another") {
  CHECK(ground(kTable, {{"ground.soil", "wet"}}).ground.table.empty());
  const auto numbers =
      ground(kTable, {{"ground.permittivity", "20"}, {"ground.conductivity", "5 mS/m"}}).ground;
  CHECK(numbers.table.empty());
  CHECK(numbers.relative_permittivity == 20.0);
  CHECK(ground(kTable, {{"ground.table.2.permittivity", "18"}})
            .ground.table[1]
            .constants.relative_permittivity == 18.0);
  CHECK(ground(kFar, {{"ground.far.soil", "fresh water"}}).far_soil->ground.name == "fresh water");
  CHECK(ground(kFar, {{"ground.far.permittivity", "70"}}).far_soil->ground.conductivity == 5.0);
  CHECK(ground(kFar, {{"ground.far.begins", "3 m"}}).far_soil->begins == 3.0);
  CHECK(ground("", {{"ground.far.soil", "sea"}, {"ground.far.begins", "40 m"}}).far_soil->begins == 40.0);
}

TEST_CASE("ground: complaints about tables and far soils") {
  struct Row {
    std::string text;
    const char* key;
    const char* fragment;
  };
  const std::string row = "{ frequency = \"2 MHz\", permittivity = 25, conductivity = \"4 mS/m\" }";
  const std::string next = "{ frequency = \"7 MHz\", permittivity = 25, conductivity = \"4 mS/m\" }";
  const auto far = [](const std::string& lines) { return "[ground.far]\n" + lines; };
  const Row rows[] = {
      {"[ground]\ntable = [" + row + "]\n", "ground.table", "2 to 1000 rows such as"},
      {"[ground]\ntable = 3\n", "ground.table", "found a whole number"},
      {"[ground]\ntable = [1, 2]\n", "ground.table.1", "expected a table"},
      {"[ground]\ntable = [" + row + ", " + row + "]\n", "ground.table.2.frequency",
       "expected rising frequencies, found 2 MHz after 2 MHz"},
      {"[ground]\ntable = [{ permittivity = 25, conductivity = \"4 mS/m\" }, " + row + "]\n",
       "ground.table.1.frequency", "needs the key 'frequency'"},
      {"[ground]\ntable = [{ frequency = \"2 m\", permittivity = 25, conductivity = \"4 mS/m\" }, " + row +
           "]\n",
       "ground.table.1.frequency", "expected a frequency"},
      {"[ground]\ntable = [{ frequency = \"2 MHz\", permittivity = 25, conductivity = 0 }, " + next + "]\n",
       "ground.table.1.conductivity", "above zero in a table"},
      {"[ground]\ntable = [{ frequency = \"2 MHz\", permittivity = 0, conductivity = 0 }, " + next + "]\n",
       "ground.table.1.permittivity", "from 1 to 200"},
      {"[ground]\ntable = [{ frequency = \"2 MHz\", permitivity = 9, conductivity = 0 }, " + next + "]\n",
       "ground.table.1.permitivity", "did you mean 'permittivity'?"},
      {"[ground]\nsoil = \"wet\"\ntable = [" + row + ", " + next + "]\n", "ground.table",
       "either a table or the name of a soil"},
      {"[ground]\npermittivity = 4\ntable = [" + row + ", " + next + "]\n", "ground.table",
       "either a table or permittivity and conductivity"},
      {far("begins = \"3 m\"\n"), "ground.far.soil", "needs the key 'soil'"},
      {far("soil = \"sea\"\n"), "ground.far.begins", "needs the key 'begins'"},
      {far("soil = \"see\"\nbegins = \"3 m\"\n"), "ground.far.soil", "did you mean 'sea'?"},
      {far("soil = \"perfect\"\nbegins = \"3 m\"\n"), "ground.far.soil",
       "expected a soil or water, found \"perfect\""},
      {far("soil = \"sea\"\nbegins = \"-3 m\"\n"), "ground.far.begins", "zero or more"},
      {far("soil = \"sea\"\nbegins = \"3 MHz\"\n"), "ground.far.begins", "expected a length"},
      {far("soil = \"sea\"\nbegins = \"2000 km\"\n"), "ground.far.begins", "a distance up to 1000 km"},
      {far("soil = \"sea\"\nbegins = \"3 m\"\nfrom_bearing = \"90 deg\"\n"), "ground.far.to_bearing",
       "needs the key 'to_bearing'"},
      {far("soil = \"sea\"\nbegins = \"3 m\"\nto_bearing = \"90 deg\"\n"), "ground.far.from_bearing",
       "needs the key 'from_bearing'"},
      {far("soil = \"sea\"\nbegins = \"3 m\"\nfrom_bearing = \"0 deg\"\nto_bearing = \"360 deg\"\n"),
       "ground.far.to_bearing", "two different bearings"},
      {far("soil = \"sea\"\nbegins = \"3 m\"\nfrom_bearing = \"9 m\"\nto_bearing = \"90 deg\"\n"),
       "ground.far.from_bearing", "expected an angle"},
      {far("soil = \"sea\"\nbegins = \"3 m\"\nmethod = \"exact\"\n"), "ground.far.method",
       "unknown key 'method' in [ground.far]"},
      {"[ground]\nsoil = \"perfect\"\n" + far("soil = \"sea\"\nbegins = \"3 m\"\n"), "ground.far",
       "needs a soil under the antenna"},
      {"[ground]\nfar = 3\n", "ground.far", "expected a table"},
  };
  for (const Row& spoilt : rows) {
    CAPTURE(spoilt.text);
    const auto complaint = complaint_of([&] { (void)ground(spoilt.text); });
    CAPTURE(complaint.message);
    CHECK(complaint.kind == static_cast<int>(core::ErrorKind::model));
    CHECK(complaint.place.key == spoilt.key);
    CHECK(complaint.message.find(spoilt.fragment) != std::string::npos);
  }
}
