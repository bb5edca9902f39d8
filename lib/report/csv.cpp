#include "report/csv.hpp"

#include <fmt/format.h>

#include <cmath>
#include <optional>
#include <utility>

#include "decision/advice.hpp"
#include "results/power_parts.hpp"

namespace feldspar::report {
namespace {

/// Fields of one line with the names of their columns.
class Line {
 public:
  void add(const std::string& name, double value) {
    fields_.emplace_back(name, std::isfinite(value) ? fmt::format("{}", value) : "");
  }
  void add(const std::string& name, const std::optional<double>& value) {
    add(name, value.value_or(std::nan("")));
  }
  void add(const std::string& name, const std::string& text) { fields_.emplace_back(name, csv_field(text)); }

  [[nodiscard]] std::string names() const {
    std::string line;
    for (const auto& field : fields_) line += (line.empty() ? "" : ",") + csv_field(field.first);
    return line + '\n';
  }
  [[nodiscard]] std::string values() const {
    std::string line;
    for (std::size_t i = 0; i < fields_.size(); ++i) line += (i == 0 ? "" : ",") + fields_[i].second;
    return line + '\n';
  }

 private:
  std::vector<std::pair<std::string, std::string>> fields_;
};

/// @param frequency  at which the soil's numbers are given, Hz
Line begin(const model::Model& model, double frequency) {
  Line line;
  line.add("model", model.name);
  for (const model::ParameterValue& parameter : model.parameters) line.add(parameter.key, parameter.value);
  const media::Ground& ground = model.ground;
  const bool perfect = ground.kind == media::GroundKind::perfect;
  const bool real = ground.kind == media::GroundKind::real;
  line.add("ground", real      ? std::string("real")
                     : perfect ? std::string("perfect")
                               : std::string("free space"));
  const media::SoilConstants soil =
      real ? media::soil_constants(ground, core::Frequency{frequency}) : media::SoilConstants{};
  line.add("ground_permittivity", perfect ? std::nan("") : soil.relative_permittivity);
  line.add("ground_conductivity_s_per_m", perfect ? std::nan("") : soil.conductivity);
  if (model.far_soil) {
    const media::SoilConstants far =
        media::soil_constants(model.far_soil->ground, core::Frequency{frequency});
    line.add("far_permittivity", far.relative_permittivity);
    line.add("far_conductivity_s_per_m", far.conductivity);
    line.add("far_begins_m", model.far_soil->begins);
  }
  return line;
}

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
    Line line = begin(model, result.frequency);
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
    Line line = begin(model, row.at_middle.frequency);
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
