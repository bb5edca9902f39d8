#include "io/document.hpp"

#include <doctest/doctest.h>

#include <string>

using namespace feldspar;

namespace {

core::Error error_of(const std::string& text) {
  try {
    (void)io::parse_document(text, "mine.toml");
  } catch (const core::Error& error) {
    return error;
  }
  FAIL_CHECK("accepted: " << text.substr(0, 60));
  return {core::ErrorKind::numerics, "none"};
}

struct Bad {
  std::string text;
  int line;
  int column;
  const char* fragment;
};

}  // namespace

// Found by fuzzing toml++ 3.3: the header-only library aborts on the first and reads on after the end of its
// tables on the second.
TEST_CASE("parse_document: inputs that once broke the parser below") {
  const core::Error bracket = error_of("[.");
  CHECK(bracket.kind() == core::ErrorKind::model);
  CHECK(bracket.place().file == "mine.toml");
  CHECK(bracket.place().line == 1);
  CHECK(bracket.place().column == 2);
  const core::Error letter = error_of("b\u00damb=");
  CHECK(letter.kind() == core::ErrorKind::model);
  CHECK(letter.place().line == 1);
  CHECK(letter.place().column == 2);
  CHECK(letter.message().find("outside ASCII") != std::string::npos);
}

TEST_CASE("parse_document: wrong texts are refused with line and column") {
  const Bad rows[] = {
      {"a = 1\nb = \n", 2, 5, "not valid TOML"},
      {"a = 1\na = 2\n", 2, 5, "not valid TOML"},
      {"a = \"open\nb = 1\n", 1, 10, "not valid TOML"},
      {"a = \"\xff\"\n", 1, 5, "not valid TOML"},
      {"a = 1979-05-27\n", 1, 5, "found a date or time"},
      {"# caf\u00e9\n[\u00e4]\n", 2, 2, "outside ASCII"},
      {"a = \u201cquoted\u201d\n", 1, 5, "outside ASCII"},
      {"a = 99999999999999999999\n", 1, 25, "not valid TOML"},
      {"a = [[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[\n", 1, 37, "not valid TOML"},
      {std::string("a.a.a.a.a.a.a.a.a.a.a.a.a.a.a.a.a.a.a.a.a.a.a.a = 1"), 1, 42, "at most 21 parts"},
      {std::string("a = \"\0\"", 8), 1, 6, "not valid TOML"},
  };
  for (const Bad& row : rows) {
    CAPTURE(row.text);
    const core::Error error = error_of(row.text);
    CAPTURE(error.message());
    CHECK(error.kind() == core::ErrorKind::model);
    CHECK(error.place().line == row.line);
    CHECK(error.place().column == row.column);
    CHECK(error.message().find(row.fragment) != std::string::npos);
  }
}

TEST_CASE("parse_document: hostile texts end in an error, not in a crash") {
  std::string dotted = "a";
  for (int i = 0; i < 100000; ++i) dotted += ".a";
  CHECK(error_of(dotted + " = 1").message().find("parts") != std::string::npos);
  CHECK(error_of("[" + dotted + "]").message().find("parts") != std::string::npos);
  CHECK(error_of("a = " + std::string(100000, '[')).kind() == core::ErrorKind::model);
  std::string inline_tables;
  for (int i = 0; i < 100000; ++i) inline_tables += "{a=";
  CHECK(error_of("a = " + inline_tables).kind() == core::ErrorKind::model);
  CHECK(error_of(std::string(5000, 'k') + " = 1").message().find("shorter keys") != std::string::npos);
  std::string long_header = "[" + std::string(500000, 'k') + "]\n";
  for (int i = 0; i < 50000; ++i) long_header += "a" + std::to_string(i) + "=1\n";
  CHECK(error_of(long_header).message().find("shorter keys") != std::string::npos);
  std::string many = "a = [";
  for (int i = 0; i < 300000; ++i) many += "0,";
  CHECK(error_of(many + "]").message().find("at most 200000 values") != std::string::npos);
  CHECK(error_of(std::string(io::kLargestFile + 1, '#')).message().find("at most 1048576 bytes") !=
        std::string::npos);
}

TEST_CASE("parse_document: letters outside ASCII are welcome in texts and comments") {
  const model::Node root = io::parse_document(
      "\xEF\xBB\xBF# \u00e4\n\"k\u00e9\" = \"18 \u00b5H\" # \u00b5\na = '\u00e4'\nb = \"\"\"\n\u00e4 \" \\\" "
      "\"\"\"\nc = "
      "'''\u00e4'''''\n",
      "mine.toml");
  const model::Table& table = *root.table();
  REQUIRE(table.size() == 4);
  CHECK(table[0].key == "k\u00e9");
  CHECK(*table[0].node.text() == "18 \u00b5H");
  CHECK(*table[1].node.text() == "\u00e4");
  CHECK(*table[2].node.text() == "\u00e4 \" \" ");
  CHECK(*table[3].node.text() == "\u00e4''");
}

TEST_CASE("parse_document: values, places and the file's order") {
  const model::Node root = io::parse_document(R"(zebra = 1
apple = "x y"
[table]
second = true
first = 2.5
[[list]]
name = "one"
value = [1, "two"]
[[list]]
value = { inner = 'raw' }
)",
                                              "mine.toml");
  const model::Table& table = *root.table();
  REQUIRE(table.size() == 4);
  CHECK(table[0].key == "zebra");
  CHECK(std::get<std::int64_t>(table[0].node.value) == 1);
  CHECK(table[1].key == "apple");
  CHECK(table[1].node.place.line == 2);
  CHECK(table[1].node.place.column == 9);
  CHECK(table[1].node.text_offset == 1);
  CHECK(table[1].place.column == 1);
  CHECK(table[2].node.table()->at(0).key == "second");
  CHECK(std::get<bool>(table[2].node.table()->at(0).node.value));
  CHECK(std::get<double>(table[2].node.table()->at(1).node.value) == 2.5);
  const model::Array& list = *table[3].node.array();
  REQUIRE(list.size() == 2);
  CHECK(list[0].place.key == "list.one");
  const model::Node& two = model::find(*list[0].table(), "value")->array()->at(1);
  CHECK(two.place.key == "list.one.value.2");
  CHECK(two.place.line == 8);
  CHECK(two.place.column == 13);
  const model::Node& inner = *model::find(*model::find(*list[1].table(), "value")->table(), "inner");
  CHECK(inner.place.key == "list.2.value.inner");
  CHECK(*inner.text() == "raw");
}

TEST_CASE("parse_document: places inside a text are given up where they cannot be told") {
  const auto offset = [](const std::string& value) {
    return io::parse_document("a = " + value + "\n", "mine.toml").table()->at(0).node.text_offset;
  };
  CHECK(offset("\"2 m\"") == 1);
  CHECK(offset("'2 m'") == 1);
  CHECK(offset("\"2\\tm\"") == -1);
  CHECK(offset("\"\"\"2 m\"\"\"") == -1);
  CHECK(offset("\"2 \u00b5m\"") == -1);
}
