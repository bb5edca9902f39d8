#pragma once

#include <string>
#include <vector>

#include "model/family.hpp"
#include "model/model.hpp"
#include "results/band_table.hpp"
#include "results/check_report.hpp"
#include "results/result.hpp"

/// Machine-readable output. Keys with a dimension end in their unit; a value that does not exist is null;
/// numbers round-trip. The formats are described in docs/schema/.
namespace feldspar::report {

/// A model as `models` lists it.
struct ModelListing {
  std::string name;
  std::string title;
  std::string about;
  std::vector<model::ParameterDescription> parameters;
};

/// A study as `models` lists it.
struct StudyListing {
  std::string name;
  std::string title;
  std::string about;
};

/// A check at some frequency.
struct CheckAt {
  double frequency = 0.0;  ///< Hz
  results::CheckReport report;
};

/// Output of `solve`: docs/schema/solve.schema.json.
[[nodiscard]] std::string solve_json(const model::Model& model,
                                     const std::vector<results::FrequencyResult>& results);
/// Output of `bands`: docs/schema/bands.schema.json.
[[nodiscard]] std::string bands_json(const model::Model& model, const results::BandTable& table);
/// Output of `check`: docs/schema/check.schema.json.
[[nodiscard]] std::string check_json(const model::Model& model, const std::vector<CheckAt>& checks);
/// Output of `models`: docs/schema/models.schema.json.
[[nodiscard]] std::string models_json(const std::vector<ModelListing>& models,
                                      const std::vector<StudyListing>& studies);

}  // namespace feldspar::report
