#include <doctest/doctest.h>

#include "rigs.hpp"

namespace feldspar {

namespace {

using namespace testing;

}  // namespace

TEST_CASE("check: lengths, heights, junctions and free ends") {
  const results::CheckReport report = solver::check(whip(0.02, average_soil()), kFrequency);
  REQUIRE(report.wires.size() == 5);
  CHECK(report.wires[0].name == "whip");
  CHECK(report.wires[0].length == doctest::Approx(5.1).epsilon(1e-12));
  CHECK(report.wires[0].lowest == doctest::Approx(0.02).epsilon(1e-12));
  CHECK(report.wires[0].highest == doctest::Approx(5.12).epsilon(1e-12));
  CHECK(report.wires[3].name == "radial (3)");
  CHECK(report.wires[3].length == doctest::Approx(5.0).epsilon(1e-12));
  CHECK(report.wires[3].lowest == report.wires[3].highest);
  REQUIRE(report.junctions.size() == 1);
  CHECK(report.junctions[0].at == Vec3(0, 0, 0.02));
  CHECK(report.junctions[0].wires ==
        std::vector<std::string>{"radial (1)", "radial (2)", "radial (3)", "radial (4)", "whip"});
  CHECK_FALSE(report.junctions[0].ground);
  CHECK(report.free_ends == 5);
  CHECK(report.warnings.empty());
}

TEST_CASE("check: a bent wire's length is along its path; its bend is no junction") {
  const results::CheckReport report = solver::check(inverted_vee(average_soil()), kFrequency);
  REQUIRE(report.wires.size() == 1);
  CHECK(report.wires[0].length == doctest::Approx(2.0 * std::sqrt(3.3 * 3.3 + 16.0)).epsilon(1e-12));
  CHECK(report.wires[0].lowest == 5.0);
  CHECK(report.wires[0].highest == 9.0);
  CHECK(report.junctions.empty());
  CHECK(report.free_ends == 2);
}

TEST_CASE("check: a foot on perfect ground is a junction with the ground") {
  const model::Model model = model_of({wire("mast", {{0, 0, 0}, {0, 0, 5}}, 0.01)},
                                      {{"feed", {{0, 0.0, 0.02, 1}}, {}}}, perfect_ground());
  const results::CheckReport report = solver::check(model, kFrequency);
  REQUIRE(report.junctions.size() == 1);
  CHECK(report.junctions[0].ground);
  CHECK(report.junctions[0].wires == std::vector<std::string>{"mast"});
  CHECK(report.free_ends == 1);
}

TEST_CASE("check: the unknowns are those that solve uses") {
  for (const model::Model& model : {dipole(8.0), dipole(8.0, average_soil()), whip(0.02, average_soil()),
                                    inverted_vee(perfect_ground()), two_elements(6.0)})
    for (const solver::Accuracy accuracy :
         {solver::Accuracy::draft, solver::Accuracy::normal, solver::Accuracy::fine}) {
      solver::Options options;
      options.accuracy = accuracy;
      options.fields = false;
      CHECK(solver::check(model, kFrequency, options).unknowns ==
            solver::solve(model, kFrequency, options).unknowns);
    }
}

TEST_CASE("check: insulated wires count as solve counts them") {
  model::Model model = whip(0.02, average_soil());
  for (geometry::Wire& w : model.structure.wires) w.coat = {1e-3, 2.5};
  solver::Options options;
  options.fields = false;
  CHECK(solver::check(model, kFrequency).unknowns == solver::solve(model, kFrequency, options).unknowns);
}

TEST_CASE("check: warns and refuses as solve does") {
  CHECK(has_code(solver::check(dipole(0.002, average_soil()), kFrequency).warnings, "very-low"));
  model::Model crossing = dipole(8.0);
  crossing.structure.wires.push_back(wire("rope", {{1, -1, 8}, {1, 1, 8}}));
  CHECK_THROWS_AS((void)solver::check(crossing, kFrequency), core::Error);
  for (const double f : {0.0, -1e6}) {
    CAPTURE(f);
    CHECK_THROWS_AS((void)solver::check(dipole(8.0), core::Frequency{f}), core::Error);
  }
  model::Model without_port = dipole(8.0);
  without_port.structure.ports.clear();
  CHECK_THROWS_AS((void)solver::check(without_port, kFrequency), core::Error);
}

}  // namespace feldspar
