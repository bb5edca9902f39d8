#include <doctest/doctest.h>

#include "model_text.hpp"

using namespace feldspar;
using test::complaint_of;

namespace {

const std::string kText = R"([parameters.mast_height]
default = "8 m"
minimum = "2 m"
maximum = "15 m"
[parameters.count]
default = 4
[ground]
soil = "poor"
[[wires]]
name     = "slope"
path     = [["0 m", "0 m", "0.3 m"], ["4 m", "0 m", "mast_height"]]
diameter = "1 mm"
[[wires]]
name     = "radial"
path     = [["0 m", "0 m", "0.3 m"], ["2 m", "0 m", "0.3 m"]]
gauge    = "18 AWG"
copies   = { count = "count" }
[[inserts]]
wire = "slope"
position = 0.5
inductance = "18 uH"
[port]
wire     = "slope"
position = "start"
[[feed.parts]]
kind = "line"
z0 = "75 ohm"
velocity_factor = 0.8
attenuation = "0 dB/m"
length = "5 m"
)";

model::Model with(const std::vector<model::Setting>& settings) {
  return test::make(kText, settings);
}

}  // namespace

TEST_CASE("settings: parameters") {
  CHECK(with({{"mast_height", "10 m"}}).parameters[0].value == 10.0);
  CHECK(with({{"mast_height", "10"}}).parameters[0].value == 10.0);  // bare: SI
  CHECK(with({{"mast_height", "30 ft + 6 in"}}).parameters[0].value == doctest::Approx(30.5 * 0.3048));
  CHECK(with({{"mast_height", "count * 1 m"}}).parameters[0].value == 4.0);
  CHECK(with({{"mast_height", "10 m"}, {"mast_height", "11 m"}}).parameters[0].value ==
        11.0);  // the last counts
  CHECK(with({{"count", "0"}}).structure.wires.size() == 1);
  CHECK(with({{"count", "7"}}).structure.wires.size() == 8);
}

TEST_CASE("settings: keys of the file") {
  CHECK(with({{"ground.soil", "wet"}}).ground.relative_permittivity == 30.0);
  CHECK(with({{"ground.soil", "free space"}}).ground.kind == media::GroundKind::free_space);
  CHECK(with({{"ground.method", "plane-wave"}}).ground.method == media::GroundMethod::plane_wave);
  CHECK(with({{"wires.radial.present", "false"}}).structure.wires.size() == 1);
  CHECK(with({{"wires.radial.copies.count", "2"}}).structure.wires.size() == 3);
  CHECK(with({{"wires.slope.material", "aluminium"}}).structure.wires[0].conductor.conductivity == 35e6);
  CHECK(with({{"wires.1.diameter", "2 mm"}}).structure.wires[0].radius == doctest::Approx(0.001));
  CHECK(with({{"feed.power", "5 W"}}).feed.power == 5.0);  // into a table that is not in the file
  CHECK(with({{"site.region", "3"}}).region == 3);
  CHECK(with({{"port.gap", "5 mm"}}).structure.ports[0].spans[0].to == doctest::Approx(0.005));
  CHECK(with({{"port.position", "0.5"}}).structure.ports[0].spans[0].from > 1.0);
  CHECK(with({{"inserts.1.inductance", "20 uH"}}).structure.inserts[0].inductance == doctest::Approx(20e-6));
  CHECK(std::get<circuit::Line>(with({{"feed.parts.1.length", "7 m"}}).feed.parts[0]).length == 7.0);
}

