#pragma once

#include <string>
#include <vector>

#include "command_line.hpp"
#include "report/compare.hpp"
#include "report/page.hpp"
#include "solver/solve.hpp"

/// Models of a command line with their operating tables, for comparison.
namespace feldspar::app {

/// The operating table as the command line asks for it. @param curve_points as study::BandOptions
[[nodiscard]] results::BandTable table_of(const model::Model& model, const CommandLine& line,
                                          int curve_points = 0, const solver::Keep& keep = {});

/// @param versus        "name=value", or empty for the model as it stands
/// @param curve_points  of the table's curve; 0: none, and neither patterns nor currents are kept
[[nodiscard]] report::Rig rig_of(const std::string& name, const std::string& versus, const CommandLine& line,
                                 int curve_points);

/// The models of the command line, then --versus of the first one; with a curve and --soil-band each with its
/// ribbon.
[[nodiscard]] std::vector<report::Rig> rigs_of(const CommandLine& line, int curve_points);

/// The same rig over the named soils, from the worst to the best of the land; its own soil is not solved
/// again. @param own  rig_of() the same name and versus; its table's curve decides on theirs
/// @throws core::Error{usage} for a model without soil
[[nodiscard]] std::vector<report::SoilTable> soils_of(const report::Rig& own, const std::string& name,
                                                      const std::string& versus, const CommandLine& line,
                                                      int curve_points = 0);

}  // namespace feldspar::app
