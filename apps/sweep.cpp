#include "sweep.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <atomic>
#include <csignal>
#include <filesystem>
#include <memory>
#include <numeric>
#include <optional>

#include "core/error.hpp"
#include "estimate.hpp"
#include "io/study_file.hpp"
#include "output.hpp"
#include "progress.hpp"
#include "storage/difference.hpp"
#include "storage/gather.hpp"
#include "storage/journal.hpp"
#include "storage/sweep_file.hpp"
#include "study/run_sweep.hpp"
#include "study/sweep_case.hpp"

namespace feldspar::app {
namespace {

using results::CaseStatus;

constexpr const char* kProgram = "feldspar " FELDSPAR_VERSION;

[[noreturn]] void refuse_sweep(const std::string& path, const std::string& why) {
  throw core::Error(core::ErrorKind::usage, why, core::Place{path, 0, 0, {}});
}

study::SweepPlan plan_of(const io::StudyFile& file) {
  return {file.study, [&](const std::string& name) {
            io::StudyModel found = io::load_model_of(file, name);
            return study::NamedFamily{name, std::move(found.family), std::move(found.text),
                                      std::move(found.files)};
          }};
}

std::string share_text(const CommandLine& line) {
  return line.shares == 1 ? "" : fmt::format("{}/{}", line.share, line.shares);
}

storage::Provenance provenance_of(const io::StudyFile& file, const study::SweepPlan& plan,
                                  const CommandLine& line) {
  storage::Provenance from;
  from.program = kProgram;
  from.title = plan.study().title;
  from.about = plan.study().about;
  from.study = file.text;
  from.plan = plan.identity(kProgram);
  from.share = share_text(line);
  for (const study::NamedFamily& named : plan.families()) {
    from.models.push_back(named.name);
    from.model_texts.push_back(named.text);
  }
  return from;
}

/// The lines that say nothing of the axes' values.
std::string without_axes(const std::string& plan) {
  std::string text;
  std::size_t from = 0;
  while (from < plan.size()) {
    const std::size_t end = std::min(plan.find('\n', from), plan.size() - 1) + 1;
    if (plan.compare(from, 5, "axis ") != 0) text += plan.substr(from, end - from);
    from = end;
  }
  return text;
}

/// What an earlier run has left under the name of the output, seen from the plan of this one.
class Earlier : public storage::CaseSource {
 public:
  Earlier(const CommandLine& line, const study::SweepPlan& plan, const storage::Provenance& now)
      : file_(line.output), map_(file_.layout(), plan.layout()) {
    const storage::Provenance& then = file_.provenance();
    const bool same = then.plan == now.plan;
    const std::string wrong = storage::difference(then.plan, now.plan);
    if (then.share != now.share)
      refuse_sweep(line.output, fmt::format("holds {}, not {}; choose another output", named(then.share),
                                            named(now.share)));
    if (!same && !line.extend)
      refuse_sweep(
          line.output,
          "is of another study; choose another output, or --extend where an axis has got more values. "
          "What differs:\n" +
              wrong);
    if (!same && (without_axes(then.plan) != without_axes(now.plan) || !map_.complete()))
      refuse_sweep(line.output,
                   "cannot be extended: more differs than values added to axes. What differs:\n" + wrong);
    grown_ = !same;
    damaged_ = file_.verify();
  }

  [[nodiscard]] bool has(std::size_t index) const {
    const std::size_t then = map_.before(index);
    return then < file_.layout().count() && file_.status(then) != CaseStatus::missing;
  }
  [[nodiscard]] results::CaseRecord read(std::size_t index) override {
    results::CaseRecord record;
    if (has(index)) record = file_.read(map_.before(index));
    record.index = index;
    return record;
  }
  [[nodiscard]] bool grown() const { return grown_; }
  [[nodiscard]] std::size_t damaged() const { return damaged_; }
  [[nodiscard]] std::size_t failed() const { return file_.count(CaseStatus::failed); }

 private:
  static std::string named(const std::string& share) {
    return share.empty() ? "the whole study" : "share " + share;
  }

  storage::SweepFile file_;
  results::CaseMap map_;
  bool grown_ = false;
  std::size_t damaged_ = 0;
};

/// The cases that are finished: in the journal, or in what was there before.
class Finished : public storage::CaseSource {
 public:
  Finished(storage::Journal& journal, Earlier* earlier) : journal_(journal), earlier_(earlier) {}
  [[nodiscard]] bool has(std::size_t index) const {
    return journal_.has(index) || (earlier_ && earlier_->has(index));
  }
  [[nodiscard]] results::CaseRecord read(std::size_t index) override {
    results::CaseRecord record;
    if (journal_.has(index))
      record = journal_.read(index);
    else if (earlier_)
      record = earlier_->read(index);
    record.index = index;
    failed_ += record.status == CaseStatus::failed ? 1 : 0;
    return record;
  }
  /// Among the cases read.
  [[nodiscard]] std::size_t failed() const { return failed_; }

