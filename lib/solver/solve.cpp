#include "solver/solve.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <vector>

#include "geometry/validity.hpp"
#include "moment/solve.hpp"
#include "solver/add_circuit_detail.hpp"
#include "solver/add_fields_detail.hpp"
#include "solver/setting_detail.hpp"

namespace feldspar::solver {

namespace {

constexpr double kMeshWarning = 0.02;        // estimated |dZ|/|Z| that the user should know of
constexpr double kSoilConstantsUpTo = 60e6;  // Hz; soils' numbers are those of HF
constexpr double kNearlyOpen = 2e4;          // ohm

void warn_of_open_port(results::FrequencyResult& result) {
  const double magnitude = std::abs(result.ports.front().impedance);
  if (magnitude > kNearlyOpen)
    result.warnings.push_back(
        {"nearly-open", fmt::format("the port is nearly an open circuit ({:.0f} kilo-ohm): what "
                                    "is built there in detail decides the impedance",
                                    magnitude * 1e-3)});
}

/// An antenna known by its impedance: the circuit part of a solution, and nothing about fields.
results::FrequencyResult solve_known(const model::Model& model, core::Frequency f) {
  results::FrequencyResult result;
  result.frequency = f.si;
  result.ports.push_back({"feed", circuit::impedance_at(*model.antenna, f)});
  add_circuit(model, f, result);
  result.power.antenna = accepted_power(result.power);
  if (!(result.ports.front().impedance.real() > 0.0))
    result.warnings.push_back({"no-resistance", "the antenna has no resistance here, so it takes no power"});
  warn_of_open_port(result);
  return result;
}

void warn_of_chokes(const geometry::Structure& structure, core::Frequency f,
                    results::FrequencyResult& result) {
  for (const geometry::Insert& insert : structure.inserts) {
    const double slack = 1e-9 * f.si;
    if (f.si >= insert.law_from - slack && f.si <= insert.law_to + slack) continue;
    result.warnings.push_back(
        {"choke-table", fmt::format("the table of \"{}\" does not reach this frequency; the numbers of its "
                                    "nearest row are used",
                                    insert.name)});
  }
}

void add_warnings(const model::Model& model, core::Frequency f, results::FrequencyResult& result) {
  if (result.impedance_error_relative > kMeshWarning)
    result.warnings.push_back(
        {"mesh", fmt::format("the impedance is uncertain by about {:.1f} %; try --accuracy fine",
                             100.0 * result.impedance_error_relative)});
  warn_of_chokes(model.structure, f, result);
  if (model.ground.kind == media::GroundKind::real && f.si > kSoilConstantsUpTo)
    result.warnings.push_back(
        {"soil-frequency", "the soil's numbers are those of HF; above 60 MHz real soil differs"});
  if (media::outside_table(model.ground, f) ||
      (model.far_soil && media::outside_table(model.far_soil->ground, f)))
    result.warnings.push_back(
        {"soil-table",
         "the soil's table does not reach this frequency; the numbers of its nearest row are used"});
  if (model.ground.kind == media::GroundKind::real && model.ground.method == media::GroundMethod::plane_wave)
    result.warnings.push_back(
        {"plane-wave",
         "the ground is approximated by plane-wave reflection: impedance and ground loss of wires "
         "lower than about a quarter wavelength are not reliable"});
  warn_of_open_port(result);
}

}  // namespace

moment::Solution solve_currents(const model::Model& model, core::Frequency f, const Options& options) {
  check_input(model, f);
  const ElectricalStructure rig = electrical(model.structure, f);
  moment::Setting setting = setting_for(options.accuracy);
  setting.mesh_for = options.mesh_for;
  setting.threads = options.threads;
  setting.tables = options.tables;
  return moment::solve(rig.structure, rig.series, model.ground, f, setting);
}

results::FrequencyResult evaluate(const model::Model& model, core::Frequency f,
                                  const moment::Solution& solution, const Options& options) {
  results::FrequencyResult result;
  result.frequency = f.si;
  const geometry::Surface surface = moment::surface_of(model.ground);
  result.warnings = geometry::check_validity(
      model.structure, geometry::make_network(model.structure, surface), surface, core::wavelength(f));
  result.unknowns = solution.unknowns;
  result.work = solution.work;
  result.impedance_error_relative = solution.impedance_error_relative;
  result.resistance_error = solution.resistance_error;
  const auto ports = model.structure.ports.size();
  for (std::size_t p = 0; p < ports; ++p) {
    const auto i = static_cast<Eigen::Index>(p);
    result.ports.push_back({model.structure.ports[p].name, 1.0 / solution.admittance(i, i)});
  }
  if (ports > 1)
    for (Eigen::Index i = 0; i < solution.impedance.rows(); ++i) {
      result.z_matrix.emplace_back();
      for (Eigen::Index j = 0; j < solution.impedance.cols(); ++j)
        result.z_matrix.back().push_back(solution.impedance(i, j));
    }
  if (ports > 1 && solution.matrix_error_relative > kMeshWarning)
    result.warnings.push_back(
        {"z-matrix",
         fmt::format("the impedance matrix is uncertain by up to about {:.1f} % (the ports are closely "
                     "coupled); try --accuracy fine",
                     100.0 * solution.matrix_error_relative)});
  result.warnings.insert(result.warnings.end(), solution.warnings.begin(), solution.warnings.end());
  add_circuit(model, f, result);
  if (options.fields) add_fields(model, f, options, solution, electrical(model.structure, f), result);
  add_warnings(model, f, result);
  return result;
}

results::FrequencyResult solve(const model::Model& model, core::Frequency f, const Options& options) {
  check_input(model, f);
  if (model.antenna) return solve_known(model, f);
  return evaluate(model, f, solve_currents(model, f, options), options);
}

}  // namespace feldspar::solver
