#include "math/root.hpp"

#include <doctest/doctest.h>

#include <cmath>

namespace feldspar::math {

TEST_CASE("bracketed_root: roots known in closed form") {
  // Closed forms; 4 units of rounding.
  int calls = 0;
  const auto count = [&](auto f) { return [&calls, f](double x) { return ++calls, f(x); }; };
  CHECK(std::abs(bracketed_root(count([](double x) { return x * x - 2.0; }), 0.0, 2.0) - std::sqrt(2.0)) <=
        1e-15);
  CHECK(calls < 20);
  CHECK(std::abs(bracketed_root([](double x) { return std::exp(x) - 5.0; }, 10.0, -3.0) - std::log(5.0)) <=
        1e-15);
  CHECK(std::abs(bracketed_root([](double x) { return std::cos(x); }, 1.0, 3.0) - std::acos(0.0)) <= 1e-15);
}

TEST_CASE("bracketed_root: hard ones stay within a few times the work of bisection") {
  int calls = 0;
  // Ninth power: flat at the root, where f underflows towards rounding.
  const double flat =
      bracketed_root([&](double x) { return ++calls, std::pow(x - 0.3, 9.0); }, -1.0, 4.0, 1e-9);
  CHECK(std::abs(flat - 0.3) <= 1e-8);
  CHECK(calls < 120);
  calls = 0;
  const double step = bracketed_root([&](double x) { return ++calls, x < 0.7 ? -1e-9 : 1e9; }, 0.0, 1.0);
  CHECK(std::abs(step - 0.7) <= 1e-15);
  CHECK(calls < 120);
}

TEST_CASE("bracketed_root: edges") {
  CHECK(bracketed_root([](double x) { return x; }, 0.0, 1.0) == 0.0);
  CHECK(bracketed_root([](double x) { return x - 1.0; }, 0.0, 1.0) == 1.0);
  CHECK(std::isnan(bracketed_root([](double x) { return x * x + 1.0; }, -1.0, 1.0)));
  CHECK(std::abs(bracketed_root([](double x) { return x - 0.123; }, 0.0, 1.0, 1e-3) - 0.123) <= 1e-3);
}

}  // namespace feldspar::math
