#include "moment/local_functions_detail.hpp"

#include <array>
#include <cstddef>

#include "math/clones.hpp"

namespace feldspar::moment {

namespace {

using kernel::kRow;

/// 1 / (2k - 1) from k = 2 on, 0 before
constexpr auto kShare = [] {
  std::array<double, kRow> share{};
  for (std::size_t k = 2; k < share.size(); ++k) share[k] = 1.0 / (2.0 * static_cast<double>(k) - 1.0);
  return share;
}();

/// Start node (P0 - P1)/2, end node (P0 + P1)/2, bubble k (P_k - P_{k-2})/(2k - 1): down the first kWidth
/// numbers of each column, then across columns.
template <std::size_t kWidth>
[[gnu::always_inline]] inline void to_current(double* values, std::size_t order) noexcept {
  for (std::size_t b = 0; b <= order; ++b) {
    double* const at = values + b * kRow;
    double old[kWidth + 2] = {};
    for (std::size_t a = 0; a < kWidth; ++a) old[a + 2] = at[a];
    for (std::size_t a = 0; a < kWidth; ++a) at[a] = (old[a + 2] - old[a]) * kShare[a];
    at[0] = 0.5 * (old[2] - old[3]);
    at[1] = 0.5 * (old[2] + old[3]);
  }
  for (std::size_t k = order; k >= 2; --k) {
    double* const to = values + k * kRow;
    const double* const from = values + (k - 2) * kRow;
    for (std::size_t a = 0; a < kWidth; ++a) to[a] = (to[a] - from[a]) * kShare[k];
  }
  for (std::size_t a = 0; a < kWidth; ++a) {
    const double p0 = values[a];
    const double p1 = values[kRow + a];
    values[a] = 0.5 * (p0 - p1);
    values[kRow + a] = 0.5 * (p0 + p1);
  }
}

/// Derivatives -P0/h, P0/h and 2 P_{k-1}/h, likewise.
template <std::size_t kWidth>
[[gnu::always_inline]] inline void to_derivative(double* values, std::size_t order, double share_m,
                                                 double share_n) noexcept {
  for (std::size_t b = 0; b <= order; ++b) {
    double* const at = values + b * kRow;
    double old[kWidth + 1] = {};
    for (std::size_t a = 0; a < kWidth; ++a) old[a + 1] = at[a];
    for (std::size_t a = 0; a < kWidth; ++a) at[a] = 2.0 * share_m * old[a];
    at[1] = share_m * old[1];
    at[0] = -at[1];
  }
  for (std::size_t k = order; k >= 2; --k)
    for (std::size_t a = 0; a < kWidth; ++a)
      values[k * kRow + a] = 2.0 * share_n * values[(k - 1) * kRow + a];
  for (std::size_t a = 0; a < kWidth; ++a) {
    values[kRow + a] = share_n * values[a];
    values[a] = -values[kRow + a];
  }
}

}  // namespace

namespace detail {

FELDSPAR_CLONES void to_current8(double* values, std::size_t order) noexcept {
  to_current<8>(values, order);
}

FELDSPAR_CLONES void to_current16(double* values, std::size_t order) noexcept {
  to_current<kRow>(values, order);
}

FELDSPAR_CLONES void to_derivative8(double* values, std::size_t order, double share_m,
                                    double share_n) noexcept {
  to_derivative<8>(values, order, share_m, share_n);
}

FELDSPAR_CLONES void to_derivative16(double* values, std::size_t order, double share_m,
                                     double share_n) noexcept {
  to_derivative<kRow>(values, order, share_m, share_n);
}

}  // namespace detail

void to_currents(kernel::MomentSums& sums, int order_m, int order_n) noexcept {
  for (double* part : {sums.re, sums.im})
    (order_m < 8 ? detail::to_current8 : detail::to_current16)(part, static_cast<std::size_t>(order_n));
}

void to_derivatives(kernel::MomentSums& sums, int order_m, double length_m, int order_n,
                    double length_n) noexcept {
  for (double* part : {sums.re, sums.im})
    (order_m < 8 ? detail::to_derivative8 : detail::to_derivative16)(part, static_cast<std::size_t>(order_n),
                                                                     1.0 / length_m, 1.0 / length_n);
}

}  // namespace feldspar::moment
