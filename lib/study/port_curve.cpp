#include "study/port_curve.hpp"

#include <algorithm>
#include <cmath>

#include "study/dips.hpp"

namespace feldspar::study {
namespace {

using Complex = std::complex<double>;
using Samples = std::vector<PortSample>;

void sort_by_frequency(Samples& samples) {
  std::sort(samples.begin(), samples.end(),
            [](const auto& a, const auto& b) { return a.frequency < b.frequency; });
}

double own_error(const Samples& samples) {
  std::vector<double> errors;
  for (const PortSample& sample : samples) errors.push_back(sample.error);
  std::nth_element(errors.begin(), errors.begin() + static_cast<std::ptrdiff_t>(errors.size() / 2),
                   errors.end());
  return errors[errors.size() / 2];
}

/// Two fits of the same samples that err in different ways.
struct Fits {
  math::RationalFit impedance;
  math::RationalFit admittance;

  Fits(const Samples& samples, double tolerance, double noise) {
    std::vector<math::RationalSample> z;
    std::vector<math::RationalSample> y;
    for (const PortSample& sample : samples) {
      z.push_back({sample.frequency, sample.impedance});
      y.push_back({sample.frequency, 1.0 / sample.impedance});
    }
    impedance = math::fit_rational(z, {tolerance, 80, noise});
    admittance = math::fit_rational(y, {tolerance, 80, noise});
  }

