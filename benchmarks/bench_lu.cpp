#include <benchmark/benchmark.h>

#include <Eigen/Core>

#include "math/dense_lu.hpp"

// One factorisation of a random complex matrix, with its check and the copy it works in; the rate counts
// 8/3 N^3 operations.
namespace feldspar {

namespace {

void factor(benchmark::State& state, math::DenseLu::Method method) {
  const Eigen::Index n = state.range(0);
  std::srand(1);  // Eigen's generator
  const Eigen::MatrixXcd matrix = Eigen::MatrixXcd::Random(n, n);
  for (auto _ : state) benchmark::DoNotOptimize(math::DenseLu(matrix, method));
  const double size = static_cast<double>(n);
  state.counters["GFLOP/s"] = benchmark::Counter(8.0 / 3.0 * size * size * size * 1e-9,
                                                 benchmark::Counter::kIsIterationInvariantRate);
}
void sizes(benchmark::internal::Benchmark* benchmark) {
  benchmark->Unit(benchmark::kMicrosecond);
  for (const int n : {8, 16, 20, 50, 100, 200, 400}) benchmark->Arg(n);
}
BENCHMARK_CAPTURE(factor, eigen, math::DenseLu::Method::eigen)->Apply(sizes);
BENCHMARK_CAPTURE(factor, lapack, math::DenseLu::Method::lapack)->Apply(sizes);

}  // namespace

}  // namespace feldspar
