#include "floors.hpp"

#include <benchmark/benchmark.h>

#include <Eigen/Core>
#include <algorithm>
#include <array>
#include <cmath>
#include <cstdlib>
#include <fstream>
#include <string>
#include <vector>

#include "core/constants.hpp"
#include "core/memory.hpp"
#include "kernel/sincos.hpp"
#include "math/clones.hpp"
#include "math/dense_lu.hpp"
#include "math/lapack_detail.hpp"

namespace feldspar::benchmarks {

namespace {

[[maybe_unused]] const bool kKept = (core::keep_freed_memory(), true);  // as the program does
constexpr int kPoints = 2048;
using Column = std::array<double, kPoints>;

struct Points {
  Column x, y, z, real, imaginary;
};

FELDSPAR_CLONES void spherical_waves(Points& p, double k) {
  const double* x = p.x.data();
  const double* y = p.y.data();
  const double* z = p.z.data();
  double* real = p.real.data();
  double* imaginary = p.imaginary.data();
#pragma omp simd
  for (int i = 0; i < kPoints; ++i) {
    const double r = std::sqrt(x[i] * x[i] + y[i] * y[i] + z[i] * z[i]);
    const double inverse = 1.0 / r;
    double s = 0.0;
    double c = 0.0;
    kernel::sincos(k * r, s, c);
    real[i] = c * inverse;
    imaginary[i] = -s * inverse;
  }
}

}  // namespace

double kernel_seconds() {
  constexpr int kTurns = 50;
  static Points points;
  for (int i = 0; i < kPoints; ++i) {
    const auto at = static_cast<std::size_t>(i);
    points.x[at] = 1.0 + 0.01 * i;
    points.y[at] = 0.3;
    points.z[at] = 0.1;
  }
  spherical_waves(points, 0.3);
  return seconds([&] {
           for (int turn = 0; turn < kTurns; ++turn) {
             spherical_waves(points, 0.3);
             benchmark::DoNotOptimize(points);
           }
         }) /
         (kTurns * kPoints);
}

double lu_seconds(int unknowns) {
  std::srand(1);  // Eigen's generator
  Eigen::MatrixXcd matrix = Eigen::MatrixXcd::Random(unknowns, unknowns);
  if (!math::has_lapack())
    return seconds([&] { benchmark::DoNotOptimize(math::DenseLu(matrix, math::DenseLu::Method::eigen)); });
  std::vector<int> pivots;
  return seconds([&] { benchmark::DoNotOptimize(math::factor_by_lapack(matrix, pivots)); });
}

double peak_memory() {
  std::ifstream status("/proc/self/status");
  std::string word;
  double kilobytes = 0.0;
  while (status >> word)
    if (word == "VmHWM:" && status >> kilobytes) break;
  return 1024.0 * kilobytes;
}

geometry::Structure bed_of_dipoles(int count, double height) {
  constexpr double kHalf = 5.0;
  constexpr double kApart = 8.0;
  constexpr double kGoldenAngle = 2.399963229728653;  // no direction comes twice
  const int row = static_cast<int>(std::ceil(std::sqrt(count)));
  geometry::Structure structure;
  for (int i = 0; i < count; ++i) {
    const double azimuth = kGoldenAngle * i;
    const double rise = 0.9 + 0.3 * std::sin(1.7 * i + 0.4);
    const geometry::Vec3 middle(kApart * (i % row), kApart * static_cast<double>(i / row), height);
    const geometry::Vec3 arm(kHalf * std::cos(azimuth) * std::cos(rise),
                             kHalf * std::sin(azimuth) * std::cos(rise), kHalf * std::sin(rise));
    geometry::Wire wire;
    wire.name = "dipole";
    wire.path = {middle - arm, middle + arm};
    wire.radius = 1e-3;
    structure.wires.push_back(wire);
  }
  const double centre = 0.5 * geometry::length(structure.wires.front());
  structure.ports.push_back({"feed", {{0, centre - 0.01, centre + 0.01}}, {}});
  return structure;
}

media::Ground free_space() {
  media::Ground ground;
  ground.kind = media::GroundKind::free_space;
  return ground;
}

media::Ground average_soil() {
  media::Ground ground;
  ground.kind = media::GroundKind::real;
  ground.relative_permittivity = 13.0;
  ground.conductivity = 5e-3;
  return ground;
}

}  // namespace feldspar::benchmarks
