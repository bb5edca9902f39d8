#pragma once

#include <string>
#include <vector>

#include "model/model.hpp"
#include "report/json.hpp"
#include "results/band_table.hpp"
#include "results/check_report.hpp"
#include "results/result.hpp"

/// Results as people read them in a terminal: 80 columns unless `wide` is set, words before colours, no more
/// digits than the calculation's own error supports. Nothing is computed here that is not in the results.
namespace feldspar::report {

struct TerminalOptions {
  bool colour = false;
  bool wide = false;  ///< bands_text(): everything, in tables as wide as they come
};

/// The operating table with dips, assumptions, own error, warnings and cautions.
[[nodiscard]] std::string bands_text(const model::Model& model, const results::BandTable& table,
                                     const TerminalOptions& options = {});

/// The operating table of one model with its lying wires at a named height.
struct LyingVariant {
  std::string height;  ///< "bare_soil"
  double metres = 0.0;
  results::BandTable table;
};
/// How the numbers spread over the heights at which a wire may lie. @param parameters names of what was
/// varied
[[nodiscard]] std::string lying_heights_text(const std::vector<std::string>& parameters,
                                             const std::vector<LyingVariant>& variants,
                                             const TerminalOptions& options = {});

/// Everything at given frequencies.
[[nodiscard]] std::string solve_text(const model::Model& model,
                                     const std::vector<results::FrequencyResult>& results,
                                     const TerminalOptions& options = {});

/// Geometry in words, and how current travels along wires near soil where the checks say so. @param checks
/// one or more of the same model
[[nodiscard]] std::string check_text(const model::Model& model, const std::vector<CheckAt>& checks,
                                     const TerminalOptions& options = {});

/// The built-in models and studies, a line each.
[[nodiscard]] std::string models_text(const std::vector<ModelListing>& models,
                                      const std::vector<StudyListing>& studies,
                                      const TerminalOptions& options = {});
/// One of them with its parameters.
[[nodiscard]] std::string model_text(const ModelListing& model, const TerminalOptions& options = {});
[[nodiscard]] std::string study_text(const StudyListing& study, const TerminalOptions& options = {});

}  // namespace feldspar::report
