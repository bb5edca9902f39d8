#pragma once

#include <Eigen/Core>

#include "moment/solve.hpp"

/// What of a solution is a smooth function of frequency on one mesh, as a column of numbers.
namespace feldspar::moment {

/// Port admittances (column by column), currents, potentials of free ends, fields: all share their poles, the
/// natural frequencies of the structure with its ports short, and take conjugate values at negative
/// frequencies.
[[nodiscard]] Eigen::VectorXcd pack(const Solution& solution);

/// Puts packed numbers into a solution of the same structure, ports and mesh; what is not packed (estimates
/// of error, warnings) stays as it is. @param packed as long as pack(solution)
/// @throws Error{numerics} for another length or a singular admittance
void unpack(const Eigen::VectorXcd& packed, Solution& solution);

}  // namespace feldspar::moment
