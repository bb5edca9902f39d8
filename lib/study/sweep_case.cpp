#include "study/sweep_case.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <exception>
#include <map>
#include <numeric>
#include <string_view>

#include "model/condition.hpp"
#include "study/run_bands.hpp"
#include "study/solve_model.hpp"
#include "study/solved_curve.hpp"

namespace feldspar::study {

namespace {

solver::Accuracy accuracy_of(const model::Study& study) {
  constexpr std::array<std::string_view, 3> kWords = {"draft", "normal", "fine"};
  const auto at = std::find(kWords.begin(), kWords.end(), study.accuracy);
  return static_cast<solver::Accuracy>(at - kWords.begin());
}

std::vector<double> values_of(const SweepPlan& plan, const model::Model& model) {
  const solver::Accuracy accuracy = accuracy_of(plan.study());
  const solver::Keep keep{plan.study().keep_patterns, plan.study().keep_currents};
  const double wire = model::total_wire(model);
  if (plan.layout().by_bands()) {
    BandOptions options;
    options.bands = plan.bands();
    return results::sweep_values(
        plan.layout(),
        run_bands(model, options, curves_of(model, accuracy, 1, keep), solver_for(model, accuracy, 1, keep)),
        wire);
  }
  std::vector<SolveRequest> requests;
  for (const double f : plan.layout().frequencies) requests.push_back({core::Frequency{f}, true});
  return results::sweep_values(plan.layout(), solve_range(model, requests, accuracy, 1, false, keep), wire);
}

/// Time of a case in some unit: the square of the unknowns, counted on one sector where wires are copies of
/// one another round the z axis, for each turn between two sectors. Rough, and the same on every machine.
double cost(const model::Model& model, int unknowns) {
  std::map<std::vector<double>, int> alike;  // radius, and distance and height of each point
  double distinct = 0.0;
  double total = 0.0;
  for (const geometry::Wire& wire : model.structure.wires) {
    std::vector<double> shape{wire.radius};
    for (const geometry::Vec3& p : wire.path)
      for (const double x : {std::hypot(p.x(), p.y()), p.z()}) shape.push_back(std::round(x * 1e6));
    const double length = geometry::length(wire);
    if (alike[shape]++ == 0) distinct += length;
    total += length;
  }
  int copies = 1;
  for (const auto& [shape, count] : alike) copies = std::max(copies, count);
  const double sector = total > 0.0 ? unknowns * distinct / total : 0.0;
  return (sector + 10.0) * (sector + 10.0) * (1.0 + copies / 2.0);
}

}  // namespace

results::CaseRecord run_case(const SweepPlan& plan, std::size_t index) {
  results::CaseRecord record;
  record.index = index;
  try {
    const model::Model model = plan.model(index);
    record.status = results::CaseStatus::left_out;
    if (!plan.wanted(model)) return record;
    record.values = values_of(plan, model);
    record.status = results::CaseStatus::done;
  } catch (const std::exception& error) {
    record.status = results::CaseStatus::failed;
    record.message = error.what();
  }
  return record;
}

CaseSize case_size(const SweepPlan& plan, std::size_t index) {
  try {
    const model::Model model = plan.model(index);
    if (!plan.wanted(model)) return {};
    const core::Frequency top{plan.layout().frequencies.back()};
    solver::Options options;
    options.accuracy = accuracy_of(plan.study());
    options.mesh_for = mesh_frequency(top);
    const int unknowns = solver::check(model, top, options).unknowns;
    return {true, unknowns, cost(model, unknowns)};
  } catch (const core::Error&) {
    return {};
  }
}

std::vector<std::vector<std::size_t>> share_out(const SweepPlan& plan, std::size_t shares, int threads) {
  const std::size_t count = plan.layout().count();
  std::vector<double> costs(count);
  run_all(count, threads, [&](std::size_t i) { costs[i] = case_size(plan, i).cost; });
  std::vector<std::size_t> order(count);
  std::iota(order.begin(), order.end(), std::size_t{0});
  std::stable_sort(order.begin(), order.end(),
                   [&](std::size_t a, std::size_t b) { return costs[a] > costs[b]; });
  std::vector<std::vector<std::size_t>> parts(shares);
  std::vector<double> load(shares, 0.0);
  for (const std::size_t index : order) {  // the largest first, each to the part that has least
    const auto least = static_cast<std::size_t>(std::min_element(load.begin(), load.end()) - load.begin());
    parts[least].push_back(index);
    load[least] += costs[index];
  }
  for (std::vector<std::size_t>& part : parts) std::sort(part.begin(), part.end());
  return parts;
}

}  // namespace feldspar::study
