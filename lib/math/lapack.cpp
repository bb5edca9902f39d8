#include "math/lapack_detail.hpp"

#include "math/dense_lu.hpp"

#ifdef FELDSPAR_HAS_OPENBLAS

#include <omp.h>

#include <complex>
#include <cstddef>
#include <mutex>

extern "C" {
void zgetrf_(const int* rows, const int* columns, std::complex<double>* matrix, const int* stride,
             int* pivots, int* info);
int openblas_get_parallel();  // 0: no threads at all, 1: its own, 2: OpenMP's
int openblas_get_num_threads();
void openblas_set_num_threads(int threads);
}

namespace feldspar::math {

namespace {

constexpr int kOwnThreads = 1;
constexpr int kOpenMp = 2;

// How many factorisations run, and what the program had chosen before the first of them: OpenBLAS keeps one
// number for the whole process, so this is global too.
std::mutex guard;
int running = 0;
int chosen = 1;

/// While one of these lives, OpenBLAS computes on the calling thread only.
class OneThread {
 public:
  OneThread() {
    if (openblas_get_parallel() == kOpenMp) {  // the calling thread's own setting decides there
      openmp_before_ = omp_get_max_threads();
      omp_set_num_threads(1);
    } else if (openblas_get_parallel() == kOwnThreads) {
      const std::lock_guard<std::mutex> lock(guard);
      if (running++ > 0) return;
      chosen = openblas_get_num_threads();
      if (chosen != 1) openblas_set_num_threads(1);
    }
  }
  ~OneThread() {
    if (openblas_get_parallel() == kOpenMp) {
      omp_set_num_threads(openmp_before_);
    } else if (openblas_get_parallel() == kOwnThreads) {
      const std::lock_guard<std::mutex> lock(guard);
      if (--running == 0 && chosen != 1) openblas_set_num_threads(chosen);
    }
  }
  OneThread(const OneThread&) = delete;
  OneThread& operator=(const OneThread&) = delete;

 private:
  int openmp_before_ = 1;
};

}  // namespace

bool has_lapack() noexcept {
  return true;
}

bool factor_by_lapack(Eigen::MatrixXcd& matrix, std::vector<int>& pivots) {
  const int n = static_cast<int>(matrix.rows());
  pivots.resize(static_cast<std::size_t>(n));
  int info = 0;
  const OneThread one_thread;
  zgetrf_(&n, &n, matrix.data(), &n, pivots.data(), &info);
  return info == 0;
}

}  // namespace feldspar::math

#else

namespace feldspar::math {

bool has_lapack() noexcept {
  return false;
}

bool factor_by_lapack(Eigen::MatrixXcd& /*matrix*/, std::vector<int>& /*pivots*/) {
  return false;
}

}  // namespace feldspar::math

#endif
