#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <cstddef>

#include "geometry/mesh.hpp"
#include "geometry/validity.hpp"
#include "solver/setting_detail.hpp"
#include "solver/solve.hpp"
#include "solver/waves_near_soil_detail.hpp"

namespace feldspar::solver {

namespace {

CheckReport check_known(const circuit::KnownAntenna& antenna, core::Frequency f) {
  CheckReport report;
  if (!circuit::covers(antenna, f.si))
    report.warnings.push_back(
        {"antenna-table",
         fmt::format(
             "the antenna's impedance is not known at {:.6g} MHz: its table goes from {:.6g} to {:.6g} MHz",
             f.si / 1e6, antenna.table->frequencies.front() / 1e6, antenna.table->frequencies.back() / 1e6)});
  return report;
}

}  // namespace

CheckReport check(const model::Model& model, core::Frequency f, const Options& options) {
  check_input(model, f);
  if (model.antenna) return check_known(*model.antenna, f);
  const geometry::Surface surface = moment::surface_of(model.ground);
  const geometry::Network network = geometry::make_network(model.structure, surface);
  CheckReport report;
  report.warnings = geometry::check_validity(model.structure, network, surface, core::wavelength(f));
  for (const geometry::Wire& wire : model.structure.wires) {
    const auto [low, high] =
        std::minmax_element(wire.path.begin(), wire.path.end(),
                            [](const geometry::Vec3& a, const geometry::Vec3& b) { return a.z() < b.z(); });
    report.wires.push_back({wire.name, geometry::length(wire), low->z(), high->z()});
  }
  for (const geometry::Node& node : network.nodes) {
    std::vector<std::string> names;
    for (const geometry::Arm& arm : node.arms) {
      const auto wire = static_cast<std::size_t>(network.pieces[static_cast<std::size_t>(arm.piece)].wire);
      names.push_back(model.structure.wires[wire].name);
    }
    std::sort(names.begin(), names.end());
    names.erase(std::unique(names.begin(), names.end()), names.end());
    if (names.size() > 1 || node.grounded) report.junctions.push_back({node.at, names, node.grounded});
  }
  report.free_ends = geometry::free_ends(network);
  report.unknowns = geometry::unknowns(
      geometry::make_mesh(model.structure, network, setting_for(options.accuracy).mesh,
                          moment::wavelengths(model.ground, options.mesh_for.value_or(f))));
  report.waves = waves_near_soil(model, f);
  return report;
}

}  // namespace feldspar::solver
