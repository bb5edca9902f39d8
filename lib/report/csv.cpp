#include "report/csv.hpp"

#include <fmt/format.h>

#include <cmath>
#include <optional>
#include <utility>

#include "decision/advice.hpp"
#include "report/csv_line_detail.hpp"
#include "results/power_parts.hpp"

namespace feldspar::report {
namespace {

using detail::begin_line;
using detail::Line;

void add_fields(Line& line, const model::Model& model, const results::FrequencyResult& result) {
  line.add("gain_dbi", result.gain_dbi);
  line.add("gain_elevation_deg", result.gain_elevation_deg);
  line.add("gain_azimuth_deg", result.gain_azimuth_deg);
  line.add("gain_from_radio_dbi", result.gain_from_radio_dbi);
  for (const double elevation : {10.0, 30.0, 60.0, 90.0}) {
    std::optional<double> value;
    for (const results::GainAt& gain : result.gain_at_elevation) {
      if (std::abs(gain.elevation_deg - elevation) < 1e-6) value = gain.gain_dbi;
    }
    line.add(fmt::format("gain_at_{:.0f}_deg_dbi", elevation), value);
  }
  line.add("radiation_efficiency", result.radiation_efficiency);
  for (const results::PowerPart& part : results::kPowerParts)
    line.add(fmt::format("power_{}_w", part.key),
             part.beyond_port && model.antenna ? std::nan("") : result.power.*part.watts);
  line.add("impedance_error_relative", result.impedance_error_relative);
  line.add("resistance_error_ohm", result.resistance_error);
}

/// Columns that are there when they were asked for.
void add_touch(Line& line, const results::FrequencyResult& result) {
  if (!result.touch) return;
  const results::Touch& touch = *result.touch;
  for (const auto& [name, end] : {std::pair{"open", &touch.open}, std::pair{"operator", &touch.operated},
                                  std::pair{"earthed", &touch.earthed}}) {
    const bool known = end->has_value();
    line.add(fmt::format("swr_touch_{}", name), known ? (*end)->swr_at_radio : std::nan(""));
    line.add(fmt::format("current_at_radio_touch_{}_a", name),
             known ? (*end)->current_at_radio : std::nullopt);
  }
}

std::string join(const std::vector<Line>& lines) {
  std::string text = lines.empty() ? "" : lines.front().names();
  for (const Line& line : lines) text += line.values();
  return text;
}

}  // namespace

std::string csv_field(const std::string& text) {
  if (text.find_first_of(",\"\r\n") == std::string::npos) return text;
  std::string result = "\"";
  for (const char c : text) result += c == '"' ? "\"\"" : std::string(1, c);
  return result + '"';
}

std::string solve_csv(const model::Model& model, const std::vector<results::FrequencyResult>& results) {
  std::vector<Line> lines;
  for (const results::FrequencyResult& result : results) {
    Line line = begin_line(model, result.frequency);
    line.add("frequency_hz", result.frequency);
    for (std::size_t i = 0; i < result.ports.size(); ++i) {
      const std::string prefix = i == 0 ? "" : result.ports[i].name + "_";
      line.add(prefix + "resistance_ohm", result.ports[i].impedance.real());
      line.add(prefix + "reactance_ohm", result.ports[i].impedance.imag());
    }
    line.add("radio_resistance_ohm", result.radio_impedance.real());
    line.add("radio_reactance_ohm", result.radio_impedance.imag());
    line.add("swr_on_line", result.swr_on_line);
    line.add("swr_at_radio", result.swr_at_radio);
    add_fields(line, model, result);
    add_touch(line, result);
    line.add("unknowns", static_cast<double>(result.unknowns));
    lines.push_back(line);
  }
  return join(lines);
}

std::string bands_csv(const model::Model& model, const results::BandTable& table) {
  std::vector<Line> lines;
  for (const results::BandRow& row : table.bands) {
    Line line = begin_line(model, row.at_middle.frequency);
    line.add("band", row.name);
    line.add("lower_hz", row.lower);
    line.add("upper_hz", row.upper);
    line.add("middle_hz", row.at_middle.frequency);
    line.add("resistance_ohm", row.at_middle.ports.at(0).impedance.real());
    line.add("reactance_ohm", row.at_middle.ports.at(0).impedance.imag());
    line.add("swr_at_radio_lower", row.at_lower.swr_at_radio);
    line.add("swr_at_radio_middle", row.at_middle.swr_at_radio);
    line.add("swr_at_radio_upper", row.at_upper.swr_at_radio);
    line.add("swr_lowest", row.lowest.swr);
    line.add("swr_lowest_hz", row.lowest.frequency);
    line.add("bandwidth_swr2_hz", row.bandwidth_swr2);
    line.add("tuner", std::string(decision::tuner_key(decision::advise(row).tuner)));
    line.add("tuner_loss_db", row.tuner_loss);
    add_fields(line, model, row.at_middle);
    add_touch(line, row.at_middle);
    lines.push_back(line);
  }
  return join(lines);
}

}  // namespace feldspar::report
