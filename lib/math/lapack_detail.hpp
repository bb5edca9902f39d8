#pragma once

#include <Eigen/Core>
#include <vector>

namespace feldspar::math {

/// Replaces a square matrix by its factors with LAPACK's zgetrf, on the calling thread only, whatever number
/// of threads the program has set for OpenBLAS; that number is as before when no call runs. Any number of
/// threads may call at once. False for a singular matrix and in a build without OpenBLAS.
[[nodiscard]] bool factor_by_lapack(Eigen::MatrixXcd& matrix, std::vector<int>& pivots);

}  // namespace feldspar::math
