#include <benchmark/benchmark.h>

#include <algorithm>
#include <limits>

#include "floors.hpp"
#include "moment/solve.hpp"

// A full solve of N unknowns, mesh, fill, factorisation and error estimate, against its floor, and the same
// over soil against free space. Each counter is the least of the iterations, which take turns.
namespace feldspar::benchmarks {

namespace {

constexpr double kHeight = 10.0;
constexpr double kForever = std::numeric_limits<double>::infinity();

void keep_least(double& least, double value) {
  least = std::min(least, value);
}

moment::Solution solve(const geometry::Structure& structure, const media::Ground& ground) {
  return moment::solve(structure, {}, ground, kBedFrequency);
}

void full_solve(benchmark::State& state) {
  const geometry::Structure bed = bed_of_dipoles(static_cast<int>(state.range(0)), kHeight);
  moment::Solution solution;
  double whole = kForever;
  double factor = kForever;
  double sample = kForever;
  for (auto _ : state) {
    keep_least(whole, seconds([&] { solution = solve(bed, free_space()); }));
    keep_least(factor, lu_seconds(solution.unknowns));
    keep_least(sample, kernel_seconds());
  }
  const auto samples = static_cast<double>(solution.work.samples);
  state.counters["unknowns"] = solution.unknowns;
  state.counters["samples"] = samples;
  state.counters["solve_s"] = whole;
  state.counters["lu_s"] = factor;
  state.counters["sample_s"] = sample;
  state.counters["ratio"] = whole / (factor + samples * sample);
}
BENCHMARK(full_solve)->Unit(benchmark::kMillisecond)->Arg(3)->Arg(6)->Iterations(20);
BENCHMARK(full_solve)->Unit(benchmark::kMillisecond)->Arg(12)->Arg(24)->Iterations(5);
BENCHMARK(full_solve)->Unit(benchmark::kMillisecond)->Arg(48)->Iterations(3);
BENCHMARK(full_solve)->Unit(benchmark::kMillisecond)->Arg(96)->Arg(144)->Iterations(1);

void over_soil(benchmark::State& state) {
  const geometry::Structure bed = bed_of_dipoles(static_cast<int>(state.range(0)), kHeight);
  moment::Solution solution;
  double above = kForever;
  double alone = kForever;
  for (auto _ : state) {
    keep_least(alone, seconds([&] { solution = solve(bed, free_space()); }));
    keep_least(above, seconds([&] { solution = solve(bed, average_soil()); }));
  }
  state.counters["unknowns"] = solution.unknowns;
  state.counters["entries"] = static_cast<double>(solution.work.table_entries);
  state.counters["soil_s"] = above;
  state.counters["free_s"] = alone;
  state.counters["ratio"] = above / alone;
}
BENCHMARK(over_soil)->Unit(benchmark::kMillisecond)->Arg(3)->Arg(6)->Iterations(20);
BENCHMARK(over_soil)->Unit(benchmark::kMillisecond)->Arg(12)->Arg(24)->Iterations(5);
BENCHMARK(over_soil)->Unit(benchmark::kMillisecond)->Arg(48)->Iterations(2);

// One solve and nothing else: run alone, its process shows what memory a solve takes.
void solve_once(benchmark::State& state) {
  const geometry::Structure bed = bed_of_dipoles(static_cast<int>(state.range(0)), kHeight);
  for (auto _ : state) state.counters["unknowns"] = solve(bed, free_space()).unknowns;
  state.counters["peak_bytes"] = peak_memory();
}
BENCHMARK(solve_once)
    ->Unit(benchmark::kMillisecond)
    ->Arg(1)
    ->Arg(3)
    ->Arg(6)
    ->Arg(12)
    ->Arg(24)
    ->Arg(48)
    ->Arg(96)
    ->Arg(144)
    ->Iterations(1);

}  // namespace

}  // namespace feldspar::benchmarks
