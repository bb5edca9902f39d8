#include "decision/bands.hpp"

#include <doctest/doctest.h>

#include <array>

#include "core/error.hpp"

namespace feldspar::decision {
namespace {

struct Row {
  const char* name;
  std::array<std::array<double, 2>, 3> edges;  // Hz, regions 1 to 3
};

// Source: published table of amateur allocations, ITU Radio Regulations Article 5 (2020): 80 m and Region 1's
// 6 m quoted, the rest from memory. Written out in full here; the library's table is in kilohertz and shares
// rows.
constexpr Row kTable[] = {
    {"160m", {{{1810000, 1850000}, {1800000, 2000000}, {1800000, 2000000}}}},
    {"80m", {{{3500000, 3800000}, {3500000, 4000000}, {3500000, 3900000}}}},
    {"60m", {{{5351500, 5366500}, {5351500, 5366500}, {5351500, 5366500}}}},
    {"40m", {{{7000000, 7200000}, {7000000, 7300000}, {7000000, 7200000}}}},
    {"30m", {{{10100000, 10150000}, {10100000, 10150000}, {10100000, 10150000}}}},
    {"20m", {{{14000000, 14350000}, {14000000, 14350000}, {14000000, 14350000}}}},
    {"17m", {{{18068000, 18168000}, {18068000, 18168000}, {18068000, 18168000}}}},
    {"15m", {{{21000000, 21450000}, {21000000, 21450000}, {21000000, 21450000}}}},
    {"12m", {{{24890000, 24990000}, {24890000, 24990000}, {24890000, 24990000}}}},
    {"10m", {{{28000000, 29700000}, {28000000, 29700000}, {28000000, 29700000}}}},
    {"6m", {{{50000000, 52000000}, {50000000, 54000000}, {50000000, 54000000}}}},
    {"2m", {{{144000000, 146000000}, {144000000, 148000000}, {144000000, 148000000}}}},
};

}  // namespace

TEST_CASE("bands: edges in the three regions") {
  for (int region = 1; region <= 3; ++region) {
    REQUIRE(bands(region).size() == std::size(kTable));
    double last = 0.0;
    for (std::size_t i = 0; i < std::size(kTable); ++i) {
      const Band& found = bands(region)[i];
      CAPTURE(kTable[i].name);
      CAPTURE(region);
      CHECK(found.name == kTable[i].name);
      CHECK(found.lower == kTable[i].edges[static_cast<std::size_t>(region - 1)][0]);
      CHECK(found.upper == kTable[i].edges[static_cast<std::size_t>(region - 1)][1]);
      CHECK(found.lower > last);
      CHECK(found.upper > found.lower);
      CHECK(middle(found) - found.lower == found.upper - middle(found));
      CHECK_FALSE(found.status.empty());
      CHECK_FALSE(found.source.empty());
      last = found.upper;
    }
  }
}

TEST_CASE("bands: found by name however it is typed") {
  for (const char* name : {"40m", "40 m", "40M", "40", " 40m"}) {
    CAPTURE(name);
    CHECK(band(name, 1).upper == 7.2e6);
    CHECK(band(name, 2).upper == 7.3e6);
  }
}

TEST_CASE("bands: a list comes back in rising frequency, each once") {
  const std::vector<Band> chosen = select_bands("20m, 40m,20m", 1);
  REQUIRE(chosen.size() == 2);
  CHECK(chosen[0].name == "40m");
  CHECK(chosen[1].name == "20m");
}

TEST_CASE("bands: errors name the nearest band or all of them") {
  struct Wrong {
    const char* name;
    const char* message;
  };
  const char* all = "; known are 160m, 80m, 60m, 40m, 30m, 20m, 17m, 15m, 12m, 10m, 6m, 2m";
  const Wrong near[] = {{"41m", "there is no band '41m'; did you mean '40m'?"},
                        {"4om", "there is no band '4om'; did you mean '40m'?"},
                        {"75m", "there is no band '75m'; did you mean '80m'?"},
                        {"13m", "there is no band '13m'; did you mean '12m'?"},
                        {"7", "there is no band '7'; did you mean '6m'?"}};
  for (const Wrong& wrong : near) {
    CAPTURE(wrong.name);
    CHECK_THROWS_WITH_AS((void)band(wrong.name, 1), wrong.message, core::Error);
  }
  for (const std::string name : {"", "forty", "630m", "-40m x", "nan", "inf"}) {
    CAPTURE(name);
    CHECK_THROWS_WITH_AS((void)band(name, 1), ("there is no band '" + name + "'" + all).c_str(), core::Error);
  }
  CHECK_THROWS_AS((void)select_bands("40m,,20m", 1), core::Error);
  CHECK_THROWS_AS((void)select_bands("", 1), core::Error);
  for (const int region : {0, 4, -1}) CHECK_THROWS_AS((void)bands(region), core::Error);
}

}  // namespace feldspar::decision
