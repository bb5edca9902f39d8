#pragma once

#include <optional>

#include "circuit/touchstone.hpp"

/// An antenna of which nothing but the impedance at its port is known: measured, or given as a number.
namespace feldspar::circuit {

struct KnownAntenna {
  Complex impedance{50.0, 0.0};      ///< ohm, Re >= 0, at every frequency; not used when there is a table
  std::optional<NetworkData> table;  ///< of one port, passive
};

/// Impedance at the port, ohm. @throws core::Error{usage} outside the table
[[nodiscard]] Complex impedance_at(const KnownAntenna& antenna, core::Frequency f);

/// Whether the impedance is known at that frequency [Hz].
[[nodiscard]] bool covers(const KnownAntenna& antenna, double f) noexcept;

}  // namespace feldspar::circuit
