#include "report/touchstone.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <optional>

#include "circuit/network_parameters.hpp"
#include "core/error.hpp"
#include "report/assumptions.hpp"
#include "report/number.hpp"

namespace feldspar::report {
namespace {

using results::FrequencyResult;

std::array<circuit::Complex, 4> two_port_row(const FrequencyResult& result, double reference) {
  const auto& z = result.z_matrix;
  const auto s = circuit::scattering_from_impedance(
      {z.at(0).at(0), z.at(0).at(1), z.at(1).at(0), z.at(1).at(1)}, {reference, reference});
  if (!s)
    throw core::Error(core::ErrorKind::numerics,
                      fmt::format("the impedance matrix at {} has no scattering parameters",
                                  format_frequency(result.frequency)));
  return *s;
}

/// What the file's numbers are, a line each.
std::vector<std::string> comments(const model::Model& model, const std::vector<FrequencyResult>& results,
                                  Plane plane, int ports) {
  std::vector<std::string> lines{model.title};
  const std::string parameters = describe_parameters(model);
  lines.push_back(model.name + (parameters.empty() ? "" : ": " + parameters));
  if (ports == 2)
    lines.push_back(fmt::format("Between the ports \"{}\" (1) and \"{}\" (2), without the feed.",
                                model.structure.ports.at(0).name, model.structure.ports.at(1).name));
  else
    lines.emplace_back(plane == Plane::radio ? "At the radio's connector, all parts of the feed counted."
                                             : "At the antenna's port, without the feed.");
  for (const std::string& line : describe_assumptions(model)) lines.push_back(line);
  double error = 0.0;
  for (const FrequencyResult& result : results) error = std::max(error, result.impedance_error_relative);
  if (!model.antenna)
    lines.push_back(fmt::format("Own error of the port's impedance: {} at most.", format_error(error)));
  return lines;
}

}  // namespace

circuit::NetworkData network_of(const model::Model& model, const std::vector<FrequencyResult>& results,
                                Plane plane) {
  const std::size_t ports = results.front().ports.size();
  if (plane == Plane::port && ports > 2)
    throw core::Error(
        core::ErrorKind::usage,
        fmt::format("a Touchstone file is written of one or two ports, and this model has {}; ask for "
                    "--plane radio, or leave ports out",
                    ports));
  const double reference = model.feed.reference_resistance;
  circuit::NetworkData data;
  data.ports = plane == Plane::port && ports == 2 ? 2 : 1;
  data.reference = {reference, reference};
  data.name = model.name;
  for (const FrequencyResult& result : results) {
    data.frequencies.push_back(result.frequency);
    if (data.ports == 2) {
      data.s.push_back(two_port_row(result, reference));
      continue;
    }
    const circuit::Complex z =
        plane == Plane::radio ? result.radio_impedance : result.ports.front().impedance;
    data.s.push_back({circuit::reflection_coefficient(z, reference)});
  }
  return data;
}

std::string solve_touchstone(const model::Model& model, const std::vector<FrequencyResult>& results,
                             Plane plane) {
  const circuit::NetworkData data = network_of(model, results, plane);
  circuit::TouchstoneFormat format;
  format.comments = comments(model, results, plane, data.ports);
  return circuit::write_touchstone(data, format);
}

}  // namespace feldspar::report
