#include "kernel/contraction.hpp"

#include <algorithm>
#include <array>
#include <memory>
#include <mutex>

#include "math/clones.hpp"
#include "math/quadrature.hpp"

namespace feldspar::kernel {

namespace detail {

/// Rows by the three-term recurrence, all points at a time: `work` holds three rows of `count`.
FELDSPAR_CLONES void fill_rows(const double* __restrict x, const double* __restrict weight, std::size_t count,
                               int degree, double* __restrict work, double* __restrict rows) noexcept {
  double* before = work;
  double* last = work + count;
  double* next = work + 2 * count;
  for (std::size_t i = 0; i < count; ++i) {
    before[i] = weight[i];
    last[i] = weight[i] * x[i];
    rows[i * kRow] = before[i];
  }
  if (degree > 0)
    for (std::size_t i = 0; i < count; ++i) rows[i * kRow + 1] = last[i];
  for (int k = 2; k <= degree; ++k) {
    const double up = (2.0 * k - 1.0) / k;
    const double down = (k - 1.0) / k;
#pragma omp simd
    for (std::size_t i = 0; i < count; ++i) next[i] = up * x[i] * last[i] - down * before[i];
    for (std::size_t i = 0; i < count; ++i) rows[i * kRow + static_cast<std::size_t>(k)] = next[i];
    double* const free = before;
    before = last;
    last = next;
    next = free;
  }
}

template <std::size_t kWidth>
[[gnu::always_inline]] inline void tensor(const double* __restrict m, std::size_t count_m,
                                          const double* __restrict n, std::size_t count_n,
                                          std::size_t columns, const double* __restrict re,
                                          const double* __restrict im, double scale,
                                          double* __restrict out_re, double* __restrict out_im) noexcept {
  for (std::size_t j = 0; j < count_n; ++j) {
    double half_re[kWidth] = {};
    double half_im[kWidth] = {};
    const double* kr = re + j * count_m;
    const double* ki = im + j * count_m;
    for (std::size_t i = 0; i < count_m; ++i) {
      const double* row = m + i * kRow;
      const double x = scale * kr[i];
      const double y = scale * ki[i];
#pragma omp simd
      for (std::size_t a = 0; a < kWidth; ++a) {
        half_re[a] += x * row[a];
        half_im[a] += y * row[a];
      }
    }
    const double* row = n + j * kRow;
    for (std::size_t b = 0; b < columns; ++b) {
      const double w = row[b];
      double* to_re = out_re + b * kRow;
      double* to_im = out_im + b * kRow;
#pragma omp simd
      for (std::size_t a = 0; a < kWidth; ++a) {
        to_re[a] += w * half_re[a];
        to_im[a] += w * half_im[a];
      }
    }
  }
}

FELDSPAR_CLONES void tensor8(const double* m, std::size_t count_m, const double* n, std::size_t count_n,
                             std::size_t columns, const double* re, const double* im, double scale,
                             double* out_re, double* out_im) noexcept {
  tensor<8>(m, count_m, n, count_n, columns, re, im, scale, out_re, out_im);
}

FELDSPAR_CLONES void tensor16(const double* m, std::size_t count_m, const double* n, std::size_t count_n,
                              std::size_t columns, const double* re, const double* im, double scale,
                              double* out_re, double* out_im) noexcept {
  tensor<16>(m, count_m, n, count_n, columns, re, im, scale, out_re, out_im);
}

template <std::size_t kWidth>
[[gnu::always_inline]] inline void diagonal(const double* __restrict m, const double* __restrict n,
                                            const double* __restrict weight, std::size_t count,
                                            std::size_t columns, double* __restrict out) noexcept {
  for (std::size_t b = 0; b < columns; ++b) {
    double sum[kWidth] = {};
    for (std::size_t i = 0; i < count; ++i) {
      const double w = weight[i] * n[i * kRow + b];
      const double* row = m + i * kRow;
#pragma omp simd
      for (std::size_t a = 0; a < kWidth; ++a) sum[a] += w * row[a];
    }
    for (std::size_t a = 0; a < kWidth; ++a) out[b * kRow + a] = sum[a];
  }
}

FELDSPAR_CLONES void diagonal8(const double* m, const double* n, const double* weight, std::size_t count,
                               std::size_t columns, double* out) noexcept {
  diagonal<8>(m, n, weight, count, columns, out);
}

FELDSPAR_CLONES void diagonal16(const double* m, const double* n, const double* weight, std::size_t count,
                                std::size_t columns, double* out) noexcept {
  diagonal<16>(m, n, weight, count, columns, out);
}

FELDSPAR_CLONES void axpy(const double* __restrict product, std::size_t count, double re, double im,
                          double* __restrict out_re, double* __restrict out_im) noexcept {
#pragma omp simd
  for (std::size_t i = 0; i < count; ++i) {
    out_re[i] += re * product[i];
    out_im[i] += im * product[i];
  }
}

FELDSPAR_CLONES void direct_sums(const double* __restrict re, const double* __restrict im, std::size_t count,
                                 double charge_re, double charge_im, double cosine,
                                 double* __restrict scalar_re, double* __restrict scalar_im,
                                 double* __restrict vector_re, double* __restrict vector_im) noexcept {
#pragma omp simd
  for (std::size_t i = 0; i < count; ++i) {
    scalar_re[i] += charge_re * re[i] - charge_im * im[i];
    scalar_im[i] += charge_re * im[i] + charge_im * re[i];
    vector_re[i] += cosine * re[i];
    vector_im[i] += cosine * im[i];
  }
}

}  // namespace detail

namespace {

constexpr int kKeptRules = 64;

/// Weighted rows of all degrees at the points of a Gauss rule on [-1, 1]; made once and kept (thread-safe).
const std::vector<double>& gauss_rows(int count) {
  static std::array<std::unique_ptr<const std::vector<double>>, kKeptRules + 1> kept;
  static std::array<std::once_flag, kKeptRules + 1> made;
  const auto at = static_cast<std::size_t>(count);
  std::call_once(made[at], [&] {
    const math::Rule& rule = math::gauss_legendre(count);
    std::vector<double> rows(rule.nodes.size() * kRow, 0.0);
    std::vector<double> work(3 * rule.nodes.size());
    detail::fill_rows(rule.nodes.data(), rule.weights.data(), rule.nodes.size(), kMaxDegree, work.data(),
                      rows.data());
    kept[at] = std::make_unique<const std::vector<double>>(std::move(rows));
  });
  return *kept[at];
}

}  // namespace

void MomentSums::clear(int degree_n) noexcept {
  const std::size_t used = (static_cast<std::size_t>(degree_n) + 1) * kRow;
  std::fill_n(re, used, 0.0);
  std::fill_n(im, used, 0.0);
}

void LegendreRows::set_gauss(int count, double from, double to, int degree) {
  count_ = static_cast<std::size_t>(count);
  if (from == -1.0 && to == 1.0 && count <= kKeptRules) {
    rows_ = gauss_rows(count).data();
    return;
  }
  const math::Rule& rule = math::gauss_legendre(count);
  const double half = 0.5 * (to - from);
  if (work_.size() < 5 * count_) work_.resize(5 * count_);
  double* x = work_.data() + 3 * count_;
  double* weight = x + count_;
  for (std::size_t i = 0; i < count_; ++i) {
    x[i] = from + half * (1.0 + rule.nodes[i]);
    weight[i] = half * rule.weights[i];
  }
  if (own_.size() < count_ * kRow) own_.resize(count_ * kRow);
  detail::fill_rows(x, weight, count_, degree, work_.data(), own_.data());
  rows_ = own_.data();
}

void LegendreRows::set_points(const double* x, std::size_t count, int degree) {
  count_ = count;
  if (work_.size() < 4 * count_) work_.resize(4 * count_);
  if (own_.size() < count_ * kRow) own_.resize(count_ * kRow);
  double* const weight = work_.data() + 3 * count_;
  std::fill_n(weight, count_, 1.0);
  detail::fill_rows(x, weight, count_, degree, work_.data(), own_.data());
  rows_ = own_.data();
}

void add_tensor(const LegendreRows& m, int degree_m, const LegendreRows& n, int degree_n, const double* re,
                const double* im, double scale, MomentSums& sums) noexcept {
  (degree_m < 8 ? detail::tensor8 : detail::tensor16)(m.row(0), m.size(), n.row(0), n.size(),
                                                      static_cast<std::size_t>(degree_n) + 1, re, im, scale,
                                                      sums.re, sums.im);
}

void diagonal_product(const LegendreRows& m, int degree_m, const LegendreRows& n, int degree_n,
                      std::size_t first, const double* weight, std::size_t count, double* product) noexcept {
  (degree_m < 8 ? detail::diagonal8 : detail::diagonal16)(m.row(first), n.row(first), weight, count,
                                                          static_cast<std::size_t>(degree_n) + 1, product);
}

void add_direct(const MomentSums& direct, int degree_n, std::complex<double> charge, double cosine,
                MomentSums& scalar, MomentSums& vector) noexcept {
  detail::direct_sums(direct.re, direct.im, (static_cast<std::size_t>(degree_n) + 1) * kRow, charge.real(),
                      charge.imag(), cosine, scalar.re, scalar.im, vector.re, vector.im);
}

void add_scaled(const double* product, int degree_n, double re, double im, MomentSums& sums) noexcept {
  detail::axpy(product, (static_cast<std::size_t>(degree_n) + 1) * kRow, re, im, sums.re, sums.im);
}

}  // namespace feldspar::kernel
