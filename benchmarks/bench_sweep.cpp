#include <benchmark/benchmark.h>

#include <cstddef>
#include <string>
#include <vector>

#include "decision/bands.hpp"
#include "floors.hpp"
#include "io/model_file.hpp"
#include "solver/solve.hpp"
#include "study/run_bands.hpp"
#include "study/solve_model.hpp"
#include "study/solved_curve.hpp"

// Many solves: cases of a study on one thread and on two, a smooth curve against one solve, tables of few
// radials and of many.
namespace feldspar::benchmarks {

namespace {

model::Model whip_with_radials(int radials) {
  return io::load_family("whip-ground-radials").instantiate({{"radial_count", std::to_string(radials)}});
}

/// The built-in whip in so many lengths.
std::vector<model::Model> whips(std::size_t count) {
  const model::Family family = io::load_family("whip-ground-radials");
  std::vector<model::Model> models;
  for (std::size_t i = 0; i < count; ++i) {
    const double share = static_cast<double>(i) / static_cast<double>(count);
    models.push_back(family.instantiate({{"whip_length", std::to_string(2.0 + 8.0 * share) + " m"}}));
  }
  return models;
}

void cases(benchmark::State& state) {
  const std::vector<model::Model> models = whips(static_cast<std::size_t>(state.range(0)));
  for (auto _ : state)
    study::run_all(models.size(), static_cast<int>(state.range(1)), [&](std::size_t i) {
      benchmark::DoNotOptimize(solver::solve(models[i], core::Frequency{7.1e6}));
    });
}
BENCHMARK(cases)
    ->Unit(benchmark::kMillisecond)
    ->UseRealTime()
    ->MeasureProcessCPUTime()
    ->Args({40, 1})
    ->Args({40, 2})
    ->Iterations(2);
BENCHMARK(cases)
    ->Unit(benchmark::kMillisecond)
    ->UseRealTime()
    ->MeasureProcessCPUTime()
    ->Args({200, 1})
    ->Args({200, 2})
    ->Iterations(2);

void curve_of_1001_points(benchmark::State& state) {
  constexpr int kPoints = 1001;
  const model::Model whip = whip_with_radials(4);
  std::vector<study::SolveRequest> requests;
  for (int i = 0; i < kPoints; ++i)
    requests.push_back({core::Frequency{1.8e6 + (54e6 - 1.8e6) * i / (kPoints - 1.0)}, false});
  solver::Options port_only;
  port_only.fields = false;
  port_only.mesh_for = core::Frequency{54e6};
  double curve = 0.0;
  double one = 0.0;
  for (auto _ : state) {
    curve += seconds(
        [&] { benchmark::DoNotOptimize(study::solve_range(whip, requests, solver::Accuracy::normal, 1)); });
    one += seconds([&] { benchmark::DoNotOptimize(solver::solve(whip, core::Frequency{28e6}, port_only)); });
  }
  state.counters["ratio"] = curve / one;
  state.counters["solves"] = study::curves_of(whip)(1.8e6, 54e6)->solves;
}
BENCHMARK(curve_of_1001_points)->Unit(benchmark::kMillisecond)->Iterations(1);

void table_of_radials(benchmark::State& state) {
  const model::Model whip = whip_with_radials(static_cast<int>(state.range(0)));
  study::BandOptions options;
  options.bands = decision::bands(whip.region);
  results::BandTable table;
  for (auto _ : state)
    table = study::run_bands(whip, options, study::curves_of(whip), study::solver_for(whip));
  state.counters["solves"] = table.solves;
  state.counters["peak_bytes"] = peak_memory();
}
BENCHMARK(table_of_radials)->Unit(benchmark::kMillisecond)->Arg(4)->Arg(16)->Iterations(1);
BENCHMARK(table_of_radials)->Unit(benchmark::kMillisecond)->Arg(120)->Iterations(1);

}  // namespace

}  // namespace feldspar::benchmarks
