#pragma once

#include <cstddef>
#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "core/error.hpp"
#include "model/dimension.hpp"
#include "model/family.hpp"
#include "model/node.hpp"

/// A study as its file says it: which cases of which models, at which frequencies, and what is kept of each.
namespace feldspar::model {

/// Name of the axis whose values are models: built-in names or paths.
inline constexpr const char* kModelAxis = "model";

/// One value of an axis.
struct AxisValue {
  std::string text;     ///< as a setting: "8 m", "dry sand", "true"
  double number = 0.0;  ///< SI; on an axis of numbers
  core::Place place;
};

/// Values from one number to another.
struct AxisRange {
  double from = 0.0;  ///< SI
  double to = 0.0;
  bool logarithmic = false;
};

struct StudyAxis {
  std::string name;      ///< a parameter, a dotted key as in `--set`, or kModelAxis
  bool numeric = false;  ///< else words: soils, models, files, true and false
  Dimension dimension;   ///< of its numbers
  bool bare = false;     ///< written without units: SI numbers of whatever the key holds
  std::vector<AxisValue>
      values;  ///< in the file's order, each once; of a sample drawn later from a range: none
  std::optional<AxisRange> range;  ///< where that is how it was written
  core::Place place;
};

/// A Latin hypercube: as many cases as strata on each axis.
struct Sample {
  std::size_t cases = 0;
  std::uint64_t seed = 1;
};

/// A condition that a case must meet to be solved.
struct Condition {
  std::string text;
  core::Place place;
};

struct Study {
  std::string title;
  std::string about;
  std::string model;  ///< empty when there is an axis of models
  std::vector<StudyAxis> axes;
  /// Indices of axes; those of one group move together, groups are combined each with each.
  std::vector<std::vector<std::size_t>> groups;
  std::optional<Sample> sample;     ///< then there is one group, of all axes
  std::vector<Setting> fixed;       ///< for all cases; may use parameters
  std::vector<double> frequencies;  ///< Hz, rising; empty: edges and middles of the bands
  std::string bands;                ///< "40m,20m"; empty: all
  std::optional<int> region;        ///< ITU region; empty: the first model's own
  bool keep_power = false;
  bool keep_patterns = false;
  bool keep_currents = false;
  std::string accuracy = "normal";
  std::vector<Condition> only;
};

/// Most cases a study may have, and most values of one axis.
inline constexpr double kMostCases = 1e7;
inline constexpr std::size_t kMostAxisValues = 100000;

/// The value at a fraction 0 to 1 of an axis: of its range, or one of its list.
[[nodiscard]] AxisValue at_fraction(const StudyAxis& axis, double fraction);

/// @throws core::Error{model} with file, line, column and key
[[nodiscard]] Study read_study(const Node& root);

}  // namespace feldspar::model
