#pragma once

#include <string>
#include <vector>

namespace feldspar::storage {

/// Joins the files of shares of one study into one.
/// @throws core::Error{usage} when they are of different studies, a case is in two of them or in none;
/// Error{storage}
void gather(const std::vector<std::string>& parts, const std::string& output);

}  // namespace feldspar::storage
