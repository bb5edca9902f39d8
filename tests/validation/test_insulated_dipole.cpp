#include <doctest/doctest.h>

#include <cmath>
#include <complex>

#include "../support/close.hpp"
#include "../support/structures.hpp"
#include "math/root.hpp"
#include "solver/setting_detail.hpp"

// How much lower an insulated dipole resonates than a bare one. The program puts the sheath's inductance and
// capacitance on a wire of the outer radius. Against it stands the line formula, which shares neither radius
// nor capacitance with that: a bare wire of radius a^(1/eps) b^(1 - 1/eps) with (mu0 / 2 pi) (1 - 1/eps)
// ln(b/a) of inductance in series per metre (Lee and Balmain, Radio Sci. 14, 1979).
namespace feldspar::validation {

namespace {

using Complex = std::complex<double>;
using testing::relative_error;

constexpr double kLength = 10.2;     // m: half a wave at about 14 MHz
constexpr double kGap = 4e-3;        // m
constexpr double kCopper = 5.8e7;    // S/m
constexpr double kPerMetre = 2e-7;   // H/m: mu0 / (2 pi)
constexpr double kUsual = 0.815e-3;  // m: a wire of 1.63 mm

struct CoatedWire {
  double radius;        ///< m, of the metal
  double outer_radius;  ///< m
  double permittivity;

  [[nodiscard]] double log_ratio() const { return std::log(outer_radius / radius); }
  /// (1 - 1/eps) ln(b/a), to which line theory has the shift proportional.
  [[nodiscard]] double strength() const { return (1.0 - 1.0 / permittivity) * log_ratio(); }
};

geometry::Structure bare_dipole(double radius) {
  geometry::Structure dipole =
      testing::centre_fed({0.0, 0.0, -0.5 * kLength}, {0.0, 0.0, 0.5 * kLength}, radius, kGap);
  dipole.wires[0].conductor.conductivity = kCopper;
  return dipole;
}

double coated_reactance(const CoatedWire& wire, core::Frequency f) {
  geometry::Structure dipole = bare_dipole(wire.radius);
  dipole.wires[0].coat = {wire.outer_radius - wire.radius, wire.permittivity};
  const solver::ElectricalStructure rig = solver::electrical(dipole, f);
  return moment::solve(rig.structure, rig.series, {}, f, testing::fine_setting()).impedance(0, 0).imag();
}

/// Metal of radius `metal`, computed as a bare wire of another radius with inductance in series, H/m.
double loaded_reactance(double metal, double radius, double inductance, core::Frequency f) {
  moment::SeriesImpedance series;
  series.per_metre = {solver::electrical(bare_dipole(metal), f).series.per_metre.at(0) +
                      Complex{0.0, core::angular(f) * inductance}};
  return moment::solve(bare_dipole(radius), series, {}, f, testing::fine_setting()).impedance(0, 0).imag();
}

/// As loaded_reactance, for a coat of the strength (1 - 1/eps) ln(b/a).
double equivalent_reactance(double metal, double strength, core::Frequency f) {
  return loaded_reactance(metal, metal * std::exp(strength), kPerMetre * strength, f);
}

template <class Reactance>
double resonance(const Reactance& reactance) {
  return math::bracketed_root([&](double f) { return reactance(core::Frequency{f}); }, 12e6, 15.5e6, 1e-3);
}

/// (f_bare - f) / f_bare.
struct Shift {
  double coated;
  double equivalent;
};

Shift shift_of(const CoatedWire& wire) {
  const double bare = resonance([&](core::Frequency f) { return equivalent_reactance(wire.radius, 0.0, f); });
  const double coated = resonance([&](core::Frequency f) { return coated_reactance(wire, f); });
  const double equivalent =
      resonance([&](core::Frequency f) { return equivalent_reactance(wire.radius, wire.strength(), f); });
  return {(bare - coated) / bare, (bare - equivalent) / bare};
}

}  // namespace

TEST_CASE("insulated dipole: house wire lowers the resonance by 1.5 to 3.5 %") {
  // Common practice for half-wave dipoles of insulated house wire, 1.63 mm and 2.8 mm outside; no source.
  for (const double permittivity : {3.5, 4.0, 4.5, 5.0}) {
    CAPTURE(permittivity);
    const Shift shift = shift_of({kUsual, 1.4e-3, permittivity});
    CHECK(shift.coated > 0.015);
    CHECK(shift.coated < 0.035);
    CHECK(std::abs(shift.coated - shift.equivalent) <= 1e-4);  // of the frequency
    CHECK(relative_error(shift.coated, shift.equivalent) <= 0.003);
  }
}

TEST_CASE("insulated dipole: on a thin wire the shift is the line formula's within 0.2 %") {
  for (const double radius : {8e-5, 4e-5})
    for (const double ratio : {1.7, 1.01})
      for (const double permittivity : {2.3, 3.5, 5.0}) {
        CAPTURE(radius);
        CAPTURE(ratio);
        CAPTURE(permittivity);
        const Shift shift = shift_of({radius, ratio * radius, permittivity});
        CHECK(relative_error(shift.coated, shift.equivalent) <= 0.002);
      }
}

TEST_CASE("insulated dipole: what a thick wire's shift has beyond the line formula comes from its ends") {
  // Derived: an end is no line over some radii of its length. There the charge sits inside the tube, too, and
  // all of it counts for the sheath's capacitance; so the rest must go as a/l, and as ln(b/a) / eps, the part
  // of the sheath's elastance. Nothing else in the model goes as the radius itself.
  const auto rest = [](double radius, double permittivity) {
    const CoatedWire wire{radius, 1.01 * radius, permittivity};
    const Shift shift = shift_of(wire);
    return (shift.equivalent - shift.coated) * permittivity / wire.log_ratio();
  };
  const double usual = rest(kUsual, 3.5);
  CHECK(relative_error(rest(0.1 * kUsual, 3.5), 0.1 * usual) <= 0.05);
  CHECK(relative_error(rest(kUsual, 2.3), usual) <= 0.05);
  CHECK(relative_error(rest(kUsual, 5.0), usual) <= 0.05);
  // Two ends, each longer or shorter by some radii at most.
  CHECK(std::abs(usual) <= 2.0 * 5.0 * kUsual / kLength);
}

TEST_CASE("insulated dipole: the shift of a thin coat is proportional to (1 - 1/eps) ln(b/a)") {
  // The factor is the bare dipole's own: what its reactance gains per unit of strength, over what it gains
  // with frequency; differences of the bare dipole, no coat in them.
  constexpr double kThin = 2e-5;
  constexpr double kStep = 1e-3;
  const double bare = resonance([&](core::Frequency f) { return equivalent_reactance(kThin, 0.0, f); });
  const auto reactance = [&](double strength, double scale) {
    return equivalent_reactance(kThin, strength, core::Frequency{scale * bare});
  };
  const double with_strength = (reactance(kStep, 1.0) - reactance(-kStep, 1.0)) / (2.0 * kStep);
  const double with_frequency = (reactance(0.0, 1.0 + kStep) - reactance(0.0, 1.0 - kStep)) / (2.0 * kStep);
  const double factor = with_strength / with_frequency;
  for (const double ratio : {1.01, 1.001})
    for (const double permittivity : {1.5, 3.5, 10.0}) {
      CAPTURE(ratio);
      CAPTURE(permittivity);
      const CoatedWire wire{kThin, ratio * kThin, permittivity};
      CHECK(relative_error(shift_of(wire).coated, factor * wire.strength()) <= 0.002);
    }
}

}  // namespace feldspar::validation
