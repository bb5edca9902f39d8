#pragma once

#include <array>

#include "circuit/two_port.hpp"

/// Z, Y, H and G as scattering parameters, whatever of them exists (private to this module).
namespace feldspar::circuit::detail {

using Matrix = std::array<Complex, 4>;  ///< 11, 12, 21, 22

/// Divides by the references what has a dimension, as version 1 has it done already.
/// @param parameter  'z', 'y', 'h' or 'g'   @param reference  ohm, of each port
[[nodiscard]] Matrix normalised(char parameter, const Matrix& m, const std::array<double, 2>& reference);

/// S of normalised parameters; not finite where there is none. @param parameter  's', 'z', 'y', 'h' or 'g'
[[nodiscard]] Matrix scattering_of(char parameter, const Matrix& m);

}  // namespace feldspar::circuit::detail
