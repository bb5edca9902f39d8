#include "study/solved_curve.hpp"

#include <algorithm>
#include <cmath>
#include <map>
#include <mutex>

#include "core/constants.hpp"
#include "moment/packed_solution.hpp"
#include "study/frequency_model.hpp"
#include "study/solve_model.hpp"

namespace feldspar::study {
namespace {

/// Length of the longest run of wire that may resonate as one piece, by guess: the three longest wires in a
/// row. Only the number of first samples depends on it.
double resonant_length(const geometry::Structure& structure) {
  std::vector<double> lengths;
  for (const geometry::Wire& wire : structure.wires) lengths.push_back(geometry::length(wire));
  std::sort(lengths.rbegin(), lengths.rend());
  double sum = 0.0;
  for (std::size_t i = 0; i < std::min<std::size_t>(3, lengths.size()); ++i) sum += lengths[i];
  return std::max(sum, 1e-3);
}

/// `count` of them at most, evenly spread.
std::vector<Eigen::Index> some_of(const std::vector<Eigen::Index>& all, std::size_t count) {
  std::vector<Eigen::Index> some;
  count = std::min(count, all.size());
  for (std::size_t i = 0; i < count; ++i) some.push_back(all[(2 * i + 1) * all.size() / (2 * count)]);
  return some;
}

/// Entries of a packed solution for the frequency model to watch: mean currents of elements spread over the
/// structure, for 1 V at the first port, and potentials of free ends.
std::vector<std::vector<Eigen::Index>> watched_entries(const moment::Solution& solution) {
  constexpr std::size_t kCurrents = 12;
  constexpr std::size_t kEnds = 6;
  std::vector<Eigen::Index> means;
  Eigen::Index at = solution.admittance.size();
  for (const moment::ElementCurrent& element : solution.unit_currents.front()) {
    means.push_back(at);
    at += element.coefficients.size();
  }
  std::vector<Eigen::Index> ends;
  const Eigen::Index length = moment::pack(solution).size();
  const auto count = static_cast<Eigen::Index>(solution.end_potentials.size());
  for (Eigen::Index i = length - count; i < length; ++i) ends.push_back(i);
  return {some_of(means, kCurrents), some_of(ends, kEnds)};
}

class SolvedCurve final : public Curve {
 public:
  SolvedCurve(const model::Model& model, solver::Accuracy accuracy, double lower, double upper, int threads,
              const solver::Keep& keep)
      : model_(model) {
    options_.accuracy = accuracy;
    options_.keep = keep;
    options_.mesh_for = mesh_frequency(core::Frequency{upper});
    FrequencyModelOptions wanted;
    wanted.lower = lower;
    wanted.upper = upper;
    wanted.threads = threads;
    wanted.ports = static_cast<int>(std::max<std::size_t>(1, model.structure.ports.size()));
    wanted.spacing = core::kSpeedOfLight / (2.0 * resonant_length(model.structure));
    wanted.max_solves = 24 + static_cast<int>(std::min(200.0, 3.0 * (upper - lower) / wanted.spacing));
    wanted.watched = [this] { return watched_entries(frame_); };
    numbers_ = make_frequency_model([this](double f) { return solve(f); }, wanted);
    solves = static_cast<int>(numbers_.frequencies.size());
    error = numbers_.error;
    converged = numbers_.converged;
  }

  [[nodiscard]] std::complex<double> impedance(double f) const override { return numbers_.impedance(f); }

  [[nodiscard]] results::FrequencyResult result(core::Frequency f, bool fields) const override {
    moment::Solution solution = frame_;
    moment::unpack(numbers_.state(f.si), solution);
    const Estimates own = estimates_at(f.si);
    solution.impedance_error_relative = own.impedance;
    solution.resistance_error = own.resistance * std::abs(1.0 / solution.admittance(0, 0));
    solution.matrix_error_relative = own.matrix;
    solution.condition_warning = own.residual;
    solver::Options options = options_;
    options.fields = fields;
    return solver::evaluate(model_, f, solution, options);
  }

 private:
  /// What a solve says of its own errors; the resistance's over |Z|.
  struct Estimates {
    double impedance = 0.0;
    double resistance = 0.0;
    double matrix = 0.0;
    double residual = 0.0;
  };

  Eigen::VectorXcd solve(double f) {
    moment::Solution solution = solver::solve_currents(model_, core::Frequency{f}, options_);
    Eigen::VectorXcd packed = moment::pack(solution);
    const std::lock_guard<std::mutex> lock(adding_);
    work += solution.work;
    estimates_[f] = {solution.impedance_error_relative,
                     solution.resistance_error * std::abs(solution.admittance(0, 0)),
                     solution.matrix_error_relative, solution.condition_warning};
    solution.work = {};
    if (estimates_.size() == 1) frame_ = std::move(solution);
    return packed;
  }

  /// The larger ones of the solves on both sides of f, and what lies between solves is uncertain by besides.
  [[nodiscard]] Estimates estimates_at(double f) const {
    auto above = estimates_.lower_bound(f);
    if (above == estimates_.end()) above = std::prev(above);
    if (above->first == f) return above->second;
    const Estimates& a = above->second;
    const Estimates& b = above == estimates_.begin() ? a : std::prev(above)->second;
    return {std::max(a.impedance, b.impedance) + error, std::max(a.resistance, b.resistance) + error,
            std::max(a.matrix, b.matrix) + error, std::max(a.residual, b.residual)};
  }

  const model::Model& model_;
  solver::Options options_;
  std::mutex adding_;
  std::map<double, Estimates> estimates_;
  moment::Solution frame_;  // of one solve: mesh and all that is the same in each
  FrequencyModel numbers_;
};

}  // namespace

CurveMaker curves_of(const model::Model& model, solver::Accuracy accuracy, int threads,
                     const solver::Keep& keep) {
  return [&model, accuracy, threads, keep](double lower, double upper) -> std::unique_ptr<Curve> {
    return std::make_unique<SolvedCurve>(model, accuracy, lower, upper, threads, keep);
  };
}

std::vector<results::FrequencyResult> solve_range(const model::Model& model,
                                                  std::span<const SolveRequest> requests,
                                                  solver::Accuracy accuracy, int threads,
                                                  bool every_frequency, const solver::Keep& keep) {
  constexpr std::size_t kMany = 50;  // a curve takes 10 to 40 solves
  const auto one_by_one = [&] {
    const int inner = requests.size() > 1 ? 1 : threads;
    return solve_many(requests, solver_for(model, accuracy, inner, keep), threads);
  };
  if (every_frequency || model.antenna || requests.size() < kMany) return one_by_one();
  const auto [low, high] = std::minmax_element(
      requests.begin(), requests.end(),
      [](const SolveRequest& a, const SolveRequest& b) { return a.frequency.si < b.frequency.si; });
  const double lower = low->frequency.si;
  const double upper = high->frequency.si;
  const bool one_mesh = mesh_frequency(low->frequency).si == mesh_frequency(high->frequency).si;
  if (!one_mesh || !(lower > 0.0) || !(lower < upper)) return one_by_one();
  const std::unique_ptr<Curve> curve = curves_of(model, accuracy, threads, keep)(lower, upper);
  if (!curve->converged) return one_by_one();
  return solve_many(
      requests, [&](core::Frequency f, bool fields) { return curve->result(f, fields); }, threads);
}

}  // namespace feldspar::study
