#include "moment/end_potential.hpp"

#include <algorithm>
#include <cstddef>

namespace feldspar::moment {

std::vector<EndPotential> end_potentials(const geometry::Mesh& mesh, const Basis& basis,
                                         const Eigen::VectorXcd& rest) {
  std::vector<EndPotential> ends;
  for (const geometry::MeshNode& node : mesh.nodes) {
    if (node.arms.size() != 1 || node.grounded) continue;
    const geometry::ElementEnd& arm = node.arms.front();
    const auto e = static_cast<std::size_t>(arm.element);
    const geometry::Element& element = mesh.elements[e];
    const bool start = arm.end == 0;
    const std::complex<double> unbalanced = rest(basis.offset[e] + arm.end);
    ends.push_back(
        {element.wire, start, start ? element.start : element.end, start ? unbalanced : -unbalanced});
  }
  return ends;
}

std::vector<double> wire_power(const geometry::Mesh& mesh, const Eigen::VectorXcd& current,
                               const Eigen::VectorXcd& field) {
  int wires = 0;
  for (const geometry::Element& element : mesh.elements) wires = std::max(wires, element.wire + 1);
  std::vector<double> power(static_cast<std::size_t>(wires), 0.0);
  int from = 0;
  for (const geometry::Element& element : mesh.elements) {
    const int count = element.order + 1;
    power[static_cast<std::size_t>(element.wire)] +=
        0.5 * current.segment(from, count).dot(field.segment(from, count)).real();
    from += count;
  }
  return power;
}

}  // namespace feldspar::moment
