#pragma once

#include <cstddef>
#include <string>

namespace feldspar::storage {

/// The lines in which two texts differ, "- old" and "+ new", at most `most` of them; empty when they are
/// equal.
[[nodiscard]] std::string difference(const std::string& before, const std::string& after,
                                     std::size_t most = 12);

}  // namespace feldspar::storage
