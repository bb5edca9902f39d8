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
  /// A nearly level stretch of wire close to the soil's surface, and the wave that current makes along it.
  struct WaveLine {
    std::string wire;     ///< name; of several alike the first one's
    int copies = 1;       ///< how many alike there are
    int leg = 0;          ///< straight stretch of the wire's path, from 1; 0 when it has only one
    double length = 0.0;  ///< m
    double height = 0.0;  ///< m, mean of the axis above the surface; negative below
    bool insulated = false;
    double velocity_factor = 1.0;
    double attenuation_db = 0.0;  ///< dB per metre
    double wavelengths = 0.0;     ///< what the length is to the current, in waves along the wire
  };
  std::vector<WireLine> wires;
  std::vector<JunctionLine> junctions;
  int free_ends = 0;
  int unknowns = 0;             ///< at the given frequency
  std::vector<WaveLine> waves;  ///< at the given frequency; over real soil only
  core::Warnings warnings;
};

}  // namespace feldspar::results
