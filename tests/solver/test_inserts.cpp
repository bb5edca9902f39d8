#include <doctest/doctest.h>

#include <cmath>
#include <complex>

#include "core/constants.hpp"
#include "rigs.hpp"
#include "solver/setting_detail.hpp"

using namespace feldspar;
using Complex = std::complex<double>;

namespace {

Complex impedance_of(const geometry::Insert& insert, double f) {
  geometry::Structure structure;
  structure.inserts.push_back(insert);
  return solver::electrical(structure, core::Frequency{f}).series.inserts.at(0);
}

}  // namespace

// Circuit algebra throughout: the tolerance is rounding.
TEST_CASE("inserts: parts in series and in parallel") {
  const double w = 2.0 * core::kPi * 7.1e6;
  geometry::Insert insert;
  insert.resistance = 3.0;
  insert.inductance = 18e-6;
  insert.q = 200.0;
  insert.capacitance = 40e-12;
  const Complex coil = w * 18e-6 * Complex{1.0 / 200.0, 1.0};
  const Complex capacitor{0.0, -1.0 / (w * 40e-12)};
  CHECK(std::abs(impedance_of(insert, 7.1e6) - (3.0 + coil + capacitor)) <= 1e-9);
  insert.parallel = true;
  insert.resistance = 20e3;
  const Complex trap = 1.0 / (1.0 / 20e3 + 1.0 / coil + 1.0 / capacitor);
  CHECK(std::abs(impedance_of(insert, 7.1e6) - trap) <= 1e-12 * std::abs(trap));
  insert.resistance = 0.0;  // absent
  const Complex bare = 1.0 / (1.0 / coil + 1.0 / capacitor);
  CHECK(std::abs(impedance_of(insert, 7.1e6) - bare) <= 1e-12 * std::abs(bare));
}

TEST_CASE("inserts: what lies across a trap adds to its coil's self-capacitance") {
  geometry::Insert one, other;
  one.parallel = other.parallel = true;
  one.inductance = other.inductance = 5e-6;
  one.q = other.q = 120.0;
  one.capacitance = 50e-12;
  one.self_capacitance = 4e-12;
  other.capacitance = 54e-12;
  const Complex z = impedance_of(one, 9e6);
  CHECK(std::abs(z - impedance_of(other, 9e6)) <= 1e-12 * std::abs(z));
}

TEST_CASE("inserts: a trap at resonance is as good as an insulator") {
  // A wire of 10 m with traps at its quarters, resonant at the frequency of the inner 5 m, against the same
  // with 1 Gohm in their place. By perturbation the port's impedance differs by 2 V^2 / (I^2 Z), V across a
  // trap while I flows at the port: about 1 kV for 1 A at an end (60 (ln(2 h / a) - 1) ohm = 430 ohm for one
  // end, two ends face each other), Z = Q w L = 285 kohm: 7 ohm. Where it is a factor of 2 is allowed.
  const double l = 8e-6, f = 28.4e6;
  const double c = 1.0 / (std::pow(2.0 * core::kPi * f, 2) * l);
  const auto rig = [](const geometry::Insert* part) {
    model::Model model = testing::model_of({testing::wire("dipole", {{-5.0, 0, 0}, {5.0, 0, 0}})},
                                           {testing::port("feed", 0, 5.0)});
    for (const double at : {2.5, 7.5}) {
      if (!part) break;
      model.structure.inserts.push_back(*part);
      model.structure.inserts.back().spans = {{0, at - 0.05, at + 0.05, 1}};
    }
    return testing::impedance(model, core::Frequency{28.4e6});
  };
  geometry::Insert trap, insulator;
  trap.parallel = true;
  trap.inductance = l;
  trap.q = 200.0;
  trap.capacitance = c;
  insulator.resistance = 1e9;
  const Complex with = rig(&trap);
  const Complex cut = rig(&insulator);
  const Complex without = rig(nullptr);
  CAPTURE(with);
  CAPTURE(cut);
  CHECK(std::abs(with - cut) < 14.0);
  CHECK(std::abs(without - cut) > 1000.0);  // so that the traps matter at all
}

TEST_CASE("inserts: what a coil at the foot of a whip stands and loses follows from the port's current") {
  // Source: derived. Next to the port the current is the port's, sqrt(P / R) r.m.s., but for what the first
  // centimetre radiates and stores; the bound is 1 %.
  for (const auto& ground : {media::Ground{}, testing::average_soil()}) {
    model::Model model = testing::whip(0.5, ground);
    geometry::Insert coil;
    coil.name = "coil";
    coil.inductance = 5e-6;
    coil.q = 150.0;
    coil.spans = {{0, 0.006, 0.012, 1}};
    model.structure.inserts = {coil};
    model.feed.power = 80.0;
    const results::FrequencyResult result = solver::solve(model, core::Frequency{7.1e6});
    REQUIRE(result.inserts.size() == 1);
    const results::InsertResult& insert = result.inserts[0];
    const double current = std::sqrt(80.0 / result.ports[0].impedance.real());
    const Complex z = impedance_of(coil, 7.1e6);
    CHECK(insert.name == "coil");
    CHECK_FALSE(insert.choke);
    CHECK(insert.z == doctest::Approx(0.509));
    CHECK(insert.current == doctest::Approx(current).epsilon(0.01));
    CHECK(insert.voltage == doctest::Approx(std::abs(z) * insert.current).epsilon(1e-12));
    CHECK(insert.lost == doctest::Approx(z.real() * insert.current * insert.current).epsilon(1e-4));
    CHECK(insert.lost == doctest::Approx(result.power.coils).epsilon(1e-12));
    CHECK(result.power.choke == 0.0);
    CHECK(insert.within_reach == (ground.kind != media::GroundKind::free_space));
  }
}
