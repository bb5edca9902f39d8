#include <benchmark/benchmark.h>

#include <chrono>

#include "decision/bands.hpp"
#include "io/model_file.hpp"
#include "solver/solve.hpp"
#include "study/run_bands.hpp"
#include "study/solve_model.hpp"
#include "study/solved_curve.hpp"

// Figures the project promises, on one core: an operating table of the whip with four radials on the grass
// under 2 s, one frequency under 150 ms. Run both in one go and read ratios; single times on a shared machine
// mean little.
namespace feldspar {

namespace {

model::Model whip() {
  return io::load_family("whip-ground-radials").instantiate({});
}

void solve_over_soil(benchmark::State& state) {
  const model::Model model = whip();
  for (auto _ : state) benchmark::DoNotOptimize(solver::solve(model, core::Frequency{7.1e6}));
}
BENCHMARK(solve_over_soil)->Unit(benchmark::kMillisecond);

void solve_in_free_space(benchmark::State& state) {
  model::Model model = whip();
  model.ground.kind = media::GroundKind::free_space;
  for (auto _ : state) benchmark::DoNotOptimize(solver::solve(model, core::Frequency{7.1e6}));
}
BENCHMARK(solve_in_free_space)->Unit(benchmark::kMillisecond);

void impedance_only(benchmark::State& state) {
  const model::Model model = whip();
  solver::Options options;
  options.fields = false;
  for (auto _ : state) benchmark::DoNotOptimize(solver::solve(model, core::Frequency{7.1e6}, options));
}
BENCHMARK(impedance_only)->Unit(benchmark::kMillisecond);

void operating_table(benchmark::State& state) {
  const model::Model model = whip();
  study::BandOptions options;
  options.bands = decision::bands(model.region);
  for (auto _ : state)
    benchmark::DoNotOptimize(
        study::run_bands(model, options, study::curves_of(model), study::solver_for(model)));
}
BENCHMARK(operating_table)->Unit(benchmark::kMillisecond)->Iterations(1);

/// A whip on a stake with four radials on the grass against the same lifted until all of it is above the
/// surface, in turn. Promised: at most 3 times the time.
void stake_against_lifted(benchmark::State& state) {
  const model::Model staked = io::load_family("whip-stake-radials").instantiate({});
  model::Model lifted = staked;
  for (geometry::Wire& wire : lifted.structure.wires)
    for (geometry::Vec3& point : wire.path) point.z() += 0.5;
  const core::Frequency f{1e5 * static_cast<double>(state.range(0))};
  const auto seconds = [&](const model::Model& model) {
    const auto start = std::chrono::steady_clock::now();
    benchmark::DoNotOptimize(solver::solve(model, f));
    return std::chrono::duration<double>(std::chrono::steady_clock::now() - start).count();
  };
  double through = 0.0;
  double above = 0.0;
  for (auto _ : state) {
    through += seconds(staked);
    above += seconds(lifted);
  }
  state.counters["ratio"] = through / above;
}
BENCHMARK(stake_against_lifted)->Unit(benchmark::kMillisecond)->Arg(18)->Arg(71)->Arg(142)->Arg(297);

}  // namespace

}  // namespace feldspar
