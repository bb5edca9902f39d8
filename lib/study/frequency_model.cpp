#include "study/frequency_model.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>
#include <optional>

#include "core/error.hpp"
#include "study/solve_many.hpp"

namespace feldspar::study {
namespace {

using Complex = std::complex<double>;
using math::CommonPoles;

constexpr double kResistance = 10.0;  // of the tolerance
constexpr double kOthers = 10.0;      // of the tolerance
constexpr double kNoise = 2e-6;       // of |Y|: what quadrature and ground tables leave open in a solve
constexpr std::size_t kBatch = 2;     // fixed, so that the answer does not depend on the number of threads

/// Rows of the states that are watched, and how well they are wanted.
class Watch {
 public:
  explicit Watch(const FrequencyModelOptions& options) : options_(options) {
    const Eigen::Index ports = options.ports;
    for (Eigen::Index column = 0; column < ports; ++column)
      for (Eigen::Index row = 0; row <= column; ++row) rows_.push_back(column * ports + row);
    if (!options.watched) return;
    for (const std::vector<Eigen::Index>& group : options.watched()) {
      if (group.empty()) continue;
      rows_.insert(rows_.end(), group.begin(), group.end());
      groups_.push_back(static_cast<Eigen::Index>(group.size()));
    }
  }

  [[nodiscard]] Eigen::MatrixXcd of(const Eigen::MatrixXcd& table) const { return table(rows_, Eigen::all); }

  /// Error to which each of the watched numbers is wanted.
  [[nodiscard]] Eigen::VectorXd allowed(const Eigen::VectorXcd& watched) const {
    Eigen::VectorXd allowed(watched.size());
    Eigen::Index at = 0;
    for (Eigen::Index column = 0; column < options_.ports; ++column)
      for (Eigen::Index row = 0; row <= column; ++row, ++at)
        allowed(at) = std::sqrt(allowed_at_port(watched, column) * allowed_at_port(watched, row));
    for (const Eigen::Index size : groups_) {
      const double largest = std::max(watched.segment(at, size).cwiseAbs().maxCoeff(), 1e-300);
      allowed.segment(at, size).setConstant(kOthers * options_.tolerance * largest);
      at += size;
    }
    return allowed;
  }

  /// Largest difference in units of what is allowed.
  [[nodiscard]] double distance(const Eigen::VectorXcd& a, const Eigen::VectorXcd& b) const {
    const double ratio = ((a - b).cwiseAbs().array() / allowed(b).array()).maxCoeff();
    return std::isfinite(ratio) ? ratio : 1e300;
  }

  /// Largest |dZ|/|Z| at a port.
  [[nodiscard]] double impedance_error(const Eigen::VectorXcd& a, const Eigen::VectorXcd& b) const {
    double error = 0.0;
    for (Eigen::Index port = 0; port < options_.ports; ++port) {
      const Eigen::Index at = own(port);
      error = std::max(error, std::abs(a(at) - b(at)) / std::abs(a(at)));
    }
    return error;
  }

  [[nodiscard]] bool is_passive(const Eigen::VectorXcd& watched) const {
    for (Eigen::Index port = 0; port < options_.ports; ++port)
      if (watched(own(port)).real() < -kNoise * std::abs(watched(own(port)))) return false;
    return true;
  }

 private:
  static Eigen::Index own(Eigen::Index port) { return port * (port + 3) / 2; }  // in the packed triangle

  [[nodiscard]] double allowed_at_port(const Eigen::VectorXcd& watched, Eigen::Index port) const {
    const Complex y = watched(own(port));
    const double size = std::max(std::abs(y), 1e-300);
    const double resistive = kResistance * std::abs(y.real()) / size;  // Re Z / |Z| = Re Y / |Y|
    return size * std::max(std::min(1.0, resistive) * options_.tolerance, kNoise);
  }

