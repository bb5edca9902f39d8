#include <fmt/format.h>

#include <cmath>

#include "report/figures_detail.hpp"
#include "report/json_values_detail.hpp"
#include "report/page_parts_detail.hpp"

namespace feldspar::report::detail {
namespace {

/// Six digits: plenty for a plot, and a third of the bytes.
Json brief(double value) {
  return std::isfinite(value) ? Json(std::stod(fmt::format("{:.6g}", value))) : Json(nullptr);
}

/// Points of a curve this far apart (a factor) belong to different stretches: no line joins them.
constexpr double kGap = 1.05;

/// A column of numbers along a curve, null between its stretches.
template <typename Value>
Json along(const std::vector<results::CurvePoint>& points, Value value) {
  Json array = Json::array();
  for (std::size_t i = 0; i < points.size(); ++i) {
    if (i > 0 && points[i].frequency > kGap * points[i - 1].frequency) array.push_back(nullptr);
    array.push_back(brief(value(i)));
  }
  return array;
}

/// The frequencies themselves, Hz; those between stretches stand in the middle.
Json frequencies(const std::vector<results::CurvePoint>& points) {
  Json array = Json::array();
  for (std::size_t i = 0; i < points.size(); ++i) {
    if (i > 0 && points[i].frequency > kGap * points[i - 1].frequency)
      array.push_back(brief(std::sqrt(points[i].frequency * points[i - 1].frequency)));
    array.push_back(brief(points[i].frequency));
  }
  return array;
}

template <typename Values, typename Value>
Json column(const Values& values, Value value) {
  Json array = Json::array();
  for (const auto& each : values) array.push_back(brief(value(each)));
  return array;
}

Json curve(const Rig& rig) {
  const std::vector<results::CurvePoint>& points = rig.table.curve;
  Json object;
  object["frequency_hz"] = frequencies(points);
  object["swr_at_radio"] = along(points, [&](std::size_t i) { return points[i].swr_at_radio; });
  object["port_resistance_ohm"] =
      along(points, [&](std::size_t i) { return points[i].port_impedance.real(); });
  object["port_reactance_ohm"] =
      along(points, [&](std::size_t i) { return points[i].port_impedance.imag(); });
  object["radio_resistance_ohm"] =
      along(points, [&](std::size_t i) { return points[i].radio_impedance.real(); });
  object["radio_reactance_ohm"] =
      along(points, [&](std::size_t i) { return points[i].radio_impedance.imag(); });
  return object;
}

Json ribbon(const Rig& rig) {
  if (!rig.ribbon) return nullptr;
  const auto& points = rig.table.curve;
  return {{"label", rig.ribbon->label},
          {"swr_at_radio",
           {{"lowest", along(points, [&](std::size_t i) { return rig.ribbon->lowest.at(i); })},
            {"highest", along(points, [&](std::size_t i) { return rig.ribbon->highest.at(i); })}}}};
}

Json cut(const char* fixed, double at, const char* angle, const results::Cut& cut) {
  return {{fixed, number(at)},
          {angle, column(cut.angle_deg, [](double degrees) { return degrees; })},
          {"gain_dbi", column(cut.gains, [](const results::Gains& gains) { return gains.total_dbi; })}};
}

Json pattern(const results::FrequencyResult& result) {
  if (!result.view) return nullptr;
  const results::PatternView& view = *result.view;
  Json gains = Json::object();
  for (const results::GainAt& at : result.gain_at_elevation)
    gains[fmt::format("{:.0f}", at.elevation_deg)] = number(at.gain_dbi);
  return {{"gain_dbi", number(view.gain_dbi)},
          {"gain_elevation_deg", number(view.elevation_deg)},
          {"gain_bearing_deg", view.level.round ? Json(nullptr) : number(view.bearing_deg)},
          {"gain_dbi_at_elevation", gains},
          {"elevation_cut", cut("bearing_deg", view.bearing_deg, "angle_deg", view.elevation_cut)},
          {"azimuth_cut", cut("elevation_deg", view.level.elevation_deg, "bearing_deg", view.level.cut)}};
}

Json bands(const Rig& rig) {
  Json array = Json::array();
  for (const results::BandRow& row : rig.table.bands) {
    Json object;
    object["band"] = row.name;
    object["lower_hz"] = number(row.lower);
    object["upper_hz"] = number(row.upper);
    object["frequency_hz"] = number(row.at_middle.frequency);
    object["swr_at_radio"] = {{"lower", number(row.at_lower.swr_at_radio)},
                              {"middle", number(row.at_middle.swr_at_radio)},
                              {"upper", number(row.at_upper.swr_at_radio)}};
    const PowerShares shares = power_shares(row.at_middle.power);
    Json percent = Json::object();
    for (const SharePart& part : kShareParts) percent[part.key] = number(shares.*part.percent);
    object["power_percent"] = std::move(percent);
    object["pattern"] = pattern(row.at_middle);
    array.push_back(std::move(object));
  }
  return array;
}

Json point(const geometry::Vec3& at) {
  return Json::array({brief(at.x()), brief(at.y()), brief(at.z())});
}

Json current(const geometry::Wire& wire, const results::FrequencyResult& result) {
  for (const results::WireCurrent& each : result.currents) {
    if (each.wire != wire.name || each.current.size() < 2) continue;
    Json points = Json::array();
    const double step = geometry::length(wire) / static_cast<double>(each.current.size() - 1);
    for (std::size_t i = 0; i < each.current.size(); ++i)
      points.push_back(point(geometry::point_at(wire, step * static_cast<double>(i))));
    return {{"points", points},
            {"ampere", column(each.current, [](const std::complex<double>& c) { return std::abs(c); })}};
  }
  return nullptr;
}

Json drawing(const Rig& rig) {
  Json object;
  object["ground"] = rig.model.ground.kind != media::GroundKind::free_space;
  object["x_bearing_deg"] = number(rig.model.x_bearing * 180.0 / core::kPi);
  object["port"] = nullptr;
  for (const results::BandRow& row : rig.table.bands)
    if (const auto& port = row.at_middle.feed_point) object["port"] = point({port->x, port->y, port->z});
  object["wires"] = Json::array();
  for (const geometry::Wire& wire : rig.model.structure.wires) {
    Json points = Json::array();
    for (const geometry::Vec3& at : wire.path) points.push_back(point(at));
    Json currents = Json::object();
    for (const results::BandRow& row : rig.table.bands)
      if (Json found = current(wire, row.at_middle); !found.is_null()) currents[row.name] = std::move(found);
    object["wires"].push_back({{"name", wire.name}, {"points", points}, {"current", currents}});
  }
  return object;
}

}  // namespace

std::string page_data(const std::vector<Rig>& rigs) {
  Json document;
  document["format"] = 1;
  document["reference_ohm"] = number(rigs.front().model.feed.reference_resistance);
  document["rigs"] = Json::array();
  for (const Rig& rig : rigs)
    document["rigs"].push_back({{"name", rig.label},
                                {"title", rig.model.title},
                                {"curve", curve(rig)},
                                {"ribbon", ribbon(rig)},
                                {"bands", bands(rig)},
                                {"drawing", drawing(rig)}});
  document["sweep"] = nullptr;
  return without_markup(document.dump(-1, ' ', false, Json::error_handler_t::replace));
}

std::string without_markup(const std::string& json) {
  std::string safe;
  safe.reserve(json.size());
  for (const char c : json) {
    if (c == '<')
      safe += "\\u003c";
    else
      safe += c;
  }
  return safe;
}

}  // namespace feldspar::report::detail
