#pragma once

#include <vector>

#include "model/model.hpp"
#include "moment/solve.hpp"
#include "results/result.hpp"

namespace feldspar::solver {

/// What flows on the outside of the line at the stated power.
/// @param ohm_per_metre  of the metal, per wire   @param scale  accepted power over that of the unit solution
[[nodiscard]] results::BraidCurrent braid_current(const model::LineOutside& outside,
                                                  const moment::Solution& solution,
                                                  const std::vector<double>& ohm_per_metre, double scale);

}  // namespace feldspar::solver
