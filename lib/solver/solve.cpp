#include "solver/solve.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <vector>

#include "fields/far_field.hpp"
#include "fields/gain.hpp"
#include "fields/power.hpp"
#include "geometry/validity.hpp"
#include "moment/solve.hpp"
#include "solver/braid_detail.hpp"
#include "solver/setting_detail.hpp"
#include "solver/voltages_detail.hpp"

namespace feldspar::solver {

namespace {

using core::Error;
using core::ErrorKind;

constexpr double kToDegrees = 180.0 / core::kPi;
constexpr double kElevations[] = {10.0, 30.0, 60.0, 90.0};  // degrees; common distances from far to overhead
constexpr double kMeshWarning = 0.02;                       // estimated |dZ|/|Z| that the user should know of
constexpr double kBudgetWarning = 0.01;                     // share of the input that may stay unaccounted
constexpr double kSoilConstantsUpTo = 60e6;                 // Hz; soils' numbers are those of HF
constexpr double kNearlyOpen = 2e4;                         // ohm

/// Ohm per metre lost in inserts, element by element. @param chosen of which inserts
std::vector<double> insert_resistance(const moment::Solution& solution, const geometry::Structure& structure,
                                      const moment::SeriesImpedance& series,
                                      const std::vector<char>& chosen) {
  std::vector<double> resistance(solution.mesh.elements.size(), 0.0);
  for (std::size_t i = 0; i < structure.inserts.size(); ++i) {
    if (chosen[i] == 0) continue;
    double total = 0.0;
    for (const geometry::Span& span : structure.inserts[i].spans) total += span.to - span.from;
    for (std::size_t e = 0; e < resistance.size(); ++e) {
      const geometry::Element& element = solution.mesh.elements[e];
      const double middle = 0.5 * (element.from + element.to);
      for (const geometry::Span& span : structure.inserts[i].spans)
        if (span.wire == element.wire && span.from < middle && middle < span.to)
          resistance[e] += series.inserts[i].real() / total;
    }
  }
  return resistance;
}

/// Voltage and current at the antenna end of a part through which `watts` pass into `load`.
void add_stage(const circuit::FeedStage& stage, double power, results::FrequencyResult& result) {
  const double passing = power * (stage.entering - stage.lost);
  results::PartResult part{
      stage.load, stage.input, power * stage.entering, power * stage.lost, stage.loss_db, 0.0,
      0.0,        stage.works};
  if (passing > 0.0) {
    part.current = std::sqrt(passing / stage.load.real());
    part.voltage = part.current * std::abs(stage.load);
  }
  if (stage.matched > 0.0) part.matched_loss_db = -10.0 * std::log10(1.0 - stage.matched / stage.entering);
  result.parts.push_back(part);
}

void warn_of_parts(const model::Feed& feed, core::Frequency f, results::FrequencyResult& result) {
  for (std::size_t i = 0; i < feed.parts.size(); ++i) {
    if (!result.parts[i].works)
      result.warnings.push_back(
          {"tuner", fmt::format("the tuner cannot match {:.4g} {} j{:.4g} ohm and is passed by",
                                result.parts[i].load.real(), result.parts[i].load.imag() < 0.0 ? "-" : "+",
                                std::abs(result.parts[i].load.imag()))});
    const auto* core = std::get_if<circuit::CoreTransformer>(&feed.parts[i]);
    if (core && circuit::outside_material_table(*core, f))
      result.warnings.push_back({"core-table",
                                 "the core's permeability is not given at this frequency; the nearest row is "
                                 "used"});
  }
}

/// SWR at the radio with the tuners left out; empty without one.
std::optional<double> swr_without_tuner(const model::Feed& feed, core::Frequency f,
                                        std::complex<double> load) {
  std::vector<circuit::FeedPart> parts = feed.parts;
  const auto count =
      std::erase_if(parts, [](const auto& part) { return std::holds_alternative<circuit::Tuner>(part); });
  if (count == 0) return std::nullopt;
  return circuit::run_feed(parts, f, load, feed.reference_resistance).swr_at_radio;
}

void add_circuit(const model::Model& model, core::Frequency f, results::FrequencyResult& result) {
  const circuit::FeedResult feed =
      circuit::run_feed(model.feed.parts, f, result.ports.front().impedance, model.feed.reference_resistance);
  const double power = model.feed.power;
  result.radio_impedance = feed.radio_impedance;
  result.swr_on_line = feed.swr_on_line;
  result.swr_at_radio = feed.swr_at_radio;
  result.swr_without_tuner = swr_without_tuner(model.feed, f, result.ports.front().impedance);
  const double error = result.impedance_error_relative * std::abs(result.ports.front().impedance);
  result.radio_error_relative = feed.sensitivity * error / std::abs(feed.radio_impedance);
  result.power.radio = power;
  result.power.tuner = feed.tuner * power;
  result.power.line_matched = feed.line_matched * power;
  result.power.line_extra = feed.line_extra * power;
  result.power.stub = feed.stub * power;
  result.power.transformer = feed.transformer * power;
  result.power.two_port = feed.two_port * power;
  for (const circuit::FeedStage& stage : feed.stages) add_stage(stage, power, result);
  warn_of_parts(model.feed, f, result);
}

/// What reaches the port.
double accepted_power(const results::PowerBudget& power) {
  return power.radio - power.tuner - power.line_matched - power.line_extra - power.stub - power.transformer -
         power.two_port;
}

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

/// Power that currents below z = 0 give to their surroundings, W for 1 V at the first port: what the port
/// feeds there less what metal and inserts lose. With it the flux down through the surface is the ground's
/// power.
double work_below(const geometry::Structure& structure, const moment::Solution& solution,
                  const std::vector<double>& ohm_per_metre) {
  const moment::Currents& currents = solution.unit_currents.front();
  const std::vector<geometry::Span>& spans = structure.ports.front().spans;
  double gap = 0.0;
  for (const geometry::Span& span : spans) gap += span.to - span.from;
  double power = 0.0;
  for (std::size_t e = 0; e < currents.size(); ++e) {
    const geometry::Element& element = solution.mesh.elements[e];
    if (element.start.z() + element.end.z() >= 0.0) continue;
    const double middle = 0.5 * (element.from + element.to);
    for (const geometry::Span& span : spans)
      if (span.wire == element.wire && span.from < middle && middle < span.to)
        power += 0.5 * span.sign * element.length() / gap * currents[e].coefficients[0].real();
    power -= ohm_per_metre[e] * fields::half_square_integral(currents[e]);
  }
  return power;
}

void add_fields(const model::Model& model, core::Frequency f, const Options& options,
                const moment::Solution& solution, const ElectricalStructure& electrical,
                results::FrequencyResult& result) {
  const moment::Currents& currents = solution.unit_currents.front();
  const double unit_power = 0.5 * solution.admittance(0, 0).real();  // 1 V across the port
  if (!(unit_power > 0.0))
    throw Error(ErrorKind::numerics, "the port takes no power; its resistance came out as zero or below");
  const double accepted = accepted_power(result.power);
  const double scale = accepted / unit_power;

  const fields::Pattern pattern = model.far_soil ? fields::Pattern(currents, model.ground, f, *model.far_soil,
                                                                   core::Angle{model.x_bearing})
                                                 : fields::Pattern(currents, model.ground, f);
  std::vector<double> resistance;
  for (const std::complex<double>& z : electrical.series.per_metre) resistance.push_back(z.real());
  results::PowerBudget& power = result.power;
  power.sky = scale * fields::sky_power(pattern);
  power.wires = scale * fields::conductor_loss(currents, resistance);
  std::vector<char> is_choke(electrical.structure.inserts.size(), 0);
  if (model.outside)
    for (const int choke : model.outside->chokes) is_choke[static_cast<std::size_t>(choke)] = 1;
  std::vector<char> is_coil(is_choke.size());
  std::transform(is_choke.begin(), is_choke.end(), is_coil.begin(), [](char c) { return c == 0 ? 1 : 0; });
  std::vector<double> ohm_per_metre =
      insert_resistance(solution, electrical.structure, electrical.series, is_coil);
  const std::vector<double> in_chokes =
      insert_resistance(solution, electrical.structure, electrical.series, is_choke);
  power.coils = scale * fields::series_loss(currents, ohm_per_metre);
  power.choke = scale * fields::series_loss(currents, in_chokes);
  if (model.outside) result.braid = braid_current(*model.outside, solution, resistance, scale);
  result.radiation_efficiency = accepted > 0.0 ? std::optional(power.sky / accepted) : std::nullopt;

  const bool soil = model.ground.kind == media::GroundKind::real;
  const double rest = accepted - power.sky - power.wires - power.coils - power.choke;
  // the flux through the near soil's surface knows nothing of a far soil
  const bool flux_known = soil && !model.far_soil && fields::knows_ground_power(currents);
  if (flux_known && (options.ground_flux || options.accuracy == Accuracy::fine)) {
    for (std::size_t e = 0; e < ohm_per_metre.size(); ++e)
      ohm_per_metre[e] += in_chokes[e] + resistance[static_cast<std::size_t>(solution.mesh.elements[e].wire)];
    power.ground = scale * (fields::ground_power(currents, model.ground, f) +
                            work_below(electrical.structure, solution, ohm_per_metre) +
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
  add_gain(model, pattern, unit_power, accepted, result);
  const bool over_ground = model.ground.kind != media::GroundKind::free_space;
  result.wire_ends =
      wire_ends(electrical.structure, solution.end_potentials, over_ground, unit_power, accepted);
  result.feed_point = feed_point_voltage(electrical.structure, over_ground, unit_power, accepted);
}

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
    if (insert.measured.empty() || insert.measured.back().frequency == 0.0) continue;  // at every frequency
    const double slack = 1e-9 * f.si;
    if (f.si >= insert.measured.front().frequency - slack && f.si <= insert.measured.back().frequency + slack)
      continue;
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

results::FrequencyResult solve(const model::Model& model, core::Frequency f, const Options& options) {
  check_input(model, f);
  if (model.antenna) return solve_known(model, f);
  results::FrequencyResult result;
  result.frequency = f.si;
  const geometry::Surface surface = moment::surface_of(model.ground);
  result.warnings = geometry::check_validity(
      model.structure, geometry::make_network(model.structure, surface), surface, core::wavelength(f));

  const ElectricalStructure rig = electrical(model.structure, f);
  const moment::Solution solution =
      moment::solve(rig.structure, rig.series, model.ground, f, setting_for(options.accuracy));
  result.unknowns = solution.unknowns;
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
  if (options.fields) add_fields(model, f, options, solution, rig, result);
  add_warnings(model, f, result);
  return result;
}

}  // namespace feldspar::solver
