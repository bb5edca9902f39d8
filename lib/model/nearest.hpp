#pragma once

#include <string>
#include <string_view>
#include <vector>

/// Help for mistyped names.
namespace feldspar::model {

/// Fewest single-letter changes (insert, delete, replace, swap of neighbours) that turn `a` into `b`; capital
/// and small letters count as equal, and so do space, hyphen and underscore.
/// Optimal string alignment, Damerau (Comm. ACM 7, 1964) and Levenshtein (1966).
[[nodiscard]] int edit_distance(std::string_view a, std::string_view b);

/// The name most like `wrong`, or empty when none is near (more than a third of its letters, at least 2,
/// differ).
[[nodiscard]] std::string nearest(std::string_view wrong, const std::vector<std::string>& names);

/// "; did you mean 'x'?" or empty.
[[nodiscard]] std::string suggestion(std::string_view wrong, const std::vector<std::string>& names);

/// "a, b, c", or "none"; at most `limit` names, then "…".
[[nodiscard]] std::string enumerate(const std::vector<std::string>& names, std::size_t limit = 20);

}  // namespace feldspar::model
