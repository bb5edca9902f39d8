#include "study/run_sweep.hpp"

#include <algorithm>
#include <chrono>
#include <condition_variable>
#include <exception>
#include <mutex>
#include <thread>
#include <vector>

namespace feldspar::study {

namespace {

constexpr std::chrono::milliseconds kBetweenTicks{200};
using Clock = std::chrono::steady_clock;

/// What the threads share.
class Queue {
 public:
  Queue(std::span<const std::size_t> cases, const SweepHooks& hooks) : cases_(cases), hooks_(hooks) {
    progress_.total = cases.size();
  }

  void work() {
    while (const std::size_t* index = next()) {
      results::CaseRecord record = hooks_.run(*index);
      const std::lock_guard lock(guard_);
      if (failure_) return;
      try {
        if (record.status == results::CaseStatus::failed) ++progress_.failed;
        hooks_.put(std::move(record));
        ++progress_.done;
      } catch (...) {
        failure_ = std::current_exception();
      }
    }
  }

  void leave() {
    const std::lock_guard lock(guard_);
    ++left_;
    changed_.notify_all();
  }

  /// Ticks until all `workers` have left.
  SweepProgress watch(int workers) {
    std::unique_lock lock(guard_);
    while (left_ < workers) {
      changed_.wait_for(lock, kBetweenTicks);
      if (!failure_) tick();
    }
    if (!failure_) tick();
    if (failure_) std::rethrow_exception(failure_);
    return progress_;
  }

 private:
  const std::size_t* next() {
    const std::lock_guard lock(guard_);
    if (failure_ || next_ == cases_.size() || hooks_.stop()) return nullptr;
    return &cases_[next_++];
  }

  void tick() {
    progress_.seconds = std::chrono::duration<double>(Clock::now() - start_).count();
    try {
      hooks_.tick(progress_);
    } catch (...) {
      failure_ = std::current_exception();
    }
  }

  std::span<const std::size_t> cases_;
  const SweepHooks& hooks_;
  Clock::time_point start_ = Clock::now();
  std::mutex guard_;
  std::condition_variable changed_;
  std::size_t next_ = 0;
  int left_ = 0;
  SweepProgress progress_;
  std::exception_ptr failure_;
};

}  // namespace

SweepProgress run_sweep(std::span<const std::size_t> cases, int threads, const SweepHooks& hooks) {
  Queue queue(cases, hooks);
  const int workers = std::clamp(threads, 1, static_cast<int>(std::max<std::size_t>(cases.size(), 1)));
  std::vector<std::jthread> team;
  for (int i = 0; i < workers; ++i)
    team.emplace_back([&queue] {
      queue.work();
      queue.leave();
    });
  return queue.watch(workers);
}

}  // namespace feldspar::study
