#pragma once

#include <span>
#include <string_view>

/// The files of models/ and models/studies/, embedded when the program is built (private to this module).
namespace feldspar::io::detail {

struct Builtin {
  std::string_view name;
  std::string_view text;
};

/// In alphabetical order.
[[nodiscard]] std::span<const Builtin> builtins();
[[nodiscard]] std::span<const Builtin> builtin_studies();

}  // namespace feldspar::io::detail