TEST_CASE("settings: a new value takes the place of what said the same otherwise") {
  CHECK(with({{"wires.radial.diameter", "2 mm"}}).structure.wires[1].radius == doctest::Approx(0.001));
  CHECK(with({{"wires.slope.gauge", "36 AWG"}}).structure.wires[0].radius == doctest::Approx(0.0635e-3));
  const auto permittivity = with({{"ground.permittivity", "20"}}).ground;
  CHECK(permittivity.relative_permittivity == 20.0);
  CHECK(permittivity.conductivity == 0.002);  // of the poor soil
  CHECK(permittivity.name.empty());
  CHECK(with({{"ground.permittivity", "20"}, {"ground.soil", "wet"}}).ground.name == "wet");
  const auto parts = with({{"feed.parts.1.type", "RG-213"}}).feed.parts;
  CHECK(std::get<circuit::Line>(parts[0]).type == "RG-213");
}

TEST_CASE("settings: mistakes are usage errors that name the setting") {
  struct Row {
    model::Setting setting;
    const char* fragment;
  };
  const Row rows[] = {
      {{"mast_heigth", "3 m"}, "did you mean 'mast_height'?"},
      {{"soil", "wet"}, "there is no parameter 'soil'"},
      {{"mast_height", "20 m"}, "mast_height = 20 m is above its maximum, 15 m"},
      {{"mast_height", "1 m"}, "below its minimum, 2 m"},
      {{"mast_height", "7 MHz"}, "expected a length such as \"8 m\", found the frequency 7 MHz"},
      {{"mast_height", "8000"}, "did you mean \"8000 mm\"?"},
      {{"mast_height", "8 mm +"}, "ends too early"},
      {{"mast_height", "mast_height + 1 m"}, "defined by itself"},
      {{"ground.sol", "wet"}, "did you mean 'soil'?"},
      {{"grond.soil", "wet"}, "did you mean 'ground'?"},
      {{"ground.soil", "wett"}, "did you mean 'wet'?"},
      {{"wires.slop.present", "false"}, "did you mean 'slope'?"},
      {{"wires.9.present", "false"}, "there is no '9' among the wires"},
      {{"wires.slope.colour", "red"}, "unknown key 'colour' in a wire"},
      {{"wires.slope.present", "maybe"}, "there is no parameter or constant 'maybe'"},
      {{"wires.slope.path", "1"}, "not a single value"},
      {{"wires.slope", "1"}, "not a single value"},
      {{"wires", "1"}, "not a single value"},
      {{"ground", "wet"}, "name a key in it"},
      {{"ports.feed.gap", "1 mm"}, "the model has no [[ports]]"},
      {{"feed.power.max", "1"}, "holds a single value"},
      {{"feed.power", "-3"}, "above zero"},
      {{"parameters.mast_height.default", "3 m"}, "set by its name alone"},
      {{"wires.slope.diameter", "1.6"}, "did you mean \"1.6 mm\"?"},
      {{"wires.radial.copies.count", "100000"}, "from 0 to 2000"},
      {{"ground.conductivity", "5"}, "did you mean \"5 mS/m\"?"},
      {{".", "1"}, "unknown key ''"},
      {{"ground.", "1"}, "unknown key ''"},
  };
  for (const Row& row : rows) {
    CAPTURE(row.setting.name);
    CAPTURE(row.setting.text);
    const auto complaint = complaint_of([&] { (void)with({row.setting}); });
    CAPTURE(complaint.message);
    CHECK(complaint.kind == static_cast<int>(core::ErrorKind::usage));
    CHECK(complaint.message.find(row.fragment) != std::string::npos);
    CHECK(complaint.place.file == "--set " + row.setting.name + "=" + row.setting.text);
  }
}

TEST_CASE("parse_setting takes the text at its first equals sign") {
  const model::Setting setting = model::parse_setting("wires.slope.present = \"a = b\"");
  CHECK(setting.name == "wires.slope.present");
  CHECK(setting.text == "\"a = b\"");
  for (const char* text : {"height", "=3", "height=", "", "  = "}) {
    CAPTURE(text);
    const auto complaint = complaint_of([&] { (void)model::parse_setting(text); });
    CHECK(complaint.kind == static_cast<int>(core::ErrorKind::usage));
    CHECK(complaint.message.find("name=value") != std::string::npos);
  }
}
