#pragma once

#include "kernel/contraction.hpp"

/// From moments with Legendre polynomials to those with the local functions of two elements, in place.
namespace feldspar::moment {

/// C_m M C_n^T with C = current_coefficients(order).
void to_currents(kernel::MomentSums& sums, int order_m, int order_n) noexcept;

/// D_m M D_n^T with D = derivative_coefficients(order, length), M the moments with P_0 ... P_{order-1}.
void to_derivatives(kernel::MomentSums& sums, int order_m, double length_m, int order_n,
                    double length_n) noexcept;

}  // namespace feldspar::moment
