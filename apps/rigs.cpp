#include "rigs.hpp"

#include <fmt/format.h>

#include <algorithm>

#include "core/error.hpp"
#include "decision/bands.hpp"
#include "instantiate.hpp"
#include "io/model_file.hpp"
#include "study/run_bands.hpp"
#include "study/solve_model.hpp"
#include "study/solved_curve.hpp"

namespace feldspar::app {
namespace {

constexpr const char* kSoils[] = {"dry sand", "poor", "average", "rich", "wet"};
constexpr const char* kSoilBand = "dry sand to wet";

std::vector<model::Setting> changes(const std::string& versus) {
  if (versus.empty()) return {};
  std::vector<model::Setting> settings{model::parse_setting(versus)};
  settings.back().place.file = "--versus " + versus;
  return settings;
}

results::BandTable table_of(const model::Model& model, const CommandLine& line, int curve_points) {
  study::BandOptions options;
  options.bands =
      line.bands.empty() ? decision::bands(model.region) : decision::select_bands(line.bands, model.region);
  options.threads = line.threads;
  options.every_frequency = line.every_frequency;
  options.curve_points = curve_points;
  solver::Keep keep;
  if (!model.antenna) keep.view = results::PatternRequest{};
  keep.currents = !model.antenna && curve_points > 0;
  return study::run_bands(model, options, study::curves_of(model, line.accuracy, line.threads, keep),
                          study::solver_for(model, line.accuracy, 1, keep));
}

/// @param own  whose curve's frequencies the ribbon has
report::Ribbon ribbon_of(const results::BandTable& own, const std::vector<report::SoilTable>& soils) {
  report::Ribbon ribbon{kSoilBand, {}, {}};
  for (std::size_t i = 0; i < own.curve.size(); ++i) {
    double lowest = own.curve[i].swr_at_radio;
    double highest = lowest;
    for (const report::SoilTable& each : soils) {
      if (i >= each.table.curve.size()) continue;
      lowest = std::min(lowest, each.table.curve[i].swr_at_radio);
      highest = std::max(highest, each.table.curve[i].swr_at_radio);
    }
    ribbon.lowest.push_back(lowest);
    ribbon.highest.push_back(highest);
  }
  return ribbon;
}

}  // namespace

report::Rig rig_of(const std::string& name, const std::string& versus, const CommandLine& line,
                   int curve_points) {
  const model::Family family = io::load_family(name);
  report::Rig rig;
  rig.model = instantiate(family, line, changes(versus));
  rig.label = rig.model.name + (versus.empty() ? "" : ", " + versus);
  rig.text = io::model_text(name);
  rig.table = table_of(rig.model, line, curve_points);
  return rig;
}

std::vector<report::SoilTable> soils_of(const std::string& name, const std::string& versus,
                                        const CommandLine& line, int curve_points) {
  const model::Family family = io::load_family(name);
  const model::Model own = instantiate(family, line, changes(versus));
  if (own.ground.kind != media::GroundKind::real || own.antenna)
    throw core::Error(core::ErrorKind::usage, fmt::format("{} has no soil that could vary", own.name),
                      core::Place{"--soil-band", 0, 0, {}});
  std::vector<report::SoilTable> soils;
  for (const char* soil : kSoils) {
    std::vector<model::Setting> settings = changes(versus);
    settings.push_back({"ground.soil", soil, {}});
    soils.push_back({soil, table_of(instantiate(family, line, settings), line, curve_points)});
  }
  return soils;
}

std::vector<report::Rig> rigs_of(const CommandLine& line, int curve_points) {
  std::vector<report::Rig> rigs;
  const auto add = [&](const std::string& name, const std::string& versus) {
    rigs.push_back(rig_of(name, versus, line, curve_points));
    if (line.soil_band && curve_points > 0)
      rigs.back().ribbon = ribbon_of(rigs.back().table, soils_of(name, versus, line, curve_points));
  };
  for (const std::string& name : line.inputs) add(name, "");
  for (const std::string& versus : line.versus) add(line.inputs.front(), versus);
  return rigs;
}

}  // namespace feldspar::app
