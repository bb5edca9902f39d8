#include <doctest/doctest.h>
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <numeric>
#include <vector>

#include "io/model_file.hpp"
#include "moment/solve.hpp"
#include "solver/setting_detail.hpp"
#include "solver/solve.hpp"
#include "wire_cases.hpp"

// How honest the error estimate is. The figures: the estimate is at least the error in 90 % of the
// cases, the median of estimate over error lies between 1 and 10, and the rank correlation of their
// logarithms is at least 0.6.
namespace feldspar::validation {

namespace {

struct Pair {
  std::string name;
  double estimate = 0.0;  ///< ohm
  double error = 0.0;     ///< ohm
};

constexpr solver::Accuracy kAccuracies[] = {solver::Accuracy::draft, solver::Accuracy::normal,
                                            solver::Accuracy::fine};

moment::Solution run(const model::Model& model, double frequency, const moment::Setting& setting) {
  const core::Frequency f{frequency};
  const solver::ElectricalStructure rig = solver::electrical(model.structure, f);
  return moment::solve(rig.structure, rig.series, model.ground, f, setting);
}

std::vector<double> ranks(const std::vector<double>& values) {
  std::vector<std::size_t> order(values.size());
  std::iota(order.begin(), order.end(), std::size_t{0});
  std::sort(order.begin(), order.end(), [&](std::size_t a, std::size_t b) { return values[a] < values[b]; });
  std::vector<double> rank(values.size());
  for (std::size_t i = 0; i < order.size(); ++i) rank[order[i]] = static_cast<double>(i);
  return rank;
}

/// Spearman's rank correlation; values without ties.
double rank_correlation(const std::vector<double>& x, const std::vector<double>& y) {
  const std::vector<double> a = ranks(x);
  const std::vector<double> b = ranks(y);
  const auto n = static_cast<double>(x.size());
  double sum = 0.0;
  for (std::size_t i = 0; i < a.size(); ++i) sum += (a[i] - b[i]) * (a[i] - b[i]);
  return 1.0 - 6.0 * sum / (n * (n * n - 1.0));
}

/// Cases without a measurable error count as covered; they have no ratio.
void judge(const std::vector<Pair>& pairs) {
  std::size_t covered = 0;
  std::vector<double> ratios;
  std::vector<double> estimates;
  std::vector<double> errors;
  for (const Pair& pair : pairs) {
    if (pair.estimate >= pair.error) ++covered;
    if (pair.error <= 0.0) continue;
    ratios.push_back(pair.estimate / pair.error);
    estimates.push_back(pair.estimate);
    errors.push_back(pair.error);
    if (pair.estimate < pair.error)
      MESSAGE(fmt::format("{}: estimate {:.3g} ohm, error {:.3g} ohm", pair.name, pair.estimate, pair.error));
  }
  std::sort(ratios.begin(), ratios.end());
  const double share = static_cast<double>(covered) / static_cast<double>(pairs.size());
  const double median = ratios[ratios.size() / 2];
  const double correlation = rank_correlation(estimates, errors);
  MESSAGE(
      fmt::format("{} results, {} with a measurable error: covered {:.1f} %, median ratio {:.2f}, rank "
                  "correlation {:.3f}",
                  pairs.size(), ratios.size(), 100.0 * share, median, correlation));
  CHECK(share >= 0.90);
  CHECK(median >= 1.0);
  CHECK(median <= 10.0);
  CHECK(correlation >= 0.6);
}

}  // namespace

TEST_CASE("error estimate against the reference cases at draft, normal and fine") {
  std::vector<Pair> pairs;
  std::vector<WireCase> cases = wire_cases();
  for (const WireCase& c : buried_cases()) cases.push_back(c);
  for (const WireCase& c : cases) {
    if (c.two_ports()) continue;
    const double known = std::hypot(c.resistance_uncertainty, c.reactance_uncertainty);
    for (const solver::Accuracy accuracy : kAccuracies) {
      const moment::Solution s = run(c.model, c.frequency, solver::setting_for(accuracy));
      const std::complex<double> z = s.impedance(0, 0);
      pairs.push_back({fmt::format("{} {}", c.id, static_cast<int>(accuracy)),
                       s.impedance_error_relative * std::abs(z),
                       std::max(0.0, std::abs(z - c.impedance) - known)});
    }
  }
  judge(pairs);
}

TEST_CASE("error estimate against two orders more, for every model in models/") {
  constexpr double kFrequencies[] = {7.1e6, 14.15e6, 28.5e6};
  std::vector<Pair> pairs;
  for (const std::string& name : io::builtin_names()) {
    const model::Model model = io::load_family(name).instantiate({});
    for (const double f : kFrequencies)
      for (const solver::Accuracy accuracy : kAccuracies) {
        moment::Setting setting = solver::setting_for(accuracy);
        const moment::Solution s = run(model, f, setting);
        setting.mesh.extra_order += 2;
        const std::complex<double> better = run(model, f, setting).impedance(0, 0);
        const std::complex<double> z = s.impedance(0, 0);
        pairs.push_back({fmt::format("{} {:.1f} MHz {}", name, f * 1e-6, static_cast<int>(accuracy)),
                         s.impedance_error_relative * std::abs(z), std::abs(z - better)});
      }
  }
  judge(pairs);
}

}  // namespace feldspar::validation
