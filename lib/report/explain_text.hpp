#pragma once

#include <string>

#include "model/model.hpp"
#include "results/result.hpp"

namespace feldspar::report {

/// What dominates a result and what would change it most, in sentences of at most 80 columns.
/// @param result  with its explanation
[[nodiscard]] std::string explain_text(const model::Model& model, const results::FrequencyResult& result);

}  // namespace feldspar::report
