#pragma once

#include "circuit/line_data.hpp"
#include "circuit/two_port.hpp"
#include "core/quantity.hpp"

/// Stubs: pieces of line that are open or shorted at their far end.
namespace feldspar::circuit {

/// A piece of line hung on the feed line.
struct Stub {
  Line line;               ///< with its length
  bool open = true;        ///< at its far end; otherwise shorted there
  bool in_series = false;  ///< cut into one conductor; otherwise across both
};

/// Impedance at the stub's near end, z0 coth(gamma l) or z0 tanh(gamma l), ohm; no overflow at any length.
/// Without loss at most about 1e12 times z0. @throws core::Error{usage} for a line out of range
/// (circuit/line.hpp), or an open stub of length 0, which has none
[[nodiscard]] Complex stub_impedance(const Stub& stub, core::Frequency f);

/// Admittance there, S; the same the other way round: a shorted stub of length 0 has none. @throws
/// core::Error{usage}
[[nodiscard]] Complex stub_admittance(const Stub& stub, core::Frequency f);

/// Chain matrix: the stub in shunt or in series. Reciprocal and passive. An open stub of length 0 in shunt
/// and a shorted one in series do nothing.
/// @throws core::Error{usage} for a line out of range, or a stub that shorts or opens the line (length 0)
[[nodiscard]] TwoPort stub_two_port(const Stub& stub, core::Frequency f);

}  // namespace feldspar::circuit
