#include "pattern.hpp"

#include "decision/hop.hpp"
#include "instantiate.hpp"
#include "io/model_file.hpp"
#include "output.hpp"
#include "report/pattern.hpp"
#include "study/solved_curve.hpp"

namespace feldspar::app {

Answer run_pattern(const CommandLine& line, bool colour) {
  const model::Model model = instantiate(io::load_family(line.model), line);
  if (model.antenna)
    throw core::Error(core::ErrorKind::usage,
                      "the antenna is given by its impedance only; a pattern needs wires",
                      core::Place{line.model, 0, 0, {}});
  const Format format = line.format.value_or(Format::text);
  report::PatternReport report;
  report.layer = line.layer.value_or(report::kUsualLayer);
  results::PatternRequest request;
  request.elevations_deg = line.elevations_deg;
  if (format != Format::text) request.sphere_step_deg = line.sphere_step_deg;
  if (line.distance) {
    report.hop = {*line.distance, decision::hop_elevation_deg(*line.distance, report.layer)};
    if (report.hop->elevation_deg) request.elevations_deg.push_back(*report.hop->elevation_deg);
  }
  solver::Keep keep;
  keep.view = request;
  std::vector<study::SolveRequest> requests;
  for (const core::Frequency f : line.frequencies) requests.push_back({f, true});
  report.results =
      study::solve_range(model, requests, line.accuracy, line.threads, line.every_frequency, keep);
  if (format == Format::json) return {report::pattern_json(model, report), {}};
  if (format == Format::csv) return {report::pattern_csv(model, report), {}};
  return {report::pattern_text(model, report, {colour, strokes_of(line.ascii), screen_width()}), {}};
}

}  // namespace feldspar::app
