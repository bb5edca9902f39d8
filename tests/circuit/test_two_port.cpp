#include "circuit/two_port.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <random>

#include "../support/close.hpp"
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

struct Case {
  const char* name;
  TwoPort two_port;
  Complex load;
  Complex a, b, c, d, s11, s12, s21, s22, input;
  double loss;
};

// Source: four cascades at 7.1 MHz, derived from the chain matrices of the parts (published check values,
// mark "derived", nine digits). The line is RG-58 with real z0.
std::vector<Case> cases() {
  const TwoPort l_network =
      cascade(series_impedance(kJ * omega() * 1.5e-6), shunt_admittance(kJ * omega() * 400e-12));
  const TwoPort line =
      cascade(line_two_port(line_constants(*line_type("RG-58"), kFrequency, LineModel::real_z0), 10.0),
              ideal_transformer(1.0 / 3.0));
  const TwoPort transformer = cascade(cascade(shunt_admittance(1.0 / 400.0 + 1.0 / (kJ * omega() * 8e-6)),
                                              series_impedance(kJ * omega() * 0.1e-6)),
                                      ideal_transformer(1.0 / 7.0));
  return {
      {"series coil, shunt capacitor",
       l_network,
       {200.0, -50.0},
       {-0.194064219, 0.0},
       {0.0, 66.9159235},
       {0.0, 0.0178442463},
       {1.0, 0.0},
       {0.0058161066, 0.537428865},
       {0.28656513, -0.793105803},
       {0.28656513, -0.793105803},
       {0.347993275, -0.409590396},
       {12.2570406, 17.3741625},
       0.0},
      {"10 m RG-58, ideal 1:9",
       line,
       {450.0, 200.0},
       {-0.21080097, 0.0116371736},
       {-4.26797033, 116.392167},
       {-0.00018968757, 0.00517298518},
       {-1.89720873, 0.104734562},
       {0.147503523, -0.716077889},
       {-0.362369865, -0.444621754},
       {-0.362369865, -0.444621754},
       {0.8, 0.0},
       {33.4561105, 0.21432452},
       0.426262512},
      {"the two in cascade",
       cascade(l_network, line),
       {450.0, 200.0},
       {-0.305246155, -0.014951478},
       {-6.18014962, -149.541029},
       {-0.000397344161, 0.00141140076},
       {-3.97413922, 0.0285758484},
       {-0.240746495, 0.860231123},
       {-0.315804034, 0.207541091},
       {-0.315804034, 0.207541091},
       {0.908871025, 0.0850389478},
       {24.8048378, 52.2657538},
       0.426262512},
      {"49:1 with magnetising current and leakage",
       transformer,
       {2450.0, -800.0},
       {0.142857143, 0.0},
       {0.0, 31.227431},
       {0.000357142857, -0.000400289092},
       {7.0875, 0.0780685774},
       {-0.944841235, 0.167137127},
       {0.273504326, -0.0257573515},
       {0.273504326, -0.0257573515},
       {0.956559467, 0.00961361426},
       {46.3667836, -3.6583549},
       0.538615685},
  };
}

}  // namespace

TEST_CASE("two_port: chain matrix, scattering, input impedance and loss of the published cascades") {
  for (const Case& c : cases()) {
    CAPTURE(c.name);
    const double tolerance = 1e-8;  // nine printed digits
    const auto near = [&](Complex found, Complex wanted) {
      CAPTURE(found);
      CAPTURE(wanted);
      CHECK(std::abs(found - wanted) <= tolerance * std::max(std::abs(wanted), 1e-6));
    };
    near(c.two_port.a, c.a);
    near(c.two_port.b, c.b);
    near(c.two_port.c, c.c);
    near(c.two_port.d, c.d);
    const auto s = scattering(c.two_port, 50.0);
    near(s[0], c.s11);
    near(s[1], c.s12);
    near(s[2], c.s21);
    near(s[3], c.s22);
    near(input_impedance(c.two_port, c.load), c.input);
    CHECK(std::abs(loss_db(c.two_port, c.load) - c.loss) <= 1e-8);
  }
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
    std::vector<TwoPort> parts;
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
    for (auto part = parts.rbegin(); part != parts.rend(); ++part) {
      const double ratio = power_ratio(*part, z);
      CHECK(ratio <= 1.0 + 1e-10);
      CHECK(ratio > 0.0);
      product *= ratio;
      z = input_impedance(*part, z);
      CHECK(z.real() > 0.0);
      CHECK(swr(z, 50.0) >= 1.0);
      chain = cascade(*part, chain);
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
