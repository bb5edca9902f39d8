#pragma once

#include <optional>
#include <span>
#include <vector>

#include "fields/far_field.hpp"

/// Gain after IEEE Std 145: 4 pi times the radiation intensity over the power accepted at the port; losses
/// count, mismatch does not.
namespace feldspar::fields {

/// @param accepted  > 0
[[nodiscard]] double gain(const Pattern& pattern, Direction d, core::Power accepted);

/// Gain by polarisation; the two add up to the gain.
struct PartialGain {
  double vertical = 0.0;
  double horizontal = 0.0;
};
[[nodiscard]] PartialGain partial_gain(const Pattern& pattern, Direction d, core::Power accepted);

/// 10 log10(g), -infinity for 0.
[[nodiscard]] double to_dbi(double gain) noexcept;

struct GainMaximum {
  double gain = 0.0;    ///< ratio
  Direction direction;  ///< azimuth in [0, 2 pi); of equal maxima one is taken
  bool round = false;   ///< over azimuth, at this elevation, the gain varies by less than kRoundDb
};
inline constexpr double kRoundDb = 1.5;

/// The largest gain: a grid that follows the structure's extent in wavelengths, then local refinement of the
/// best few grid points to 0.01 degree. Elevation 0 to 90 degrees over ground, -90 to 90 in free space. Empty
/// when nothing is radiated. @param accepted > 0
[[nodiscard]] std::optional<GainMaximum> maximum_gain(const Pattern& pattern, core::Power accepted);

/// Gain at given elevations: at the azimuth of the maximum, or, where the pattern is round, the largest over
/// azimuth (there the azimuth of the maximum is an accident).
[[nodiscard]] std::vector<double> gain_at_elevations(const Pattern& pattern, const GainMaximum& maximum,
                                                     std::span<const core::Angle> elevations,
                                                     core::Power accepted);

/// True bearing, clockwise from north in [0, 2 pi), of a mathematical azimuth. @param x_bearing bearing of +x
[[nodiscard]] core::Angle bearing(core::Angle azimuth, core::Angle x_bearing);

}  // namespace feldspar::fields
