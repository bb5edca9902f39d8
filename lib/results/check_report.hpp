#pragma once

#include <Eigen/Core>
#include <string>
#include <vector>

#include "core/error.hpp"

/// What can be said of a model without solving it. Plain values, SI units.
namespace feldspar::results {

struct CheckReport {
  struct WireLine {
    std::string name;
    double length = 0.0;   ///< m
    double lowest = 0.0;   ///< m, smallest height of the axis
    double highest = 0.0;  ///< m
  };
  struct JunctionLine {
    Eigen::Vector3d at;              ///< m
    std::vector<std::string> wires;  ///< names that meet there
    bool ground = false;             ///< joined to perfect ground
  };
  std::vector<WireLine> wires;
  std::vector<JunctionLine> junctions;
  int free_ends = 0;
  int unknowns = 0;  ///< at the given frequency
  core::Warnings warnings;
};

}  // namespace feldspar::results
