#include <fmt/format.h>

#include <nlohmann/json.hpp>

#include "core/error.hpp"
#include "storage/description_detail.hpp"

namespace feldspar::storage::detail {

namespace {

using nlohmann::ordered_json;
using results::Coordinate;
using results::Dimension;

constexpr int kFormat = 1;

ordered_json list_of(const std::vector<Dimension>& dimensions) {
  ordered_json list = ordered_json::array();
  for (const Dimension& dimension : dimensions) {
    ordered_json coordinates = ordered_json::array();
    for (const Coordinate& coordinate : dimension.coordinates)
      coordinates.push_back({{"name", coordinate.name},
                             {"units", coordinate.units},
                             {"long_name", coordinate.long_name},
                             {"numbers", coordinate.numbers},
                             {"words", coordinate.words}});
    list.push_back({{"name", dimension.name}, {"size", dimension.size}, {"coordinates", coordinates}});
  }
  return list;
}

std::vector<Dimension> dimensions_of(const ordered_json& list) {
  std::vector<Dimension> dimensions;
  for (const ordered_json& one : list) {
    Dimension dimension{one.at("name"), one.at("size"), {}};
    for (const ordered_json& inner : one.at("coordinates"))
      dimension.coordinates.push_back({inner.at("name"), inner.at("units"), inner.at("long_name"),
                                       inner.at("numbers").get<std::vector<double>>(),
                                       inner.at("words").get<std::vector<std::string>>()});
    dimensions.push_back(std::move(dimension));
  }
  return dimensions;
}

}  // namespace

std::string to_text(const Description& description) {
  const auto& [layout, from, messages] = description;
  ordered_json quantities = ordered_json::array();
  for (const results::Quantity& quantity : layout.quantities)
    quantities.push_back({{"name", quantity.name},
                          {"units", quantity.units},
                          {"long_name", quantity.long_name},
                          {"extent", static_cast<int>(quantity.extent)}});
  ordered_json failures = ordered_json::array();
  for (const auto& [index, message] : messages) failures.push_back({{"case", index}, {"message", message}});
  const ordered_json all = {{"format", kFormat},
                            {"program", from.program},
                            {"title", from.title},
                            {"about", from.about},
                            {"study", from.study},
                            {"plan", from.plan},
                            {"share", from.share},
                            {"models", from.models},
                            {"model_texts", from.model_texts},
                            {"cases", list_of(layout.cases)},
                            {"spectrum", list_of(layout.spectrum)},
                            {"frequencies", layout.frequencies},
                            {"directions", list_of(layout.directions)},
                            {"places", list_of(layout.places)},
                            {"quantities", quantities},
                            {"failures", failures}};
  return all.dump(-1, ' ', false, ordered_json::error_handler_t::replace);
}

Description description_of(const std::string& text, const std::string& path) {
  const core::Place place{path, 0, 0, {}};
  Description found;
  try {
    const ordered_json all = ordered_json::parse(text);
    if (all.at("format").get<int>() > kFormat)
      throw core::Error(core::ErrorKind::storage, "was written by a later version of this program", place);
    Provenance& from = found.provenance;
    for (const auto& [name, value] : {std::pair{"program", &from.program}, std::pair{"title", &from.title},
                                      std::pair{"about", &from.about}, std::pair{"study", &from.study},
                                      std::pair{"plan", &from.plan}, std::pair{"share", &from.share}})
      all.at(name).get_to(*value);
    all.at("models").get_to(from.models);
    all.at("model_texts").get_to(from.model_texts);
    found.layout.cases = dimensions_of(all.at("cases"));
    found.layout.spectrum = dimensions_of(all.at("spectrum"));
    all.at("frequencies").get_to(found.layout.frequencies);
    found.layout.directions = dimensions_of(all.at("directions"));
    found.layout.places = dimensions_of(all.at("places"));
    for (const ordered_json& one : all.at("quantities"))
      found.layout.quantities.push_back({one.at("name"), one.at("units"), one.at("long_name"),
                                         static_cast<results::Extent>(one.at("extent").get<int>())});
    for (const ordered_json& one : all.at("failures"))
      found.messages[one.at("case").get<std::size_t>()] = one.at("message");
  } catch (const ordered_json::exception& error) {
    throw core::Error(core::ErrorKind::storage,
                      fmt::format("is damaged where it says what it holds ({})", error.what()), place);
  }
  return found;
}

}  // namespace feldspar::storage::detail
