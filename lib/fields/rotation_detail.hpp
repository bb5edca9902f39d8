#pragma once

#include "moment/current.hpp"

/// Rotational symmetry of given currents: what is known over one sector is known all round.
namespace feldspar::fields::detail {

/// The largest n for which a turn by 2 pi / n round the z axis maps the currents onto themselves, as far as
/// one orbit of n equal elements shows it; 1 without symmetry. Currents on the axis have any symmetry. Places
/// within 1e-9 of the extent, coefficients within 1e-8 of the largest.
[[nodiscard]] int rotation_order(const moment::Currents& currents);

/// Fewer copies with the same far field above the surface, each carrying more current.
///
/// To a wave with horizontal wavenumber at most k0 the currents of one element turned by angle t are a
/// function of t whose harmonics of order q are below (x/2)^q / q!, x = k0 times the largest distance from
/// the axis, but for one order that the tangent adds; so N evenly spaced copies give the mean over all angles
/// to 1e-16 when that bound is below it at N - 1, and any two such numbers give the same field.
/// @param rotation of rotation_order(); the currents come back as they are when it is too small
[[nodiscard]] moment::Currents thinned(const moment::Currents& currents, int rotation, double k0);

}  // namespace feldspar::fields::detail
