#include "circuit/transformer.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <random>

#include "../support/close.hpp"
#include "core/error.hpp"

namespace feldspar::circuit {

TEST_CASE("transformer: without loss it divides the impedance by the ratio") {
  const TwoPort t = transformer_two_port({9.0, 0.0, false}, 50.0);
  const Complex load{461.0, -30.0};
  CHECK(std::abs(input_impedance(t, load) - load / 9.0) <= 1e-13 * std::abs(load));
  CHECK(std::abs(loss_db(t, load)) <= 1e-14);
}

TEST_CASE("transformer: into its own load it loses what is stated and looks matched") {
  for (const double ratio : {0.25, 1.0, 4.0, 9.0, 49.0}) {
    for (const double loss : {0.1, 0.5, 3.0}) {
      const TwoPort t = transformer_two_port({ratio, loss, false}, 50.0);
      CAPTURE(ratio);
      CHECK(std::abs(input_impedance(t, 50.0 * ratio) - 50.0) <= 1e-12);
      CHECK(testing::relative_error(loss_db(t, 50.0 * ratio), loss) <= 1e-12);
    }
  }
}

TEST_CASE(
    "transformer: loss into other loads follows the attenuator formula and is never below the stated one") {
  // 10 log10[(A^2 - r^2) / (A (1 - r^2))], A = 10^(loss/10), r = |rho| at the load: the published page's
  // formula for a mismatched line with real z0, which holds for any matched attenuator.
  std::mt19937_64 random(3);
  std::uniform_real_distribution<double> unit(0.0, 1.0);
  for (int i = 0; i < 1000; ++i) {
    const double ratio = std::pow(10.0, 2.0 * unit(random) - 0.5);
    const double loss = 2.0 * unit(random);
    const Complex load{std::pow(10.0, 5.0 * unit(random) - 1.0), 4000.0 * (unit(random) - 0.5)};
    const TwoPort t = transformer_two_port({ratio, loss, false}, 50.0);
    const double power = std::pow(10.0, loss / 10.0);
    const double kept = accepted_share(load, 50.0 * ratio);
    CAPTURE(load);
    CHECK(testing::relative_error(loss_db(t, load),
                                  10.0 * std::log10((power * power - 1.0 + kept) / (power * kept))) <= 1e-9);
    CHECK(loss_db(t, load) >= loss * (1.0 - 1e-9));
    CHECK(swr(input_impedance(t, load), 50.0) <= swr(load, 50.0 * ratio) * (1.0 + 1e-12));
  }
  // The figures in the header, to half a unit of their last digit.
  CHECK(testing::relative_error(loss_db(transformer_two_port({1.0, 0.5, false}, 50.0), 150.0), 0.79) <=
        0.007);
  CHECK(testing::relative_error(loss_db(transformer_two_port({1.0, 0.5, false}, 50.0), 500.0), 2.0) <= 0.025);
}

TEST_CASE("transformer: assumed loss") {
  // Common practice, no source: 0.5 dB up to 16:1, 1 dB above.
  CHECK(assumed_transformer_loss_db(9.0) == 0.5);
  CHECK(assumed_transformer_loss_db(16.0) == 0.5);
  CHECK(assumed_transformer_loss_db(49.0) == 1.0);
  CHECK(assumed_transformer_loss_db(1.0 / 49.0) == 1.0);
  CHECK(make_transformer(9.0, {}).loss_assumed);
  CHECK(make_transformer(9.0, {}).loss_db == 0.5);
  CHECK_FALSE(make_transformer(9.0, 0.0).loss_assumed);
  CHECK(make_transformer(9.0, 0.0).loss_db == 0.0);
  CHECK_THROWS_AS((void)make_transformer(0.0, {}), core::Error);
  CHECK_THROWS_AS((void)make_transformer(4.0, -0.1), core::Error);
}

}  // namespace feldspar::circuit
