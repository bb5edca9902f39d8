#pragma once

#include <vector>

#include "geometry/wire.hpp"
#include "moment/end_potential.hpp"
#include "results/result.hpp"

namespace feldspar::solver {

/// Whether a voltage at a height wants a mark: lower than 2.5 m over a ground, and above 50 V.
[[nodiscard]] bool within_reach(bool over_ground, double z, double volts);

/// Voltages at free wire ends above the surface, r.m.s., largest first. Copies of a wire ("radial (2)") whose
/// ends are equally high and, within 1 %, at the same voltage stand together under the first one's name and
/// place. Ends in the soil are left out: what can be touched there is the soil.
/// @param unit_power W that the port takes at 1 V peak, > 0   @param accepted W that it takes
[[nodiscard]] std::vector<results::WireEnd> wire_ends(const geometry::Structure& structure,
                                                      const std::vector<moment::EndPotential>& unit_ends,
                                                      bool over_ground, double unit_power, double accepted);

/// Voltage across the first port. Parameters as above.
[[nodiscard]] results::FeedPointVoltage feed_point_voltage(const geometry::Structure& structure,
                                                           bool over_ground, double unit_power,
                                                           double accepted);

}  // namespace feldspar::solver
