#pragma once

#include <functional>
#include <span>

#include "core/quantity.hpp"
#include "model/model.hpp"
#include "results/explanation.hpp"
#include "results/result.hpp"

/// What decides a result, and what would change it most.
namespace feldspar::study {

/// One solve of any model, fields included. Called from several threads.
using ModelSolve = std::function<results::FrequencyResult(const model::Model&, core::Frequency)>;

/// Solves again with one part made ideal at a time (study/ideal_parts.hpp) and puts the one that helps most
/// first. @param as_is  what `solve` says of `model` at its frequency, fields included
/// @throws what `solve` throws
[[nodiscard]] results::Explanation explain(const model::Model& model, const results::FrequencyResult& as_is,
                                           const ModelSolve& solve, int threads);

/// The same for results that have their fields, put into them.
void explain_all(const model::Model& model, std::span<results::FrequencyResult* const> results,
                 const ModelSolve& solve, int threads);

}  // namespace feldspar::study
