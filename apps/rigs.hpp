#pragma once

#include <string>
#include <vector>

#include "command_line.hpp"
#include "report/compare.hpp"
#include "report/page.hpp"

/// Models of a command line with their operating tables, for comparison.
namespace feldspar::app {

/// @param versus        "name=value", or empty for the model as it stands
/// @param curve_points  of the table's curve; 0: none, and no ribbon
[[nodiscard]] report::Rig rig_of(const std::string& name, const std::string& versus, const CommandLine& line,
                                 int curve_points);

/// The models of the command line, then --versus of the first one; with --soil-band each with its ribbon.
[[nodiscard]] std::vector<report::Rig> rigs_of(const CommandLine& line, int curve_points);

/// The same rig over the named soils, from the worst to the best of the land.
/// @throws core::Error{usage} for a model without soil
[[nodiscard]] std::vector<report::SoilTable> soils_of(const std::string& name, const std::string& versus,
                                                      const CommandLine& line, int curve_points);

}  // namespace feldspar::app
