#include "report/touchstone.hpp"

#include <doctest/doctest.h>

#include <nlohmann/json.hpp>

#include "report/csv.hpp"
#include "report/json.hpp"
#include "report/terminal.hpp"
#include "samples.hpp"

using namespace feldspar;
using Complex = std::complex<double>;

namespace {

double error(const Complex& found, const Complex& wanted) {
  return std::abs(found - wanted) / std::abs(wanted);
}

}  // namespace

TEST_CASE("solve_touchstone: either plane comes back from the text") {
  model::Model model = samples::model();
  model.title = "Whip\nof \xC3\xA9t\xC3\xA9";  // neither may leave the comment
  model.feed.reference_resistance = 75.0;
  const std::vector<results::FrequencyResult> results = {samples::result(7e6, 2.0, 30.0),
                                                         samples::result(14.1e6, 2.0, 30.0)};
  for (const auto plane : {report::Plane::port, report::Plane::radio}) {
    const auto back = circuit::read_touchstone(report::solve_touchstone(model, results, plane), "back.s1p");
    CHECK(back.ports == 1);
    CHECK(back.reference[0] == 75.0);
    REQUIRE(back.s.size() == 2);
    const Complex wanted =
        plane == report::Plane::port ? results[0].ports[0].impedance : results[0].radio_impedance;
    for (const double f : {7e6, 14.1e6})
      CHECK(error(circuit::one_port_impedance(back, core::Frequency{f}), wanted) < 1e-12);
  }
  const std::string text = report::solve_touchstone(model, results, report::Plane::radio);
  CHECK(text.find("! At the radio's connector") != std::string::npos);
  CHECK(text.find("whip_length 5.2 m") != std::string::npos);
}

TEST_CASE("solve_touchstone: two ports, with 12 and 21 in their places") {
  model::Model model = samples::model();
  model.structure.ports.push_back(model.structure.ports.front());
  results::FrequencyResult result = samples::result(7e6, 2.0, 30.0);
  result.ports.push_back(result.ports.front());
  result.z_matrix = {{{60.0, 5.0}, {10.0, 20.0}},
                     {{-3.0, 4.0}, {80.0, -7.0}}};  // not reciprocal: only a test
  const auto back =
      circuit::read_touchstone(report::solve_touchstone(model, {result}, report::Plane::port), "back.s2p");
  REQUIRE(back.ports == 2);
  // Z = 50 (1 + S)(1 - S)^-1, multiplied out for two ports.
  const auto& s = back.s[0];
  const Complex d = (1.0 - s[0]) * (1.0 - s[3]) - s[1] * s[2];
  CHECK(error(50.0 * ((1.0 + s[0]) * (1.0 - s[3]) + s[1] * s[2]) / d, {60.0, 5.0}) < 1e-12);
  CHECK(error(100.0 * s[1] / d, {10.0, 20.0}) < 1e-12);
  CHECK(error(100.0 * s[2] / d, {-3.0, 4.0}) < 1e-12);
  CHECK(error(50.0 * ((1.0 - s[0]) * (1.0 + s[3]) + s[1] * s[2]) / d, {80.0, -7.0}) < 1e-12);
  CHECK(circuit::read_touchstone(report::solve_touchstone(model, {result}, report::Plane::radio), "back.s1p")
            .ports == 1);
  result.ports.push_back(result.ports.front());
  CHECK_THROWS_WITH_AS((void)report::solve_touchstone(model, {result}, report::Plane::port),
                       doctest::Contains("--plane radio"), core::Error);
}

TEST_CASE("a known antenna: what is not known is null, empty, or said in words") {
  model::Model model = samples::model();
  model.structure = {};
  model.antenna = circuit::KnownAntenna{{13.6, -1000.0}, {}};
  results::FrequencyResult result;
  result.frequency = 7e6;
  result.ports = {{"feed", {13.6, -1000.0}}};
  result.power.radio = 100.0;
  result.power.line_matched = 60.0;
  result.power.antenna = 40.0;
  const auto json = nlohmann::json::parse(report::solve_json(model, {result}));
  const auto& power = json["results"][0]["power_w"];
  CHECK(power["antenna"] == 40.0);
  for (const char* key : {"coils", "wires", "ground", "sky"}) CHECK(power[key].is_null());
  CHECK(power["unaccounted"] == 0.0);
  CHECK(report::solve_csv(model, {result}).find(",40,,,,,0,") != std::string::npos);
  const std::string text = report::solve_text(model, {result});
  CHECK(text.find("antenna (as given)") != std::string::npos);
  CHECK(text.find("Antenna as given: 13.6 - j1000 ohm at every frequency.") != std::string::npos);
  for (const char* wrong : {"nothing is radiated", "Soil", "Own error"})
    CHECK(text.find(wrong) == std::string::npos);
  CHECK(text.find("Caution") != std::string::npos);
  model.antenna->table = circuit::NetworkData{1, {2e6, 30e6}, {{0.5}, {0.5}}, {50.0, 50.0}, "x.s1p"};
  CHECK(report::check_text(model, {{7e6, {}}}).find("Antenna as measured: file x.s1p, 2.0 MHz to 30.0 MHz") !=
        std::string::npos);
}
