#include <doctest/doctest.h>

#include <cmath>
#include <complex>

#include "../support/close.hpp"
#include "../support/structures.hpp"
#include "moment/solve.hpp"

// Antennas far shorter than a wavelength: inductance and capacitance must come out of a formulation in which
// vector and scalar potential differ by (wavelength / length)^2. Frequencies down to the program's lowest, 10
// kHz.
namespace feldspar::moment {

namespace {

using testing::relative_error;
using Complex = std::complex<double>;

constexpr core::Frequency kLowest{10e3};

double reactance_over_w(const testing::Structure& s, core::Frequency f, const Setting& setting = {}) {
  return testing::impedance(s, {}, setting, f).imag() / core::angular(f);
}

}  // namespace

TEST_CASE("small loop: inductance mu0 b (ln(8 b/a) - 2)") {
  // Closed form of a thin circular loop with its current on the surface; left out is (a/b)^2 ln(b/a), 5e-4
  // for the thickest. The 48-gon of equal area is 7e-4 longer, which with ln(8b/a) - 2 = 4.7 to 8.6 adds 2e-4
  // to 4e-4.
  struct Row {
    double b, a;
  };
  for (const Row row : {Row{0.5, 1e-3}, Row{0.5, 5e-3}, Row{5.0, 1e-3}, Row{5.0, 5e-3}}) {
    CAPTURE(row.b);
    CAPTURE(row.a);
    const double wanted = core::kVacuumPermeability * row.b * (std::log(8.0 * row.b / row.a) - 2.0);
    const testing::Structure loop = testing::polygon(48, testing::equal_area_corner(48, row.b), row.a);
    CHECK(relative_error(reactance_over_w(loop, kLowest), wanted) <= 1e-3);
    // a hundred times the frequency, still (k b)^2 < 1e-4 for the small ones: the same inductance
    if (row.b < 1.0)
      CHECK(relative_error(reactance_over_w(loop, core::Frequency{1e6}), reactance_over_w(loop, kLowest)) <=
            1e-3);
  }
}

TEST_CASE("small loop: inductance does not depend on the quadrature's tolerance") {
  // A uniform current leaves the quadrature as the only error. Sides of 13 radii that meet at 7.5 degrees:
  // here sums over two rings whose points coincide made X jump by 0.4 % from one tolerance to the next.
  const testing::Structure loop = testing::polygon(48, testing::equal_area_corner(48, 0.5), 5e-3);
  const double best = reactance_over_w(loop, kLowest, {geometry::normal_mesh(), 1e-9});
  for (const double tolerance : {1e-4, 1e-5, 1e-6, 1e-7, 1e-8})
    CHECK(relative_error(reactance_over_w(loop, kLowest, {geometry::normal_mesh(), tolerance}), best) <=
          3e-5);  // the sums over the rings: 1e-5
}

TEST_CASE("square loop: inductance (2 mu0 s / pi)(ln(s/a) - 0.77401)") {
  // Source: Rosa & Grover, NBS bulletin 8 (1912), formula for a square of round wire without internal
  // inductance (from memory; rederived: four sides, ln(2s/a) - 1 each, less mutuals of the opposite sides,
  // ln(1+sqrt 2) - sqrt 2 + 1).
  const double constant = 1.0 - std::log(2.0) + std::asinh(1.0) - std::sqrt(2.0) + 1.0;
  CHECK(std::abs(constant - 0.77401) <= 1e-5);
  for (const double a : {1e-3, 1e-2}) {
    const double side = 10.0;
    const double wanted =
        2.0 * core::kVacuumPermeability * side / core::kPi * (std::log(side / a) - constant);
    CAPTURE(a);
    // corners: tubes of radius a overlap there, a correction of order a/s = 1e-4, 1e-3
    CHECK(relative_error(reactance_over_w(testing::polygon(4, side / std::sqrt(2.0), a), kLowest), wanted) <=
          2.0 * a / side + 1e-5);
  }
}

TEST_CASE("short dipole: a capacitance and a resistance that do not depend on the method's scales") {
  // X = -1/(w C): the same C at 10 kHz, 100 kHz and 1 MHz up to (k l)^2; R as (k l)^2 down to 1e-11 of |X|.
  const testing::Structure s = testing::dipole(10.0, 1e-3);
  const Complex lowest = testing::impedance(s, {}, {}, kLowest);
  for (const double factor : {10.0, 100.0}) {
    const core::Frequency f{factor * kLowest.si};
    const Complex z = testing::impedance(s, {}, {}, f);
    const double size = core::wavenumber(f) * 10.0;
    CHECK(relative_error(z.imag() * factor, lowest.imag()) <= 0.15 * size * size + 1e-6);
    CHECK(relative_error(z.real() / (factor * factor), lowest.real()) <= 0.15 * size * size + 2e-3);
  }
  // Triangular current, thin limit; the real one of this thickness (Omega = 20) has 93 % of it
  // (test_short_antennas).
  const double length = 10.0 / core::wavelength(kLowest);
  const double triangular = core::kVacuumImpedance * core::kPi / 6.0 * length * length;
  CHECK(lowest.real() < triangular);
  CHECK(lowest.real() > 0.85 * triangular);
}

TEST_CASE("short dipole: capacitance against the charge of two tubes") {
  // pi eps0 h / (ln(h/a) - 1): textbook approximation of a biconical-like charge on each arm (M, from
  // memory), good to a few per cent.
  const double wanted = core::kPi * core::kVacuumPermittivity * 5.0 / (std::log(5.0 / 1e-3) - 1.0);
  const Complex z = testing::impedance(testing::dipole(10.0, 1e-3), {}, {}, kLowest);
  CHECK(relative_error(-1.0 / (core::angular(kLowest) * z.imag()), wanted) <= 0.05);
}

}  // namespace feldspar::moment
