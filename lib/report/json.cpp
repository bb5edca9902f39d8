#include "report/json.hpp"

#include <algorithm>
#include <cmath>
#include <optional>

#include "decision/advice.hpp"
#include "model/duty.hpp"
#include "report/feed_parts.hpp"
#include "report/json_values_detail.hpp"
#include "results/power_parts.hpp"

namespace feldspar::report {
namespace {

using detail::dump;
using detail::ground;
using detail::ground_at;
using detail::impedance;
using detail::Json;
using detail::number;
using detail::parameters;
using detail::warnings;

Json power(const model::Model& model, const results::PowerBudget& budget) {
  Json object;
  for (const results::PowerPart& part : results::kPowerParts)
    object[part.key] = part.beyond_port && model.antenna ? Json(nullptr) : number(budget.*part.watts);
  return object;
}

/// From the antenna to the radio.
Json parts(const model::Model& model, const results::FrequencyResult& result) {
  Json array = Json::array();
  const double share = model::average_share(model.feed.mode);
  for (std::size_t i = 0; i < std::min(result.parts.size(), model.feed.parts.size()); ++i) {
    const results::PartResult& part = result.parts[i];
    array.push_back({{"kind", part_kind(model.feed.parts[i])},
                     {"name", part_name(model.feed.parts[i])},
                     {"load", impedance(part.load)},
                     {"input", impedance(part.input)},
                     {"entering_w", number(part.entering)},
                     {"lost_w", number(part.lost)},
                     {"average_lost_w", number(share * part.lost)},
                     {"loss_db", number(part.loss_db)},
                     {"matched_loss_db", std::holds_alternative<circuit::Line>(model.feed.parts[i])
                                             ? number(part.matched_loss_db)
                                             : Json(nullptr)},
                     {"voltage_v", number(part.voltage)},
                     {"current_a", number(part.current)},
                     {"works", part.works}});
  }
  return array;
}

Json inserts(const model::Model& model, const std::vector<results::InsertResult>& list) {
  Json array = Json::array();
  for (const results::InsertResult& insert : list)
    array.push_back({{"name", insert.name},
                     {"choke", insert.choke},
                     {"height_m", number(insert.z)},
                     {"x_m", number(insert.x)},
                     {"y_m", number(insert.y)},
                     {"lost_w", number(insert.lost)},
                     {"average_lost_w", number(model::average_share(model.feed.mode) * insert.lost)},
                     {"voltage_v", number(insert.voltage)},
                     {"current_a", number(insert.current)},
                     {"within_reach", insert.within_reach}});
  return array;
}

Json braid(const std::optional<results::BraidCurrent>& braid) {
  if (!braid) return nullptr;
  return {{"current_at_radio_a", number(braid->at_radio)},
          {"largest_current_a", number(braid->largest)},
          {"largest_current_on_antenna_a", number(braid->largest_on_antenna)},
          {"power_w", number(braid->power)}};
}

Json touch_end(const std::optional<results::TouchEnd>& end) {
  if (!end) return nullptr;
  Json object = impedance(end->impedance);
  object["swr_at_radio"] = number(end->swr_at_radio);
  object["current_at_radio_a"] = number(end->current_at_radio);
  return object;
}

Json touch(const std::optional<results::Touch>& touch) {
  if (!touch) return nullptr;
  return {{"open", touch_end(touch->open)},
          {"operator", touch_end(touch->operated)},
          {"earthed", touch_end(touch->earthed)},
          {"coax_is_part_of_antenna", decision::touch_range(*touch).line_is_antenna}};
}

Json wire_ends(const std::vector<results::WireEnd>& ends) {
  Json array = Json::array();
  for (const results::WireEnd& end : ends)
    array.push_back({{"wire", end.wire},
                     {"end", end.start ? "start" : "end"},
                     {"copies", end.copies},
                     {"height_m", number(end.z)},
                     {"x_m", number(end.x)},
                     {"y_m", number(end.y)},
                     {"voltage_v", number(end.voltage)},
                     {"within_reach", end.within_reach}});
  return array;
}

Json feed_point(const std::optional<results::FeedPointVoltage>& at) {
  if (!at) return nullptr;
  return {{"height_m", number(at->z)},
          {"x_m", number(at->x)},
          {"y_m", number(at->y)},
          {"voltage_v", number(at->voltage)},
          {"within_reach", at->within_reach}};
}

Json gain_at_elevation(const std::vector<results::GainAt>& gains) {
  Json object = Json::object();
  for (const results::GainAt& gain : gains) {
    object[std::to_string(static_cast<int>(std::lround(gain.elevation_deg)))] = number(gain.gain_dbi);
  }
  return object;
}

Json explanation(const results::Explanation& explained) {
  Json object{{"delivered_w", number(explained.delivered)},
              {"swr_without_loss", number(explained.swr_without_loss)},
              {"impedance_ratio", number(explained.ratio)},
              {"best_impedance_ratio", number(explained.best_ratio)},
              {"swr_at_best_ratio", number(explained.swr_at_best_ratio)},
              {"fed_wire_wavelengths", number(explained.fed_wire)}};
  object["ideal"] = Json::array();
  for (const results::IdealPart& ideal : explained.ideals)
    object["ideal"].push_back({{"part", ideal.part},
                               {"made", ideal.made},
                               {"lost_w", number(ideal.lost)},
                               {"delivered_w", number(ideal.delivered)},
                               {"swr_at_radio", number(ideal.swr_at_radio)}});
  return object;
}

/// Gain, watts and what every part does with them: the same at a frequency and in a band.
void put_fields(const model::Model& model, const results::FrequencyResult& result, Json& object) {
  object["gain_dbi"] = number(result.gain_dbi);
  object["gain_elevation_deg"] = number(result.gain_elevation_deg);
  object["gain_azimuth_deg"] = number(result.gain_azimuth_deg);
  object["gain_from_radio_dbi"] = number(result.gain_from_radio_dbi);
  object["gain_dbi_at_elevation"] = gain_at_elevation(result.gain_at_elevation);
  object["radiation_efficiency"] = number(result.radiation_efficiency);
  object["power_w"] = power(model, result.power);
  object["parts"] = parts(model, result);
  object["inserts"] = inserts(model, result.inserts);
  object["braid"] = braid(result.braid);
  object["touch"] = touch(result.touch);
  object["feed_point"] = feed_point(result.feed_point);
  object["wire_ends"] = wire_ends(result.wire_ends);
  object["ground_by_difference"] = result.ground_by_difference;
  object["ground"] = ground_at(model, result.frequency);
}

Json frequency_result(const model::Model& model, const results::FrequencyResult& result) {
  Json object;
  object["frequency_hz"] = number(result.frequency);
  object["ports"] = Json::array();
  for (const results::PortImpedance& port : result.ports) {
    Json entry{{"name", port.name}};
    entry.update(impedance(port.impedance));
    object["ports"].push_back(entry);
  }
  if (!result.z_matrix.empty()) {
    Json rows = Json::array();
    for (const auto& row : result.z_matrix) {
      Json pairs = Json::array();
      for (const std::complex<double>& z : row)
        pairs.push_back(Json::array({number(z.real()), number(z.imag())}));
      rows.push_back(pairs);
    }
    object["z_matrix_ohm"] = rows;
  }
  object["radio"] = impedance(result.radio_impedance);
  object["swr_on_line"] = number(result.swr_on_line);
  object["swr_at_radio"] = number(result.swr_at_radio);
  put_fields(model, result, object);
  object["unknowns"] = result.unknowns;
  object["impedance_error_relative"] = number(result.impedance_error_relative);
  object["resistance_error_ohm"] = number(result.resistance_error);
  object["radio_error_relative"] = number(result.radio_error_relative);
  if (result.explanation) object["explanation"] = explanation(*result.explanation);
  object["warnings"] = warnings(result.warnings);
  return object;
}

Json band_row(const model::Model& model, const results::BandRow& row) {
  const results::FrequencyResult& middle = row.at_middle;
  Json object;
  object["band"] = row.name;
  object["lower_hz"] = number(row.lower);
  object["upper_hz"] = number(row.upper);
  object["impedance"] = {{"frequency_hz", number(middle.frequency)}};
  object["impedance"].update(impedance(middle.ports.at(0).impedance));
  object["swr_at_radio"] = {{"lower", number(row.at_lower.swr_at_radio)},
                            {"middle", number(middle.swr_at_radio)},
                            {"upper", number(row.at_upper.swr_at_radio)}};
  object["swr_lowest"] = {{"frequency_hz", number(row.lowest.frequency)}, {"swr", number(row.lowest.swr)}};
  object["bandwidth_swr2_hz"] = number(row.bandwidth_swr2);
  object["tuner"] = decision::tuner_key(decision::advise(row).tuner);
  object["tuner_loss_db"] = number(row.tuner_loss);
  put_fields(model, middle, object);
  object["impedance_error_relative"] = number(middle.impedance_error_relative);
  object["resistance_error_ohm"] = number(middle.resistance_error);
  if (middle.explanation) object["explanation"] = explanation(*middle.explanation);
  return object;
}

Json wave(const results::CheckReport::WaveLine& line) {
  Json object;
  object["wire"] = line.wire;
  object["copies"] = line.copies;
  object["stretch"] = line.leg > 0 ? Json(line.leg) : Json(nullptr);
  object["length_m"] = number(line.length);
  object["height_m"] = number(line.height);
  object["insulated"] = line.insulated;
  object["velocity_factor"] = number(line.velocity_factor);
  object["attenuation_db_per_m"] = number(line.attenuation_db);
  object["length_wavelengths"] = number(line.wavelengths);
  return object;
}

Json check_at(const model::Model& model, const CheckAt& check) {
  Json object;
  object["frequency_hz"] = number(check.frequency);
  object["ground"] = ground_at(model, check.frequency);
  object["unknowns"] = check.report.unknowns;
  object["waves"] = Json::array();
  for (const results::CheckReport::WaveLine& line : check.report.waves) object["waves"].push_back(wave(line));
  object["warnings"] = warnings(check.report.warnings);
  return object;
}

}  // namespace

std::string solve_json(const model::Model& model, const std::vector<results::FrequencyResult>& results) {
  Json document;
  document["format"] = 1;
  document["model"] = model.name;
  document["parameters"] = parameters(model);
  document["ground"] = ground(model);
  document["results"] = Json::array();
  for (const results::FrequencyResult& result : results)
    document["results"].push_back(frequency_result(model, result));
  return dump(document);
}

std::string bands_json(const model::Model& model, const results::BandTable& table) {
  Json document;
  document["format"] = 1;
  document["model"] = model.name;
  document["parameters"] = parameters(model);
  document["ground"] = ground(model);
  document["bands"] = Json::array();
  for (const results::BandRow& row : table.bands) document["bands"].push_back(band_row(model, row));
  document["dips"] = Json::array();
  for (const results::Dip& dip : table.dips) {
    document["dips"].push_back({{"frequency_hz", number(dip.frequency)}, {"swr", number(dip.swr)}});
  }
  document["warnings"] = warnings(table.warnings);
  return dump(document);
}

std::string check_json(const model::Model& model, const std::vector<CheckAt>& checks) {
  Json document;
  document["format"] = 1;
  document["model"] = model.name;
  document["parameters"] = parameters(model);
  document["ground"] = ground(model);
  const results::CheckReport& report = checks.front().report;
  document["wires"] = Json::array();
  for (const results::CheckReport::WireLine& wire : report.wires)
    document["wires"].push_back({{"name", wire.name},
                                 {"length_m", number(wire.length)},
                                 {"lowest_m", number(wire.lowest)},
                                 {"highest_m", number(wire.highest)}});
  document["junctions"] = Json::array();
  for (const results::CheckReport::JunctionLine& junction : report.junctions)
    document["junctions"].push_back(
        {{"at_m", {number(junction.at.x()), number(junction.at.y()), number(junction.at.z())}},
         {"wires", junction.wires},
         {"ground", junction.ground}});
  document["free_ends"] = report.free_ends;
  document["checks"] = Json::array();
  for (const CheckAt& check : checks) document["checks"].push_back(check_at(model, check));
  return dump(document);
}

std::string models_json(const std::vector<ModelListing>& models, const std::vector<StudyListing>& studies) {
  Json document;
  document["format"] = 1;
  document["models"] = Json::array();
  for (const ModelListing& model : models) {
    Json entry{{"name", model.name}, {"title", model.title}, {"about", model.about}};
    entry["parameters"] = Json::array();
    for (const model::ParameterDescription& parameter : model.parameters) {
      const auto limit = [](const std::string& text) { return text.empty() ? Json(nullptr) : Json(text); };
      entry["parameters"].push_back({{"name", parameter.name},
                                     {"default", parameter.default_text},
                                     {"minimum", limit(parameter.minimum_text)},
                                     {"maximum", limit(parameter.maximum_text)},
                                     {"about", parameter.about}});
    }
    document["models"].push_back(entry);
  }
  document["studies"] = Json::array();
  for (const StudyListing& study : studies)
    document["studies"].push_back({{"name", study.name}, {"title", study.title}, {"about", study.about}});
  return dump(document);
}

}  // namespace feldspar::report
