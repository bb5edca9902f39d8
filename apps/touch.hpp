#pragma once

#include <functional>
#include <string>
#include <vector>

#include "core/error.hpp"
#include "model/model.hpp"
#include "results/result.hpp"
#include "solver/solve.hpp"

/// --touch: the same rig with other things at the radio's end of the line's outside.
namespace feldspar::app {

/// The model as asked for, with the radio's end as given ("open", "operator", "earthed").
using WithEnd = std::function<model::Model(const std::string& end)>;

/// Complains early about a model whose line has no outside. @throws core::Error{usage}
void check_touch(const model::Model& model);

struct TouchOptions {
  solver::Accuracy accuracy = solver::Accuracy::normal;
  bool fields = true;  ///< current at the radio as well
  int threads = 1;
};

/// Solves the results' frequencies again with the other ends and puts results::Touch into every result.
/// @param results of `model`, one or more   @return why an end is left out, a warning for each
[[nodiscard]] core::Warnings add_touch(const model::Model& model, const WithEnd& with_end,
                                       const std::vector<results::FrequencyResult*>& results,
                                       const TouchOptions& options);

}  // namespace feldspar::app
