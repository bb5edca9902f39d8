#include "math/products.hpp"

#include <cassert>
#include <cstddef>
#include <vector>

#include "math/clones.hpp"

namespace feldspar::math {

namespace detail {

/// real += a column, imaginary += b column, for two columns.
FELDSPAR_CLONES void add_columns(const double* __restrict first, const double* __restrict second,
                                 std::size_t count, const double* factor, double* __restrict real,
                                 double* __restrict imaginary) noexcept {
  const double a0 = factor[0];
  const double b0 = factor[1];
  const double a1 = factor[2];
  const double b1 = factor[3];
#pragma omp simd
  for (std::size_t i = 0; i < count; ++i) {
    real[i] += a0 * first[i] + a1 * second[i];
    imaginary[i] += b0 * first[i] + b1 * second[i];
  }
}

FELDSPAR_CLONES void add_column(const double* __restrict column, std::size_t count, double a, double b,
                                double* __restrict real, double* __restrict imaginary) noexcept {
#pragma omp simd
  for (std::size_t i = 0; i < count; ++i) {
    real[i] += a * column[i];
    imaginary[i] += b * column[i];
  }
}

}  // namespace detail

namespace {

using Complex = std::complex<double>;

const double* numbers(const Complex* values) {
  return reinterpret_cast<const double*>(values);  // allowed for std::complex
}

double* numbers(Complex* values) {
  return reinterpret_cast<double*>(values);
}

}  // namespace

ProductParts product_parts(const Eigen::MatrixXcd& a, const Eigen::VectorXcd& x) {
  assert(a.cols() == x.size());
  ProductParts parts{Eigen::VectorXcd::Zero(a.rows()), Eigen::VectorXcd::Zero(a.rows())};
  const auto count = 2 * static_cast<std::size_t>(a.rows());
  double* const real = numbers(parts.of_real.data());
  double* const imaginary = numbers(parts.of_imaginary.data());
  Eigen::Index j = 0;
  for (; j + 1 < a.cols(); j += 2)
    detail::add_columns(numbers(&a(0, j)), numbers(&a(0, j + 1)), count, numbers(&x(j)), real, imaginary);
  if (j < a.cols()) detail::add_column(numbers(&a(0, j)), count, x(j).real(), x(j).imag(), real, imaginary);
  return parts;
}

void substitute(const Eigen::MatrixXcd& factors, Eigen::Ref<Eigen::VectorXcd> x) {
  assert(factors.rows() == factors.cols() && factors.rows() == x.size());
  const Eigen::Index n = x.size();
  // what the unknowns found so far take from each row
  Eigen::VectorXcd real = Eigen::VectorXcd::Zero(n);
  Eigen::VectorXcd imaginary = Eigen::VectorXcd::Zero(n);
  const auto left = [&](Eigen::Index i) {
    return x(i) - Complex(real(i).real() - imaginary(i).imag(), real(i).imag() + imaginary(i).real());
  };
  for (Eigen::Index j = 0; j < n; ++j) {
    x(j) = left(j);
    if (j + 1 < n)
      detail::add_column(numbers(&factors(0, j)) + 2 * (j + 1), 2 * static_cast<std::size_t>(n - j - 1),
                         x(j).real(), x(j).imag(), numbers(real.data()) + 2 * (j + 1),
                         numbers(imaginary.data()) + 2 * (j + 1));
  }
  real.setZero();
  imaginary.setZero();
  for (Eigen::Index j = n; j-- > 0;) {
    x(j) = left(j) / factors(j, j);
    detail::add_column(numbers(&factors(0, j)), 2 * static_cast<std::size_t>(j), x(j).real(), x(j).imag(),
                       numbers(real.data()), numbers(imaginary.data()));
  }
}

}  // namespace feldspar::math
