#pragma once

#include <vector>

#include "moment/solve.hpp"
#include "results/result.hpp"
#include "solver/setting_detail.hpp"

namespace feldspar::solver {

/// Ohm per metre lost in inserts, one per element.
[[nodiscard]] std::vector<double> insert_resistance(const moment::Solution& solution,
                                                    const ElectricalStructure& electrical);

/// What each insert does, in the order of the structure. @param scale accepted power over that of the unit
/// solution
[[nodiscard]] std::vector<results::InsertResult> insert_results(const model::Model& model,
                                                                const moment::Solution& solution,
                                                                const ElectricalStructure& electrical,
                                                                double scale);

}  // namespace feldspar::solver
