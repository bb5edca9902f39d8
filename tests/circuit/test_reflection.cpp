#include "circuit/reflection.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <random>

#include "../support/close.hpp"
#include "../support/table.hpp"

namespace feldspar::circuit {

TEST_CASE("swr: reflection, return loss and mismatch of the published table") {
  // Source: data/published/mismatch.csv (derived; 0.18, 0.51 and 1.25 dB quoted). Nine digits are printed.
  for (const testing::Row& row : testing::Table("published/mismatch.csv", 15)) {
    const double ratio = row.number("swr");
    CAPTURE(ratio);
    const double half_unit = 5e-9;  // of the ninth digit, relative at worst
    for (const Complex z : {Complex{50.0 * ratio}, Complex{50.0 / ratio}}) {
      CHECK(testing::relative_error(swr(z, 50.0), ratio) <= 1e-14);
      CHECK(std::abs(std::abs(reflection_coefficient(z, 50.0)) - row.number("reflection_coefficient_abs")) <=
            half_unit * row.number("reflection_coefficient_abs"));
      CHECK(std::abs(mismatch_loss_db(z, 50.0) - row.number("mismatch_loss_db")) <=
            half_unit * row.number("mismatch_loss_db"));
      if (ratio > 1.0)
        CHECK(std::abs(return_loss_db(z, 50.0) - row.number("return_loss_db")) <=
              half_unit * row.number("return_loss_db"));
    }
  }
}

TEST_CASE("swr: any reference resistance, and the extremes") {
  CHECK(swr({75.0, 0.0}, 75.0) == 1.0);
  CHECK(testing::relative_error(swr({450.0, 0.0}, 75.0), 6.0) <= 1e-14);
  CHECK(std::isinf(return_loss_db({75.0, 0.0}, 75.0)));
  CHECK(mismatch_loss_db({75.0, 0.0}, 75.0) == 0.0);
  CHECK(std::isinf(swr({0.0, 20.0}, 50.0)));
  CHECK(accepted_share({0.0, 20.0}, 50.0) == 0.0);
  CHECK(std::isinf(swr({INFINITY, 0.0}, 50.0)));
  // 1 - |rho| would keep 4 digits here; exact value from SWR + 1/SWR = (R^2 + X^2 + R0^2) / (R R0).
  const double b = (1e-6 * 1e-6 + 1e8 + 2500.0) / (1e-6 * 50.0);
  CHECK(testing::relative_error(swr({1e-6, 1e4}, 50.0), 0.5 * (b + std::sqrt(b * b - 4.0))) <= 1e-13);
}

TEST_CASE("swr: identities for random passive loads") {
  std::mt19937_64 random(20240101);
  std::uniform_real_distribution<double> decade(-3.0, 4.0);
  std::bernoulli_distribution coin(0.5);
  for (int i = 0; i < 2000; ++i) {
    const Complex z{std::pow(10.0, decade(random)),
                    (coin(random) ? 1.0 : -1.0) * std::pow(10.0, decade(random))};
    const double r0 = std::pow(10.0, decade(random) / 3.0 + 1.0);
    CAPTURE(z);
    CAPTURE(r0);
    const double ratio = swr(z, r0);
    CHECK(ratio >= 1.0);
    // 4 s / (s + 1)^2 = 1 - |rho|^2: two routes to the same share.
    CHECK(testing::relative_error(accepted_share(z, r0), 4.0 * ratio / ((ratio + 1.0) * (ratio + 1.0))) <=
          1e-12);
    // The same load seen as an admittance has the same SWR.
    CHECK(testing::relative_error(swr(1.0 / z, 1.0 / r0), ratio) <= 1e-12);
    const Complex back = impedance_from_reflection(reflection_coefficient(z, r0), r0);
    CHECK(std::abs(back - z) <= 1e-15 * (ratio + 4.0) * (std::abs(z) + r0) * (std::abs(z) / r0 + 1.0));
  }
}

}  // namespace feldspar::circuit
