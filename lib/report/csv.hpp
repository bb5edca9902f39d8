#pragma once

#include <string>
#include <vector>

#include "model/model.hpp"
#include "results/band_table.hpp"
#include "results/result.hpp"

/// Comma-separated output (RFC 4180, UTF-8, '\n'): one heading line, one line per frequency or band, the same
/// names and units as in JSON. A value that does not exist is an empty field. The model's name, its
/// parameters and the ground stand in the first columns of each line, so that files can be joined.
namespace feldspar::report {

/// A field as it stands in a line: in quotes where it has to be.
[[nodiscard]] std::string csv_field(const std::string& text);

[[nodiscard]] std::string solve_csv(const model::Model& model,
                                    const std::vector<results::FrequencyResult>& results);
[[nodiscard]] std::string bands_csv(const model::Model& model, const results::BandTable& table);

}  // namespace feldspar::report
