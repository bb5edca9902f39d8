#include "model/nearest.hpp"

#include <doctest/doctest.h>

using namespace feldspar::model;

namespace {

struct Row {
  const char* a;
  const char* b;
  int distance;
};

// By the definition: insertions, deletions, replacements, swaps of neighbours.
constexpr Row kRows[] = {
    {"", "", 0},
    {"", "abc", 3},
    {"abc", "abc", 0},
    {"abc", "abd", 1},
    {"abc", "acb", 1},
    {"abc", "ab", 1},
    {"kitten", "sitting", 3},
    {"Soil", "soil", 0},
    {"wave-form", "wave_form", 0},
    {"dipoel", "dipole", 1},
};

}  // namespace

TEST_CASE("edit_distance counts single-letter changes") {
  for (const Row& row : kRows) {
    CAPTURE(row.a);
    CHECK(edit_distance(row.a, row.b) == row.distance);
    CHECK(edit_distance(row.b, row.a) == row.distance);
  }
}

TEST_CASE("nearest finds slips and leaves strangers alone") {
  const std::vector<std::string> names = {"soil", "permittivity", "conductivity", "method"};
  CHECK(nearest("siol", names) == "soil");
  CHECK(nearest("permitivity", names) == "permittivity");
  CHECK(nearest("colour", names).empty());
  CHECK(nearest("xy", {"z"}).empty());
  CHECK(nearest(std::string(10000, 'x'), names).empty());
  CHECK(suggestion("siol", names) == "; did you mean 'soil'?");
  CHECK(suggestion("colour", names).empty());
}

TEST_CASE("enumerate lists names") {
  CHECK(enumerate({}) == "none");
  CHECK(enumerate({"a", "b"}) == "a, b");
  CHECK(enumerate({"a", "b", "c"}, 2) == "a, b, …");
}
