#include "circuit/network_parameters.hpp"
#include "circuit/two_port.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <random>
#include <string>
#include <vector>

#include "../support/close.hpp"
#include "../support/table.hpp"
#include "circuit/line.hpp"
#include "circuit/line_types.hpp"
#include "core/constants.hpp"

namespace feldspar::circuit {
namespace {

constexpr core::Frequency kFrequency{7.1e6};
const Complex kJ{0.0, 1.0};
double omega() {
  return core::angular(kFrequency);
}

/// The published cascades made from their parts, in the order of the file. The line is RG-58 with real z0.
std::vector<TwoPort> published() {
  const TwoPort l_network =
      cascade(series_impedance(kJ * omega() * 1.5e-6), shunt_admittance(kJ * omega() * 400e-12));
  const TwoPort line =
      cascade(line_two_port(line_constants(*line_type("RG-58"), kFrequency, LineModel::real_z0), 10.0),
              ideal_transformer(1.0 / 3.0));
  const TwoPort transformer = cascade(cascade(shunt_admittance(1.0 / 400.0 + 1.0 / (kJ * omega() * 8e-6)),
                                              series_impedance(kJ * omega() * 0.1e-6)),
                                      ideal_transformer(1.0 / 7.0));
  return {l_network, line, cascade(l_network, line), transformer};
}

}  // namespace

TEST_CASE("two_port: chain matrix, scattering, input impedance and loss of the published cascades") {
  // Source: data/published/two_ports.csv, derived from the chain matrices of the parts, nine digits.
  const std::vector<TwoPort> parts = published();
  std::size_t index = 0;
  for (const testing::Row& row : testing::Table("published/two_ports.csv", 4)) {
    CAPTURE(row.text("name"));
    REQUIRE(index < parts.size());
    REQUIRE(row.number("frequency_hz") == kFrequency.si);
    const TwoPort& t = parts[index++];
    const auto near = [&](Complex found, const std::string& name, const std::string& unit = "") {
      const Complex wanted{row.number(name + "_real" + unit), row.number(name + "_imag" + unit)};
      CAPTURE(name);
      CAPTURE(found);
      CAPTURE(wanted);
      CHECK(std::abs(found - wanted) <= 1e-8 * std::max(std::abs(wanted), 1e-6));  // nine printed digits
    };
    near(t.a, "a");
    near(t.b, "b", "_ohm");
    near(t.c, "c", "_s");
    near(t.d, "d");
    const auto s = scattering(t, PortReferences{}).value();
    near(s[0], "s11");
    near(s[1], "s12");
    near(s[2], "s21");
    near(s[3], "s22");
    const Complex load{row.number("load_real_ohm"), row.number("load_imag_ohm")};
    near(input_impedance(t, load), "input", "_ohm");
    CHECK(std::abs(loss_db(t, load) - row.number("loss_db")) <= 1e-8);
  }
  CHECK(index == parts.size());
}

TEST_CASE("two_port: random passive cascades never make power") {
  std::mt19937_64 random(7);
  std::uniform_real_distribution<double> unit(0.0, 1.0);
  const auto log_between = [&](double low, double high) { return low * std::pow(high / low, unit(random)); };
  const auto reactance = [&] { return (unit(random) < 0.5 ? -1.0 : 1.0) * log_between(1.0, 1000.0); };
  for (int i = 0; i < 2000; ++i) {
    CAPTURE(i);
    TwoPort chain;
    double product = 1.0;  // of the single parts' power ratios, walked from the load: an independent route
    std::vector<TwoPort> parts;  // from the antenna to the radio
    const int count = 1 + static_cast<int>(unit(random) * 6.0);
    for (int k = 0; k < count; ++k) {
      switch (static_cast<int>(unit(random) * 4.0)) {
        case 0:
          parts.push_back(series_impedance({log_between(0.01, 100.0), reactance()}));
          break;
        case 1:
          parts.push_back(shunt_admittance(1.0 / Complex{log_between(0.01, 1000.0), reactance()}));
          break;
        case 2:
          parts.push_back(ideal_transformer(log_between(0.1, 10.0)));
          break;
        default: {
          Line line = *line_type(line_type_names()[static_cast<std::size_t>(unit(random) * 5.0)]);
          const core::Frequency f{log_between(1e6, 150e6)};
          parts.push_back(line_two_port(line_constants(line, f), log_between(0.1, 40.0)));
        }
      }
    }
    const Complex load{log_between(0.1, 5000.0), reactance()};
    Complex z = load;
    for (const TwoPort& part : parts) {
      const double ratio = power_ratio(part, z);
      CHECK(ratio <= 1.0 + 1e-10);
      CHECK(ratio > 0.0);
      product *= ratio;
      z = input_impedance(part, z);
      CHECK(z.real() > 0.0);
      CHECK(swr(z, 50.0) >= 1.0);
      chain = cascade(part, chain);
    }
    CHECK(std::abs(input_impedance(chain, load) - z) <= 1e-9 * std::abs(z));
    CHECK(testing::relative_error(power_ratio(chain, load), product) <= 1e-8);
    CHECK(power_ratio(chain, load) <= 1.0 + 1e-9);
    // Reciprocal parts make a reciprocal chain.
    CHECK(std::abs(chain.a * chain.d - chain.b * chain.c - 1.0) <=
          1e-13 * (1.0 + std::abs(chain.a * chain.d) + std::abs(chain.b * chain.c)));
  }
}

TEST_CASE("two_port: a load without resistance takes no power") {
  CHECK(power_ratio(series_impedance(5.0), {0.0, 30.0}) == 0.0);
  CHECK(std::isinf(loss_db(series_impedance(5.0), {0.0, 30.0})));
}

}  // namespace feldspar::circuit
