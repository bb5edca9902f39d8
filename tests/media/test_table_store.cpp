#include "media/table_store.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <vector>

using namespace feldspar::media;
using Complex = std::complex<double>;

namespace {

constexpr double kK0 = 0.15;  // 7.2 MHz
const Complex kSoil(13.0, -12.5);

bool same(const ReflectedRest& a, const ReflectedRest& b) {
  return a.a_h == b.a_h && a.a_v == b.a_v && a.a_m == b.a_m && a.p == b.p;
}

}  // namespace

TEST_CASE("table store: reaches go to the next half power of two, outwards") {
  struct Row {
    TableReach wanted, rounded;
  };
  const double root = std::sqrt(2.0);
  const Row rows[] = {
      {{5.0, 0.04, 5.2, 0.0}, {4.0 * root, 1.0 / 32.0, 4.0 * root, 0.0}},
      {{8.0, 0.25, 2.0, 0.5}, {8.0, 0.25, 2.0, 0.5}},       // already there
      {{5.0, 6.0, 3.0, 0.0}, {4.0 * root, 6.0, 3.0, 0.0}},  // level
      {{0.0, 1e-6, 1.0, 0.3}, {0.0, std::exp2(-20.0), 1.0, 0.25 * root}},
  };
  for (const Row& row : rows) {
    const TableReach got = rounded(row.wanted);
    CHECK(got.rho == doctest::Approx(row.rounded.rho).epsilon(1e-12));
    CHECK(got.low == doctest::Approx(row.rounded.low).epsilon(1e-12));
    CHECK(got.high == doctest::Approx(row.rounded.high).epsilon(1e-12));
    CHECK(got.depth == doctest::Approx(row.rounded.depth).epsilon(1e-12));
    CHECK(rounded(got) == got);
  }
}

TEST_CASE("table store: a kept table gives the numbers of a fresh one, whatever was asked before") {
  TableStore store;
  const TableReach reach = rounded({6.0, 0.04, 5.0, 0.4});
  const GroundTables first = store.get(kK0, kSoil, reach, 1e-6);
  REQUIRE(first.above);
  REQUIRE(first.below);
  REQUIRE(first.across);
  for (double rho = 0.1; rho < 5.0; rho *= 1.7) (void)(*first.above)(rho, 0.3);  // another structure's cells
  const GroundTables again = store.get(kK0, kSoil, reach, 1e-6);
  CHECK(again.above == first.above);
  CHECK(store.made() == 1);
  const GroundTables fresh = make_tables(kK0, kSoil, reach, 1e-6);
  for (double rho = 0.05; rho < 6.0; rho *= 1.31)
    for (const double z : {0.05, 0.3, 2.9, 9.0}) {
      CHECK(same((*again.above)(rho, z), (*fresh.above)(rho, z)));
      const double depth = 0.02 * z;
      CHECK(same((*again.below)(rho, depth), (*fresh.below)(rho, depth)));
      CHECK((*again.across)(rho, 0.3 * z, depth).p == (*fresh.across)(rho, 0.3 * z, depth).p);
    }
  CHECK(first.entries() >= fresh.entries());
}

TEST_CASE("table store: what differs is made anew, the longest unused goes") {
  TableStore store(2);
  const TableReach reach = rounded({6.0, 0.04, 5.0, 0.0});
  const GroundTables a = store.get(kK0, kSoil, reach, 1e-6);
  CHECK_FALSE(a.below);
  CHECK_FALSE(a.across);
  (void)store.get(1.1 * kK0, kSoil, reach, 1e-6);
  (void)store.get(kK0, kSoil, reach, 1e-6);  // used again
  CHECK(store.made() == 2);
  (void)store.get(kK0, 1.1 * kSoil, reach, 1e-6);  // pushes out the second
  CHECK(store.get(kK0, kSoil, reach, 1e-6).above == a.above);
  CHECK(store.made() == 3);
  (void)store.get(1.1 * kK0, kSoil, reach, 1e-6);
  (void)store.get(kK0, kSoil, reach, 1e-5);
  CHECK(store.made() == 5);
}

TEST_CASE("table store: points that share height or distance get the same numbers as alone") {
  const GroundTables tables = make_tables(kK0, kSoil, rounded({12.0, 0.04, 8.0, 0.0}), 1e-6);
  std::vector<double> varied;
  for (double x = 0.06; x < 11.0; x *= 1.05) varied.push_back(x);
  const std::vector<double> fixed(varied.size(), 0.4);
  std::vector<ReflectedRest> level(varied.size());
  std::vector<ReflectedRest> upright(varied.size());
  tables.above->evaluate(varied, fixed, level);
  tables.above->evaluate(fixed, varied, upright);
  const auto close = [](Complex a, Complex b, double distance) {
    return std::abs(a - b) * distance <= 1e-13;
  };
  for (std::size_t i = 0; i < varied.size(); ++i) {
    const double r = std::hypot(varied[i], 0.4);
    const ReflectedRest one = (*tables.above)(varied[i], 0.4);
    const ReflectedRest other = (*tables.above)(0.4, varied[i]);
    CHECK(close(level[i].a_h, one.a_h, r));
    CHECK(close(level[i].a_v, one.a_v, r));
    CHECK(close(level[i].a_m, one.a_m, r));
    CHECK(close(level[i].p, one.p, r));
    CHECK(close(upright[i].a_h, other.a_h, r));
    CHECK(close(upright[i].a_v, other.a_v, r));
    CHECK(close(upright[i].a_m, other.a_m, r));
    CHECK(close(upright[i].p, other.p, r));
  }
}
