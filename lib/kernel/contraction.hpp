#pragma once

#include <complex>
#include <cstddef>
#include <vector>

/// Sums of Legendre functions of two elements times sampled kernels, as small dense products over contiguous
/// arrays.
namespace feldspar::kernel {

inline constexpr int kMaxDegree = 15;    ///< largest polynomial degree of a current on one element
inline constexpr std::size_t kRow = 16;  ///< numbers per row: degrees 0 to kMaxDegree

/// A complex matrix of moments: entry (a, b) at [b * kRow + a].
struct MomentSums {
  alignas(64) double re[kRow * kRow];
  alignas(64) double im[kRow * kRow];
  /// Zeroes what elements of these degrees use.
  void clear(int degree_n) noexcept;
};

/// Rows of P_0(x) ... P_degree(x) times a weight, kRow numbers per point, zeros behind the degree up to the
/// next multiple of 8.
class LegendreRows {
 public:
  /// At the points of the Gauss rule of `count` points on a part [from, to] of [-1, 1], weighted with the
  /// rule's weights times half the part.
  void set_gauss(int count, double from, double to, int degree);
  /// At given points, weight 1.
  void set_points(const double* x, std::size_t count, int degree);
  [[nodiscard]] const double* row(std::size_t point) const { return rows_ + point * kRow; }
  [[nodiscard]] std::size_t size() const { return count_; }

 private:
  const double* rows_ = nullptr;
  std::size_t count_ = 0;
  std::vector<double> own_;
  std::vector<double> work_;
};

/// sums(a, b) += scale * sum over i, j of m.row(i)[a] n.row(j)[b] K(i, j), K at [j * m.size() + i].
void add_tensor(const LegendreRows& m, int degree_m, const LegendreRows& n, int degree_n, const double* re,
                const double* im, double scale, MomentSums& sums) noexcept;

/// product(a, b) = sum over i < count of weight[i] m.row(first + i)[a] n.row(first + i)[b], real, in the
/// layout of MomentSums::re.
void diagonal_product(const LegendreRows& m, int degree_m, const LegendreRows& n, int degree_n,
                      std::size_t first, const double* weight, std::size_t count, double* product) noexcept;

/// scalar += charge * direct, vector += cosine * direct.
void add_direct(const MomentSums& direct, int degree_n, std::complex<double> charge, double cosine,
                MomentSums& scalar, MomentSums& vector) noexcept;

/// sums += (re + j im) product.
void add_scaled(const double* product, int degree_n, double re, double im, MomentSums& sums) noexcept;

}  // namespace feldspar::kernel
