#pragma once

#include "moment/solve.hpp"
#include "results/result.hpp"
#include "solver/setting_detail.hpp"

namespace feldspar::solver {

/// What follows from the currents: gain, the field's part of the power budget, voltages and currents at wire
/// ends, inserts and on the outside of the line, at the power that reaches the port.
/// @param result  after add_circuit()   @throws Error{numerics} when the port takes no power
void add_fields(const model::Model& model, core::Frequency f, const Options& options,
                const moment::Solution& solution, const ElectricalStructure& electrical,
                results::FrequencyResult& result);

}  // namespace feldspar::solver
