#pragma once

#include <string>
#include <string_view>

#include "model/node.hpp"

/// TOML text as a tree of values with places. TOML 1.0 [https://toml.io]; tables keep the file's order.
namespace feldspar::io {

/// Longest text that is read.
inline constexpr std::size_t kLargestFile = std::size_t{1} << 20;

/// @param file  the name used in messages
/// @throws Error{model} with line and column for text that is not TOML, is longer than kLargestFile or nests
/// too
///         deeply, and for values a model or study has no use for (dates and times)
[[nodiscard]] model::Node parse_document(std::string_view text, const std::string& file);

/// The contents of a file. @throws Error{usage} when it cannot be read or is longer than `largest` bytes
[[nodiscard]] std::string read_text(const std::string& path, std::size_t largest = kLargestFile);

}  // namespace feldspar::io
