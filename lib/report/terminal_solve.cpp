#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "report/assumptions.hpp"
#include "report/explain_text.hpp"
#include "report/feed_parts.hpp"
#include "report/number.hpp"
#include "report/terminal.hpp"
#include "report/text_table.hpp"
#include "report/touch_text.hpp"
#include "report/voltages_text.hpp"
#include "results/power_parts.hpp"

namespace feldspar::report {
namespace {

using results::FrequencyResult;

std::string impedance_text(std::complex<double> z, double resistance_error, double reactance_error) {
  const auto unit = [](double value, double error) {
    return digit_unit(error, std::abs(value) < 99.95 ? 0.1 : 1.0);
  };
  const std::string reactance = format_number(std::abs(z.imag()), unit(z.imag(), reactance_error));
  return fmt::format("{} {} j {} ohm", format_number(z.real(), unit(z.real(), resistance_error)),
                     z.imag() < 0.0 ? "-" : "+", reactance);
}

std::string item(const std::string& name, const std::string& value) {
  return wrap(fmt::format("  {:<18}{}", name, value), 80, 20);
}

bool has_line(const model::Model& model) {
  return std::any_of(model.feed.parts.begin(), model.feed.parts.end(), [](const circuit::FeedPart& part) {
    return std::holds_alternative<circuit::Line>(part);
  });
}

std::string matrix_text(const FrequencyResult& result) {
  std::string text = "  Impedance matrix, ohm (rows and columns in the order of the ports)\n";
  for (std::size_t i = 0; i < result.z_matrix.size(); ++i) {
    text += fmt::format("    {:<14}", i < result.ports.size() ? result.ports[i].name : "");
    for (const std::complex<double>& z : result.z_matrix[i]) {
      const double error = result.impedance_error_relative * std::abs(z);
      text += fmt::format("{:>24}", impedance_text(z, error, error));
    }
    text += '\n';
  }
  return text;
}

std::string gain_items(const model::Model& model, const FrequencyResult& result, double relative) {
  if (model.antenna) return item("Gain", "not known: the antenna is given by its impedance only");
  if (!result.gain_dbi) return item("Gain", "nothing is radiated");
  std::string where = format_gain(*result.gain_dbi, relative) + " dBi";
  if (result.gain_elevation_deg) where += fmt::format(" at {:.0f} deg elevation", *result.gain_elevation_deg);
  where += result.gain_azimuth_deg
               ? fmt::format(", toward {} deg (true)", format_bearing(*result.gain_azimuth_deg))
               : std::string(", all round alike");
  std::string text = item("Gain", where);
  if (result.gain_from_radio_dbi) {
    text += item("  from the radio", format_gain(*result.gain_from_radio_dbi, relative) +
                                         " dBi, with line and transformer counted");
  }
  if (!result.gain_at_elevation.empty()) {
    std::string list;
    for (const results::GainAt& at : result.gain_at_elevation) {
      list += fmt::format("{}{} at {:.0f}", list.empty() ? "" : ", ", format_gain(at.gain_dbi, relative),
                          at.elevation_deg);
    }
    text += item("  by elevation", list + " deg (dBi)");
  }
  return text;
}

std::string power_items(const FrequencyResult& result, double relative, bool colour) {
  TextTable table({{"  where", Align::left}, {"W", Align::decimal}, {"share", Align::decimal}});
  const double total = result.power.radio;
  for (const results::PowerPart& part : results::kPowerParts) {
    const double watts = result.power.*part.watts;
    if (part.watts == &results::PowerBudget::radio || watts == 0.0 || !(total > 0.0)) continue;
    const double error = total * share_error(watts / total, relative);
    std::string name = std::string("  ") + part.word;
    if (part.watts == &results::PowerBudget::ground && result.ground_by_difference) name += " (what is left)";
    table.add_row({{name},
                   {format_number(watts, digit_unit(error, std::abs(watts) < 99.95 ? 0.1 : 1.0))},
                   {format_percent(watts / total, error / total) + " %"}});
  }
  return fmt::format("  Where {:g} W from the radio go\n", total) + table.render(colour);
}

}  // namespace

std::string solve_text(const model::Model& model, const std::vector<FrequencyResult>& results,
                       const TerminalOptions& options) {
  std::string text = paint(model.title, Colour::strong, options.colour) + '\n';
  const std::string parameters = describe_parameters(model);
  text += wrap(model.name + (parameters.empty() ? "" : ": " + parameters));
  for (const FrequencyResult& result : results) {
    const double relative_z = result.impedance_error_relative;
    text += '\n' + paint(format_frequency(result.frequency), Colour::strong, options.colour) + '\n';
    for (const results::PortImpedance& port : result.ports) {
      text += item(
          result.ports.size() > 1 ? "Port " + port.name : "Feed point",
          impedance_text(port.impedance, result.resistance_error, relative_z * std::abs(port.impedance)));
    }
    if (!result.z_matrix.empty()) text += matrix_text(result);
    if (!model.feed.parts.empty()) {
      const double error = result.radio_error_relative * std::abs(result.radio_impedance);
      text += item("At the radio", impedance_text(result.radio_impedance, error, error));
      std::string swr = format_swr(result.swr_at_radio, result.radio_error_relative) + " at the radio";
      if (has_line(model))
        swr += fmt::format(", {} at the antenna end of the line", format_swr(result.swr_on_line, relative_z));
      text += item("SWR", swr);
    } else {
      text += item("SWR", format_swr(result.swr_at_radio, relative_z));
    }
    const double resistance = result.ports.empty() ? 0.0 : result.ports.front().impedance.real();
    const double relative = resistance > 0.0 ? result.resistance_error / resistance : 1.0;
    text += gain_items(model, result, relative);
    if (result.radiation_efficiency) {
      text += item("Efficiency", format_percent(*result.radiation_efficiency,
                                                share_error(*result.radiation_efficiency, relative)) +
                                     " % of the power at the feed point reaches the sky");
    }
    text += power_items(result, relative, options.colour);
    text += parts_text(model, result, options.colour);
    text += braid_text(model, result);
    text += touch_text(model, result, options.colour);
    if (result.explanation)
      text += paint("  Why", Colour::strong, options.colour) + '\n' + explain_text(model, result);
    text += voltages_text(result, model.feed.power, options.colour);
    if (!model.ground.table.empty()) {
      const media::SoilConstants soil =
          media::soil_constants(model.ground, core::Frequency{result.frequency});
      text += item("Soil here", fmt::format("relative permittivity {:.4g}, conductivity {:.4g} mS/m",
                                            soil.relative_permittivity, 1e3 * soil.conductivity));
    }
    if (!model.antenna)
      text += item("Own error",
                   fmt::format("impedance {}, resistance {} ohm; {} unknowns", format_error(relative_z),
                               format_digits(result.resistance_error, 1), result.unknowns));
    for (const core::Warning& warning : result.warnings) {
      text += paint(wrap("  Warning: " + warning.text, 80, 4), Colour::poor, options.colour);
    }
  }
  text += '\n' + paint("What was assumed", Colour::strong, options.colour) + '\n';
  for (const std::string& line : describe_assumptions(model)) text += wrap("- " + line);
  return text + '\n' + caution();
}

}  // namespace feldspar::report