 private:
  storage::Journal& journal_;
  Earlier* earlier_;
  std::size_t failed_ = 0;
};

std::atomic<bool> interrupted{false};
static_assert(std::atomic<bool>::is_always_lock_free);

/// While it lives, the first Ctrl-C asks to stop and the second one stops.
class Interruption {
 public:
  Interruption() {
    for (const int number : {SIGINT, SIGTERM}) std::signal(number, &Interruption::handle);
  }
  ~Interruption() {
    for (const int number : {SIGINT, SIGTERM}) std::signal(number, SIG_DFL);
  }
  Interruption(const Interruption&) = delete;
  Interruption& operator=(const Interruption&) = delete;

 private:
  static void handle(int number) {
    interrupted = true;
    std::signal(number, SIG_DFL);
  }
};

std::vector<std::size_t> cases_of(const study::SweepPlan& plan, const CommandLine& line) {
  if (line.shares > 1)
    return study::share_out(plan, static_cast<std::size_t>(line.shares),
                            line.threads)[static_cast<std::size_t>(line.share - 1)];
  std::vector<std::size_t> all(plan.layout().count());
  std::iota(all.begin(), all.end(), std::size_t{0});
  return all;
}

/// Runs the cases into the journal. @return how far it came
study::SweepProgress run_cases(const std::vector<std::size_t>& missing, const study::SweepPlan& plan,
                               storage::Journal& journal, int threads) {
  const Interruption interruption;
  ProgressLine line;
  study::SweepHooks hooks;
  hooks.run = [&](std::size_t index) { return study::run_case(plan, index); };
  hooks.put = [&](results::CaseRecord&& record) { journal.append(record); };
  double synced = 0.0;  // s since the start
  hooks.tick = [&](const study::SweepProgress& progress) {
    constexpr double kBetweenSyncs =
        0.7;  // s; with the time between ticks less than the second that is promised
    if (progress.seconds >= synced + kBetweenSyncs) {
      journal.sync();
      synced = progress.seconds;
    }
    line.show(progress);
  };
  hooks.stop = [] { return interrupted.load(); };
  const study::SweepProgress progress = study::run_sweep(missing, threads, hooks);
  journal.sync();
  line.finish(progress);
  return progress;
}

void complain_of_failures(std::size_t failed, std::size_t cases, const std::string& output) {
  if (failed > 0)
    throw core::Error(core::ErrorKind::numerics,
                      fmt::format("{} of {} cases failed; feldspar show {} says why", failed, cases, output),
                      core::Place{output, 0, 0, {}});
}

}  // namespace

std::string run_sweep(const CommandLine& line) {
  const io::StudyFile file = io::load_study(line.model);
  const study::SweepPlan plan = plan_of(file);
  if (line.dry_run) return estimate_text(plan, line);
  check_writable(line.output);
  const std::string output = target_of(line.output);
  const storage::Provenance provenance = provenance_of(file, plan, line);
  std::error_code ignored;
  std::unique_ptr<Earlier> earlier;
  if (std::filesystem::exists(output, ignored)) earlier = std::make_unique<Earlier>(line, plan, provenance);
  const std::vector<std::size_t> cases = cases_of(plan, line);
  const std::string journal_path = output + ".journal";
  const bool resumed = std::filesystem::exists(journal_path, ignored);
  const auto in_file = [&](std::size_t index) { return earlier && earlier->has(index); };
  if (earlier && !resumed && !earlier->grown() && std::all_of(cases.begin(), cases.end(), in_file)) {
    complain_of_failures(earlier->failed(), cases.size(), line.output);
    return fmt::format("{} is complete: {} cases.\n", line.output, cases.size());
  }

  storage::Journal journal(journal_path, provenance.plan + fmt::format("share: {}\n", provenance.share));
  if (const std::size_t damaged = earlier ? earlier->damaged() : 0; damaged > 0)
    fmt::print(stderr, "feldspar: warning: {} cases of {} are damaged and are run again\n", damaged,
               line.output);
  if (journal.damaged_bytes() > 0)
    fmt::print(stderr, "feldspar: warning: {} bytes of {} are no sound record; their cases are run again\n",
               journal.damaged_bytes(), journal_path);
  Finished finished(journal, earlier.get());
  std::vector<std::size_t> missing;
  std::copy_if(cases.begin(), cases.end(), std::back_inserter(missing),
               [&](std::size_t index) { return !finished.has(index); });
  if (missing.size() < cases.size())
    fmt::print(stderr, "feldspar: {} of {} cases are there already\n", cases.size() - missing.size(),
               cases.size());
  const study::SweepProgress progress = run_cases(missing, plan, journal, line.threads);
  storage::write_sweep_file(output, plan.layout(), provenance, finished, true);  // the journal is locked
  if (progress.done < progress.total)
    throw core::Error(core::ErrorKind::numerics,
                      fmt::format("stopped with {} cases to go; the same command goes on from there",
                                  progress.total - progress.done),
                      core::Place{line.output, 0, 0, {}});
  journal.remove();
  complain_of_failures(finished.failed(), cases.size(), line.output);
  return fmt::format("{} case{} in {}\n", cases.size(), cases.size() == 1 ? "" : "s", line.output);
}

std::string run_gather(const CommandLine& line) {
  check_writable(line.output);
  storage::gather(line.inputs, target_of(line.output));
  return fmt::format("{} files joined in {}\n", line.inputs.size(), line.output);
}

}  // namespace feldspar::app
