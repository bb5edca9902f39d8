#pragma once

#include <cstdint>
#include <string>
#include <string_view>
#include <vector>

#include "core/error.hpp"
#include "model/kind.hpp"
#include "model/node.hpp"
#include "model/schema_detail.hpp"

/// Reading values out of the tree, with complaints that name the place (private to this module).
/// Every function throws Error{model}, or Error{usage} where the value came from a setting.
namespace feldspar::model::detail {

[[noreturn]] void fail(const Node& node, const std::string& message);

/// The node's expression, number or numeric text, evaluated.
[[nodiscard]] Evaluation evaluate(const Node& node, const Kind& kind, const Scope& scope);
/// SI value of that kind.
[[nodiscard]] double quantity(const Node& node, const Kind& kind, const Scope& scope);
[[nodiscard]] double positive(const Node& node, const Kind& kind, const Scope& scope);
[[nodiscard]] double not_negative(const Node& node, const Kind& kind, const Scope& scope);
[[nodiscard]] double plain_number(const Node& node, const Scope& scope);
/// A whole number; expressions are rounded when they are whole within 1e-9.
[[nodiscard]] int whole(const Node& node, const Scope& scope, int smallest, int largest);
/// true, false, or an expression that is not 0.
[[nodiscard]] bool flag(const Node& node, const Scope& scope);
[[nodiscard]] const std::string& text(const Node& node, std::string_view example);
/// One of a few words.
[[nodiscard]] std::size_t choice(const Node& node, const std::vector<std::string>& words);

/// A table whose keys were checked against its schema.
class Reader {
 public:
  Reader(const Node& node, const Schema& schema);
  [[nodiscard]] const Node* find(std::string_view key) const { return model::find(*table_, key); }
  /// Fails when the key is not there; `example` is what the user could write.
  [[nodiscard]] const Node& need(std::string_view key, std::string_view example) const;
  [[nodiscard]] const Node& node() const { return node_; }

 private:
  const Node& node_;
  const Schema& schema_;
  const Table* table_;
};

/// The elements of a list of tables ("[[wires]]"); empty when the node is null.
[[nodiscard]] const Array& tables(const Node* node, std::string_view header, std::size_t most);

}  // namespace feldspar::model::detail
