#pragma once

#include "model/model.hpp"
#include "model/study.hpp"

namespace feldspar::model {

/// Length of all wires of a rig together, as bought: without the outside of the line and what hangs on it, m.
[[nodiscard]] double total_wire(const Model& model);

/// Whether a case meets a condition. It may use the model's parameters and `total_wire`.
/// @throws core::Error{model} with the condition's place
[[nodiscard]] bool meets(const Model& model, const Condition& condition);

}  // namespace feldspar::model
