// Uses the installed library as a stranger would: a built-in model by name, one solve, and two laws that hold
// whatever the solver's accuracy: a lossless antenna in free space sends all it takes to the sky, and a
// passive one has R > 0.
#include <cmath>
#include <cstdio>

#include "core/quantity.hpp"
#include "io/model_file.hpp"
#include "solver/solve.hpp"

int main() {
  using namespace feldspar;
  const model::Model dipole = io::load_family("dipole").instantiate(
      {{"ground.soil", "free space"}, {"wires.dipole.material", "perfect"}});
  const results::FrequencyResult answer = solver::solve(dipole, core::Frequency{14.1e6});
  const auto z = answer.ports.at(0).impedance;
  const double efficiency = answer.radiation_efficiency.value_or(0.0);
  std::printf("%s: %.1f %+.1fj ohm, efficiency %.5f\n", dipole.title.c_str(), z.real(), z.imag(), efficiency);
  return z.real() > 0.0 && std::abs(efficiency - 1.0) < 1e-3 ? 0 : 1;  // the budget's own bound in the tests
}
