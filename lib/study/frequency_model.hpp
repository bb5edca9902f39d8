#pragma once

#include <Eigen/Core>
#include <complex>
#include <functional>
#include <vector>

#include "math/common_poles.hpp"

/// A system between few solves: all its numbers as rational functions of frequency with common poles.
namespace feldspar::study {

/// What depends on frequency, as a column of numbers: first the port admittances in S, column by column, then
/// whatever else shares their poles (currents in A for 1 V at a port, ...). The same length at every
/// frequency.
using StateFunction = std::function<Eigen::VectorXcd(double frequency)>;

struct FrequencyModelOptions {
  double lower = 1.8e6;  ///< Hz
  double upper = 54e6;   ///< Hz
  int ports = 1;
  /// Groups of entries of the state besides the admittances that count when the fit is made and judged:
  /// currents here and there, potentials. Many of them let few solves do. Asked once, after the first solves.
  std::function<std::vector<std::vector<Eigen::Index>>()> watched = nullptr;
  /// |dZ|/|Z| at each port with the others short. Resistance is wanted to ten times this of itself as far as
  /// the solves' own noise lets it, watched currents to ten times this of the largest.
  double tolerance = 6e-4;
  double spacing = 30e6;  ///< Hz between neighbouring resonances, about; sets the number of first samples
  int max_solves = 100;
  int threads = 1;  ///< the answer does not depend on it
};

/// Numbers of a system over a range of frequencies.
class FrequencyModel {
 public:
  /// Everything at f within the range.
  [[nodiscard]] Eigen::VectorXcd state(double f) const { return fit(f, table); }
  /// Impedance of a port with the others short, ohm.
  [[nodiscard]] std::complex<double> impedance(double f, int port = 0) const noexcept {
    return 1.0 / fit.row(f, table, static_cast<Eigen::Index>(port) * (ports + 1));
  }

  int ports = 1;
  std::vector<double> frequencies;  ///< Hz, of the solves, rising
  Eigen::MatrixXcd table;           ///< states, a column per solve
  math::CommonPoles fit;
  /// |dZ|/|Z|: the largest of what the last solves, which the fit had not seen, were off by, and of what the
  /// fit moved by when it had seen them.
  double error = 0.0;
  bool converged = false;  ///< that is below the tolerance, currents included
};

/// Solves where the model is least sure until it is sure everywhere.
///
/// After each pair of solves a fit is made (math::fit_common_poles). The model of the round before has not
/// seen them: what it was off by there, and what the fit has moved by anywhere in the range, must be below
/// the tolerance, and no pole in the right half plane may matter. Otherwise the next solves go where fits of
/// neighbouring degree disagree most (close to poles included, so that a resonance of high Q is not passed
/// by), to poles that cannot be, and into the widest gap.
/// @throws what `state` throws; core::Error{usage} for a range out of order
[[nodiscard]] FrequencyModel make_frequency_model(const StateFunction& state,
                                                  const FrequencyModelOptions& options);

}  // namespace feldspar::study
