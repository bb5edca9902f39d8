#include "model/node.hpp"

#include <fmt/format.h>

namespace feldspar::model {

const Node* find(const Table& table, std::string_view key) {
  for (const Entry& entry : table)
    if (entry.key == key) return &entry.node;
  return nullptr;
}

Node* find(Table& table, std::string_view key) {
  for (Entry& entry : table)
    if (entry.key == key) return &entry.node;
  return nullptr;
}

std::string describe_type(const Node& node) {
  static constexpr const char* kNames[] = {"true or false", "a whole number", "a number",
                                           "a text",        "a list",         "a table"};
  return kNames[node.value.index()];
}

std::string as_text(const Node& node) {
  if (const auto* flag = std::get_if<bool>(&node.value)) return *flag ? "true" : "false";
  if (const auto* whole = std::get_if<std::int64_t>(&node.value)) return fmt::format("{}", *whole);
  if (const auto* number = std::get_if<double>(&node.value)) return fmt::format("{}", *number);
  if (const auto* text = node.text()) return *text;
  return "…";
}

}  // namespace feldspar::model