  /// How much the two disagree, or how far one is from being passive; relative to |Z|.
  [[nodiscard]] double doubt(double f) const {
    const Complex z = impedance(f);
    const Complex other = 1.0 / admittance(f);
    const double size = std::min(std::abs(z), std::abs(other));
    double doubt = std::abs(z - other);
    doubt = std::max({doubt, -z.real(), -other.real()}) / size;
    return std::isfinite(doubt) ? doubt : 1e300;
  }
};

/// A frequency worth a solve, and how much it is worth.
struct Candidate {
  double frequency = 0.0;
  double doubt = 0.0;
};

/// The worst point of each gap between samples, most doubtful first.
std::vector<Candidate> doubtful_points(const Samples& samples, const Fits& fits) {
  constexpr int kLooks = 24;  // per gap; doubt is smooth within a gap
  std::vector<Candidate> worst;
  for (std::size_t i = 0; i + 1 < samples.size(); ++i) {
    const double from = samples[i].frequency;
    const double step = (samples[i + 1].frequency - from) / (kLooks + 1);
    Candidate best{from, -1.0};
    for (int k = 1; k <= kLooks; ++k) {
      const double f = from + k * step;
      const double doubt = fits.doubt(f);
      if (doubt > best.doubt) best = {f, doubt};
    }
    worst.push_back(best);
  }
  std::stable_sort(worst.begin(), worst.end(),
                   [](const auto& a, const auto& b) { return a.doubt > b.doubt; });
  return worst;
}

/// Middle of the widest gap, in hertz.
double widest_gap_middle(const Samples& samples) {
  std::size_t widest = 0;
  const auto width = [&](std::size_t i) { return samples[i + 1].frequency - samples[i].frequency; };
  for (std::size_t i = 1; i + 1 < samples.size(); ++i) {
    if (width(i) > width(widest)) widest = i;
  }
  return 0.5 * (samples[widest].frequency + samples[widest + 1].frequency);
}

/// True when a frequency is too close to one that is solved or chosen already to teach anything.
bool is_known(double f, const Samples& samples, const std::vector<double>& chosen) {
  constexpr double kSame = 3e-4;
  const auto close = [&](double other) { return std::abs(other - f) < kSame * f; };
  return std::any_of(samples.begin(), samples.end(),
                     [&](const PortSample& s) { return close(s.frequency); }) ||
         std::any_of(chosen.begin(), chosen.end(), close);
}

void fill(std::vector<double>& frequencies, const PortCurveOptions& options) {
  frequencies.push_back(options.lower);
  frequencies.push_back(options.upper);
  std::sort(frequencies.begin(), frequencies.end());
  frequencies.erase(std::unique(frequencies.begin(), frequencies.end()), frequencies.end());
  const std::vector<double> ends = frequencies;
  for (std::size_t i = 0; i + 1 < ends.size(); ++i) {
    const double gap = ends[i + 1] - ends[i];
    const int parts = static_cast<int>(std::ceil(gap / options.widest_gap));
    for (int k = 1; k < parts; ++k) frequencies.push_back(ends[i] + gap * k / parts);
  }
}

Samples solve_at(const std::vector<double>& frequencies, const SolveFunction& solve, int threads) {
  std::vector<SolveRequest> requests;
  for (const double f : frequencies) requests.push_back({core::Frequency{f}, false});
  Samples samples;
  for (const results::FrequencyResult& answer : solve_many(requests, solve, threads)) {
    samples.push_back({answer.frequency, answer.ports.at(0).impedance, answer.impedance_error_relative});
  }
  return samples;
}

}  // namespace

std::complex<double> PortCurve::operator()(double f) const {
  const auto at = std::lower_bound(samples.begin(), samples.end(), f,
                                   [](const PortSample& sample, double x) { return sample.frequency < x; });
  if (at != samples.end() && at->frequency == f) return at->impedance;
  return fit(f);
}

std::vector<double> fine_grid(double lower, double upper, double step) {
  const int parts = std::max(2, static_cast<int>(std::ceil(std::log(upper / lower) / step)));
  std::vector<double> grid{lower};
  for (int i = 1; i < parts; ++i)
    grid.push_back(lower * std::pow(upper / lower, static_cast<double>(i) / parts));
  grid.push_back(upper);
  return grid;
}

PortCurve interpolate_port(std::vector<PortSample> start,
                           const std::function<double(double, std::complex<double>)>& swr,
                           const SolveFunction& solve, const PortCurveOptions& options) {
  PortCurve curve;
  curve.samples = std::move(start);
  std::vector<double> wanted;
  for (const PortSample& sample : curve.samples) wanted.push_back(sample.frequency);
  fill(wanted, options);
  std::erase_if(wanted, [&](double f) {
    return std::any_of(curve.samples.begin(), curve.samples.end(),
                       [f](const PortSample& sample) { return sample.frequency == f; });
  });
  const std::vector<double> grid = fine_grid(options.lower, options.upper);
  for (int tests = 0;; ++tests) {
    const Samples fresh = solve_at(wanted, solve, options.threads);
    curve.solves += static_cast<int>(fresh.size());
    // The solves may be noisier than the tolerance, as a mesh changes with frequency; but their own estimate
    // is on the safe side, so it excuses nothing before the fit has had a few chances.
    constexpr int kChances = 4;
    const auto allowed = [&](double own) {
      return std::max(options.tolerance, tests > kChances ? 2.0 * own : 0.0);
    };
    // The fit of the last round has not seen these: they are its test.
    bool passed = curve.fit.support_points() > 0 && !fresh.empty();
    double error = 0.0;
    for (const PortSample& sample : fresh) {
      if (curve.fit.support_points() == 0) break;
      const double deviation =
          std::abs(curve.fit(sample.frequency) - sample.impedance) / std::abs(sample.impedance);
      error = std::max(error, deviation);
      passed = passed && deviation <= allowed(sample.error);
    }
    curve.samples.insert(curve.samples.end(), fresh.begin(), fresh.end());
    sort_by_frequency(curve.samples);

    const double noise = own_error(curve.samples);
    const double tolerance = allowed(noise);
    const Fits fits(curve.samples, 0.1 * options.tolerance, noise);
    curve.fit = fits.impedance;
    // What the fit misses at its own samples, it misses between them as well.
    curve.error = std::max(error, curve.fit.residual());
    const std::vector<Candidate> doubtful = doubtful_points(curve.samples, fits);
    curve.converged = passed && doubtful.front().doubt <= tolerance;
    const int left = options.max_solves - curve.solves;
    if (curve.converged || left <= 0) return curve;

    constexpr std::size_t kBatch = 4;  // fixed, so that the answer does not depend on the number of threads
    const std::size_t batch = std::min(kBatch, static_cast<std::size_t>(left));
    wanted.clear();
    const auto want = [&](double f) {
      if (wanted.size() < batch && !is_known(f, curve.samples, wanted)) wanted.push_back(f);
    };
    for (std::size_t i = 0; i < doubtful.size() && wanted.size() + 1 < kBatch; ++i) {
      if (doubtful[i].doubt > 0.3 * tolerance) want(doubtful[i].frequency);
    }
    std::vector<results::Dip> dips = find_dips([&](double f) { return swr(f, curve(f)); }, grid);
    std::stable_sort(dips.begin(), dips.end(), [](const auto& a, const auto& b) { return a.swr < b.swr; });
    for (const results::Dip& dip : dips) want(dip.frequency);
    want(widest_gap_middle(curve.samples));
    for (const Candidate& candidate : doubtful) want(candidate.frequency);
    if (wanted.empty()) return curve;
  }
}

}  // namespace feldspar::study
