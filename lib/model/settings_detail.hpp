#pragma once

#include <map>
#include <string>
#include <vector>

#include "model/family.hpp"
#include "model/node.hpp"

/// --set name=value (private to this module).
namespace feldspar::model::detail {

/// Applies the settings of dotted keys to the tree and returns those of parameters by name.
/// @throws Error{usage} for a name that is neither
[[nodiscard]] std::map<std::string, Node> apply(const std::vector<Setting>& settings, Node& root);

}  // namespace feldspar::model::detail
