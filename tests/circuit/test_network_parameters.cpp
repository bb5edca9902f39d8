#include "circuit/network_parameters.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <limits>
#include <random>
#include <string>
#include <vector>

#include "../support/table.hpp"
#include "circuit/line.hpp"
#include "circuit/line_types.hpp"
#include "core/error.hpp"

namespace feldspar::circuit {
namespace {

double size(const Parameters& m) {
  double largest = 0.0;
  for (const Complex value : m) largest = std::max(largest, std::abs(value));
  return largest;
}

double difference(const Parameters& x, const Parameters& y) {
  return size({x[0] - y[0], x[1] - y[1], x[2] - y[2], x[3] - y[3]}) / size(y);
}

/// Worst relative difference of a chain matrix, entry by entry in comparable units (50 ohm).
double difference(const TwoPort& x, const TwoPort& y) {
  return difference(Parameters{x.a, x.b / 50.0, x.c * 50.0, x.d},
                    Parameters{y.a, y.b / 50.0, y.c * 50.0, y.d});
}

class Random {
 public:
  explicit Random(unsigned seed) : engine_(seed) {}
  double between(double low, double high) { return low + (high - low) * unit_(engine_); }
  double log_between(double low, double high) { return low * std::pow(high / low, unit_(engine_)); }
  Complex impedance() { return {log_between(1.0, 500.0), between(-500.0, 500.0)}; }
  /// A T of three passive impedances and a piece of coax: every form exists.
  TwoPort passive() {
    const TwoPort tee = cascade(cascade(series_impedance(impedance()), shunt_admittance(1.0 / impedance())),
                                series_impedance(impedance()));
    const LineConstants coax = line_constants(*line_type("RG-58"), core::Frequency{log_between(1e6, 50e6)});
    return cascade(tee, line_two_port(coax, between(0.1, 20.0)));
  }

