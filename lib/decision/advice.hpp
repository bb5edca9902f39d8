#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "results/band_table.hpp"
#include "results/result.hpp"

/// What a result means for the person at the radio. The limits are common practice (no source) except where
/// said.
namespace feldspar::decision {

/// Which tuner a band needs, from the largest SWR at the radio inside it.
enum class Tuner {
  none,          ///< SWR up to 2
  radio,         ///< up to 3: the tuner built into many radios
  wide_range,    ///< up to 10
  out_of_range,  ///< above, or not a number
};

/// @param largest_swr at the radio, >= 1, may be infinite
[[nodiscard]] Tuner tuner_advice(double largest_swr) noexcept;

/// For scripts: "none", "radio", "wide-range", "out-of-range". Stable.
[[nodiscard]] std::string_view tuner_key(Tuner tuner) noexcept;

/// For people, short enough for a table: "none", "radio's own", "wide-range", "out of range".
[[nodiscard]] std::string_view tuner_word(Tuner tuner) noexcept;

/// For people, with the reason: "out of range for a tuner at the radio (line would lose 7.4 dB)"; otherwise
/// as tuner_word().
/// @param line_loss_db exact loss of the line at that SWR with a lossless tuner at the radio; empty without a
/// line
[[nodiscard]] std::string tuner_text(Tuner tuner, std::optional<double> line_loss_db);

/// Whether a low SWR is the work of loss: SWR below 2 while the sky gets less than 20 % of the power that
/// enters the first part after the radio, or an antenna known by its impedance only does. Not
/// where a tuner of the model's own works: the match is its doing. @param swr at the radio, at the same
/// frequency as `power`
[[nodiscard]] bool low_swr_comes_from_loss(double swr, const results::PowerBudget& power) noexcept;

inline constexpr std::string_view kLowSwrFromLoss = "low SWR here comes from loss";

/// What becomes of the SWR at the radio as things at the radio's end of the line's outside change.
struct TouchRange {
  int ends = 0;          ///< how many are known
  double lowest = 1.0;   ///< SWR
  double largest = 1.0;  ///< SWR
  /// The largest over the lowest SWR exceeds 1.2, a change that the meter of any radio shows (common
  /// practice, no source), and the two differ by more than the calculation's own errors together.
  bool line_is_antenna = false;
};
[[nodiscard]] TouchRange touch_range(const results::Touch& touch) noexcept;

/// One place where power goes instead of to the sky.
struct Loss {
  std::string_view name;  ///< for people: "ground", "line", ...
  double power = 0.0;     ///< W
  double share = 0.0;     ///< of the radio's power, 0..1
};

/// The largest losses, largest first: tuner, line (matched and extra together), stubs, transformer, measured
/// parts, choke, coils, wires, ground. Those below 0.1 % of the radio's power are left out, so there may be
/// fewer than `count`. What is unaccounted for is an error of the calculation and no loss. @param count >= 0
[[nodiscard]] std::vector<Loss> largest_losses(const results::PowerBudget& power, int count = 2);

/// The three for a band.
struct BandAdvice {
  Tuner tuner = Tuner::out_of_range;
  std::string tuner_text;
  bool low_swr_from_loss = false;  ///< at the middle
  std::vector<Loss> losses;        ///< at the middle, at most two
};

/// @param row its largest SWR, its line loss there, and its middle
[[nodiscard]] BandAdvice advise(const results::BandRow& row);

}  // namespace feldspar::decision
