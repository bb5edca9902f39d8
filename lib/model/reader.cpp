#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "model/nearest.hpp"
#include "model/reader_detail.hpp"

namespace feldspar::model::detail {

namespace {

constexpr std::size_t kLongestText = 2000;

core::ErrorKind kind_of_error(const Node& node) {
  return node.from_setting ? core::ErrorKind::usage : core::ErrorKind::model;
}

/// ' (in "radial_count")' for a value that was written as a text.
std::string written_as(const Node& node) {
  const std::string* written = node.text();
  return written && written->size() <= 120 ? fmt::format(" (in \"{}\")", *written) : std::string{};
}

[[noreturn]] void fail_inside(const Node& node, const ExpressionError& error) {
  core::Place place = node.place;
  if (node.text() && place.column > 0 && node.text_offset >= 0)
    place.column += node.text_offset + static_cast<int>(error.offset);
  throw core::Error(kind_of_error(node), error.message + written_as(node), place);
}

}  // namespace

void fail(const Node& node, const std::string& message) {
  throw core::Error(kind_of_error(node), message, node.place);
}

Evaluation evaluate(const Node& node, const Kind& kind, const Scope& scope) {
  if (const auto* whole_number = std::get_if<std::int64_t>(&node.value))
    return {{static_cast<double>(*whole_number), dimension::kNumber}, true};
  if (const auto* number = std::get_if<double>(&node.value)) {
    if (!std::isfinite(*number))
      fail(node, fmt::format("expected {}, found {}", describe(kind.dimension), *number));
    return {{*number, dimension::kNumber}, true};
  }
  if (const std::string* written = node.text()) {
    try {
      return model::evaluate(*written, scope);
    } catch (const ExpressionError& error) {
      fail_inside(node, error);
    }
  }
  fail(node, fmt::format("expected {} such as \"{}\", found {}", describe(kind.dimension), kind.example,
                         describe_type(node)));
}

double quantity(const Node& node, const Kind& kind, const Scope& scope) {
  const Evaluation found = evaluate(node, kind, scope);
  try {
    return as_kind(found, kind);
  } catch (const ExpressionError& error) {
    fail_inside(node, error);
  }
}

double positive(const Node& node, const Kind& kind, const Scope& scope) {
  const double value = quantity(node, kind, scope);
  if (!(value > 0.0))
    fail(node, fmt::format("expected a value above zero such as \"{}\", found {}{}", kind.example,
                           format({value, kind.dimension}), written_as(node)));
  return value;
}

double not_negative(const Node& node, const Kind& kind, const Scope& scope) {
  const double value = quantity(node, kind, scope);
  if (!(value >= 0.0))
    fail(node, fmt::format("expected a value of zero or more such as \"{}\", found {}{}", kind.example,
                           format({value, kind.dimension}), written_as(node)));
  return value;
}

double plain_number(const Node& node, const Scope& scope) {
  return quantity(node, kind::kNumber, scope);
}

int whole(const Node& node, const Scope& scope, int smallest, int largest) {
  const double value = plain_number(node, scope);
  const double rounded = std::round(value);
  if (std::abs(value - rounded) > 1e-9)
    fail(node, fmt::format("expected a whole number from {} to {}, found {:.10g}{}", smallest, largest, value,
                           written_as(node)));
  if (rounded < smallest || rounded > largest)
    fail(node, fmt::format("expected a whole number from {} to {}, found {:.15g}{}", smallest, largest,
                           rounded, written_as(node)));
  return static_cast<int>(rounded);
}

bool flag(const Node& node, const Scope& scope) {
  if (const bool* value = std::get_if<bool>(&node.value)) return *value;
  if (!node.text())
    fail(node, fmt::format("expected true, false or a condition such as \"count > 0\", found {}",
                           describe_type(node)));
  return plain_number(node, scope) != 0.0;
}

const std::string& text(const Node& node, std::string_view example) {
  const std::string* written = node.text();
  if (!written)
    fail(node, fmt::format("expected a text such as \"{}\", found {}", example, describe_type(node)));
  if (written->size() > kLongestText)
    fail(node,
         fmt::format("expected a text of at most {} characters, found {}", kLongestText, written->size()));
  return *written;
}

std::size_t choice(const Node& node, const std::vector<std::string>& words) {
  const std::string& written = text(node, words.front());
  const auto found = std::find(words.begin(), words.end(), written);
  if (found == words.end())
    fail(node, fmt::format("expected one of: {}; found \"{}\"{}", enumerate(words), written,
                           suggestion(written, words)));
  return static_cast<std::size_t>(found - words.begin());
}

Reader::Reader(const Node& node, const Schema& schema) : node_(node), schema_(schema), table_(node.table()) {
  if (!table_)
    fail(node,
         fmt::format("expected a table ({}), found {}", enumerate(schema.names()), describe_type(node)));
  for (const Entry& entry : *table_) {
    if (schema.allows(entry.key)) continue;
    const core::ErrorKind kind = kind_of_error(entry.node);
    throw core::Error(kind,
                      fmt::format("unknown key '{}' in {}{} (known: {})", entry.key, schema.title,
                                  suggestion(entry.key, schema.names()), enumerate(schema.names())),
                      entry.place);
  }
}

const Node& Reader::need(std::string_view key, std::string_view example) const {
  if (const Node* found = find(key)) return *found;
  core::Place place = node_.place;
  if (!place.key.empty()) place.key += '.';
  place.key += key;
  throw core::Error(kind_of_error(node_),
                    fmt::format("{} needs the key '{}', which is missing; add it as in {} = {}",
                                schema_.title, key, key, example),
                    place);
}

const Array& tables(const Node* node, std::string_view header, std::size_t most) {
  static const Array kEmpty;
  if (!node) return kEmpty;
  const Array* list = node->array();
  if (!list || std::any_of(list->begin(), list->end(), [](const Node& n) { return !n.table(); }))
    fail(*node, fmt::format("expected one or more {} tables, found {}; write the header with two brackets",
                            header, list ? "a list of other things" : describe_type(*node)));
  if (list->size() > most)
    fail(*node, fmt::format("at most {} {} tables are allowed, found {}", most, header, list->size()));
  return *list;
}

}  // namespace feldspar::model::detail
