#pragma once

#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "model/dimension.hpp"

/// Constants and functions of expressions (private to this module).
namespace feldspar::model::detail {

/// Thrown by apply(); the parser adds the place.
struct FunctionError {
  std::string message;
};

[[nodiscard]] std::optional<Value> constant(std::string_view name);
[[nodiscard]] bool is_function(std::string_view name);
/// @throws FunctionError for a wrong number or kind of arguments, or arguments outside the function's domain
[[nodiscard]] Value apply(std::string_view function, std::span<const Value> arguments);
[[nodiscard]] std::vector<std::string> constant_names();
[[nodiscard]] std::vector<std::string> function_names();

}  // namespace feldspar::model::detail
