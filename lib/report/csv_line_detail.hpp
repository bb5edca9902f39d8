#pragma once

#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "model/model.hpp"

/// What comma-separated files share (private to this module).
namespace feldspar::report::detail {

/// Fields of one line with the names of their columns.
class Line {
 public:
  void add(const std::string& name, double value);  ///< empty where it is not finite
  void add(const std::string& name, const std::optional<double>& value);
  void add(const std::string& name, const std::string& text);

  [[nodiscard]] std::string names() const;
  [[nodiscard]] std::string values() const;

 private:
  std::vector<std::pair<std::string, std::string>> fields_;
};

/// A line with the model, its parameters and its ground. @param frequency  at which the soil's numbers are
/// given, Hz
[[nodiscard]] Line begin_line(const model::Model& model, double frequency);

}  // namespace feldspar::report::detail
