#include <doctest/doctest.h>

#include <cmath>
#include <random>
#include <string>
#include <vector>

#include "../support/close.hpp"
#include "circuit/coil.hpp"
#include "circuit/core_transformer.hpp"
#include "circuit/line.hpp"
#include "circuit/line_types.hpp"
#include "circuit/network_parameters.hpp"
#include "circuit/stub.hpp"
#include "circuit/transformer.hpp"

// Laws that hold for any chain of passive parts, over random ones with fixed seeds.
namespace feldspar::circuit {
namespace {

class Parts {
 public:
  Parts(unsigned seed, core::Frequency f) : engine_(seed), f_(f) {}

  double unit() { return unit_(engine_); }
  double log_between(double low, double high) { return low * std::pow(high / low, unit()); }
  Complex passive() { return {log_between(0.01, 2000.0), (unit() < 0.5 ? -1.0 : 1.0) * log_between(1, 2e3)}; }

  Line line(double longest) {
    const std::vector<std::string> names = line_type_names();
    Line line = *line_type(names[static_cast<std::size_t>(unit() * static_cast<double>(names.size()))]);
    if (unit() < 0.1) line.k1 = line.k2 = 0.0;
    line.length = log_between(0.05, longest);
    return line;
  }

  CoreTransformer core_transformer() {
    CoreTransformer t;
    t.impedance_ratio = log_between(0.1, 100.0);
    if (unit() < 0.5) {
      t.magnetising_inductance = log_between(0.5e-6, 100e-6);
      t.shunt_conductance = log_between(1e-5, 2e-2);
    } else {
      const double mu = log_between(10.0, 2000.0);
      t.core = MagneticCore{{{1e6, mu, 0.0}, {30e6, 0.2 * mu, mu * unit()}},
                            log_between(1e-5, 5e-4),
                            log_between(0.03, 0.2),
                            log_between(1.0, 30.0)};
    }
    t.leakage_inductance = log_between(1e-9, 1e-6);
    t.winding_capacitance = log_between(1e-13, 1e-10);
    t.winding_resistance = log_between(0.01, 2.0);
    t.resistance_frequency = unit() < 0.5 ? 0.0 : 7e6;
    return t;
  }

  TwoPort next() {
    switch (static_cast<int>(unit() * 8.0)) {
      case 0:
        return series_impedance(passive());
      case 1:
        return shunt_admittance(1.0 / passive());
      case 2:
        return transformer_two_port({log_between(0.1, 100.0), 2.0 * unit(), false}, 50.0);
      case 3:
        return core_transformer_two_port(core_transformer(), f_);
      case 4:
        return stub_two_port({line(30.0), unit() < 0.5, unit() < 0.5}, f_);
      case 5:
        return series_impedance(
            coil_impedance({log_between(1e-7, 1e-4), log_between(20.0, 500.0), 0.0, 2e-12}, f_));
      case 6: {
        const auto names = ready_transformer_names();
        return core_transformer_two_port(*ready_transformer(names[static_cast<std::size_t>(unit() * 5.0)]),
                                         f_);
      }
      default: {
        const Line piece = line(60.0);
        return line_two_port(line_constants(piece, f_), piece.length);
      }
    }
  }

 private:
  std::mt19937_64 engine_;
  std::uniform_real_distribution<double> unit_{0.0, 1.0};
  core::Frequency f_;
};

}  // namespace

TEST_CASE("passive cascades: no power is made, in any of the ways to ask") {
  for (unsigned seed = 1; seed <= 3000; ++seed) {
    CAPTURE(seed);
    Parts any(seed, core::Frequency{0.5e6 * std::pow(120.0, (seed % 97) / 96.0)});
    std::vector<TwoPort> parts(1 + static_cast<std::size_t>(any.unit() * 7.0));
    for (TwoPort& part : parts) part = any.next();  // from the antenna to the radio
    const Complex load = any.passive();
    TwoPort chain;
    double kept = 1.0;
    Complex z = load;
    for (const TwoPort& part : parts) {
      CHECK(is_passive(part));
      CHECK(is_reciprocal(part, 1e-13));
      const double ratio = power_ratio(part, z);
      CHECK(ratio <= 1.0 + 1e-9);
      kept *= ratio;
      z = input_impedance(part, z);
      CHECK(z.real() >= 0.0);
      CHECK(swr(z, 50.0) >= 1.0);
      chain = cascade(part, chain);
    }
    CHECK(is_passive(chain));
    CHECK(is_reciprocal(chain, 1e-12));
    CHECK(kept <= 1.0 + 1e-9);
    // References do not matter for whether power is made.
    const auto s = scattering(chain, PortReferences{any.passive(), any.passive()});
    REQUIRE(s.has_value());
    CHECK(is_passive(*s));
    // What passes one way passes the other way: conjugate-matched or not, |s12| = |s21|.
    CHECK(is_reciprocal(*s));
    // The two routes to the power that arrives: part by part, and by the whole chain. Rounding grows with
    // |V||I|/P of every part, as two_port.hpp says.
    if (kept > 1e-4) CHECK(testing::relative_error(power_ratio(chain, load), kept) <= 1e-7);
  }
}

TEST_CASE("passive cascades: the largest power ratio bounds every load's") {
  for (unsigned seed = 1; seed <= 300; ++seed) {
    Parts any(seed, core::Frequency{7.1e6});
    const TwoPort chain = cascade(any.next(), any.next());
    // With references equal to load and (conjugate) source the waves going in are the available power.
    const Complex load = any.passive();
    const Complex source = any.passive();
    const auto s = *scattering(chain, PortReferences{source, load});
    const double transducer_gain = std::norm(s[2]);
    const double into_part = 1.0 - std::norm(s[0]);
    CAPTURE(seed);
    CHECK(transducer_gain <= largest_power_ratio(s) * (1.0 + 1e-12));
    // Independent: power into the load over power into port 1, from the chain matrix.
    if (into_part > 1e-6 && transducer_gain > 1e-6) {
      CHECK(testing::relative_error(transducer_gain / into_part, power_ratio(chain, load)) <= 1e-8);
    }
  }
}

TEST_CASE("passive cascades: every built-in two-port is reciprocal") {
  for (const double f : {0.5e6, 1.8e6, 3.6e6, 7.1e6, 14.1e6, 28.4e6, 54e6}) {
    const core::Frequency at{f};
    CAPTURE(f);
    for (const std::string& name : line_type_names()) {
      CAPTURE(name);
      Line line = *line_type(name);
      line.length = 12.3;
      for (const LineModel model : {LineModel::complex_z0, LineModel::real_z0}) {
        CHECK(is_reciprocal(line_two_port(line_constants(line, at, model), line.length), 1e-14));
      }
      for (const bool open : {true, false}) {
        for (const bool in_series : {true, false}) {
          CHECK(is_reciprocal(stub_two_port({line, open, in_series}, at), 1e-14));
        }
      }
    }
    for (const std::string& name : ready_transformer_names()) {
      CHECK(is_reciprocal(core_transformer_two_port(*ready_transformer(name), at), 1e-14));
    }
  }
  for (const double ratio : {0.25, 1.0, 4.0, 9.0, 49.0, 64.0}) {
    CHECK(is_reciprocal(transformer_two_port(make_transformer(ratio, {}), 50.0), 1e-14));
    CHECK(is_reciprocal(ideal_transformer(ratio), 1e-14));
  }
  CHECK(is_reciprocal(series_impedance({1.0, 1.0}), 1e-14));
  CHECK(is_reciprocal(shunt_admittance({1.0, 1.0}), 1e-14));
}

}  // namespace feldspar::circuit
