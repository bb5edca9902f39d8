#pragma once

#include "core/quantity.hpp"
#include "geometry/wire.hpp"
#include "media/dipole_field.hpp"
#include "media/ground.hpp"
#include "moment/current.hpp"

/// Electric and magnetic field close to given currents.
namespace feldspar::fields {

/// E [V/m] and H [A/m], peak phasors, at a point in free space, over perfect ground (0 below it), or above or
/// below the surface of a real ground; currents on either side. A point with z = 0 counts as above.
///
/// The sum of the fields of short dipoles (media/dipole_field.hpp) by Gauss quadrature along the axes of the
/// wires, pieces no longer than the distance from the point, or from its image for what the ground adds; 1e-7
/// of the largest contribution. The charges of a current that ends are part of it.
/// @note The current lies on the axis, so a point must be farther than a wire's radius from it. Over real
/// ground about a millisecond per sample, some tenths of a second for a whole antenna: for single points.
/// @throws core::Error{usage} for f <= 0, a point inside a wire, an element across the surface, or one below
/// perfect ground
[[nodiscard]] media::DipoleField near_field(const moment::Currents& currents, const media::Ground& ground,
                                            core::Frequency f, const geometry::Vec3& at);

}  // namespace feldspar::fields
