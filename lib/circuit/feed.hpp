#pragma once

#include <complex>
#include <span>
#include <string>
#include <variant>
#include <vector>

#include "circuit/core_transformer.hpp"
#include "circuit/line_data.hpp"
#include "circuit/stub.hpp"
#include "circuit/touchstone.hpp"
#include "circuit/transformer.hpp"
#include "circuit/tuner.hpp"
#include "core/quantity.hpp"

/// The parts between port and radio, in order from the antenna to the radio.
namespace feldspar::circuit {

/// A part known by measurement.
struct MeasuredPart {
  NetworkData data;            ///< of two ports
  bool antenna_first = false;  ///< its port 1, not 2, faces the antenna
  bool transformer = false;    ///< its loss counts as a transformer's
};

using FeedPart = std::variant<Transformer, Line, CoreTransformer, Stub, Tuner, MeasuredPart>;

/// Under which name a part's loss is counted.
enum class LossKind { tuner, line, stub, transformer, two_port };
[[nodiscard]] LossKind loss_kind(const FeedPart& part) noexcept;

/// One part with what hangs on it. Shares are of the power that enters the first part after the radio.
struct FeedStage {
  std::complex<double> load;   ///< ohm, at its antenna end
  std::complex<double> input;  ///< ohm, at its radio end
  double entering = 0.0;       ///< share that enters it from the radio's side
  double lost = 0.0;           ///< share lost in it
  double loss_db = 0.0;        ///< exact loss with this load
  double matched = 0.0;        ///< lines: share that a load equal to its own complex z0 would lose
  double sensitivity = 1.0;    ///< |d input / d load|, a tuner held as it is set
  bool works = true;           ///< false: a tuner that cannot match this load and is passed by
};

/// What the radio sees and where its power goes, as shares of the power that enters the first part.
struct FeedResult {
  std::complex<double> radio_impedance;  ///< ohm
  /// At the antenna end of the line nearest to the radio (behind a transformer), against that line's nominal
  /// z0; without a line the same as swr_at_radio.
  double swr_on_line = 1.0;
  double swr_at_radio = 1.0;  ///< against the reference resistance
  double tuner = 0.0;
  double transformer = 0.0;
  double stub = 0.0;
  double two_port = 0.0;
  double line_matched = 0.0;      ///< what loads equal to the lines' own complex z0 would lose
  double line_extra = 0.0;        ///< exact less matched; may be negative (short line into a high resistance)
  double antenna = 1.0;           ///< reaches the port
  double line_loss_db = 0.0;      ///< exact loss of all lines together, dB
  double loss_db = 0.0;           ///< exact loss of all parts together, dB
  double sensitivity = 1.0;       ///< |d radio impedance / d load|
  std::vector<FeedStage> stages;  ///< one per part, in the parts' order
};

/// Runs the chain at one frequency, each line with its complex z0 (circuit/line.hpp), each transformer by
/// flat loss as made for `reference_resistance` on its radio side, each tuner set anew for its load.
/// @param load impedance at the port [ohm], Re load >= 0; with Re load = 0 nothing reaches it where there is
/// loss
/// @param reference_resistance of the SWR and of tuners [ohm], > 0
/// The shares from tuner to antenna add up to 1 within 1e-12; none but line_extra is negative, a measured
/// part's excepted (by the rounding of its file). @throws core::Error{usage} for parts out of range,
/// {numerics} for a load that is no passive impedance
[[nodiscard]] FeedResult run_feed(std::span<const FeedPart> parts, core::Frequency f,
                                  std::complex<double> load, double reference_resistance);

}  // namespace feldspar::circuit
