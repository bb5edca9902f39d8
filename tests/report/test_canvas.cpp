#include "report/canvas.hpp"

#include <doctest/doctest.h>

#include <string>

namespace feldspar::report {

// Source: derived; Unicode 21.1: bit n - 1 of U+2800 + pattern is dot n, dots 1 2 3 7 down the left side, 4 5
// 6 8 down the right one.
TEST_CASE("canvas: the eight dots of a braille character") {
  struct Row {
    int x, y;
    const char* expected;
  };
  constexpr Row kRows[] = {{0, 0, "\u2801\n"}, {0, 1, "\u2802\n"}, {0, 2, "\u2804\n"}, {1, 0, "\u2808\n"},
                           {1, 1, "\u2810\n"}, {1, 2, "\u2820\n"}, {0, 3, "\u2840\n"}, {1, 3, "\u2880\n"}};
  for (const Row& row : kRows) {
    Canvas canvas(1, 1, Strokes::braille);
    canvas.dot(row.x, row.y);
    CAPTURE(row.x);
    CAPTURE(row.y);
    CHECK(canvas.render() == row.expected);
  }
}

TEST_CASE("canvas: lines, text over them, and what lies outside is left out") {
  Canvas canvas(4, 2, Strokes::ascii);
  canvas.line(0, 0, 3, 0);
  canvas.line(0, 3, 3, 3);
  canvas.line(-5, 1, -1, 9);
  canvas.dot(100.0, 100.0);
  canvas.write(1, 1, "10");
  canvas.write(3, 0, "xyz");
  CHECK(canvas.render() == "'''x\n.10.\n");
}

TEST_CASE("canvas: bars") {
  CHECK(bar(0.5, 4, Strokes::ascii) == "##  ");
  CHECK(bar(1.5, 4, Strokes::ascii) == "####");
  CHECK(bar(-1.0, 4, Strokes::ascii) == "    ");
  CHECK(bar(0.5, 3, Strokes::braille) == "\u2588\u258C ");
  CHECK(bar(0.125, 1, Strokes::braille) == "\u258F");
}

}  // namespace feldspar::report