 private:
  std::mt19937_64 engine_;
  std::uniform_real_distribution<double> unit_{0.0, 1.0};
};

}  // namespace

TEST_CASE("network_parameters: S in 50 ohm agrees with the published cascades, there and back") {
  // Source: data/published/two_ports.csv, derived, nine digits.
  for (const testing::Row& row : testing::Table("published/two_ports.csv", 4)) {
    CAPTURE(row.text("name"));
    const auto value = [&](const std::string& name, const std::string& unit = "") {
      return Complex{row.number(name + "_real" + unit), row.number(name + "_imag" + unit)};
    };
    const TwoPort printed{value("a"), value("b", "_ohm"), value("c", "_s"), value("d")};
    const Parameters s{value("s11"), value("s12"), value("s21"), value("s22")};
    // 2e-8: nine digits of both, divided by |s21| >= 0.27.
    CHECK(difference(*scattering(printed, PortReferences{}), s) <= 2e-8);
    CHECK(difference(*chain_from_scattering(s, {}), printed) <= 1e-7);
    CHECK(is_passive(s, 1e-8));
    CHECK(is_reciprocal(s, 1e-8));
    CHECK(is_reciprocal(printed, 1e-8));
  }
}

TEST_CASE("network_parameters: power waves are what their definition says") {
  // Kurokawa (1965): a = (V + z I)/(2 sqrt(Re z)), b = (V - conj(z) I)/(2 sqrt(Re z)), computed from voltages
  // and currents of the loaded two-port; b = S a must hold, and |a|^2 - |b|^2 = Re(V conj(I)).
  Random random(5);
  for (int i = 0; i < 500; ++i) {
    const TwoPort t = random.passive();
    const PortReferences z{random.impedance(), random.impedance()};
    const Complex v2 = random.impedance();
    const Complex out = random.impedance();  // current out of port 2, any number will do
    const Complex v1 = t.a * v2 + t.b * out;
    const Complex i1 = t.c * v2 + t.d * out;
    const auto wave = [](Complex v, Complex current, Complex reference, bool in) {
      const Complex part = in ? v + reference * current : v - std::conj(reference) * current;
      return part / (2.0 * std::sqrt(reference.real()));
    };
    const Complex a1 = wave(v1, i1, z.radio, true);
    const Complex a2 = wave(v2, -out, z.antenna, true);
    const Complex b1 = wave(v1, i1, z.radio, false);
    const Complex b2 = wave(v2, -out, z.antenna, false);
    const Parameters s = *scattering(t, z);
    const double scale = std::abs(a1) + std::abs(a2);
    CAPTURE(i);
    CHECK(std::abs(s[0] * a1 + s[1] * a2 - b1) <= 1e-12 * scale);
    CHECK(std::abs(s[2] * a1 + s[3] * a2 - b2) <= 1e-12 * scale);
    CHECK(std::abs(std::norm(a1) - std::norm(b1) - (v1 * std::conj(i1)).real()) <=
          1e-12 * (std::norm(a1) + std::norm(b1)));
    CHECK(is_passive(s));
  }
}

TEST_CASE("network_parameters: every way round returns the start") {
  Random random(6);
  // Rounding grows with the condition of the forms between; passive() keeps it below about 1e4.
  constexpr double kRounding = 1e-11;
  for (int i = 0; i < 500; ++i) {
    CAPTURE(i);
    const TwoPort t = random.passive();
    const PortReferences z{random.impedance(), random.impedance()};
    const PortReferences other{random.impedance(), random.impedance()};
    const Parameters impedance = *impedance_parameters(t);
    const Parameters admittance = *admittance_parameters(t);
    const Parameters s = *scattering(t, z);
    CHECK(difference(*chain_from_impedance(impedance), t) <= kRounding);
    CHECK(difference(*chain_from_admittance(admittance), t) <= kRounding);
    CHECK(difference(*chain_from_scattering(s, z), t) <= kRounding);
    CHECK(difference(*inverse_parameters(impedance), admittance) <= kRounding);
    CHECK(difference(*scattering_from_impedance(impedance, z), s) <= kRounding);
    CHECK(difference(*scattering_from_admittance(admittance, z), s) <= kRounding);
    CHECK(difference(*impedance_from_scattering(s, z), impedance) <= kRounding);
    CHECK(difference(*admittance_from_scattering(s, z), admittance) <= kRounding);
    CHECK(difference(*with_references(s, z, other), *scattering(t, other)) <= kRounding);
    CHECK(difference(*with_references(*with_references(s, z, other), other, z), s) <= kRounding);
    // Source: the textbook formula for one real reference on both sides.
    const Complex sum = t.a + t.b / 50.0 + t.c * 50.0 + t.d;
    const Parameters fifty{(t.a + t.b / 50.0 - t.c * 50.0 - t.d) / sum, 2.0 * determinant(t) / sum, 2.0 / sum,
                           (-t.a + t.b / 50.0 - t.c * 50.0 + t.d) / sum};
    CHECK(difference(*scattering(t, PortReferences{}), fifty) <= 1e-14);
    CHECK(is_reciprocal(impedance));
    CHECK(is_reciprocal(admittance));
    CHECK(is_reciprocal(s));
  }
}

TEST_CASE("network_parameters: forms that do not exist are empty") {
  const TwoPort series = series_impedance({10.0, 5.0});
  const TwoPort shunt = shunt_admittance({0.01, 0.002});
  const TwoPort ideal = ideal_transformer(3.0);
  CHECK_FALSE(impedance_parameters(series).has_value());
  CHECK(admittance_parameters(series).has_value());
  CHECK(impedance_parameters(shunt).has_value());
  CHECK_FALSE(admittance_parameters(shunt).has_value());
  CHECK_FALSE(impedance_parameters(ideal).has_value());
  CHECK_FALSE(admittance_parameters(ideal).has_value());
  // The same by way of S, which all three have.
  for (const PortReferences& z : {PortReferences{}, PortReferences{{75.0, 20.0}, {300.0, -40.0}}}) {
    CHECK_FALSE(impedance_from_scattering(*scattering(series, z), z).has_value());
    CHECK(admittance_from_scattering(*scattering(series, z), z).has_value());
    CHECK(impedance_from_scattering(*scattering(shunt, z), z).has_value());
    CHECK_FALSE(admittance_from_scattering(*scattering(shunt, z), z).has_value());
    CHECK_FALSE(impedance_from_scattering(*scattering(ideal, z), z).has_value());
    CHECK_FALSE(admittance_from_scattering(*scattering(ideal, z), z).has_value());
  }
  // Nothing passes: no chain matrix, but other references all the same.
  const Parameters apart{0.5, 0.0, 0.0, Complex{0.0, 0.2}};
  CHECK_FALSE(chain_from_scattering(apart, {}).has_value());
  CHECK_FALSE(chain_from_impedance({50.0, 0.0, 0.0, 50.0}).has_value());
  CHECK_FALSE(chain_from_admittance({0.02, 0.0, 0.0, 0.02}).has_value());
  const auto moved = with_references(apart, {}, {75.0, 25.0});
  REQUIRE(moved.has_value());
  // 0.5 in 50 ohm is 150 ohm: (150 - 75)/(150 + 75).
  CHECK(std::abs((*moved)[0] - 1.0 / 3.0) <= 1e-15);
  CHECK((*moved)[1] == 0.0);
  CHECK_FALSE(inverse_parameters({1.0, 2.0, 2.0, 4.0}).has_value());
}

TEST_CASE("network_parameters: taking a piece of line off again returns the start") {
  Random random(8);
  for (int i = 0; i < 500; ++i) {
    const TwoPort t = random.passive();
    const LineConstants coax =
        line_constants(*line_type(line_type_names()[static_cast<std::size_t>(random.between(0.0, 9.99))]),
                       core::Frequency{random.log_between(1e6, 30e6)});
    const TwoPort piece = line_two_port(coax, random.between(0.0, 30.0));
    CAPTURE(i);
    // 1e-12 while the entries stay of ordinary size (loss below about 10 dB, no resonance).
    CHECK(difference(cascade(undoing(piece), cascade(piece, t)), t) <= 1e-12);
    CHECK(difference(cascade(cascade(t, piece), undoing(piece)), t) <= 1e-12);
  }
}

TEST_CASE("network_parameters: largest power ratio") {
  // Identities: an ideal transformer and a line without loss give back all, whatever goes in.
  CHECK(std::abs(largest_power_ratio(ideal_transformer(0.2)) - 1.0) <= 1e-15);
  CHECK(largest_power_ratio(Parameters{0.0, 0.0, 0.0, 0.0}) == 0.0);
  // diag(p, q): the larger of p^2 and q^2. [[0, g], [0, 0]]: g^2, an amplifier.
  CHECK(largest_power_ratio(Parameters{0.3, 0.0, 0.0, 0.7}) == doctest::Approx(0.49).epsilon(1e-14));
  CHECK(largest_power_ratio(Parameters{0.0, 0.0, 2.0, 0.0}) == doctest::Approx(4.0).epsilon(1e-14));
  // A measured-looking S with |s| < 1 everywhere that still makes power: in phase, 0.8 and 0.8 add to 1.6.
  const Parameters active{0.8, 0.8, 0.8, 0.8};
  CHECK(largest_power_ratio(active) == doctest::Approx(2.56).epsilon(1e-14));
  CHECK_FALSE(is_passive(active));
  // Brute force: no wave in gives more, and the best one comes close.
  Random random(9);
  for (int i = 0; i < 50; ++i) {
    const auto part = [&] { return Complex{random.between(-1.0, 1.0), random.between(-1.0, 1.0)}; };
    const Parameters s{part(), part(), part(), part()};
    const double bound = largest_power_ratio(s);
    double best = 0.0;
    for (int share = 0; share <= 60; ++share) {
      for (int turn = 0; turn < 120; ++turn) {
        const Complex a1 = std::cos(core::kPi / 2.0 * share / 60.0);
        const Complex a2 = std::polar(std::sin(core::kPi / 2.0 * share / 60.0), core::kPi * turn / 60.0);
        best = std::max(best, std::norm(s[0] * a1 + s[1] * a2) + std::norm(s[2] * a1 + s[3] * a2));
      }
    }
    CHECK(best <= bound * (1.0 + 1e-14));
    CHECK(best >= bound * (1.0 - 2e-3));  // the grid's steps: 1.5 and 3 degrees
  }
}

TEST_CASE("network_parameters: a part that makes power is found, with references of any kind") {
  const TwoPort negative = series_impedance({-0.5, 20.0});
  CHECK_FALSE(is_passive(negative));
  CHECK_FALSE(is_passive(*scattering(negative, PortReferences{{20.0, 7.0}, {300.0, -90.0}})));
  // Across 50 ohm the same wave into both ports meets s11 + s21 = (2 - y z)/(2 + y z) = 3.
  CHECK(largest_power_ratio(shunt_admittance(-0.02)) == doctest::Approx(9.0).epsilon(1e-12));
  CHECK(is_passive(series_impedance({0.0, 20.0})));
  // An ideal isolator is passive without being reciprocal.
  const Parameters isolator{0.0, 0.0, 1.0, 0.0};
  CHECK(is_passive(isolator));
  CHECK_FALSE(is_reciprocal(isolator));
  CHECK_FALSE(is_reciprocal(*chain_from_scattering(isolator, {})));
  CHECK_FALSE(is_reciprocal(TwoPort{1.0 + 1e-12, 0.0, 0.0, 1.0}, 1e-13));
  CHECK_FALSE(is_reciprocal(TwoPort{std::numeric_limits<double>::infinity(), 0.0, 0.0, 0.0}));
  CHECK_FALSE(is_reciprocal(TwoPort{std::nan(""), 0.0, 0.0, 1.0}));
}

TEST_CASE("network_parameters: very lossy lines stay reciprocal and passive") {
  // a d - b c is 1 only within rounding of 1e16 and more here; determinant() knows that.
  const LineConstants coax = line_constants(*line_type("RG-174"), core::Frequency{28e6});
  for (const double length : {500.0, 1500.0, 5000.0, 30000.0}) {
    CAPTURE(matched_loss_db(coax, length));
    const TwoPort t = line_two_port(coax, length);
    CHECK(determinant(t) == 1.0);
    CHECK(is_passive(t));
    const Parameters s = *scattering(t, PortReferences{});
    CHECK(s[1] == s[2]);
  }
}

TEST_CASE("network_parameters: references without a resistance are refused") {
  CHECK_THROWS_WITH_AS((void)scattering(TwoPort{}, PortReferences{{0.0, 50.0}, 50.0}),
                       "a reference impedance needs a resistance above 0 ohm, not 0+50j", core::Error);
  CHECK_THROWS_AS((void)chain_from_scattering({}, {50.0, -50.0}), core::Error);
  CHECK_THROWS_AS((void)with_references({}, {}, {50.0, NAN}), core::Error);
}

}  // namespace feldspar::circuit
