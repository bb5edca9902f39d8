#include "study/explain.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <string>

#include "circuit/reflection.hpp"
#include "study/ideal_parts.hpp"

namespace feldspar::study {
namespace {

/// An antenna whose ohms are known, so that every number can be worked out by hand.
model::Model known(std::complex<double> z, std::vector<circuit::FeedPart> parts) {
  model::Model model;
  model.antenna.emplace();
  model.antenna->impedance = z;
  model.feed.parts = std::move(parts);
  return model;
}

/// The circuit part of a solution, and a ground that takes `ground` W per ohm-free W at the port.
results::FrequencyResult solve_circuit(const model::Model& model, core::Frequency f) {
  results::FrequencyResult result;
  result.frequency = f.si;
  const std::complex<double> z = model.antenna->impedance;
  result.ports.push_back({"feed", z});
  const auto feed = circuit::run_feed(model.feed.parts, f, z, model.feed.reference_resistance);
  result.swr_at_radio = feed.swr_at_radio;
  result.power.radio = model.feed.power;
  result.power.transformer = feed.transformer * model.feed.power;
  result.power.line_matched = feed.line_matched * model.feed.power;
  result.power.line_extra = feed.line_extra * model.feed.power;
  result.power.antenna = feed.antenna * model.feed.power;
  return result;
}

const IdealModel& ideal_of(const std::vector<IdealModel>& ideals, const std::string& part) {
  return *std::find_if(ideals.begin(), ideals.end(), [&](const IdealModel& i) { return i.part == part; });
}

std::vector<std::string> names(const std::vector<IdealModel>& ideals) {
  std::vector<std::string> list;
  for (const IdealModel& ideal : ideals) list.push_back(ideal.part);
  return list;
}

circuit::Line cable(double length) {
  circuit::Line line;
  line.length = length;
  line.velocity_factor = 0.66;
  line.constant_loss = 0.1;
  return line;
}

}  // namespace

TEST_CASE("explain: what each ideal part delivers is what a run without its loss delivers") {
  const core::Frequency f{7.1e6};
  const model::Model model = known({100.0, 40.0}, {circuit::Transformer{4.0, 1.0, false}, cable(20.0)});
  const auto explanation = explain(model, solve_circuit(model, f), solve_circuit, 2);
  REQUIRE(explanation.ideals.size() == 2);
  CHECK(explanation.power == 100.0);
  for (const results::IdealPart& ideal : explanation.ideals) {
    CAPTURE(ideal.part);
    const bool line = ideal.part == "line";
    circuit::Line lossless = cable(20.0);
    lossless.constant_loss = 0.0;
    const model::Model by_hand =
        line ? known({100.0, 40.0}, {circuit::Transformer{4.0, 1.0, false}, lossless})
             : known({100.0, 40.0}, {circuit::Transformer{4.0, 0.0, false}, cable(20.0)});
    const results::FrequencyResult expected = solve_circuit(by_hand, f);
    CHECK(ideal.delivered == expected.power.antenna);
    CHECK(ideal.swr_at_radio == expected.swr_at_radio);
    CHECK(ideal.delivered > explanation.delivered);
    const results::FrequencyResult as_is = solve_circuit(model, f);
    CHECK(ideal.lost == (line ? as_is.power.line_matched + as_is.power.line_extra : as_is.power.transformer));
  }
  CHECK(explanation.ideals[0].delivered >= explanation.ideals[1].delivered);
  CHECK_FALSE(explanation.fed_wire.has_value());
}

TEST_CASE("explain: no ratio beats the best ratio, and SWR without loss is that of a lossless feed") {
  // Derived: of all real transformer ratios n^2, SWR of Z / n^2 against R0 is least at n^2 = |Z| / R0.
  for (const std::complex<double> z : {std::complex<double>{20.0, -400.0}, {1500.0, 900.0}, {50.0, 0.0}}) {
    CAPTURE(z);
    const model::Model model = known(z, {circuit::Transformer{9.0, 2.0, false}, cable(30.0)});
    const auto e = explain(model, solve_circuit(model, core::Frequency{7.1e6}), solve_circuit, 1);
    CHECK(*e.ratio == 9.0);
    CHECK(e.best_ratio == doctest::Approx(std::abs(z) / 50.0).epsilon(1e-12));
    for (const double factor : {0.5, 0.9, 0.99, 1.01, 1.1, 2.0})
      CHECK(circuit::swr(z / (e.best_ratio * factor), 50.0) >= e.swr_at_best_ratio * (1.0 - 1e-12));
    CHECK(circuit::swr(z / e.best_ratio, 50.0) == doctest::Approx(e.swr_at_best_ratio).epsilon(1e-9));
    // Without loss a line keeps the SWR: what is left is the ratio.
    REQUIRE(e.swr_without_loss.has_value());
    CHECK(*e.swr_without_loss == doctest::Approx(circuit::swr(z / 9.0, 50.0)).epsilon(1e-9));
    CHECK(*e.swr_without_loss >= e.swr_at_radio * (1.0 - 1e-9));
  }
}

TEST_CASE("ideal models: each changes one thing and only where there is something to change") {
  model::Model model;
  model.ground.kind = media::GroundKind::real;
  model.ground.relative_permittivity = 13.0;
  model.ground.conductivity = 0.005;
  geometry::Wire wire;
  wire.path = {{0.0, 0.0, 0.5}, {0.0, 0.0, 5.0}};
  wire.radius = 1e-3;
  wire.conductor.conductivity = 58e6;
  model.structure.wires = {wire, wire};
  geometry::Insert coil;
  coil.inductance = 10e-6;
  coil.q = 200.0;
  geometry::Insert resistor;
  resistor.resistance = 450.0;
  geometry::Insert choke;
  choke.law = [](core::Frequency) { return std::complex<double>{1000.0, 500.0}; };
  choke.spans = {{1, 3.0, 3.01, 1}};
  model.structure.inserts = {coil, resistor, choke};
  model.outside.emplace();
  model.outside->wires = {1};
  model.outside->chokes = {2};
  circuit::Stub stub{cable(3.0), true, false};
  model.feed.parts = {*circuit::ready_transformer("49:1"), cable(10.0), stub, circuit::Tuner{}};

  const std::vector<IdealModel> ideals = ideal_models(model);
  CHECK(names(ideals) == std::vector<std::string>{"tuner", "line", "stub", "transformer", "choke", "coils",
                                                  "wires", "ground"});
  CHECK(std::isinf(std::get<circuit::Tuner>(ideal_of(ideals, "tuner").model.feed.parts[3]).coil_q));
  CHECK(std::get<circuit::Line>(ideal_of(ideals, "line").model.feed.parts[1]).constant_loss == 0.0);
  CHECK(std::get<circuit::Stub>(ideal_of(ideals, "line").model.feed.parts[2]).line.constant_loss == 0.1);
  CHECK(std::get<circuit::Stub>(ideal_of(ideals, "stub").model.feed.parts[2]).line.constant_loss == 0.0);
  const auto& transformer =
      std::get<circuit::Transformer>(ideal_of(ideals, "transformer").model.feed.parts[0]);
  CHECK(transformer.impedance_ratio == 49.0);
  CHECK(transformer.loss_db == 0.0);
  CHECK(ideal_of(ideals, "choke").model.structure.inserts[2].law(core::Frequency{7e6}).real() == 0.0);
  CHECK(ideal_of(ideals, "choke").model.structure.inserts[0].q == 200.0);
  CHECK(std::isinf(ideal_of(ideals, "coils").model.structure.inserts[0].q));
  CHECK(ideal_of(ideals, "coils").model.structure.inserts[1].resistance == 450.0);
  CHECK(std::isinf(ideal_of(ideals, "wires").model.structure.wires[1].conductor.conductivity));
  CHECK(ideal_of(ideals, "ground").model.ground.kind == media::GroundKind::perfect);

  model.structure.wires[1].path[0].z() = -1.0;  // a stake: perfect ground knows none
  CHECK(ideal_of(ideal_models(model), "ground").model.ground.name == "sea");
  CHECK(ideal_of(ideal_models(model), "ground").model.ground.kind == media::GroundKind::real);

  CHECK(names(ideal_models(known({50.0, 0.0}, {}))).empty());
}

TEST_CASE(
    "ideal models: a choke at the feed point is not made perfect where the braid is the only way back") {
  model::Model model;
  geometry::Wire slope, braid, counterpoise;
  slope.path = {{0.0, 0.0, 1.0}, {0.0, 0.0, 11.0}};
  braid.path = {{0.0, 0.0, 1.0}, {8.0, 0.0, 1.0}};
  counterpoise.path = {{0.0, 0.0, 1.0}, {-5.0, 0.0, 1.0}};
  for (geometry::Wire* wire : {&slope, &braid, &counterpoise}) wire->radius = 1e-3;
  model.structure.wires = {slope, braid};
  model.structure.ports = {{"feed", {{0, 0.0, 0.01, 1}}, {}}};
  geometry::Insert choke;
  choke.law = [](core::Frequency) { return std::complex<double>{2000.0, 500.0}; };
  model.outside.emplace();
  model.outside->wires = {1};
  model.outside->chokes = {0};
  const auto has_choke = [&](double from) {
    choke.spans = {{1, from, from + 0.01, 1}};
    model.structure.inserts = {choke};
    const std::vector<std::string> list = names(ideal_models(model));
    return std::find(list.begin(), list.end(), "choke") != list.end();
  };
  CHECK_FALSE(has_choke(0.0));
  CHECK(has_choke(1.0));
  model.structure.wires.push_back(counterpoise);
  CHECK(has_choke(0.0));
}

}  // namespace feldspar::study
