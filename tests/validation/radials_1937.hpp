#pragma once

#include <span>
#include <vector>

#include "radial_screen.hpp"

/// The measurements of Brown, Lewis & Epstein, "Ground systems as a factor in antenna efficiency", Proc. IRE
/// 25 (June 1937) 753-787: 3 MHz, base-fed mast of 2.5 inch tubing over buried copper radials. The figures
/// are readings of the paper's graphs posted by engineers (good to about 2 mV/m, 0.1 dB); depth and diameter
/// of the radials are from memory of the paper. The soil was not measured.
namespace feldspar::validation {

inline constexpr core::Frequency kRadialsFrequency{3e6};
inline constexpr double kMile = 1609.344;  ///< m
inline constexpr double kInput = 1000.0;   ///< W

/// Where a figure was read: the table for a mast of 75 degrees, the shortfall of a quarter-wave mast (Fig.
/// 30), or the field of a quarter-wave mast (Figs 30 and 31, another reader).
enum class Reading { mast_75_degrees, quarter_wave_shortfall, quarter_wave_field };

struct Measured {
  Reading reading = Reading::mast_75_degrees;
  int count = 0;             ///< of radials
  double wavelengths = 0.0;  ///< length of the radials as printed; built as 45, 90 or 135 feet
  double field = 0.0;        ///< mV/m at a mile for 1 kW
};

[[nodiscard]] std::span<const Measured> measured_1937();

/// The antenna of a figure: mast of 20.8 m (75 degrees) or a quarter wave, radials 0.15 m deep.
[[nodiscard]] RadialScreen screen_of(const Measured& figure);

struct Compared {
  Measured measured;
  double field = 0.0;      ///< mV/m, computed from the mast's current
  double launching = 1.0;  ///< launching_factor
  std::complex<double> impedance;
  [[nodiscard]] double error_db() const;  ///< of `field`
};

/// All figures with at most `most` radials over one soil.
[[nodiscard]] std::vector<Compared> compare_1937(const media::Ground& soil, int most = 1000,
                                                 bool launching = false);

/// Root of the mean square error, dB, over the figures that a predicate accepts.
template <class Accept>
double rms_error(const std::vector<Compared>& figures, Accept&& accept) {
  double sum = 0.0;
  int count = 0;
  for (const Compared& c : figures)
    if (accept(c)) {
      sum += c.error_db() * c.error_db();
      ++count;
    }
  return std::sqrt(sum / count);
}

}  // namespace feldspar::validation
