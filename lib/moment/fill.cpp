#include "moment/fill.hpp"

#include <cstddef>

#include "moment/reactions_detail.hpp"

namespace feldspar::moment {

Eigen::MatrixXcd fill_local(const geometry::Mesh& mesh, const Basis& basis, const Surroundings& surroundings,
                            double tolerance, core::Work* work) {
  const int total = basis.offset.back();
  Eigen::MatrixXcd z(total, total);
  Reactions reactions(mesh, surroundings, tolerance);
  for (std::size_t n = 0; n < mesh.elements.size(); ++n)
    for (std::size_t m = 0; m <= n; ++m) {
      const kernel::Moments block = reactions.block(m, n);
      z.block(basis.offset[m], basis.offset[n], block.rows(), block.cols()) = block;
      if (m != n) z.block(basis.offset[n], basis.offset[m], block.cols(), block.rows()) = block.transpose();
    }
  if (work != nullptr) work->samples += reactions.samples();
  return z;
}

}  // namespace feldspar::moment
