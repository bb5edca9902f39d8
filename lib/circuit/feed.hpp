#pragma once

#include <complex>
#include <span>
#include <variant>

#include "circuit/line_data.hpp"
#include "core/quantity.hpp"

/// The parts between port and radio, in order from the antenna to the radio.
namespace feldspar::circuit {

/// A transformer by ratio and flat loss; ideal in every other way. What the loss does with a load that is not
/// matched stands in circuit/transformer.hpp.
struct Transformer {
  double impedance_ratio = 1.0;  ///< antenna side over radio side, > 0
  double loss_db = 0.0;          ///< >= 0, into a matched load
  bool loss_assumed = false;     ///< the user left it out
};

using FeedPart = std::variant<Transformer, Line>;

/// What the radio sees and where its power goes, as fractions of the power that enters the first part.
struct FeedResult {
  std::complex<double> radio_impedance;  ///< ohm
  /// At the antenna end of the line nearest to the radio (behind a transformer), against that line's nominal
  /// z0; without a line the same as swr_at_radio.
  double swr_on_line = 1.0;
  double swr_at_radio = 1.0;  ///< against the reference resistance
  double transformer = 0.0;
  double line_matched =
      0.0;  ///< what a load equal to the line's own complex z0 would lose of the power entering it
  double line_extra =
      0.0;  ///< exact loss less line_matched; may be negative (short line into a high resistance)
  double antenna = 1.0;              ///< reaches the port
  double line_loss_db = 0.0;         ///< exact loss of all lines together, dB
  double transformer_loss_db = 0.0;  ///< exact loss of all transformers together, dB
};

/// Runs the chain at one frequency, each line with its complex z0 (circuit/line.hpp), each transformer as
/// made for `reference_resistance` on its radio side.
/// @param load impedance at the port [ohm], Re load >= 0; with Re load = 0 nothing reaches it where there is
/// loss
/// @param reference_resistance of the SWR [ohm], > 0
/// The fractions transformer, line_matched, line_extra and antenna add up to 1 within 1e-12; none but
/// line_extra is negative. @throws core::Error{usage} for parts out of range, {numerics} for a load that is
/// no passive impedance
[[nodiscard]] FeedResult run_feed(std::span<const FeedPart> parts, core::Frequency f,
                                  std::complex<double> load, double reference_resistance);

/// Loss of the whole chain with this load, dB: what the power pays between the radio (or a tuner beside it,
/// without loss of its own) and the port. @throws as run_feed
[[nodiscard]] double feed_loss_db(std::span<const FeedPart> parts, core::Frequency f,
                                  std::complex<double> load, double reference_resistance);

}  // namespace feldspar::circuit
