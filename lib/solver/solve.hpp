#pragma once

#include "core/quantity.hpp"
#include "model/model.hpp"
#include "results/result.hpp"

/// One model at one frequency: currents, port, feed line, fields, power.
namespace feldspar::solver {

enum class Accuracy { draft, normal, fine };

struct Options {
  Accuracy accuracy = Accuracy::normal;
  int threads = 1;           ///< >= 1; the answer does not depend on it
  bool fields = true;        ///< gain, sky power, losses; false: impedance and circuit only
  bool ground_flux = false;  ///< compute the ground's power on its own (always at `fine`)
};

/// @throws Error{geometry} for wires that cannot be computed, Error{usage} for f <= 0, Error{numerics}
[[nodiscard]] results::FrequencyResult solve(const model::Model& model, core::Frequency f,
                                             const Options& options = {});

/// What `check` tells without solving.
struct CheckReport {
  struct WireLine {
    std::string name;
    double length = 0.0;   ///< m
    double lowest = 0.0;   ///< m, smallest height of the axis
    double highest = 0.0;  ///< m
  };
  struct JunctionLine {
    geometry::Vec3 at;
    std::vector<std::string> wires;  ///< names that meet there
    bool ground = false;             ///< joined to perfect ground
  };
  std::vector<WireLine> wires;
  std::vector<JunctionLine> junctions;
  int free_ends = 0;
  int unknowns = 0;  ///< at the given frequency
  core::Warnings warnings;
};

/// Geometry and mesh of a model at one frequency. @throws as solve
[[nodiscard]] CheckReport check(const model::Model& model, core::Frequency f, const Options& options = {});

}  // namespace feldspar::solver
