#pragma once

#include <string_view>

#include "model/model.hpp"

/// How much of the peak power is average power while sending.
namespace feldspar::model {

/// Average over peak envelope power: voice 0.2 (conversation without processing), telegraphy 0.4, digital 1
/// (a constant carrier; modes that pause between transmissions have less over a longer time)
/// [fcc1997, OET Bulletin 65 Supplement B, quoted].
[[nodiscard]] constexpr double average_share(Mode mode) noexcept {
  return mode == Mode::voice ? 0.2 : mode == Mode::telegraphy ? 0.4 : 1.0;
}

/// "voice", "telegraphy", "digital".
[[nodiscard]] constexpr std::string_view mode_name(Mode mode) noexcept {
  return mode == Mode::voice ? "voice" : mode == Mode::telegraphy ? "telegraphy" : "digital";
}

}  // namespace feldspar::model
