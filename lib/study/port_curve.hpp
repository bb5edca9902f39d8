#pragma once

#include <complex>
#include <functional>
#include <vector>

#include "math/rational_fit.hpp"
#include "study/solve_many.hpp"

namespace feldspar::study {

/// What is known of the port impedance at one frequency.
struct PortSample {
  double frequency = 0.0;          ///< Hz
  std::complex<double> impedance;  ///< ohm
  double error = 0.0;              ///< |dZ|/|Z| of the solve itself
};

/// Port impedance over a range of frequencies, from few solves.
class PortCurve {
 public:
  /// Impedance at f inside the range, ohm; the solved value where there is one.
  [[nodiscard]] std::complex<double> operator()(double f) const;

  std::vector<PortSample> samples;  ///< in rising frequency
  math::RationalFit fit;
  /// |dZ|/|Z|: the largest deviation of the last round, which the fit had not seen, or the fit's own
  /// residual.
  double error = 0.0;
  bool converged = false;  ///< the last round and both fits agree within the tolerance
  int solves = 0;          ///< made for the curve, beyond the samples it began with
};

struct PortCurveOptions {
  double lower = 1.8e6;     ///< Hz
  double upper = 54e6;      ///< Hz
  double tolerance = 1e-3;  ///< |dZ|/|Z|; a solve that is worse than that by its own estimate sets the limit
  double widest_gap = 6e6;  ///< Hz, between the first samples
  int max_solves = 25;      ///< beyond the samples at the beginning
  int threads = 1;
};

/// Interpolates the port impedance with a rational function and adds solves until it is sure.
///
/// Two fits are made, of Z and of 1/Z; the next solves go where they disagree most, where either would create
/// power, into the widest gap, and to the dips of `swr` that no solve has seen: an analyser's picture is only
/// as good as its dips. Each round is a test first (the fit has not seen those frequencies) and a sample
/// after.
/// @param start samples already there, any order, inside the range
/// @param swr   what to look for dips in, as a function of frequency and port impedance
/// @throws what `solve` throws
[[nodiscard]] PortCurve interpolate_port(std::vector<PortSample> start,
                                         const std::function<double(double, std::complex<double>)>& swr,
                                         const SolveFunction& solve, const PortCurveOptions& options);

/// Frequencies for looking at a curve closely: geometric steps of at most 5e-4 with every sample among them,
/// and finer where samples lie close. @param lower, upper > 0 [Hz]
[[nodiscard]] std::vector<double> fine_grid(double lower, double upper, double step = 5e-4);

}  // namespace feldspar::study
