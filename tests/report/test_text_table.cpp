#include "report/text_table.hpp"

#include <doctest/doctest.h>

using namespace feldspar::report;

TEST_CASE("TextTable: decimal points stand under one another, headings on the last line") {
  TextTable table({{"band", Align::left}, {"R\nohm", Align::decimal}, {"n", Align::right}});
  table.add_row({{"160m"}, {"8.25"}, {"1"}});
  table.add_row({{"6m"}, {"1200"}, {"12"}});
  CHECK(table.render(false) ==
        "            R\n"
        "band      ohm   n\n"
        "160m     8.25   1\n"
        "6m    1200     12\n");
  CHECK(table.width() == 17);
}

TEST_CASE("TextTable: colour adds codes and nothing else") {
  TextTable table({{"a", Align::left}, {"tuner", Align::left}});
  table.add_row({{"x"}, {"none", Colour::good}});
  table.add_row({{"y"}, {"wide-range", Colour::poor}});
  std::string coloured = table.render(true);
  CHECK(coloured.find("\033[") != std::string::npos);
  std::string plain;
  for (std::size_t i = 0; i < coloured.size(); ++i) {
    if (coloured[i] == '\033') {
      i = coloured.find('m', i);
    } else {
      plain += coloured[i];
    }
  }
  CHECK(plain == table.render(false));
}

TEST_CASE("wrap: no line longer than asked, every word kept, and a long word stands out") {
  CHECK(wrap("short", 80) == "short\n");
  CHECK(wrap("one two three four", 9, 2) == "one two\n  three\n  four\n");
  CHECK(wrap("a  b   c", 80) == "a  b   c\n");
  CHECK(wrap("aaaaaaaaaaaa bb", 5, 1) == "aaaaaaaaaaaa\n bb\n");
  CHECK(wrap("exactly ten", 11) == "exactly ten\n");
  CHECK(wrap("exactly ten", 10, 0) == "exactly\nten\n");
}
