#include "solver/add_circuit_detail.hpp"
#include "solver/add_fields_detail.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <vector>

#include "fields/cuts.hpp"
#include "fields/far_field.hpp"
#include "fields/gain.hpp"
#include "fields/power.hpp"
#include "solver/braid_detail.hpp"
#include "solver/inserts_detail.hpp"
#include "solver/voltages_detail.hpp"
#include "solver/wire_currents_detail.hpp"

namespace feldspar::solver {

namespace {

constexpr double kToDegrees = 180.0 / core::kPi;
constexpr double kElevations[] = {10.0, 30.0, 60.0, 90.0};  // degrees; common distances from far to overhead
constexpr double kBudgetWarning = 0.01;                     // share of the input that may stay unaccounted

void add_gain(const model::Model& model, const fields::Pattern& pattern, double unit_power, double accepted,
              results::FrequencyResult& result) {
  const auto maximum = fields::maximum_gain(pattern, core::Power{unit_power});
  if (!maximum) return;
  result.gain_dbi = fields::to_dbi(maximum->gain);
  result.gain_elevation_deg = maximum->direction.elevation.si * kToDegrees;
  if (!maximum->round)
    result.gain_azimuth_deg =
        fields::bearing(maximum->direction.azimuth, core::Angle{model.x_bearing}).si * kToDegrees;
  if (accepted > 0.0)
    result.gain_from_radio_dbi = *result.gain_dbi + 10.0 * std::log10(accepted / model.feed.power);
  std::vector<core::Angle> elevations;
  for (const double degrees : kElevations) elevations.emplace_back(degrees / kToDegrees);
  const std::vector<double> gains =
      fields::gain_at_elevations(pattern, *maximum, elevations, core::Power{unit_power});
  for (std::size_t i = 0; i < gains.size(); ++i)
    result.gain_at_elevation.push_back({kElevations[i], fields::to_dbi(gains[i])});
}

/// Gain in every direction of the grid of results/result.hpp.
std::vector<double> whole_pattern(const fields::Pattern& pattern, double x_bearing, double unit_power) {
  std::vector<double> gains;
  for (int e = 0; e < results::kPatternElevations; ++e)
    for (int b = 0; b < results::kPatternBearings; ++b) {
      const double bearing = results::kBearingStep * b / kToDegrees;
      const fields::Direction direction{core::Angle{results::kElevationStep * e / kToDegrees},
                                        core::Angle{x_bearing - bearing}};  // bearings run clockwise
      gains.push_back(fields::to_dbi(fields::gain(pattern, direction, core::Power{unit_power})));
    }
  return gains;
}

/// Power that currents below z = 0 give to their surroundings, W for 1 V at the first port: what the port
/// feeds there less what metal and inserts lose. With it the flux down through the surface is the ground's
/// power.
double work_below(const geometry::Structure& structure, const moment::Solution& solution,
                  const std::vector<double>& ohm_per_metre) {
  const moment::Currents& currents = solution.unit_currents.front();
  const std::vector<geometry::Span>& spans = structure.ports.front().spans;
  const double gap = geometry::length(spans);
  const auto is_below = [&](std::size_t e) {
    return solution.mesh.elements[e].start.z() + solution.mesh.elements[e].end.z() < 0.0;
  };
  double power = 0.0;
  geometry::for_elements_in(solution.mesh, spans, [&](std::size_t e, int sign) {
    if (is_below(e))
      power += 0.5 * sign * solution.mesh.elements[e].length() / gap * currents[e].coefficients[0].real();
  });
  for (std::size_t e = 0; e < currents.size(); ++e)
    if (is_below(e)) power -= ohm_per_metre[e] * fields::half_square_integral(currents[e]);
  return power;
}

/// What the metal and the inserts lose, W, and their ohms per metre.
struct SeriesLoss {
  std::vector<double> wires;    ///< ohm/m, per wire
  std::vector<double> inserts;  ///< ohm/m, per element
};

SeriesLoss add_series_losses(const model::Model& model, const moment::Solution& solution,
                             const ElectricalStructure& electrical, double scale,
                             results::FrequencyResult& result) {
  const moment::Currents& currents = solution.unit_currents.front();
  SeriesLoss loss;
  for (const std::complex<double>& z : electrical.series.per_metre) loss.wires.push_back(z.real());
  loss.inserts = insert_resistance(solution, electrical);
  result.power.wires = scale * fields::conductor_loss(currents, loss.wires);
  result.inserts = insert_results(model, solution, electrical, scale);
  for (const results::InsertResult& insert : result.inserts)
    (insert.choke ? result.power.choke : result.power.coils) += insert.lost;
  return loss;
}

/// The ground's power on its own where the currents allow it and somebody wants to know; otherwise what is
/// left.
void add_ground(const model::Model& model, core::Frequency f, const Options& options,
                const moment::Solution& solution, const ElectricalStructure& electrical, SeriesLoss loss,
                double unit_power, results::FrequencyResult& result) {
  const moment::Currents& currents = solution.unit_currents.front();
  results::PowerBudget& power = result.power;
  const double accepted = accepted_power(power);
  const double rest = accepted - power.sky - power.wires - power.coils - power.choke;
  const bool soil = model.ground.kind == media::GroundKind::real;
  // the flux through the near soil's surface knows nothing of a far soil
  const bool flux_known = soil && !model.far_soil && fields::knows_ground_power(currents);
  if (flux_known && (options.ground_flux || options.accuracy == Accuracy::fine)) {
    for (std::size_t e = 0; e < loss.inserts.size(); ++e)
      loss.inserts[e] += loss.wires[static_cast<std::size_t>(solution.mesh.elements[e].wire)];
    power.ground = accepted / unit_power *
                   (fields::ground_power(currents, model.ground, f) +
                    work_below(electrical.structure, solution, loss.inserts) +
                    fields::coat_flux(currents, electrical.series.sheath_capacitance, f));
    power.unaccounted = rest - power.ground;
  } else if (soil && rest >= 0.0) {
    power.ground = rest;
    result.ground_by_difference = true;
  } else {
    power.unaccounted = rest;
  }
  if (std::abs(power.unaccounted) > kBudgetWarning * accepted)
    result.warnings.push_back(
        {"budget", fmt::format("the power budget does not close: {:.1f} % of what the antenna "
                               "accepts is unaccounted for",
                               100.0 * power.unaccounted / accepted)});
}

}  // namespace

void add_fields(const model::Model& model, core::Frequency f, const Options& options,
                const moment::Solution& solution, const ElectricalStructure& electrical,
                results::FrequencyResult& result) {
  const moment::Currents& currents = solution.unit_currents.front();
  const double unit_power = 0.5 * solution.admittance(0, 0).real();  // 1 V across the port
  if (!(unit_power > 0.0))
    throw core::Error(core::ErrorKind::numerics,
                      "the port takes no power; its resistance came out as zero or below");
  const double accepted = accepted_power(result.power);
  const double scale = accepted / unit_power;
  const fields::Pattern pattern = model.far_soil ? fields::Pattern(currents, model.ground, f, *model.far_soil,
                                                                   core::Angle{model.x_bearing})
                                                 : fields::Pattern(currents, model.ground, f);
  result.power.sky = scale * fields::sky_power(pattern);
  result.radiation_efficiency = accepted > 0.0 ? std::optional(result.power.sky / accepted) : std::nullopt;
  const SeriesLoss loss = add_series_losses(model, solution, electrical, scale, result);
  add_ground(model, f, options, solution, electrical, loss, unit_power, result);
  add_gain(model, pattern, unit_power, accepted, result);
  if (options.keep.pattern) result.pattern_dbi = whole_pattern(pattern, model.x_bearing, unit_power);
  if (options.keep.view)
    result.view =
        fields::view(pattern, core::Power{unit_power}, core::Angle{model.x_bearing}, *options.keep.view);
  if (options.keep.currents) result.currents = wire_currents(model.structure, currents, scale);
  if (model.outside) result.braid = braid_current(*model.outside, solution, loss.wires, scale);
  const bool over_ground = model.ground.kind != media::GroundKind::free_space;
  result.wire_ends =
      wire_ends(electrical.structure, solution.end_potentials, over_ground, unit_power, accepted);
  result.feed_point = feed_point_voltage(electrical.structure, over_ground, unit_power, accepted);
}

}  // namespace feldspar::solver
