#include <fmt/format.h>
#include <array>

#include <string>

#include "report/csv.hpp"
#include "report/csv_line_detail.hpp"
#include "report/json_values_detail.hpp"
#include "report/pattern.hpp"

namespace feldspar::report {
namespace {

using detail::Json;
using detail::number;
using results::Gains;

/// Columns of gains, so that a script has them as arrays.
struct GainColumns {
  Json total = Json::array();
  Json vertical = Json::array();
  Json horizontal = Json::array();

  void add(const Gains& gains) {
    total.push_back(number(gains.total_dbi));
    vertical.push_back(number(gains.vertical_dbi));
    horizontal.push_back(number(gains.horizontal_dbi));
  }
  void put_into(Json& object) const {
    object["gain_dbi"] = total;
    object["vertical_gain_dbi"] = vertical;
    object["horizontal_gain_dbi"] = horizontal;
  }
};

Json cut(const char* fixed, double at, const char* angle, const results::Cut& cut) {
  GainColumns columns;
  Json angles = Json::array();
  for (const double degrees : cut.angle_deg) angles.push_back(number(degrees));
  for (const Gains& gains : cut.gains) columns.add(gains);
  Json object{{fixed, number(at)}, {angle, angles}};
  columns.put_into(object);
  return object;
}

Json beam(const std::optional<results::Beam>& beam) {
  if (!beam) return nullptr;
  return {{"from_deg", number(beam->from_deg)},
          {"to_deg", number(beam->to_deg)},
          {"width_deg", number(beam->to_deg - beam->from_deg)}};
}

/// Gains as rows of bearings, one for each elevation.
Json sphere(const results::Sphere& sphere) {
  Json object;
  object["elevation_deg"] = sphere.elevation_deg;
  object["bearing_deg"] = sphere.bearing_deg;
  const std::array<std::pair<const char*, double Gains::*>, 3> kColumns = {
      {{"gain_dbi", &Gains::total_dbi},
       {"vertical_gain_dbi", &Gains::vertical_dbi},
       {"horizontal_gain_dbi", &Gains::horizontal_dbi}}};
  for (const auto& [key, member] : kColumns) {
    Json rows = Json::array();
    for (std::size_t e = 0; e < sphere.elevation_deg.size(); ++e) {
      Json row = Json::array();
      for (std::size_t b = 0; b < sphere.bearing_deg.size(); ++b)
        row.push_back(number(sphere.gains[e * sphere.bearing_deg.size() + b].*member));
      rows.push_back(std::move(row));
    }
    object[key] = std::move(rows);
  }
  return object;
}

Json hop(const PatternReport& report, const results::FrequencyResult& result) {
  if (!report.hop) return nullptr;
  const bool reached = report.hop->elevation_deg && result.view;
  return {{"distance_m", number(report.hop->distance)},
          {"layer_m", number(report.layer)},
          {"elevation_deg", number(report.hop->elevation_deg)},
          {"gain_dbi", reached ? number(result.view->at_elevations.back().gain_dbi) : Json(nullptr)}};
}

Json azimuth_cut(const results::PatternView::Level& level) {
  Json object = cut("elevation_deg", level.elevation_deg, "bearing_deg", level.cut);
  object["largest_gain_dbi"] = number(level.gain_dbi);
  object["largest_gain_bearing_deg"] = level.round ? Json(nullptr) : number(level.bearing_deg);
  object["round"] = level.round;
  object["beam"] = beam(level.beam);
  object["front_to_back_db"] = number(level.front_to_back_db);
  object["front_to_side_db"] = number(level.front_to_side_db);
  object["null"] = {{"bearing_deg", number(level.null_bearing_deg)},
                    {"depth_db", number(level.null_depth_db)}};
  return object;
}

Json at_elevations(const results::PatternView& view) {
  Json array = Json::array();
  for (const results::GainAtElevation& at : view.at_elevations)
    array.push_back({{"elevation_deg", number(at.elevation_deg)}, {"gain_dbi", number(at.gain_dbi)}});
  return array;
}

Json one_frequency(const PatternReport& report, const results::FrequencyResult& result) {
  Json object;
  object["frequency_hz"] = number(result.frequency);
  object["radiation_efficiency"] = number(result.radiation_efficiency);
  object["gain_from_radio_dbi"] = number(result.gain_from_radio_dbi);
  object["hop"] = hop(report, result);
  object["impedance_error_relative"] = number(result.impedance_error_relative);
  object["warnings"] = detail::warnings(result.warnings);
  if (!result.view) {
    object["pattern"] = nullptr;
    return object;
  }
  const results::PatternView& view = *result.view;
  Json pattern;
  pattern["gain_dbi"] = number(view.gain_dbi);
  pattern["gain_elevation_deg"] = number(view.elevation_deg);
  pattern["gain_bearing_deg"] = number(view.bearing_deg);
  pattern["elevation_beam"] = beam(view.elevation_beam);
  pattern["at_elevations"] = at_elevations(view);
  pattern["elevation_cut"] = cut("bearing_deg", view.bearing_deg, "angle_deg", view.elevation_cut);
  pattern["azimuth_cut"] = azimuth_cut(view.level);
  pattern["sphere"] = view.sphere ? sphere(*view.sphere) : Json(nullptr);
  object["pattern"] = std::move(pattern);
  return object;
}

/// One direction.
void add_line(const model::Model& model, double frequency, const std::string& part, double elevation,
              double bearing, const Gains& gains, std::string& text) {
  detail::Line line = detail::begin_line(model, frequency);
  line.add("frequency_hz", frequency);
  line.add("part", part);
  line.add("elevation_deg", elevation);
  line.add("bearing_deg", bearing);
  line.add("gain_dbi", gains.total_dbi);
  line.add("vertical_gain_dbi", gains.vertical_dbi);
  line.add("horizontal_gain_dbi", gains.horizontal_dbi);
  if (text.empty()) text = line.names();
  text += line.values();
}

void add_lines(const model::Model& model, const results::FrequencyResult& result, std::string& text) {
  const results::PatternView& view = *result.view;
  for (std::size_t i = 0; i < view.elevation_cut.gains.size(); ++i) {
    const double angle = view.elevation_cut.angle_deg[i];
    const bool behind = angle > 90.0 || angle < -90.0;
    const double elevation = angle > 90.0 ? 180.0 - angle : angle < -90.0 ? -180.0 - angle : angle;
    const double bearing = behind ? view.bearing_deg + 180.0 : view.bearing_deg;
    add_line(model, result.frequency, "elevation cut", elevation,
             bearing >= 360.0 ? bearing - 360.0 : bearing, view.elevation_cut.gains[i], text);
  }
  for (std::size_t i = 0; i < view.level.cut.gains.size(); ++i)
    add_line(model, result.frequency, "azimuth cut", view.level.elevation_deg, view.level.cut.angle_deg[i],
             view.level.cut.gains[i], text);
  if (!view.sphere) return;
  const std::size_t columns = view.sphere->bearing_deg.size();
  for (std::size_t i = 0; i < view.sphere->gains.size(); ++i)
    add_line(model, result.frequency, "sphere", view.sphere->elevation_deg[i / columns],
             view.sphere->bearing_deg[i % columns], view.sphere->gains[i], text);
}

}  // namespace

std::string pattern_json(const model::Model& model, const PatternReport& report) {
  Json document;
  document["format"] = 1;
  document["model"] = model.name;
  document["parameters"] = detail::parameters(model);
  document["ground"] = detail::ground(model);
  document["results"] = Json::array();
  for (const results::FrequencyResult& result : report.results)
    document["results"].push_back(one_frequency(report, result));
  return detail::dump(document);
}

std::string pattern_csv(const model::Model& model, const PatternReport& report) {
  std::string text;
  for (const results::FrequencyResult& result : report.results)
    if (result.view) add_lines(model, result, text);
  return text;
}

}  // namespace feldspar::report
