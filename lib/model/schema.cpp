#include <algorithm>

#include "model/schema_detail.hpp"

namespace feldspar::model::detail {

namespace {

using Keys = std::string_view;

constexpr Keys kTopKeys[] = {"title",   "about", "parameters", "site", "ground", "wires",
                             "inserts", "port",  "ports",      "feed", "antenna"};
constexpr Keys kStudyKeys[] = {"title", "about",    "model", "frequencies", "bands",    "region", "keep",
                               "axes",  "together", "fixed", "sample",      "accuracy", "only"};
constexpr Keys kStudyRangeKeys[] = {"from", "to", "points", "spacing"};
constexpr Keys kSampleKeys[] = {"cases", "seed"};
constexpr Keys kParameterKeys[] = {"default", "minimum", "maximum", "about"};
constexpr Keys kSiteKeys[] = {"x_bearing", "region"};
constexpr Keys kGroundKeys[] = {"soil", "permittivity", "conductivity", "table", "method", "far"};
constexpr Keys kFarSoilKeys[] = {"soil",   "permittivity", "conductivity", "table",
                                 "begins", "from_bearing", "to_bearing"};
constexpr Keys kSoilRowKeys[] = {"frequency", "permittivity", "conductivity"};
constexpr Keys kWireKeys[] = {"name",     "path",       "diameter", "gauge",
                              "material", "insulation", "copies",   "present"};
constexpr Keys kMaterialKeys[] = {"conductivity", "permeability"};
constexpr Keys kInsulationKeys[] = {"thickness", "permittivity"};
constexpr Keys kCopiesKeys[] = {"count", "around"};
constexpr Keys kInsertKeys[] = {"name",       "wire", "position",    "length", "resistance",
                                "inductance", "q",    "capacitance", "q_at",   "self_capacitance",
                                "connection", "coil"};
constexpr Keys kCoilKeys[] = {"turns", "diameter", "length", "wire"};
constexpr Keys kAntennaKeys[] = {"impedance", "touchstone"};
constexpr Keys kPortKeys[] = {"name", "wire", "position", "gap"};
constexpr Keys kFeedKeys[] = {"power", "mode", "reference_resistance", "parts"};
constexpr Keys kTransformerKeys[] = {"kind",
                                     "name",
                                     "impedance_ratio",
                                     "loss",
                                     "type",
                                     "turns",
                                     "magnetising_inductance",
                                     "shunt_conductance",
                                     "core",
                                     "leakage_inductance",
                                     "winding_capacitance",
                                     "winding_resistance",
                                     "winding_resistance_at",
                                     "touchstone",
                                     "antenna_port",
                                     "connection"};
constexpr Keys kCoreKeys[] = {"permeability", "area", "path_length"};
constexpr Keys kLineKeys[] = {"kind",        "name",           "type",   "length", "z0", "velocity_factor",
                              "attenuation", "attenuation_at", "outside"};
constexpr Keys kOutsideKeys[] = {
    "path", "end", "diameter", "insulation", "stake", "earth_impedance", "operator_length"};
constexpr Keys kStubKeys[] = {"kind",        "name",           "type", "length",    "z0", "velocity_factor",
                              "attenuation", "attenuation_at", "end",  "connection"};
constexpr Keys kTunerKeys[] = {"kind",
                               "name",
                               "network",
                               "coil_q",
                               "capacitor_q",
                               "largest_swr",
                               "largest_inductance",
                               "largest_capacitance"};
constexpr Keys kTwoPortKeys[] = {"kind", "name", "touchstone", "antenna_port"};
constexpr Keys kChokeKeys[] = {"kind",       "name",       "distance",    "length",    "impedance",
                               "resistance", "inductance", "capacitance", "touchstone"};
/// Of every kind; each part is then held to its own.
constexpr Keys kPartKeys[] = {"kind",
                              "name",
                              "impedance_ratio",
                              "loss",
                              "type",
                              "turns",
                              "magnetising_inductance",
                              "shunt_conductance",
                              "core",
                              "leakage_inductance",
                              "winding_capacitance",
                              "winding_resistance",
                              "winding_resistance_at",
                              "touchstone",
                              "antenna_port",
                              "connection",
                              "length",
                              "z0",
                              "velocity_factor",
                              "attenuation",
                              "attenuation_at",
                              "outside",
                              "end",
                              "network",
                              "coil_q",
                              "capacitor_q",
                              "largest_swr",
                              "largest_inductance",
                              "largest_capacitance",
                              "distance",
                              "impedance",
                              "resistance",
                              "inductance",
                              "capacitance"};

constexpr Child kWireChildren[] = {
    {"material", &kMaterial, false, true}, {"insulation", &kInsulation}, {"copies", &kCopies}};
constexpr Child kInsertChildren[] = {{"coil", &kCoil}};
constexpr Child kGroundChildren[] = {{"table", &kSoilRow, true}, {"far", &kFarSoil}};
constexpr Child kFarSoilChildren[] = {{"table", &kSoilRow, true}};
constexpr Child kOutsideChildren[] = {{"insulation", &kInsulation}};
constexpr Child kTransformerChildren[] = {{"core", &kCore}};
constexpr Child kLineChildren[] = {{"outside", &kOutside}};
constexpr Child kPartChildren[] = {{"core", &kCore}, {"outside", &kOutside}};
constexpr Child kFeedChildren[] = {{"parts", &kPart, true}};
constexpr Child kTopChildren[] = {
    {"site", &kSite}, {"ground", &kGround},    {"wires", &kWire, true}, {"inserts", &kInsert, true},
    {"port", &kPort}, {"ports", &kPort, true}, {"feed", &kFeed},        {"antenna", &kAntenna}};

}  // namespace

constinit const Schema kTop{"a model file", kTopKeys, kTopChildren};
constinit const Schema kStudy{"a study", kStudyKeys};
constinit const Schema kStudyRange{"a range", kStudyRangeKeys};
constinit const Schema kSample{"[sample]", kSampleKeys};
constinit const Schema kParameter{"a parameter", kParameterKeys};
constinit const Schema kSite{"[site]", kSiteKeys};
constinit const Schema kGround{"[ground]", kGroundKeys, kGroundChildren};
constinit const Schema kFarSoil{"[ground.far]", kFarSoilKeys, kFarSoilChildren};
constinit const Schema kSoilRow{"a row of a soil's table", kSoilRowKeys};
constinit const Schema kWire{"a wire", kWireKeys, kWireChildren};
constinit const Schema kMaterial{"a material", kMaterialKeys};
constinit const Schema kInsulation{"an insulation", kInsulationKeys};
constinit const Schema kCopies{"copies", kCopiesKeys};
constinit const Schema kInsert{"an insert", kInsertKeys, kInsertChildren};
constinit const Schema kCoil{"a coil", kCoilKeys};
constinit const Schema kAntenna{"[antenna]", kAntennaKeys};
constinit const Schema kPort{"a port", kPortKeys};
constinit const Schema kFeed{"[feed]", kFeedKeys, kFeedChildren};
constinit const Schema kPart{"a feed part", kPartKeys, kPartChildren};
constinit const Schema kTransformer{"a transformer", kTransformerKeys, kTransformerChildren};
constinit const Schema kCore{"a core", kCoreKeys};
constinit const Schema kLine{"a line", kLineKeys, kLineChildren};
constinit const Schema kOutside{"the outside of a line", kOutsideKeys, kOutsideChildren};
constinit const Schema kStub{"a stub", kStubKeys};
constinit const Schema kTuner{"a tuner", kTunerKeys};
constinit const Schema kTwoPort{"a two-port", kTwoPortKeys};
constinit const Schema kChoke{"a choke", kChokeKeys};

bool Schema::allows(std::string_view key) const {
  return std::find(keys.begin(), keys.end(), key) != keys.end();
}

const Child* Schema::child(std::string_view key) const {
  for (const Child& candidate : children)
    if (candidate.key == key) return &candidate;
  return nullptr;
}

std::vector<std::string> Schema::names() const {
  return {keys.begin(), keys.end()};
}

}  // namespace feldspar::model::detail
