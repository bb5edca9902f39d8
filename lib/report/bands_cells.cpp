#include "report/bands_cells.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace feldspar::report {

using decision::Tuner;
using results::BandRow;
using results::FrequencyResult;

Colour tuner_colour(Tuner tuner) {
  switch (tuner) {
    case Tuner::none:
      return Colour::good;
    case Tuner::radio:
      return Colour::fair;
    case Tuner::wide_range:
      return Colour::poor;
    case Tuner::out_of_range:
      break;
  }
  return Colour::bad;
}

double sky_share(const FrequencyResult& result) {
  return result.power.radio > 0.0 ? (result.power.sky + result.power.antenna) / result.power.radio : 0.0;
}

double power_error(const FrequencyResult& result) {
  const double resistance = result.ports.at(0).impedance.real();
  return resistance > 0.0 ? result.resistance_error / resistance : 1.0;
}

double error_inside(const BandRow& row, const results::BandTable& table) {
  double error = 0.0;
  double growth = 1.0;  // of an error on the way from the port to the radio
  for (const results::FrequencyResult* at : {&row.at_lower, &row.at_middle, &row.at_upper}) {
    error = std::max(error, at->radio_error_relative);
    if (at->impedance_error_relative > 0.0)
      growth = std::max(growth, at->radio_error_relative / at->impedance_error_relative);
  }
  return std::max(error, growth * table.interpolation_error);
}

double finest_ohm(double value) {
  return std::abs(value) < 99.95 ? 0.1 : 1.0;
}

std::string gain_text(const std::optional<double>& gain, const FrequencyResult& result) {
  return gain ? format_gain(*gain, power_error(result)) : "-";
}

std::string width_text(const BandRow& row) {
  if (row.bandwidth_swr2 <= 0.0) return "-";
  if (row.bandwidth_swr2 >= row.upper - row.lower) return "all";
  const double kilohertz = row.bandwidth_swr2 / 1e3;
  return format_number(kilohertz, kilohertz < 9.95 ? 0.1 : kilohertz < 99.5 ? 1.0 : 10.0);
}

std::string megahertz(double f) {
  return fmt::format("{:.3f}", f / 1e6);
}

std::string watts_text(double watts, double error) {
  if (watts > 0.0 && watts < 0.05) return "<0.1";
  return format_number(watts, digit_unit(error, watts < 9.95 ? 0.1 : 1.0));
}

std::vector<Column> signal_columns() {
  return {
      {"band", Align::left},         {"gain\ndBi", Align::decimal},       {"take-off\ndeg", Align::right},
      {"toward\ndeg", Align::right}, {"from radio\ndBi", Align::decimal}, {"gain at\n10 deg", Align::decimal},
      {"\n30 deg", Align::decimal},  {"\n60 deg", Align::decimal},        {"\n90 deg", Align::decimal}};
}

std::vector<Cell> signal_cells(const BandRow& row) {
  const FrequencyResult& middle = row.at_middle;
  std::vector<Cell> cells{{row.name, Colour::strong},
                          {gain_text(middle.gain_dbi, middle)},
                          {middle.gain_elevation_deg ? format_number(*middle.gain_elevation_deg, 1.0) : "-"},
                          {middle.gain_azimuth_deg ? format_bearing(*middle.gain_azimuth_deg)
                                                   : std::string(middle.gain_dbi ? "all" : "-")},
                          {gain_text(middle.gain_from_radio_dbi, middle)}};
  for (const double elevation : {10.0, 30.0, 60.0, 90.0}) {
    std::optional<double> gain;
    for (const results::GainAt& at : middle.gain_at_elevation) {
      if (std::abs(at.elevation_deg - elevation) < 1e-6) gain = at.gain_dbi;
    }
    cells.push_back({gain_text(gain, middle)});
  }
  return cells;
}

}  // namespace feldspar::report
