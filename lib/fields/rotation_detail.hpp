#pragma once

#include "moment/current.hpp"

/// Rotational symmetry of given currents: what is known over one sector is known all round.
namespace feldspar::fields::detail {

/// The largest n for which a turn by 2 pi / n round the z axis maps the currents onto themselves, as far as
/// one orbit of n equal elements shows it; 1 without symmetry. Currents on the axis have any symmetry. Places
/// within 1e-9 of the extent, coefficients within 1e-8 of the largest.
[[nodiscard]] int rotation_order(const moment::Currents& currents);

}  // namespace feldspar::fields::detail
