#pragma once

#include <complex>
#include <optional>
#include <string>
#include <vector>

/// Why a result is what it is: found by solving again with one part made ideal at a time. Plain values.
namespace feldspar::results {

/// The same rig with one part made ideal.
struct IdealPart {
  std::string part;   ///< as in the power budget: "ground", "transformer", …
  std::string made;   ///< what was done to it, for people: "perfect ground", "a transformer without loss"
  double lost = 0.0;  ///< W lost in it as it is
  double delivered = 0.0;     ///< W that reach the sky (a known antenna's port) with it ideal
  double swr_at_radio = 1.0;  ///< with it ideal
};

struct Explanation {
  double frequency = 0.0;           ///< Hz
  double power = 0.0;               ///< W from the radio
  double delivered = 0.0;           ///< W that reach the sky (a known antenna's port) as it is
  std::vector<IdealPart> ideals;    ///< the one that delivers most first
  std::complex<double> feed_point;  ///< ohm
  double swr_at_radio = 1.0;
  /// At the radio with transformers and lines without loss; empty where other parts lie between, which cannot
  /// be without loss or match on their own.
  std::optional<double> swr_without_loss;
  std::optional<double> ratio;     ///< of all transformers together; empty with one known by measurement
  double best_ratio = 1.0;         ///< |Z| / reference: the impedance ratio that matches the feed point best
  double swr_at_best_ratio = 1.0;  ///< with that ratio, without loss and line: no ratio does better
  std::optional<double> fed_wire;  ///< length of the fed wire in wavelengths
};

}  // namespace feldspar::results
