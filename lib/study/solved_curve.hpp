#pragma once

#include <span>
#include <vector>

#include "model/model.hpp"
#include "solver/solve.hpp"
#include "study/curve.hpp"
#include "study/solve_many.hpp"

namespace feldspar::study {

/// The engine's curves: solved on the mesh of the range's upper end, and everything in between, currents
/// included, from the frequency model (study/frequency_model.hpp).
/// @param model with wires; must outlive the maker and its curves
/// @param threads solves at a time; the curves do not depend on it
[[nodiscard]] CurveMaker curves_of(const model::Model& model,
                                   solver::Accuracy accuracy = solver::Accuracy::normal, int threads = 1,
                                   const solver::Keep& keep = {});

/// As solve_many() with solver_for(): fifty frequencies or more that share a mesh come from one curve,
/// others, and all where the curve is not sure of itself, from solves of their own. @param every_frequency no
/// curve
/// @throws what the solves throw
[[nodiscard]] std::vector<results::FrequencyResult> solve_range(const model::Model& model,
                                                                std::span<const SolveRequest> requests,
                                                                solver::Accuracy accuracy, int threads,
                                                                bool every_frequency = false,
                                                                const solver::Keep& keep = {});

}  // namespace feldspar::study
