#pragma once

#include <cstddef>
#include <memory>

#include "results/sweep.hpp"
#include "study/sweep_plan.hpp"

namespace feldspar::study {

/// One case of a sweep on the calling thread, so that its numbers do not depend on how the sweep is run. What
/// goes wrong in it becomes its message.
[[nodiscard]] results::CaseRecord run_case(const SweepPlan& plan, std::size_t index);

/// What can be told of a case without solving it.
struct CaseSize {
  bool runs = false;  ///< false: left out, or cannot be made
  int unknowns = 0;   ///< of one solve
  double cost = 1.0;  ///< time in some unit, roughly
};
[[nodiscard]] CaseSize case_size(const SweepPlan& plan, std::size_t index);

/// Which cases belong to each of `shares` parts of about equal cost, the same on every machine. Ascending.
/// @param threads for looking at the cases
[[nodiscard]] std::vector<std::vector<std::size_t>> share_out(const SweepPlan& plan, std::size_t shares,
                                                              int threads);

}  // namespace feldspar::study
