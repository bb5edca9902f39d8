#pragma once

#include <optional>

#include "circuit/two_port.hpp"

/// Transformers by impedance ratio and a stated loss.
namespace feldspar::circuit {

/// A transformer by ratio and flat loss; ideal in every other way.
struct Transformer {
  double impedance_ratio = 1.0;  ///< antenna side over radio side, > 0
  double loss_db = 0.0;          ///< >= 0, into a matched load
  bool loss_assumed = false;     ///< the user left it out
};

/// Loss assumed when none is stated: 0.5 dB up to 16:1 (either way), 1 dB above. Common practice, no source.
[[nodiscard]] double assumed_transformer_loss_db(double impedance_ratio) noexcept;

/// A transformer with that loss, or with the assumed one (and marked so) when `loss_db` is empty.
/// @param impedance_ratio antenna side over radio side, > 0   @throws core::Error{usage}
[[nodiscard]] Transformer make_transformer(double impedance_ratio, std::optional<double> loss_db);

/// Chain matrix, port 1 towards the radio: an ideal transformer behind an attenuator of `loss_db` that is
/// matched to `radio_side_resistance` (equally to impedance_ratio times that on the antenna side).
///
/// What the loss means for a load that is not matched: the attenuator's resistances stand half for the
/// winding (in series) and half for the core (in shunt), and lose what the actual current and voltage make
/// them lose. Into impedance_ratio * radio_side_resistance exactly `loss_db` is lost and the radio side sees
/// a match; any other load loses more (0.5 dB stated: 0.79 dB at SWR 3, 2.0 dB at SWR 10), and SWR looks
/// better at the radio side than at the antenna side, as with every loss. It is passive, so it never makes
/// power, and the same at every frequency. Real cores deviate: where the loss is mostly in the core, high
/// impedances lose more than this, low ones less.
/// @param radio_side_resistance for which it was made, > 0 [ohm]   @throws core::Error{usage}
[[nodiscard]] TwoPort transformer_two_port(const Transformer& transformer, double radio_side_resistance);

}  // namespace feldspar::circuit
