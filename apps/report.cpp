#include "report.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <filesystem>

#include "decision/bands.hpp"
#include "instantiate.hpp"
#include "io/model_file.hpp"
#include "open_sweep.hpp"
#include "output.hpp"
#include "report/page.hpp"
#include "study/run_bands.hpp"
#include "study/solve_model.hpp"
#include "study/solved_curve.hpp"

namespace feldspar::app {
namespace {

namespace fs = std::filesystem;

constexpr int kCurvePoints = 700;  // over the sweep; a page of 1280 pixels shows no more

/// Soils of --soil-band, from the worst to the best of the land.
constexpr const char* kSoils[] = {"dry sand", "poor", "average", "rich", "wet"};
constexpr const char* kSoilBand = "dry sand to wet";

results::BandTable table_of(const model::Model& model, const CommandLine& line, bool fields) {
  study::BandOptions options;
  options.bands =
      line.bands.empty() ? decision::bands(model.region) : decision::select_bands(line.bands, model.region);
  options.threads = line.threads;
  options.every_frequency = line.every_frequency;
  options.curve_points = kCurvePoints;
  solver::Keep keep;
  if (fields) {
    keep.view = results::PatternRequest{};
    keep.currents = true;
  }
  return study::run_bands(model, options, study::curves_of(model, line.accuracy, line.threads, keep),
                          study::solver_for(model, line.accuracy, 1, keep));
}

/// @param own  whose curve's frequencies the ribbon has
report::Ribbon soil_ribbon(const model::Family& family, const CommandLine& line,
                           const std::vector<model::Setting>& extra, const results::BandTable& own) {
  report::Ribbon ribbon{kSoilBand, {}, {}};
  for (const results::CurvePoint& point : own.curve) {
    ribbon.lowest.push_back(point.swr_at_radio);
    ribbon.highest.push_back(point.swr_at_radio);
  }
  for (const char* soil : kSoils) {
    std::vector<model::Setting> settings = extra;
    settings.push_back({"ground.soil", soil, {}});
    const results::BandTable table = table_of(instantiate(family, line, settings), line, false);
    for (std::size_t i = 0; i < table.curve.size() && i < ribbon.lowest.size(); ++i) {
      ribbon.lowest[i] = std::min(ribbon.lowest[i], table.curve[i].swr_at_radio);
      ribbon.highest[i] = std::max(ribbon.highest[i], table.curve[i].swr_at_radio);
    }
  }
  return ribbon;
}

/// @param versus  "name=value", or empty for the model as it stands
report::Rig rig_of(const std::string& name, const std::string& versus, const CommandLine& line, bool ribbon) {
  const model::Family family = io::load_family(name);
  std::vector<model::Setting> extra;
  if (!versus.empty()) {
    extra.push_back(model::parse_setting(versus));
    extra.back().place.file = "--versus " + versus;
  }
  report::Rig rig;
  rig.model = instantiate(family, line, extra);
  rig.label = rig.model.name + (versus.empty() ? "" : ", " + versus);
  rig.text = io::model_text(name);
  rig.table = table_of(rig.model, line, !rig.model.antenna);
  const bool soil = rig.model.ground.kind == media::GroundKind::real && !rig.model.antenna;
  if (ribbon && !soil)
    throw core::Error(core::ErrorKind::usage, fmt::format("{} has no soil that could vary", rig.model.name),
                      core::Place{"--soil-band", 0, 0, {}});
  if (ribbon) rig.ribbon = soil_ribbon(family, line, extra, rig.table);
  return rig;
}

/// A sweep was solved before: nothing of it can be set now.
void refuse_options_with_sweep(const CommandLine& line) {
  const auto refuse = [](bool given, const char* option) {
    if (given)
      throw core::Error(core::ErrorKind::usage, "a page of a sweep shows what its file holds; leave this out",
                        core::Place{option, 0, 0, {}});
  };
  refuse(line.soil_band, "--soil-band");
  refuse(!line.versus.empty(), "--versus");
  refuse(!line.settings.empty(), "--set");
  refuse(!line.bands.empty(), "--bands");
  refuse(line.region.has_value(), "--region");
  refuse(line.every_frequency, "--every-frequency");
  if (line.inputs.size() > 1)
    throw core::Error(core::ErrorKind::usage,
                      fmt::format("a sweep has a page of its own; {} is more", line.inputs.size() - 1),
                      core::Place{line.inputs.front(), 0, 0, {}});
}

std::string page_name(const CommandLine& line) {
  if (!line.output.empty()) return line.output;
  return fs::path(line.inputs.front()).stem().string() + ".html";
}

/// @return the files' names, a line each
std::string write_pictures(const CommandLine& line, const std::vector<report::Picture>& pictures) {
  std::string written;
  if (line.svg_folder.empty()) return written;
  for (const report::Picture& picture : pictures) {
    const std::string file = (fs::path(line.svg_folder) / (picture.name + ".svg")).string();
    write_file(file, picture.svg);
    written += file + '\n';
  }
  return written;
}

}  // namespace

std::string run_report(const CommandLine& line) {
  const std::string page = page_name(line);
  check_writable(page);
  if (!line.svg_folder.empty() && !fs::is_directory(line.svg_folder))
    throw core::Error(core::ErrorKind::usage, "there is no folder of that name",
                      core::Place{"--svg " + line.svg_folder, 0, 0, {}});
  const report::PageOptions options{FELDSPAR_VERSION, line.typed};
  const auto sweep = std::find_if(line.inputs.begin(), line.inputs.end(), is_sweep_file);
  if (sweep != line.inputs.end()) {
    refuse_options_with_sweep(line);
    const report::SweepView view = open_sweep(*sweep);
    write_file(page, report::sweep_page_html(view, options));
    return page + '\n' + write_pictures(line, report::sweep_pictures(view));
  }
  std::vector<report::Rig> rigs;
  for (const std::string& name : line.inputs) rigs.push_back(rig_of(name, "", line, line.soil_band));
  for (const std::string& versus : line.versus)
    rigs.push_back(rig_of(line.inputs.front(), versus, line, line.soil_band));
  write_file(page, report::page_html(rigs, options));
  return page + '\n' + write_pictures(line, report::pictures(rigs));
}

}  // namespace feldspar::app
