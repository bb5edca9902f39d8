#include "moment/local_functions_detail.hpp"

#include <array>
#include <cstddef>

namespace feldspar::moment {

namespace {

using kernel::kRow;

/// 1 / (2k - 1)
constexpr auto kShare = [] {
  std::array<double, kernel::kMaxDegree + 1> share{};
  for (std::size_t k = 2; k < share.size(); ++k) share[k] = 1.0 / (2.0 * static_cast<double>(k) - 1.0);
  return share;
}();

/// Start node (P0 - P1)/2, end node (P0 + P1)/2, bubble k (P_k - P_{k-2})/(2k - 1), along one column.
void column_to_current(double* at, std::size_t order) noexcept {
  for (std::size_t k = order; k >= 2; --k) at[k] = (at[k] - at[k - 2]) * kShare[k];
  const double p0 = at[0];
  const double p1 = at[1];
  at[0] = 0.5 * (p0 - p1);
  at[1] = 0.5 * (p0 + p1);
}

/// The same across all columns, kRow rows at a time.
void rows_to_current(double* values, std::size_t order) noexcept {
  for (std::size_t k = order; k >= 2; --k) {
    double* to = values + k * kRow;
    const double* from = values + (k - 2) * kRow;
    for (std::size_t a = 0; a < kRow; ++a) to[a] = (to[a] - from[a]) * kShare[k];
  }
  for (std::size_t a = 0; a < kRow; ++a) {
    const double p0 = values[a];
    const double p1 = values[kRow + a];
    values[a] = 0.5 * (p0 - p1);
    values[kRow + a] = 0.5 * (p0 + p1);
  }
}

/// Derivatives -P0/h, P0/h and 2 P_{k-1}/h.
void column_to_derivative(double* at, std::size_t order, double share) noexcept {
  for (std::size_t k = order; k >= 2; --k) at[k] = 2.0 * share * at[k - 1];
  at[1] = share * at[0];
  at[0] = -at[1];
}

void rows_to_derivative(double* values, std::size_t order, double share) noexcept {
  for (std::size_t k = order; k >= 2; --k)
    for (std::size_t a = 0; a < kRow; ++a) values[k * kRow + a] = 2.0 * share * values[(k - 1) * kRow + a];
  for (std::size_t a = 0; a < kRow; ++a) {
    values[kRow + a] = share * values[a];
    values[a] = -values[kRow + a];
  }
}

}  // namespace

void to_currents(kernel::MomentSums& sums, int order_m, int order_n) noexcept {
  const auto rows = static_cast<std::size_t>(order_m);
  const auto columns = static_cast<std::size_t>(order_n);
  for (double* part : {sums.re, sums.im}) {
    for (std::size_t b = 0; b <= columns; ++b) column_to_current(part + b * kRow, rows);
    rows_to_current(part, columns);
  }
}

void to_derivatives(kernel::MomentSums& sums, int order_m, double length_m, int order_n,
                    double length_n) noexcept {
  const auto rows = static_cast<std::size_t>(order_m);
  const auto columns = static_cast<std::size_t>(order_n);
  for (double* part : {sums.re, sums.im}) {
    for (std::size_t b = 0; b < columns; ++b) column_to_derivative(part + b * kRow, rows, 1.0 / length_m);
    rows_to_derivative(part, columns, 1.0 / length_n);
  }
}

}  // namespace feldspar::moment
