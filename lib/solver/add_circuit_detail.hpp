#pragma once

#include "model/model.hpp"
#include "results/result.hpp"

namespace feldspar::solver {

/// What the parts between the first port and the radio make of its impedance: impedance and SWR at the radio,
/// watts, voltages and currents part by part, warnings.
/// @param result  with its ports and their error
void add_circuit(const model::Model& model, core::Frequency f, results::FrequencyResult& result);

/// What reaches the port, W.
[[nodiscard]] double accepted_power(const results::PowerBudget& power);

}  // namespace feldspar::solver
