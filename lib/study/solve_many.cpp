#include "study/solve_many.hpp"

#include <algorithm>
#include <exception>

namespace feldspar::study {

void run_all(std::size_t count, int threads, const std::function<void(std::size_t)>& job) {
  const auto last = static_cast<int>(count);
  std::vector<std::exception_ptr> failures(count);
  const int team = std::clamp(threads, 1, std::max(last, 1));
#pragma omp parallel for schedule(dynamic) num_threads(team) if (team > 1)
  for (int i = 0; i < last; ++i) {
    try {
      job(static_cast<std::size_t>(i));
    } catch (...) {
      failures[static_cast<std::size_t>(i)] = std::current_exception();
    }
  }
  for (const std::exception_ptr& failure : failures) {
    if (failure) std::rethrow_exception(failure);
  }
}

std::vector<results::FrequencyResult> solve_many(std::span<const SolveRequest> requests,
                                                 const SolveFunction& solve, int threads) {
  std::vector<results::FrequencyResult> answers(requests.size());
  run_all(requests.size(), threads,
          [&](std::size_t i) { answers[i] = solve(requests[i].frequency, requests[i].fields); });
  return answers;
}

}  // namespace feldspar::study
