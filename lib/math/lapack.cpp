#include "math/lapack_detail.hpp"

#include "math/dense_lu.hpp"

#ifdef FELDSPAR_OPENBLAS_FILE

#include <dlfcn.h>
#include <omp.h>
#include <sched.h>

#include <complex>
#include <cstddef>
#include <mutex>

namespace feldspar::math {

namespace {

constexpr int kOwnThreads = 1;  // of get_parallel(); 0: no threads at all
constexpr int kOpenMp = 2;

/// What is used of OpenBLAS; all null where it is not installed.
struct Library {
  void (*zgetrf)(const int* rows, const int* columns, std::complex<double>* matrix, const int* stride,
                 int* pivots, int* info) = nullptr;
  int (*get_parallel)() = nullptr;
  int (*get_num_threads)() = nullptr;
  void (*set_num_threads)(int threads) = nullptr;
};

/// Keeps the calling thread on one processor: OpenBLAS starts a thread for every further one as it is loaded,
/// and these would spin for a tenth of a second each, waiting for work that never comes.
class OnOneProcessor {
 public:
  OnOneProcessor() {
    if (sched_getaffinity(0, sizeof before_, &before_) != 0) return;
    cpu_set_t one;
    CPU_ZERO(&one);
    const int here = sched_getcpu();
    if (here < 0 || here >= CPU_SETSIZE) return;
    CPU_SET(static_cast<std::size_t>(here), &one);
    changed_ = sched_setaffinity(0, sizeof one, &one) == 0;
  }
  ~OnOneProcessor() {
    if (changed_) sched_setaffinity(0, sizeof before_, &before_);
  }
  OnOneProcessor(const OnOneProcessor&) = delete;
  OnOneProcessor& operator=(const OnOneProcessor&) = delete;

 private:
  cpu_set_t before_{};
  bool changed_ = false;
};

template <class Function>
bool find(void* handle, const char* name, Function& function) {
  function = reinterpret_cast<Function>(dlsym(handle, name));
  return function != nullptr;
}

Library load() {
  void* handle = dlopen(FELDSPAR_OPENBLAS_FILE, RTLD_NOW | RTLD_LOCAL | RTLD_NOLOAD);  // the program's own
  if (handle == nullptr) {
    const OnOneProcessor pinned;
    handle = dlopen(FELDSPAR_OPENBLAS_FILE, RTLD_NOW | RTLD_LOCAL);
  }
  Library found;
  if (handle == nullptr || !find(handle, "zgetrf_", found.zgetrf) ||
      !find(handle, "openblas_get_parallel", found.get_parallel) ||
      !find(handle, "openblas_get_num_threads", found.get_num_threads) ||
      !find(handle, "openblas_set_num_threads", found.set_num_threads))
    return {};
  return found;
}

/// Loaded by the first call: that takes 5 ms, which programs that factor no large matrix need not spend.
const Library& library() {
  static const Library loaded = load();
  return loaded;
}

// How many factorisations run, and what the program had chosen before the first of them: OpenBLAS keeps one
// number for the whole process, so this is global too.
std::mutex guard;
int running = 0;
int chosen = 1;

/// While one of these lives, OpenBLAS computes on the calling thread only.
class OneThread {
 public:
  OneThread() : parallel_(library().get_parallel()) {
    if (parallel_ == kOpenMp) {  // the calling thread's own setting decides there
      openmp_before_ = omp_get_max_threads();
      omp_set_num_threads(1);
    } else if (parallel_ == kOwnThreads) {
      const std::lock_guard<std::mutex> lock(guard);
      if (running++ > 0) return;
      chosen = library().get_num_threads();
      if (chosen != 1) library().set_num_threads(1);
    }
  }
  ~OneThread() {
    if (parallel_ == kOpenMp) {
      omp_set_num_threads(openmp_before_);
    } else if (parallel_ == kOwnThreads) {
      const std::lock_guard<std::mutex> lock(guard);
      if (--running == 0 && chosen != 1) library().set_num_threads(chosen);
    }
  }
  OneThread(const OneThread&) = delete;
  OneThread& operator=(const OneThread&) = delete;

 private:
  int parallel_;
  int openmp_before_ = 1;
};

}  // namespace

bool has_lapack() noexcept {
  return library().zgetrf != nullptr;
}

bool factor_by_lapack(Eigen::MatrixXcd& matrix, std::vector<int>& pivots) {
  if (!has_lapack()) return false;
  const int n = static_cast<int>(matrix.rows());
  pivots.resize(static_cast<std::size_t>(n));
  int info = 0;
  const OneThread one_thread;
  library().zgetrf(&n, &n, matrix.data(), &n, pivots.data(), &info);
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
