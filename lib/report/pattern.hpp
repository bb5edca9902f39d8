#pragma once

#include <optional>
#include <string>
#include <vector>

#include "model/model.hpp"
#include "report/canvas.hpp"
#include "results/result.hpp"

/// Where the signal goes: output of `pattern`.
namespace feldspar::report {

/// A distance to be reached by one hop.
struct Hop {
  double distance = 0.0;  ///< m, along the ground
  /// At which it leaves; empty: beyond the horizon. The gain there is the last one of
  /// results::PatternView::at_elevations.
  std::optional<double> elevation_deg;
};

/// Height of the mirror that stands for the ionosphere when nobody says another: about that of its F2 layer
/// (common practice; ITU-R gives 250 to 400 km).
inline constexpr double kUsualLayer = 300e3;  // m

/// Results with a results::PatternView each, and what they were asked for.
struct PatternReport {
  std::vector<results::FrequencyResult> results;
  double layer = kUsualLayer;  ///< m
  std::optional<Hop> hop;
};

struct PictureOptions {
  bool colour = false;
  Strokes strokes = Strokes::braille;
  int width = 80;  ///< characters in a line
};

/// Headline, picture, tables. A result without a view is said to radiate nothing.
[[nodiscard]] std::string pattern_text(const model::Model& model, const PatternReport& report,
                                       const PictureOptions& options = {});
/// docs/schema/pattern.schema.json
[[nodiscard]] std::string pattern_json(const model::Model& model, const PatternReport& report);
/// A line for each direction: first both cuts, then the sphere.
[[nodiscard]] std::string pattern_csv(const model::Model& model, const PatternReport& report);

}  // namespace feldspar::report
