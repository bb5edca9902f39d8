#include <cmath>
#include <complex>
#include <cstddef>

#include "fields/power.hpp"
#include "solver/inserts_detail.hpp"
#include "solver/voltages_detail.hpp"

namespace feldspar::solver {

std::vector<double> insert_resistance(const moment::Solution& solution,
                                      const ElectricalStructure& electrical) {
  const std::vector<geometry::Insert>& inserts = electrical.structure.inserts;
  std::vector<double> resistance(solution.mesh.elements.size(), 0.0);
  for (std::size_t i = 0; i < inserts.size(); ++i) {
    const double share = electrical.series.inserts[i].real() / geometry::length(inserts[i].spans);
    geometry::for_elements_in(solution.mesh, inserts[i].spans,
                              [&](std::size_t e, int) { resistance[e] += share; });
  }
  return resistance;
}

std::vector<results::InsertResult> insert_results(const model::Model& model, const moment::Solution& solution,
                                                  const ElectricalStructure& electrical, double scale) {
  const moment::Currents& currents = solution.unit_currents.front();
  const std::vector<geometry::Insert>& inserts = electrical.structure.inserts;
  const bool over_ground = model.ground.kind != media::GroundKind::free_space;
  std::vector<results::InsertResult> list;
  for (std::size_t i = 0; i < inserts.size(); ++i) {
    const double length = geometry::length(inserts[i].spans);
    std::complex<double> mean = 0.0;
    double half_square = 0.0;  // of the current, over the insert's length, A^2 m
    geometry::for_elements_in(solution.mesh, inserts[i].spans, [&](std::size_t e, int sign) {
      mean += sign * solution.mesh.elements[e].length() / length * currents[e].coefficients[0];
      half_square += fields::half_square_integral(currents[e]);
    });
    const geometry::Span& span = inserts[i].spans.front();
    const geometry::Vec3 at = geometry::point_at(
        electrical.structure.wires[static_cast<std::size_t>(span.wire)], 0.5 * (span.from + span.to));
    results::InsertResult result;
    result.name = inserts[i].name;
    result.choke = model::is_choke(model, static_cast<int>(i));
    result.x = at.x();
    result.y = at.y();
    result.z = at.z();
    result.lost = scale * electrical.series.inserts[i].real() / length * half_square;
    result.current = std::sqrt(0.5 * scale) * std::abs(mean);
    result.voltage = std::abs(electrical.series.inserts[i]) * result.current;
    result.within_reach = within_reach(over_ground, result.z, result.voltage);
    list.push_back(result);
  }
  return list;
}

}  // namespace feldspar::solver
