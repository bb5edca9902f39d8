#include <doctest/doctest.h>

#include <Eigen/Dense>
#include <cmath>
#include <complex>
#include <random>

#include "math/dense_lu.hpp"

#ifdef FELDSPAR_HAS_OPENBLAS
extern "C" {
int openblas_get_num_threads();
void openblas_set_num_threads(int threads);
}
#endif

namespace feldspar::math {

namespace {

using Complex = std::complex<double>;

Eigen::MatrixXcd random_matrix(Eigen::Index rows, Eigen::Index columns, unsigned seed) {
  std::mt19937 generator(seed);
  std::uniform_real_distribution<double> uniform(-1.0, 1.0);
  Eigen::MatrixXcd matrix(rows, columns);
  for (Eigen::Index j = 0; j < columns; ++j)
    for (Eigen::Index i = 0; i < rows; ++i) {
      const double real = uniform(generator);
      matrix(i, j) = {real, uniform(generator)};
    }
  return matrix;
}

double backward_error(const Eigen::MatrixXcd& a, const Eigen::MatrixXcd& x, const Eigen::MatrixXcd& b) {
  return (b - a * x).norm() / (a.norm() * x.norm() + b.norm());
}

constexpr Eigen::Index kSizes[] = {1, 2, 3, 15, 16, 17, 64, 129};
constexpr double kRounding = 1e-14;  // 2^-53 times the growth of the pivots, which stays below 30 here

}  // namespace

TEST_CASE("dense_lu: every method solves random systems to rounding") {
  for (const Eigen::Index n : kSizes)
    for (const DenseLu::Method method :
         {DenseLu::Method::best, DenseLu::Method::eigen, DenseLu::Method::lapack}) {
      CAPTURE(n);
      CAPTURE(static_cast<int>(method));
      const Eigen::MatrixXcd a = random_matrix(n, n, 17U);
      const Eigen::MatrixXcd b = random_matrix(n, 3, 18U);
      const DenseLu lu(a, method);
      CHECK(backward_error(a, lu.solve(b), b) < kRounding);
      if (method == DenseLu::Method::eigen) CHECK_FALSE(lu.by_lapack());
      if (method == DenseLu::Method::lapack) CHECK(lu.by_lapack() == has_lapack());
    }
}

TEST_CASE("dense_lu: a zero on the diagonal is pivoted away") {
  Eigen::MatrixXcd a = random_matrix(40, 40, 19U);
  a.diagonal().setZero();
  const Eigen::MatrixXcd b = random_matrix(40, 1, 20U);
  CHECK(backward_error(a, DenseLu(a).solve(b), b) < kRounding);
}

TEST_CASE("dense_lu: a singular matrix gives no finite solution") {
  Eigen::MatrixXcd a = random_matrix(40, 40, 21U);
  a.col(7).setZero();
  CHECK_FALSE(DenseLu(a).solve(random_matrix(40, 1, 22U)).allFinite());
}

#ifdef FELDSPAR_HAS_OPENBLAS
TEST_CASE("dense_lu: leaves the program's own number of OpenBLAS threads as it was") {
  const int before = openblas_get_num_threads();
  for (const int threads : {2, 1}) {
    openblas_set_num_threads(threads);
    const int set = openblas_get_num_threads();  // a build without threads stays at 1
    CHECK(DenseLu(random_matrix(50, 50, 25U)).by_lapack());
    CHECK(openblas_get_num_threads() == set);
  }
  openblas_set_num_threads(before);
}
#endif

TEST_CASE("dense_lu: the same bits from one thread and from four at once") {
  const Eigen::MatrixXcd a = random_matrix(200, 200, 23U);
  const Eigen::MatrixXcd b = random_matrix(200, 1, 24U);
  const Eigen::MatrixXcd alone = DenseLu(a).solve(b);
  bool same = true;
#pragma omp parallel for num_threads(4) reduction(&& : same)
  for (int run = 0; run < 16; ++run) same = same && DenseLu(a).solve(b) == alone;
  CHECK(same);
}

}  // namespace feldspar::math
