#include "commands.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <filesystem>

#include "decision/bands.hpp"
#include "instantiate.hpp"
#include "io/model_file.hpp"
#include "io/study_file.hpp"
#include "report/compare.hpp"
#include "report/csv.hpp"
#include "report/json.hpp"
#include "report/terminal.hpp"
#include "report/touchstone.hpp"
#include "rigs.hpp"
#include "study/solve_model.hpp"
#include "study/solved_curve.hpp"
#include "touch.hpp"

namespace feldspar::app {
namespace {

constexpr std::array<const char*, 3> kLyingHeights = {"bare_soil", "mown_grass", "long_grass"};

/// --touch, for results of `model`. @return warnings
core::Warnings touched(const model::Family& family, const CommandLine& line, const model::Model& model,
                       const std::vector<results::FrequencyResult*>& results, bool fields) {
  const auto with_end = [&](const std::string& end) {
    return instantiate(family, line, {{model.outside->end_key, end, {}}});
  };
  return add_touch(model, with_end, results, {line.accuracy, fields, line.threads});
}

/// Parameters whose default is the height of a lying wire.
std::vector<std::string> lying_parameters(const model::Family& family) {
  std::vector<std::string> names;
  for (const model::ParameterDescription& parameter : family.parameters()) {
    if (std::find(kLyingHeights.begin(), kLyingHeights.end(), parameter.default_text) !=
        kLyingHeights.end()) {
      names.push_back(parameter.name);
    }
  }
  return names;
}

double value_of(const model::Model& model, const std::string& parameter) {
  for (const model::ParameterValue& value : model.parameters) {
    if (value.name == parameter) return value.value;
  }
  return std::nan("");
}

struct Variant {
  model::Model model;
  report::LyingVariant result;
};

bool same_parameters(const model::Model& a, const model::Model& b) {
  return std::equal(a.parameters.begin(), a.parameters.end(), b.parameters.begin(), b.parameters.end(),
                    [](const auto& x, const auto& y) { return x.name == y.name && x.value == y.value; });
}

/// @param known a model whose table is there already, and its table; or null
std::vector<Variant> lying_variants(const model::Family& family, const CommandLine& line,
                                    const std::vector<std::string>& parameters,
                                    const model::Model* known = nullptr,
                                    const results::BandTable* table = nullptr) {
  std::vector<Variant> variants;
  for (const char* height : kLyingHeights) {
    std::vector<model::Setting> extra;
    for (const std::string& parameter : parameters) extra.push_back({parameter, height, {}});
    Variant variant{instantiate(family, line, extra), {}};
    variant.result.height = height;
    variant.result.metres = value_of(variant.model, parameters.front());
    variants.push_back(std::move(variant));
  }
  for (Variant& variant : variants) {
    const bool is_known = known && same_parameters(variant.model, *known);
    variant.result.table = is_known ? *table : table_of(variant.model, line);
  }
  return variants;
}

report::ModelListing listing(const io::BuiltinDescription& model) {
  return {model.name, model.title, model.about, model.parameters};
}

}  // namespace

namespace {

/// A comparison is text, and only of what every rig has.
void refuse_options_with_comparison(const CommandLine& line) {
  const auto refuse = [&](bool given, const char* option) {
    if (given)
      throw core::Error(
          core::ErrorKind::usage,
          "does not go with several models, --versus or --soil-band; ask for it of one model at "
          "a time",
          core::Place{option, 0, 0, {}});
  };
  refuse(line.format.value_or(Format::text) != Format::text, "--format");
  refuse(line.lying_heights, "--lying-heights");
  refuse(line.touch, "--touch");
  refuse(line.explain, "--explain");
  refuse(line.wide, "--wide");
  if (line.soil_band && line.inputs.size() + line.versus.size() > 1)
    throw core::Error(core::ErrorKind::usage, "is about one rig; feldspar report shows it of several",
                      core::Place{"--soil-band", 0, 0, {}});
}

}  // namespace

Answer run_bands(const CommandLine& line, bool colour) {
  if (line.inputs.size() + line.versus.size() > 1) {
    refuse_options_with_comparison(line);
    return {report::compare_text(rigs_of(line, 0), {colour}), {}};
  }
  if (line.soil_band) {
    refuse_options_with_comparison(line);
    const report::Rig rig = rig_of(line.inputs.front(), "", line, 0);
    const std::vector<report::SoilTable> soils = soils_of(rig, line.inputs.front(), "", line);
    return {
        report::bands_text(rig.model, rig.table, {colour}) + report::soils_text(rig.table, soils, {colour}),
        {}};
  }
  const model::Family family = io::load_family(line.model);
  const model::Model model = instantiate(family, line);
  const Format format = line.format.value_or(Format::text);
  if (line.touch) check_touch(model);
  std::vector<std::string> lying;
  if (line.lying_heights) {
    lying = lying_parameters(family);
    if (lying.empty()) {
      throw core::Error(
          core::ErrorKind::usage,
          fmt::format("{} has no parameter whose default is bare_soil, mown_grass or long_grass; set "
                      "heights with --set instead",
                      family.name()),
          core::Place{"--lying-heights", 0, 0, {}});
    }
  }
  if (format == Format::csv && line.lying_heights) {
    Answer answer;
    for (const Variant& variant : lying_variants(family, line, lying)) {
      const std::string csv = report::bands_csv(variant.model, variant.result.table);
      answer.text += answer.text.empty() ? csv : csv.substr(csv.find('\n') + 1);
      for (const core::Warning& warning : variant.result.table.warnings) {
        answer.warnings.push_back({warning.code, variant.result.height + ": " + warning.text});
      }
    }
    return answer;
  }
  results::BandTable table = table_of(model, line);
  if (line.touch) {
    std::vector<results::FrequencyResult*> middles;
    for (results::BandRow& row : table.bands) middles.push_back(&row.at_middle);
    const core::Warnings left_out = touched(family, line, model, middles, false);
    table.warnings.insert(table.warnings.end(), left_out.begin(), left_out.end());
  }
  if (line.explain) {
    std::vector<results::FrequencyResult*> middles;
    for (results::BandRow& row : table.bands) middles.push_back(&row.at_middle);
    study::explain_all(model, middles, study::solver_for_models(line.accuracy), line.threads);
  }
  if (format == Format::json) return {report::bands_json(model, table), table.warnings};
  if (format == Format::csv) return {report::bands_csv(model, table), table.warnings};
  Answer answer{report::bands_text(model, table, {colour, line.wide}), {}};
  if (line.lying_heights) {
    std::vector<report::LyingVariant> variants;
    for (Variant& variant : lying_variants(family, line, lying))
      variants.push_back(std::move(variant.result));
    answer.text += report::lying_heights_text(lying, variants, {colour});
  }
  return answer;
}

/// The plane asked for, or the one that suits the model; complains before anything is computed.
report::Plane plane_of(const CommandLine& line, const model::Model& model) {
  const auto otherwise = model.feed.parts.empty() ? report::Plane::port : report::Plane::radio;
  const report::Plane plane = line.plane.value_or(otherwise);
  const std::size_t ports = model.antenna ? 1 : model.structure.ports.size();
  if (plane == report::Plane::port && ports > 2)
    throw core::Error(
        core::ErrorKind::usage,
        fmt::format("a Touchstone file is written of one or two ports, and this model has {}; ask for "
                    "--plane radio",
                    ports),
        core::Place{"--plane", 0, 0, {}});
  const int written = plane == report::Plane::port && ports == 2 ? 2 : 1;
  const int named = circuit::touchstone_ports(line.output);
  if (named != 0 && named != written)
    throw core::Error(
        core::ErrorKind::usage,
        fmt::format("this is the file of a {}-port; name it .s{}p", written == 1 ? "one" : "two", written),
        core::Place{line.output, 0, 0, {}});
  return plane;
}

Answer run_solve(const CommandLine& line, bool colour) {
  const model::Family family = io::load_family(line.model);
  const model::Model model = instantiate(family, line);
  if (line.touch) check_touch(model);
  const bool touchstone = line.format == Format::touchstone;
  const report::Plane plane = touchstone ? plane_of(line, model) : report::Plane::port;
  std::vector<study::SolveRequest> requests;
  for (const core::Frequency f : line.frequencies) requests.push_back({f, !touchstone});
  std::vector<results::FrequencyResult> results =
      study::solve_range(model, requests, line.accuracy, line.threads, line.every_frequency);
  if (line.touch) {
    std::vector<results::FrequencyResult*> all;
    for (results::FrequencyResult& result : results) all.push_back(&result);
    const core::Warnings left_out = touched(family, line, model, all, true);
    for (results::FrequencyResult& result : results)
      result.warnings.insert(result.warnings.end(), left_out.begin(), left_out.end());
  }
  if (line.explain) {
    std::vector<results::FrequencyResult*> all;
    for (results::FrequencyResult& result : results) all.push_back(&result);
    study::explain_all(model, all, study::solver_for_models(line.accuracy), line.threads);
  }
  const Format format = line.format.value_or(Format::text);
  if (format == Format::text) return {report::solve_text(model, results, {colour}), {}};
  Answer answer{touchstone               ? report::solve_touchstone(model, results, plane)
                : format == Format::json ? report::solve_json(model, results)
                                         : report::solve_csv(model, results),
                {}};
  for (const results::FrequencyResult& result : results) {
    for (const core::Warning& warning : result.warnings) {
      answer.warnings.push_back(
          {warning.code, fmt::format("{:g} MHz: {}", result.frequency / 1e6, warning.text)});
    }
  }
  return answer;
}

Answer run_check(const CommandLine& line, bool colour) {
  const model::Model model = instantiate(io::load_family(line.model), line);
  solver::Options options;
  options.accuracy = line.accuracy;
  std::vector<report::CheckAt> checks;
  const auto check_at = [&](core::Frequency f) {
    options.mesh_for = study::mesh_frequency(f);
    return solver::check(model, f, options);
  };
  for (const core::Frequency f : line.frequencies) checks.push_back({f.si, check_at(f)});
  if (checks.empty()) {
    // the ends of the sweep of `bands`, and one in between
    std::vector<double> frequencies{1.8e6, 7.1e6, 54e6};
    if (model.antenna)
      frequencies = {model.antenna->table ? model.antenna->table->frequencies.back() : 7.1e6};
    for (const double f : frequencies) {
      checks.push_back({f, check_at(core::Frequency{f})});
      checks.back().report.waves.clear();  // only where somebody asked
    }
  }
  if (line.format == Format::json) return {report::check_json(model, checks), {}};
  return {report::check_text(model, checks, {colour}), {}};
}

Answer run_models(const CommandLine& line, bool colour) {
  std::vector<report::ModelListing> models;
  std::vector<report::StudyListing> studies;
  for (const io::BuiltinDescription& model : io::describe_builtins())
    if (line.model.empty() || line.model == model.name) models.push_back(listing(model));
  for (const io::StudyDescription& study : io::describe_builtin_studies())
    if (line.model.empty() || line.model == study.name)
      studies.push_back({study.name, study.title, study.about});
  if (!line.model.empty()) {
    std::string text = io::builtin_study_text(line.model);
    if (text.empty()) text = io::builtin_text(line.model);  // complains about an unknown name
    if (!line.output.empty() && !line.format) {
      std::error_code ignored;
      if (std::filesystem::exists(line.output, ignored)) {
        throw core::Error(core::ErrorKind::usage, "exists already; choose another name, or remove it first",
                          core::Place{line.output, 0, 0, {}});
      }
      return {text, {}};
    }
  }
  if (line.format == Format::json) return {report::models_json(models, studies), {}};
  if (line.model.empty()) return {report::models_text(models, studies, {colour}), {}};
  return {models.empty() ? report::study_text(studies.front(), {colour})
                         : report::model_text(models.front(), {colour}),
          {}};
}

}  // namespace feldspar::app
