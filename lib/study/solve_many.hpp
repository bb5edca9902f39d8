#pragma once

#include <cstddef>
#include <functional>
#include <span>
#include <vector>

#include "core/quantity.hpp"
#include "results/result.hpp"

/// Many solves: over frequencies, over bands, over variants of a model.
namespace feldspar::study {

/// One solve at one frequency; `fields` false asks for impedance and circuit only. Called from several
/// threads.
using SolveFunction = std::function<results::FrequencyResult(core::Frequency f, bool fields)>;

/// What to solve.
struct SolveRequest {
  core::Frequency frequency;
  bool fields = true;
};

/// Calls job(0) ... job(count - 1), `threads` at a time. @throws what a job throws, of the first in order
/// that failed
void run_all(std::size_t count, int threads, const std::function<void(std::size_t)>& job);

/// Solves every request, `threads` at a time; the answers are in the order of the requests and do not depend
/// on the number of threads. @throws what `solve` throws, for the first request in order that failed
[[nodiscard]] std::vector<results::FrequencyResult> solve_many(std::span<const SolveRequest> requests,
                                                               const SolveFunction& solve, int threads);

}  // namespace feldspar::study
