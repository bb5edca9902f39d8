#pragma once

#include <string>

#include "model/model.hpp"
#include "results/explanation.hpp"

namespace feldspar::report {

/// What dominates a result and what would change it most, in sentences of at most 80 columns.
[[nodiscard]] std::string explain_text(const model::Model& model, const results::Explanation& explanation);

}  // namespace feldspar::report
