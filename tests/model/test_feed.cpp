#include <doctest/doctest.h>

#include <cmath>

#include "circuit/line.hpp"
#include "circuit/line_types.hpp"
#include "model_text.hpp"

using namespace feldspar;

namespace {

model::Feed feed(const std::string& text) {
  return test::make(test::kWire + test::kPort + "[feed]\n" + text).feed;
}

circuit::Transformer transformer(const std::string& keys) {
  return std::get<circuit::Transformer>(feed("[[feed.parts]]\nkind = \"transformer\"\n" + keys).parts.at(0));
}

circuit::Line line(const std::string& keys) {
  return std::get<circuit::Line>(feed("[[feed.parts]]\nkind = \"line\"\n" + keys).parts.at(0));
}

}  // namespace

TEST_CASE("feed: parts keep their order from the antenna to the radio") {
  const model::Feed found = feed(R"(power = "1.5 kW"
mode = "telegraphy"
reference_resistance = "75 ohm"
[[feed.parts]]
kind = "transformer"
impedance_ratio = 9
loss = "0.4 dB"
[[feed.parts]]
kind = "line"
type = "RG-58"
length = "10 m"
)");
  CHECK(found.power == doctest::Approx(1500.0));
  CHECK(found.mode == model::Mode::telegraphy);
  CHECK(found.reference_resistance == 75.0);
  REQUIRE(found.parts.size() == 2);
  CHECK(std::holds_alternative<circuit::Transformer>(found.parts[0]));
  CHECK(std::holds_alternative<circuit::Line>(found.parts[1]));
}

TEST_CASE("feed: a transformer's loss is assumed only when it is left out") {
  struct Row {
    const char* keys;
    double loss_db;
    bool assumed;
  };
  // Common practice, no source: 0.5 dB up to 16:1, 1 dB above; step-down transformers by the inverse ratio.
  const Row rows[] = {
      {"impedance_ratio = 9", 0.5, true},
      {"impedance_ratio = 16", 0.5, true},
      {"impedance_ratio = 49", 1.0, true},
      {"impedance_ratio = 0.25", 0.5, true},
      {"impedance_ratio = 0.02", 1.0, true},
      {"impedance_ratio = 9\nloss = \"0 dB\"", 0.0, false},
      {"impedance_ratio = 49\nloss = \"0.8 dB\"", 0.8, false},
  };
  for (const Row& row : rows) {
    CAPTURE(row.keys);
    const circuit::Transformer part = transformer(row.keys);
    CHECK(part.loss_db == row.loss_db);
    CHECK(part.loss_assumed == row.assumed);
  }
}

TEST_CASE("feed: a line by type takes the numbers of that type") {
  const circuit::Line known = circuit::line_type("RG-58").value();
  const circuit::Line found = line("type = \"RG-58\"\nlength = \"33 ft\"");
  CHECK(found.type == "RG-58");
  CHECK(found.length == doctest::Approx(33 * 0.3048));
  CHECK(found.z0 == known.z0);
  CHECK(found.velocity_factor == known.velocity_factor);
  CHECK(found.k1 == known.k1);
  CHECK(found.k2 == known.k2);
}

TEST_CASE("feed: a line by numbers") {
  const std::string numbers = "z0 = \"75 ohm\"\nvelocity_factor = 0.82\nlength = \"5 m\"\n";
  const circuit::Line flat = line(numbers + "attenuation = \"4.9 dB / 100 m\"");
  CHECK(flat.type.empty());
  CHECK(flat.z0 == 75.0);
  CHECK(flat.velocity_factor == 0.82);
  CHECK(flat.constant_loss == doctest::Approx(0.049));
  CHECK(flat.k1 == 0.0);
  // Given at one frequency it follows the skin effect, and is exactly that there: Re gamma of a lossy line
  // lies a little below the law's number, which is therefore above 0.049.
  const circuit::Line skin = line(numbers + "attenuation = \"4.9 dB / 100 m\"\nattenuation_at = \"10 MHz\"");
  CHECK(circuit::matched_loss_db(circuit::line_constants(skin, core::Frequency{10e6}), 1.0) ==
        doctest::Approx(0.049).epsilon(1e-12));
  CHECK(skin.constant_loss == 0.0);
  const circuit::Line law =
      line(numbers + "attenuation = [[\"10 MHz\", \"4.9 dB/100 m\"], [\"100 MHz\", \"17 dB/100 m\"]]");
  CHECK(law.k1 * std::sqrt(10.0) + law.k2 * 10.0 == doctest::Approx(0.049).epsilon(1e-12));
  CHECK(law.k1 * 10.0 + law.k2 * 100.0 == doctest::Approx(0.17).epsilon(1e-12));
}
