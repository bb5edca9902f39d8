#include "study/solve_many.hpp"

#include <algorithm>
#include <exception>

namespace feldspar::study {

std::vector<results::FrequencyResult> solve_many(std::span<const SolveRequest> requests,
                                                 const SolveFunction& solve, int threads) {
  const auto count = static_cast<int>(requests.size());
  std::vector<results::FrequencyResult> answers(requests.size());
  std::vector<std::exception_ptr> failures(requests.size());
  const int team = std::clamp(threads, 1, std::max(count, 1));
#pragma omp parallel for schedule(dynamic) num_threads(team) if (team > 1)
  for (int i = 0; i < count; ++i) {
    const auto k = static_cast<std::size_t>(i);
    try {
      answers[k] = solve(requests[k].frequency, requests[k].fields);
    } catch (...) {
      failures[k] = std::current_exception();
    }
  }
  for (const std::exception_ptr& failure : failures) {
    if (failure) std::rethrow_exception(failure);
  }
  return answers;
}

}  // namespace feldspar::study
