#include "decision/wish.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <vector>

#include "core/error.hpp"

using namespace feldspar::decision;

TEST_CASE("wishes in words") {
  const std::vector<std::string> names = {"swr_at_radio", "gain"};
  const std::vector<double> values = {2.0, std::nan(""), 5.0, 3.0};
  struct Row {
    const char* text;
    double merit;
  };
  for (const auto& [text, expected] :
       {Row{"lowest worst swr_at_radio", 5.0}, Row{"lowest swr_at_radio", 5.0},
        Row{"lowest best swr_at_radio", 2.0}, Row{"highest worst gain", 2.0}, Row{"highest best gain", 5.0},
        Row{" lowest  mean gain ", 10.0 / 3.0}}) {
    CAPTURE(text);
    CHECK(merit(values, parse_wish(text, names)) == doctest::Approx(expected));
  }
  CHECK(std::isnan(merit(std::vector<double>{std::nan("")}, parse_wish("lowest gain", names))));
  for (const char* wrong : {"", "gain", "lowest", "least gain", "lowest median gain", "lowest worst gian",
                            "lowest worst gain now"})
    CHECK_THROWS_AS((void)parse_wish(wrong, names), feldspar::core::Error);
}

TEST_CASE("the best cases, best first, and those that have no number nowhere") {
  const std::vector<double> merits = {3.0, 1.0, std::nan(""), 2.0, 1.0};
  Wish wish{false, Wish::Over::worst, "gain"};
  CHECK(best(merits, wish, 3) == std::vector<std::size_t>{1, 4, 3});
  wish.highest = true;
  CHECK(best(merits, wish, 10) == std::vector<std::size_t>{0, 3, 1, 4});
}