  const FrequencyModelOptions& options_;
  std::vector<Eigen::Index> rows_;
  std::vector<Eigen::Index> groups_;  // how many rows each has, behind the admittances
};

/// A fit and the one a degree below, which errs in another way.
struct Round {
  CommonPoles fit;
  std::optional<CommonPoles> below;
  std::vector<double> forbidden;    ///< Hz, where poles in the right half plane matter
  std::vector<Complex> resonances;  ///< poles of both, s / 2 pi
};

/// Poles with growing time dependence that show: over less than the distance of the solves round them they
/// change a number by more than is allowed. Such poles further from the axis, or beyond the range, do no more
/// than bend the curves between solves, which other checks judge.
std::vector<double> forbidden_poles(const std::vector<CommonPoles::Pole>& poles, const CommonPoles& fit,
                                    const std::vector<double>& frequencies, const Eigen::MatrixXcd& watched,
                                    const Watch& watch) {
  std::vector<double> forbidden;
  for (const CommonPoles::Pole& pole : poles) {
    const double f = pole.at.imag();
    const auto above = std::upper_bound(frequencies.begin(), frequencies.end(), f);
    if (!(pole.at.real() > 0.0) || above == frequencies.begin() || above == frequencies.end()) continue;
    if (pole.at.real() > *above - *std::prev(above)) continue;
    const Eigen::VectorXcd share = pole.residue / pole.at.real();
    const Eigen::VectorXd allowed = watch.allowed(fit(f, watched));
    if ((share.cwiseAbs().array() / allowed.array()).maxCoeff() > 1.0) forbidden.push_back(f);
  }
  return forbidden;
}

Round make_round(const std::vector<double>& frequencies, const Eigen::MatrixXcd& watched,
                 const Watch& watch) {
  constexpr double kFit = 0.1;  // of what is allowed: the fit itself must not use it up
  Eigen::MatrixXd allowed(watched.rows(), watched.cols());
  for (Eigen::Index i = 0; i < watched.cols(); ++i) allowed.col(i) = kFit * watch.allowed(watched.col(i));
  const std::vector<CommonPoles> fits = math::fit_common_poles(frequencies, watched, allowed);
  Round round;
  const std::size_t best = math::best_of(fits);
  // Of the fits about as good, the first without poles that cannot be.
  for (std::size_t i = best; i < fits.size(); ++i) {
    const std::vector<CommonPoles::Pole> poles = fits[i].poles(watched);
    const std::vector<double> forbidden = forbidden_poles(poles, fits[i], frequencies, watched, watch);
    if (i > best && !forbidden.empty()) continue;
    round = {fits[i], {}, forbidden, {}};
    for (const CommonPoles::Pole& pole : poles) round.resonances.push_back(pole.at);
    if (i > 0) round.below = fits[i - 1];
    if (forbidden.empty()) break;
  }
  if (round.below)
    for (const CommonPoles::Pole& pole : round.below->poles(watched)) round.resonances.push_back(pole.at);
  return round;
}

/// Frequencies at which fits are compared: even steps, geometric steps, and round the poles of high Q.
std::vector<double> looks(const FrequencyModelOptions& options, const std::vector<Complex>& resonances) {
  constexpr int kEven = 300;
  std::vector<double> at;
  for (int i = 0; i <= kEven; ++i) {
    const double share = static_cast<double>(i) / kEven;
    at.push_back(options.lower + (options.upper - options.lower) * share);
    at.push_back(options.lower * std::pow(options.upper / options.lower, share));
  }
  for (const Complex& pole : resonances)
    for (const double widths : {-4.0, -2.0, -1.0, -0.5, 0.0, 0.5, 1.0, 2.0, 4.0})
      at.push_back(pole.imag() + widths * std::abs(pole.real()));
  std::erase_if(at, [&](double f) { return !(f >= options.lower && f <= options.upper); });
  std::sort(at.begin(), at.end());
  return at;
}

std::vector<double> first_frequencies(const FrequencyModelOptions& options) {
  constexpr int kLeast = 4;
  constexpr int kMostFirst = 24;
  const double resonances = (options.upper - options.lower) / options.spacing;
  const int count = std::clamp(kLeast + static_cast<int>(resonances), kLeast, kMostFirst) & ~1;
  std::vector<double> at;
  for (int i = 0; i < count; ++i) {
    const double share = 0.5 - 0.5 * std::cos(std::numbers::pi * i / (count - 1));
    at.push_back(i + 1 == count ? options.upper : options.lower + (options.upper - options.lower) * share);
  }
  return at;
}

/// Makes the model round by round.
class Maker {
 public:
  Maker(const StateFunction& state, const FrequencyModelOptions& options) : state_(state), options_(options) {
    model_.ports = options.ports;
  }

