#pragma once

#include "circuit/touchstone.hpp"
#include "model/family.hpp"
#include "model/node.hpp"

/// Files that a model file names (private to this module).
namespace feldspar::model::detail {

/// What readers need to reach them.
struct Files {
  FileText text;  ///< may be empty: then a model cannot name files
};

/// The network in the Touchstone file that a key such as `touchstone = "mine.s1p"` names, checked to be
/// passive.
/// @param ports  1 or 2, what the file must have
/// @throws Error{model} at the node when the file cannot be read, and at the file's own line when it is wrong
[[nodiscard]] circuit::NetworkData read_network(const Node& node, int ports, const Files& files);

}  // namespace feldspar::model::detail
