#include <doctest/doctest.h>

#include <cmath>

#include "rigs.hpp"

namespace feldspar {

namespace {

using namespace testing;

double parts_of(const results::PowerBudget& p) {
  return p.tuner + p.line_matched + p.line_extra + p.transformer + p.choke + p.coils + p.wires + p.ground +
         p.sky + p.unaccounted;
}

}  // namespace

TEST_CASE("solve: the power budget closes, the ground's share computed on its own") {
  struct Ground {
    const char* name;
    media::Ground ground;
  };
  struct Rig {
    const char* name;
    model::Model model;
  };
  const Ground grounds[] = {{"average", average_soil()},
                            {"dry sand", soil(4.0, 0.001)},
                            {"sea", soil(81.0, 5.0)},
                            {"lossless", soil(4.0, 0.0)}};
  const Rig rigs[] = {{"dipole at 8 m", dipole(8.0)},
                      {"dipole at 0.5 m", dipole(0.5)},
                      {"whip with radials at 20 mm", whip(0.02)},
                      {"inverted vee", inverted_vee()}};
  for (const Ground& ground : grounds)
    for (const Rig& rig : rigs) {
      CAPTURE(ground.name);
      CAPTURE(rig.name);
      model::Model model = rig.model;
      model.ground = ground.ground;
      solver::Options options;
      options.accuracy = solver::Accuracy::fine;
      const results::FrequencyResult result = solver::solve(model, kFrequency, options);
      CHECK_FALSE(result.ground_by_difference);
      CHECK(std::abs(result.power.unaccounted) <= 1e-3 * result.power.radio);
      CHECK(result.power.sky > 0.0);
      CHECK(result.power.ground > 0.0);
      CHECK(result.power.wires == 0.0);  // perfect conductors
      CHECK(std::abs(parts_of(result.power) - result.power.radio) <= 1e-9 * result.power.radio);
      CHECK_FALSE(has_code(result.warnings, "budget"));
      REQUIRE(result.radiation_efficiency.has_value());
      CHECK(*result.radiation_efficiency ==
            doctest::Approx(result.power.sky / result.power.radio).epsilon(1e-12));
    }
}

TEST_CASE("solve: without lossy ground everything goes to the sky") {
  for (const media::Ground& ground : {media::Ground{}, perfect_ground()}) {
    const results::FrequencyResult result = solver::solve(dipole(8.0, ground), kFrequency);
    CHECK(result.power.ground == 0.0);
    CHECK(std::abs(result.power.sky - 100.0) <= 0.1);
    CHECK(std::abs(parts_of(result.power) - 100.0) <= 1e-7);
  }
}

TEST_CASE("solve: at the default the ground is the remainder and says so; the flux agrees with it") {
  const model::Model model = whip(0.02, average_soil());
  const results::FrequencyResult rest = solver::solve(model, kFrequency);
  CHECK(rest.ground_by_difference);
  CHECK(rest.power.unaccounted == 0.0);
  solver::Options options;
  options.ground_flux = true;
  const results::FrequencyResult flux = solver::solve(model, kFrequency, options);
  CHECK_FALSE(flux.ground_by_difference);
  CHECK(flux.ports[0].impedance == rest.ports[0].impedance);
  CHECK(std::abs(flux.power.ground - rest.power.ground) <= 0.1);  // 1e-3 of 100 W
}

TEST_CASE("solve: a series resistance adds itself and takes its share of the power") {
  // Derived: in the feed gap itself the insert carries the port's current, so Z grows by its own impedance
  // and the power divides as the resistances. The current varies over a gap of 1.5 mm by less than 1e-6.
  struct Row {
    const char* what;
    double resistance;
    double inductance;
    double q;
  };
  constexpr double inf = std::numeric_limits<double>::infinity();
  for (const Row& row : {Row{"resistor", 25.0, 0.0, inf}, Row{"coil", 0.0, 2e-6, 200.0},
                         Row{"lossless coil", 0.0, 2e-6, inf}, Row{"both", 5.0, 1e-6, 50.0}}) {
    CAPTURE(row.what);
    const model::Model bare = dipole(8.0, average_soil());
    model::Model loaded = bare;
    geometry::Insert insert;
    insert.name = "part";
    insert.spans = bare.structure.ports[0].spans;
    insert.resistance = row.resistance;
    insert.inductance = row.inductance;
    insert.q = row.q;
    loaded.structure.inserts.push_back(insert);
    const double w = core::angular(kFrequency);
    const std::complex<double> added(row.resistance + w * row.inductance / row.q, w * row.inductance);
    const std::complex<double> before = impedance(bare);
    const results::FrequencyResult result = solver::solve(loaded, kFrequency);
    CHECK(std::abs(result.ports[0].impedance - before - added) <= 1e-5 * std::abs(before));
    const double share = added.real() / (before + added).real();
    CHECK(std::abs(result.power.coils - 100.0 * share) <= 1e-3);
  }
}

TEST_CASE("solve: a capacitor in the gap adds its reactance") {
  const model::Model bare = dipole(8.0);
  model::Model loaded = bare;
  geometry::Insert insert;
  insert.spans = bare.structure.ports[0].spans;
  insert.capacitance = 100e-12;
  loaded.structure.inserts.push_back(insert);
  const std::complex<double> added(0.0, -1.0 / (core::angular(kFrequency) * 100e-12));
  const std::complex<double> before = impedance(bare);
  CHECK(std::abs(impedance(loaded) - before - added) <= 1e-5 * std::abs(before));
}

TEST_CASE("solve: a metal wire heats, and more so when it is thin") {
  // Derived: a thin half-wave dipole has sinusoidal current, so its loss resistance is R' l/2 with
  // R' = sqrt(w mu / (2 sigma)) / (2 pi a) of a radius far above the skin depth [skin depth 18 um in copper].
  constexpr double kCopper = 5.8e7;
  for (const double radius : {5e-4, 2e-3}) {
    CAPTURE(radius);
    model::Model model = dipole(8.0);
    model.structure.wires[0].radius = radius;
    model.structure.wires[0].conductor.conductivity = kCopper;
    const results::FrequencyResult result = solver::solve(model, kFrequency);
    const double w = core::angular(kFrequency);
    const double per_metre = std::sqrt(w * 4e-7 * core::kPi / (2.0 * kCopper)) / (2.0 * core::kPi * radius);
    const double expected = 100.0 * per_metre * 0.5 * 10.3 / result.ports[0].impedance.real();
    CHECK(result.power.wires == doctest::Approx(expected).epsilon(0.05));  // the current is nearly sinusoidal
    CHECK(result.power.wires > 0.1);
  }
}

}  // namespace feldspar
