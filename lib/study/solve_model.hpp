#pragma once

#include "model/model.hpp"
#include "solver/solve.hpp"
#include "study/explain.hpp"
#include "study/solve_many.hpp"

namespace feldspar::study {

/// What meshes are made for: up to 54 MHz and up to 150 MHz one mesh each, so that solves at different
/// frequencies, and curves between them, agree with each other to more than the error of the mesh; f beyond.
[[nodiscard]] core::Frequency mesh_frequency(core::Frequency f);

/// The engine as a function of frequency, for solve_many() and run_bands(). @param model must outlive the
/// result
/// @param threads inside one solve; keep 1 where several solves run at a time
[[nodiscard]] SolveFunction solver_for(const model::Model& model,
                                       solver::Accuracy accuracy = solver::Accuracy::normal, int threads = 1,
                                       const solver::Keep& keep = {});

/// The engine for any model, fields included. Models over the same soil share their ground tables.
[[nodiscard]] ModelSolve solver_for_models(solver::Accuracy accuracy);

}  // namespace feldspar::study
