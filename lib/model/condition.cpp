#include "model/condition.hpp"

#include <fmt/format.h>
#include <algorithm>

#include "model/expression.hpp"

namespace feldspar::model {

double total_wire(const Model& model) {
  const auto belongs_to_line = [&](int wire) {
    if (!model.outside) return false;
    const auto among = [&](const std::vector<int>& list) {
      return std::find(list.begin(), list.end(), wire) != list.end();
    };
    return among(model.outside->wires) || among(model.outside->end_wires);
  };
  double total = 0.0;
  for (std::size_t i = 0; i < model.structure.wires.size(); ++i)
    if (!belongs_to_line(static_cast<int>(i))) total += geometry::length(model.structure.wires[i]);
  return total;
}

bool meets(const Model& model, const Condition& condition) {
  Scope scope;
  for (const ParameterValue& parameter : model.parameters) scope.names.push_back(parameter.name);
  scope.names.emplace_back("total_wire");
  scope.find = [&](std::string_view name) -> std::optional<Value> {
    for (const ParameterValue& parameter : model.parameters)
      if (parameter.name == name) return parameter.quantity;
    if (name == "total_wire") return Value{total_wire(model), dimension::kLength};
    return std::nullopt;
  };
  try {
    const Value value = evaluate(condition.text, scope).value;
    if (!value.dimension.plain())
      throw ExpressionError{
          fmt::format("expected a condition such as total_wire <= 40 m, found {}", describe(value)), 0};
    return value.si != 0.0;
  } catch (const ExpressionError& error) {
    throw core::Error(core::ErrorKind::model, fmt::format("{} (in \"{}\")", error.message, condition.text),
                      condition.place);
  }
}

}  // namespace feldspar::model
