#pragma once

#include <functional>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "model/dimension.hpp"

/// Expressions with units: "5.2 m", "17 ft + 3 in", "0.25 * wavelength(7.1 MHz)", "mast_height - 0.5 m".
///
/// Operators from strongest to weakest: unit after a number or bracket, ^ (to the right), sign, * and /, +
/// and -, comparisons (1 or 0). -2^2 is -4. A unit may also follow * or / directly ("5 mS/m", "4.9 dB / 100
/// m"), and a power after a unit belongs to the unit ("2 m^2"). Functions: wavelength(frequency), sqrt, abs,
/// min, max, hypot, exp, ln, log10, floor, ceil, round, sin, cos, tan, asin, acos, atan, atan2. Constants:
/// pi, speed_of_light, and the heights bare_soil, mown_grass, long_grass.
namespace feldspar::model {

/// Names an expression may use besides the built-in ones.
struct Scope {
  std::function<std::optional<Value>(std::string_view)> find;  ///< may be empty; may throw
  std::vector<std::string> names;                              ///< for suggestions
};

struct Evaluation {
  Value value;
  bool bare_number = false;  ///< the text is nothing but a number, perhaps with a sign
};

/// Why an expression cannot be evaluated, and where in its text.
struct ExpressionError {
  std::string message;
  std::size_t offset = 0;  ///< bytes from the start of the text
};

/// Longest text and deepest nesting that are accepted.
inline constexpr std::size_t kLongestExpression = 1000;

/// @throws ExpressionError for wrong syntax, unknown names, quantities that do not go together, and results
/// that
///         are not finite
[[nodiscard]] Evaluation evaluate(std::string_view text, const Scope& scope);

/// Constants and functions, which no parameter may be named after.
[[nodiscard]] const std::vector<std::string>& reserved_names();

}  // namespace feldspar::model
