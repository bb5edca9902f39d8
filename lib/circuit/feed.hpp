#pragma once

#include <complex>
#include <span>
#include <string>
#include <variant>

#include "core/quantity.hpp"

/// The parts between port and radio, in order from the antenna to the radio.
namespace feldspar::circuit {

/// A transformer by ratio and flat loss; ideal in every other way.
struct Transformer {
  double impedance_ratio = 1.0;  ///< antenna side over radio side, > 0
  double loss_db = 0.0;          ///< >= 0, into a matched load
  bool loss_assumed = false;     ///< the user left it out
};

/// A lossy line of uniform cross-section. Matched loss = k1 sqrt(f) + k2 f, f in MHz, in dB per metre.
struct Line {
  std::string type;              ///< "RG-58", or empty for a line given by numbers
  double length = 0.0;           ///< m, >= 0
  double z0 = 50.0;              ///< ohm, high-frequency characteristic resistance
  double velocity_factor = 1.0;  ///< (0, 1]
  double k1 = 0.0;               ///< dB / m / sqrt(MHz)
  double k2 = 0.0;               ///< dB / m / MHz
  double constant_loss = 0.0;    ///< dB / m at every frequency, added to the law
};

using FeedPart = std::variant<Transformer, Line>;

/// What the radio sees and where its power goes, as fractions of the power that enters the first part.
struct FeedResult {
  std::complex<double> radio_impedance;  ///< ohm
  double swr_on_line = 1.0;              ///< at the antenna end of the last line (or at the radio without a line)
  double swr_at_radio = 1.0;
  double transformer = 0.0;
  double line_matched = 0.0;
  double line_extra = 0.0;  ///< may be negative (short line into a high resistance)
  double antenna = 1.0;     ///< reaches the port
};

/// Runs the chain at one frequency. @param load impedance at the port [ohm]
/// @param reference_resistance of the SWR [ohm], > 0. The fractions add up to 1 within 1e-12.
[[nodiscard]] FeedResult run_feed(std::span<const FeedPart> parts, core::Frequency f, std::complex<double> load,
                                  double reference_resistance);

}  // namespace feldspar::circuit
