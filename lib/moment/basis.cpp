#include "moment/basis.hpp"

#include <cstddef>

namespace feldspar::moment {

LocalMatrix current_coefficients(int order) {
  LocalMatrix t = LocalMatrix::Zero(order + 1, order + 1);
  t(0, 0) = 0.5;
  t(0, 1) = -0.5;
  t(1, 0) = 0.5;
  t(1, 1) = 0.5;
  for (int k = 2; k <= order; ++k) {
    t(k, k) = 1.0 / (2 * k - 1);
    t(k, k - 2) = -1.0 / (2 * k - 1);
  }
  return t;
}

LocalMatrix derivative_coefficients(int order, double length) {
  LocalMatrix d = LocalMatrix::Zero(order + 1, order);
  d(0, 0) = -1.0 / length;
  d(1, 0) = 1.0 / length;
  for (int k = 2; k <= order; ++k) d(k, k - 1) = 2.0 / length;
  return d;
}

Basis make_basis(const geometry::Mesh& mesh) {
  Basis basis;
  basis.offset.push_back(0);
  for (const geometry::Element& element : mesh.elements)
    basis.offset.push_back(basis.offset.back() + element.order + 1);

  std::vector<Eigen::Triplet<double>> entries;
  int next = 0;
  const auto local = [&](const geometry::ElementEnd& arm) {
    return basis.offset[static_cast<std::size_t>(arm.element)] + arm.end;
  };
  // Current that leaves the node along an arm counts positive: against the element's own sense at its end.
  const auto outward = [](const geometry::ElementEnd& arm) { return arm.end == 0 ? 1.0 : -1.0; };
  for (const geometry::MeshNode& node : mesh.nodes) {
    if (node.arms.empty()) continue;
    const std::size_t first = node.grounded ? 0 : 1;
    for (std::size_t j = first; j < node.arms.size(); ++j) {
      entries.emplace_back(local(node.arms[j]), next, outward(node.arms[j]));
      if (!node.grounded) entries.emplace_back(local(node.arms[0]), next, -outward(node.arms[0]));
      basis.is_top.push_back(0);
      ++next;
    }
  }
  for (std::size_t e = 0; e < mesh.elements.size(); ++e)
    for (int k = 2; k <= mesh.elements[e].order; ++k) {
      entries.emplace_back(basis.offset[e] + k, next, 1.0);
      basis.is_top.push_back(k == mesh.elements[e].order ? 1 : 0);
      ++next;
    }
  basis.combine.resize(basis.offset.back(), next);
  basis.combine.setFromTriplets(entries.begin(), entries.end());
  return basis;
}

}  // namespace feldspar::moment
