#include "moment/packed_solution.hpp"

#include <Eigen/LU>

namespace feldspar::moment {
namespace {

/// Calls visit(block) for every packed block, in order.
template <class AnySolution, class Visit>
void for_blocks(AnySolution& solution, const Visit& visit) {
  for (Eigen::Index column = 0; column < solution.admittance.cols(); ++column)
    visit(solution.admittance.col(column));
  for (auto& currents : solution.unit_currents)
    for (auto& element : currents) visit(element.coefficients);
  visit(solution.local_current);
  visit(solution.local_field);
}

Eigen::Index length_of(const Solution& solution) {
  auto length = static_cast<Eigen::Index>(solution.end_potentials.size());
  for_blocks(solution, [&](const auto& block) { length += block.size(); });
  return length;
}

}  // namespace

Eigen::VectorXcd pack(const Solution& solution) {
  Eigen::VectorXcd packed(length_of(solution));
  Eigen::Index at = 0;
  for_blocks(solution, [&](const auto& block) {
    packed.segment(at, block.size()) = block;
    at += block.size();
  });
  for (const EndPotential& end : solution.end_potentials) packed(at++) = end.potential;
  return packed;
}

void unpack(const Eigen::VectorXcd& packed, Solution& solution) {
  if (packed.size() != length_of(solution))
    throw core::Error(core::ErrorKind::numerics, "a packed solution belongs to another mesh");
  Eigen::Index at = 0;
  for_blocks(solution, [&](auto&& block) {
    block = packed.segment(at, block.size());
    at += block.size();
  });
  for (EndPotential& end : solution.end_potentials) end.potential = packed(at++);
  if (!solution.admittance.allFinite() || solution.admittance.isZero(0.0))
    throw core::Error(core::ErrorKind::numerics, "the interpolated admittance is not finite");
  solution.impedance = solution.admittance.inverse();
}

}  // namespace feldspar::moment
