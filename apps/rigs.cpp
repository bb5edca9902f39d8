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

bool same_soil(const media::Ground& a, const media::Ground& b) {
  return a.kind == b.kind && a.method == b.method && a.relative_permittivity == b.relative_permittivity &&
         a.conductivity == b.conductivity && a.table.empty() && b.table.empty();
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

results::BandTable table_of(const model::Model& model, const CommandLine& line, int curve_points,
                            const solver::Keep& keep) {
  study::BandOptions options;
  options.bands =
      line.bands.empty() ? decision::bands(model.region) : decision::select_bands(line.bands, model.region);
  options.threads = line.threads;
  options.every_frequency = line.every_frequency;
  options.curve_points = curve_points;
  return study::run_bands(model, options, study::curves_of(model, line.accuracy, line.threads, keep),
                          study::solver_for(model, line.accuracy, 1, keep));
}

report::Rig rig_of(const std::string& name, const std::string& versus, const CommandLine& line,
                   int curve_points) {
  const model::Family family = io::load_family(name);
  report::Rig rig;
  rig.model = instantiate(family, line, changes(versus));
  rig.label = rig.model.name + (versus.empty() ? "" : ", " + versus);
  rig.text = io::model_text(name);
  solver::Keep keep;
  if (!rig.model.antenna && curve_points > 0) {
    keep.view = results::PatternRequest{};
    keep.currents = true;
  }
  rig.table = table_of(rig.model, line, curve_points, keep);
  return rig;
}

std::vector<report::SoilTable> soils_of(const report::Rig& own, const std::string& name,
                                        const std::string& versus, const CommandLine& line,
                                        int curve_points) {
  if (own.model.ground.kind != media::GroundKind::real || own.model.antenna)
    throw core::Error(core::ErrorKind::usage, fmt::format("{} has no soil that could vary", own.model.name),
                      core::Place{"--soil-band", 0, 0, {}});
  const model::Family family = io::load_family(name);
  std::vector<report::SoilTable> soils;
  for (const char* soil : kSoils) {
    std::vector<model::Setting> settings = changes(versus);
    settings.push_back({"ground.soil", soil, {}});
    const model::Model model = instantiate(family, line, settings);
    const bool known = same_soil(model.ground, own.model.ground);
    soils.push_back({soil, known ? own.table : table_of(model, line, curve_points)});
  }
  return soils;
}

std::vector<report::Rig> rigs_of(const CommandLine& line, int curve_points) {
  std::vector<report::Rig> rigs;
  const auto add = [&](const std::string& name, const std::string& versus) {
    rigs.push_back(rig_of(name, versus, line, curve_points));
    if (line.soil_band && curve_points > 0)
      rigs.back().ribbon =
          ribbon_of(rigs.back().table, soils_of(rigs.back(), name, versus, line, curve_points));
  };
  for (const std::string& name : line.inputs) add(name, "");
  for (const std::string& versus : line.versus) add(line.inputs.front(), versus);
  return rigs;
}

}  // namespace feldspar::app
