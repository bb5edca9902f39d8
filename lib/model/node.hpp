#pragma once

#include <cstdint>
#include <string>
#include <string_view>
#include <variant>
#include <vector>

#include "core/error.hpp"

/// A model file as a tree of plain values, before anything is evaluated. `io` makes it from text.
namespace feldspar::model {

struct Node;

/// One "key = value" of a table, with the place of the key.
struct Entry;

using Array = std::vector<Node>;
using Table = std::vector<Entry>;  ///< in the file's order; keys are unique

/// A value with the place where it was written. `place.key` is its full dotted key; elements of arrays are
/// named by their `name` entry where they have one and by their number from 1 where they have none.
struct Node {
  std::variant<bool, std::int64_t, double, std::string, Array, Table> value;
  core::Place place;
  int text_offset = 1;  ///< columns from `place` to the first character of a string's text; -1 when unknown
  bool from_setting = false;  ///< came from the command line, not from the file

  [[nodiscard]] const std::string* text() const { return std::get_if<std::string>(&value); }
  [[nodiscard]] const Array* array() const { return std::get_if<Array>(&value); }
  [[nodiscard]] const Table* table() const { return std::get_if<Table>(&value); }
  [[nodiscard]] Array* array() { return std::get_if<Array>(&value); }
  [[nodiscard]] Table* table() { return std::get_if<Table>(&value); }
};

struct Entry {
  std::string key;
  core::Place place;
  Node node;
};

/// The value of `key`, or null.
[[nodiscard]] const Node* find(const Table& table, std::string_view key);
[[nodiscard]] Node* find(Table& table, std::string_view key);
/// "a text", "a whole number", "a list", … for messages.
[[nodiscard]] std::string describe_type(const Node& node);
/// A scalar as the user would write it: `8 m`, `4`, `true`; "…" for lists and tables.
[[nodiscard]] std::string as_text(const Node& node);

}  // namespace feldspar::model