  FrequencyModel run() {
    std::vector<double> wanted = first_frequencies(options_);
    for (bool first = true;; first = false) {
      const std::vector<Eigen::Index> fresh = solve(wanted);
      if (first) watch_.emplace(options_);
      const Eigen::MatrixXcd watched = watch_->of(model_.table);
      Round round = make_round(model_.frequencies, watched, *watch_);
      const std::vector<double> at = looks(options_, round.resonances);
      double off = 0.0;
      if (!first) off = compare(round, watched, fresh, at);
      last_ = round.fit;
      last_watched_ = watched;
      model_.fit = round.fit;
      model_.converged = !first && off <= 1.0 && round.forbidden.empty() && round.fit.residual() <= 10.0;
      const int left = options_.max_solves - static_cast<int>(model_.frequencies.size());
      if (model_.converged || left <= 0 || gives_up(first, off)) return std::move(model_);
      wanted = next(round, watched, at, std::min(kBatch, static_cast<std::size_t>(left)));
      if (wanted.empty()) return std::move(model_);
    }
  }

 private:
  /// Adds solves in rising frequency. @return their columns
  std::vector<Eigen::Index> solve(const std::vector<double>& wanted) {
    std::vector<Eigen::VectorXcd> states(wanted.size());
    run_all(wanted.size(), options_.threads, [&](std::size_t i) { states[i] = state_(wanted[i]); });
    const Eigen::MatrixXcd before = model_.table;
    const std::vector<double> old = model_.frequencies;
    model_.frequencies.insert(model_.frequencies.end(), wanted.begin(), wanted.end());
    std::sort(model_.frequencies.begin(), model_.frequencies.end());
    model_.table.resize(states.front().size(), static_cast<Eigen::Index>(model_.frequencies.size()));
    const auto column = [&](double f) {
      return std::lower_bound(model_.frequencies.begin(), model_.frequencies.end(), f) -
             model_.frequencies.begin();
    };
    for (std::size_t i = 0; i < old.size(); ++i)
      model_.table.col(column(old[i])) = before.col(static_cast<Eigen::Index>(i));
    std::vector<Eigen::Index> fresh;
    for (std::size_t i = 0; i < wanted.size(); ++i) {
      fresh.push_back(column(wanted[i]));
      model_.table.col(fresh.back()) = states[i];
    }
    return fresh;
  }

  /// What the last model was off by at the fresh solves and what it has moved by, in units of what is
  /// allowed; model_.error likewise as |dZ|/|Z|.
  double compare(const Round& round, const Eigen::MatrixXcd& watched, const std::vector<Eigen::Index>& fresh,
                 const std::vector<double>& at) {
    double off = 0.0;
    model_.error = 0.0;
    const auto judge = [&](const Eigen::VectorXcd& old, const Eigen::VectorXcd& now) {
      off = std::max(off, watch_->distance(old, now));
      model_.error = std::max(model_.error, watch_->impedance_error(old, now));
    };
    for (const Eigen::Index i : fresh)
      judge(last_(model_.frequencies[static_cast<std::size_t>(i)], last_watched_), watched.col(i));
    for (const double f : at) judge(last_(f, last_watched_), round.fit(f, watched));
    return off;
  }

