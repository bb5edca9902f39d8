#include <benchmark/benchmark.h>

#include <filesystem>
#include <numeric>
#include <string>
#include <vector>

#include "core/memory.hpp"
#include "floors.hpp"
#include "io/document.hpp"
#include "io/model_file.hpp"
#include "model/study.hpp"
#include "storage/journal.hpp"
#include "storage/sweep_file.hpp"
#include "study/run_sweep.hpp"
#include "study/sweep_case.hpp"
#include "study/sweep_plan.hpp"

// What it costs to run and store the cases of a study, against solving them.
namespace feldspar::benchmarks {

namespace {

/// Cases of about 5 ms: a low wire over real soil at two frequencies.
study::SweepPlan plan_of(int cases) {
  const std::string text =
      "model = \"whip-ground-radials\"\nfrequencies = [\"7.1 MHz\", \"14.2 MHz\"]\n"
      "keep = [\"ports\", \"power\"]\n[axes]\n"
      "whip_length = { from = \"3 m\", to = \"9 m\", points = " +
      std::to_string(cases) + " }\n";
  return {model::read_study(io::parse_document(text, "study.toml")), [](const std::string& name) {
            return study::NamedFamily{name, io::load_family(name), io::builtin_text(name)};
          }};
}

void store(const study::SweepPlan& plan, const std::vector<std::size_t>& cases, const std::string& path) {
  storage::Journal journal(path + ".journal", plan.identity("benchmark"));
  study::SweepHooks hooks;
  hooks.run = [&](std::size_t index) { return study::run_case(plan, index); };
  hooks.put = [&](results::CaseRecord&& record) { journal.append(record); };
  double synced = 0.0;
  hooks.tick = [&](const study::SweepProgress& progress) {  // as often as the program does
    if (progress.seconds < synced + 0.7) return;
    journal.sync();
    synced = progress.seconds;
  };
  hooks.stop = [] { return false; };
  (void)study::run_sweep(cases, 1, hooks);
  storage::write_sweep_file(path, plan.layout(), {}, journal);
  journal.remove();
}

/// Turn by turn, so that both see the same machine; the least of each counts.
void stored_cases(benchmark::State& state) {
  core::keep_freed_memory();  // as the program does
  const study::SweepPlan plan = plan_of(static_cast<int>(state.range(0)));
  std::vector<std::size_t> cases(plan.layout().count());
  std::iota(cases.begin(), cases.end(), std::size_t{0});
  const std::string path = (std::filesystem::temp_directory_path() / "feldspar-bench-study.h5").string();
  double alone = 1e9;
  double stored = 1e9;
  for (auto _ : state) {
    alone = std::min(alone, seconds([&] {
                       for (const std::size_t index : cases)
                         benchmark::DoNotOptimize(study::run_case(plan, index));
                     }));
    stored = std::min(stored, seconds([&] { store(plan, cases, path); }));
  }
  std::filesystem::remove(path);
  state.counters["case_s"] = alone / static_cast<double>(cases.size());
  state.counters["ratio"] = stored / alone;
}
BENCHMARK(stored_cases)->Unit(benchmark::kMillisecond)->Arg(100)->Arg(400)->Iterations(4);

}  // namespace

}  // namespace feldspar::benchmarks
