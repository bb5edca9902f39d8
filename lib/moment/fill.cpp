#include "moment/fill.hpp"

#include <cstddef>
#include <exception>

#include "moment/reactions_detail.hpp"

namespace feldspar::moment {

Eigen::MatrixXcd fill_local(const geometry::Mesh& mesh, const Basis& basis, const Surroundings& surroundings,
                            double tolerance, core::Work* work, int threads) {
  const int total = basis.offset.back();
  Eigen::MatrixXcd z(total, total);
  const auto last = static_cast<std::ptrdiff_t>(mesh.elements.size());
  std::exception_ptr failure;
  std::size_t samples = 0;
#pragma omp parallel num_threads(threads) if (threads > 1) reduction(+ : samples)
  {
    Reactions reactions(mesh, surroundings, tolerance);
    // columns grow longer, so the longest come first
#pragma omp for schedule(dynamic)
    for (std::ptrdiff_t i = 0; i < last; ++i) {
      try {
        const auto n = static_cast<std::size_t>(last - 1 - i);
        for (std::size_t m = 0; m <= n; ++m) {
          const kernel::Moments block = reactions.block(m, n);
          z.block(basis.offset[m], basis.offset[n], block.rows(), block.cols()) = block;
          if (m != n)
            z.block(basis.offset[n], basis.offset[m], block.cols(), block.rows()) = block.transpose();
        }
      } catch (...) {
#pragma omp critical(feldspar_fill)
        failure = std::current_exception();
      }
    }
    samples += reactions.samples();
  }
  if (failure) std::rethrow_exception(failure);
  if (work != nullptr) work->samples += samples;
  return z;
}

}  // namespace feldspar::moment
