#pragma once

#include <complex>
#include <functional>
#include <memory>

#include "core/quantity.hpp"
#include "core/work.hpp"
#include "results/result.hpp"

namespace feldspar::study {

/// Port impedance and results at any frequency of a range, from few solves made beforehand. Const members may
/// be called from several threads.
class Curve {
 public:
  virtual ~Curve() = default;

  /// Impedance of the first port, the others short, ohm; quick.
  [[nodiscard]] virtual std::complex<double> impedance(double f) const = 0;
  /// As a solve would give; `fields` false: impedance and circuit only.
  [[nodiscard]] virtual results::FrequencyResult result(core::Frequency f, bool fields) const = 0;

  int solves = 0;         ///< made for it
  core::Work work;        ///< of these
  double error = 0.0;     ///< |dZ|/|Z| at the last solves, which it had not seen
  bool converged = true;  ///< that is below the tolerance
};

/// Makes the curve of a range in Hz.
using CurveMaker = std::function<std::unique_ptr<Curve>(double lower, double upper)>;

}  // namespace feldspar::study
