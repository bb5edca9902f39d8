#pragma once

#include <optional>
#include <string>
#include <string_view>

/// A look over TOML text before it is parsed (private to this module).
namespace feldspar::io::detail {

struct ScanProblem {
  int line = 0;
  int column = 0;
  std::string message;
};

/// What the parser must not be given: a byte outside ASCII that is not in a string or a comment (toml++ 3.3
/// runs into undefined behaviour), or keys of more than 20 parts joined by dots (tables nested without
/// bound).
[[nodiscard]] std::optional<ScanProblem> scan(std::string_view text);

}  // namespace feldspar::io::detail
