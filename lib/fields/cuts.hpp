#pragma once

#include <optional>

#include "fields/far_field.hpp"
#include "results/pattern.hpp"

namespace feldspar::fields {

/// Cuts through the maximum in steps of 1 (elevation) and 2 degrees (bearing), widths, ratios, and what is
/// asked for besides; ends of beams to 0.01 degree, the deepest null among the bearings to 0.1 degree. Empty
/// when nothing is radiated.
/// @param accepted   power at the port, > 0
/// @param x_bearing  true bearing of +x
/// @throws core::Error{usage} for a step that does not divide 90 degrees
[[nodiscard]] std::optional<results::PatternView> view(const Pattern& pattern, core::Power accepted,
                                                       core::Angle x_bearing,
                                                       const results::PatternRequest& request = {});

}  // namespace feldspar::fields