  /// Nearly there, and no better for many rounds: the system is not as smooth as a rational function.
  bool gives_up(bool first, double off) {
    constexpr double kNear = 30.0;
    constexpr int kRounds = 8;
    if (first) return false;
    const bool better = off < 0.7 * least_;
    least_ = std::min(least_, off);
    rounds_without_gain_ = better ? 0 : rounds_without_gain_ + 1;
    return least_ < kNear && rounds_without_gain_ >= kRounds;
  }

  [[nodiscard]] bool is_known(double f, const std::vector<double>& chosen) const {
    constexpr double kSame = 3e-4;
    const auto close = [&](double other) { return std::abs(other - f) < kSame * f; };
    return std::any_of(model_.frequencies.begin(), model_.frequencies.end(), close) ||
           std::any_of(chosen.begin(), chosen.end(), close);
  }

  [[nodiscard]] std::size_t gap_of(double f) const {
    return static_cast<std::size_t>(
        std::upper_bound(model_.frequencies.begin(), model_.frequencies.end(), f) -
        model_.frequencies.begin());
  }

  [[nodiscard]] double widest_gap_middle() const {
    std::size_t widest = 0;
    const std::vector<double>& f = model_.frequencies;
    for (std::size_t i = 1; i + 1 < f.size(); ++i)
      if (f[i + 1] - f[i] > f[widest + 1] - f[widest]) widest = i;
    return 0.5 * (f[widest] + f[widest + 1]);
  }

  /// The most doubtful frequency of each gap between solves, worst first.
  [[nodiscard]] std::vector<std::pair<double, double>> doubts(const Round& round,
                                                              const Eigen::MatrixXcd& watched,
                                                              const std::vector<double>& at) const {
    std::vector<std::pair<double, double>> worst;  // doubt, frequency
    std::size_t gap = 0;
    for (const double f : at) {
      const Eigen::VectorXcd here = round.fit(f, watched);
      double doubt = round.below ? watch_->distance((*round.below)(f, watched), here) : 0.0;
      if (!watch_->is_passive(here)) doubt = std::max(doubt, 1e3);
      if (worst.empty() || gap_of(f) != gap) worst.emplace_back(-1.0, f);
      gap = gap_of(f);
      if (doubt > worst.back().first) worst.back() = {doubt, f};
    }
    std::stable_sort(worst.begin(), worst.end(),
                     [](const auto& a, const auto& b) { return a.first > b.first; });
    return worst;
  }

  [[nodiscard]] std::vector<double> next(const Round& round, const Eigen::MatrixXcd& watched,
                                         const std::vector<double>& at, std::size_t batch) const {
    std::vector<double> wanted;
    const auto want = [&](double f) {
      if (wanted.size() < batch && !is_known(f, wanted)) wanted.push_back(f);
    };
    const auto worst = doubts(round, watched, at);
    constexpr double kWorth = 0.1;  // of what is allowed
    for (const auto& [doubt, f] : worst)
      if (doubt > kWorth && wanted.size() + 1 < batch) want(f);
    for (const double f : round.forbidden) want(f);
    for (const auto& [doubt, f] : worst)
      if (doubt > 1.0) want(f);
    want(widest_gap_middle());
    for (const auto& [doubt, f] : worst) want(f);
    return wanted;
  }

  const StateFunction& state_;
  const FrequencyModelOptions& options_;
  std::optional<Watch> watch_;
  FrequencyModel model_;
  CommonPoles last_;
  Eigen::MatrixXcd last_watched_;
  double least_ = std::numeric_limits<double>::max();
  int rounds_without_gain_ = 0;
};

}  // namespace

FrequencyModel make_frequency_model(const StateFunction& state, const FrequencyModelOptions& options) {
  if (!(options.lower > 0.0) || !(options.lower < options.upper))
    throw core::Error(core::ErrorKind::usage, "a frequency model needs a range with its ends in order");
  return Maker(state, options).run();
}

}  // namespace feldspar::study
