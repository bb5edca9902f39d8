#pragma once

#include <complex>
#include <optional>

/// What the radio sees as things at the radio's end of the line's outside change. Plain values, SI units.
namespace feldspar::results {

/// The same rig at the same frequency with one thing at that end.
struct TouchEnd {
  std::complex<double> impedance;  ///< ohm, at the port
  double swr_at_radio = 1.0;       ///< may be infinite; the feed's tuners left out, which would hide it
  double impedance_error_relative = 0.0;   ///< |dZ|/|Z|, the calculation's own
  double radio_error_relative = 0.0;       ///< |dZ|/|Z| at the radio that follows from it
  std::optional<double> current_at_radio;  ///< A r.m.s., on the outside; empty when fields are not asked for
};

/// Three things that may hang there; one that cannot be had is empty.
struct Touch {
  std::optional<TouchEnd> open;      ///< nothing
  std::optional<TouchEnd> operated;  ///< body and set
  std::optional<TouchEnd> earthed;   ///< a stake
};

}  // namespace feldspar::results
