#pragma once

#include <cstddef>
#include <functional>
#include <span>

#include "results/sweep.hpp"

namespace feldspar::study {

struct SweepProgress {
  std::size_t total = 0;  ///< cases to run
  std::size_t done = 0;   ///< of these, whatever came of them
  std::size_t failed = 0;
  double seconds = 0.0;  ///< since the start
};

/// What a sweep is connected to. put() is called by one thread at a time, tick() by the thread that runs the
/// sweep, a few times a second and while no put() runs.
struct SweepHooks {
  std::function<results::CaseRecord(std::size_t index)> run;  ///< from several threads
  std::function<void(results::CaseRecord&&)> put;
  std::function<void(const SweepProgress&)> tick;
  std::function<bool()> stop;  ///< true: start no further case
};

/// Runs cases on `threads` threads, each case on one, and returns when all are done, or those that run when
/// stop() says so. Keeps nothing but counts. @throws what put() or tick() throws, after the running cases
SweepProgress run_sweep(std::span<const std::size_t> cases, int threads, const SweepHooks& hooks);

}  // namespace feldspar::study
