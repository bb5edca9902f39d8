#pragma once

#include "core/quantity.hpp"
#include "model/model.hpp"
#include "results/check_report.hpp"
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

/// An antenna known by its impedance only gives the circuit part: no gain, no unknowns, no error of its own,
/// and what it takes as PowerBudget::antenna.
/// @throws Error{geometry} for wires that cannot be computed, Error{usage} for f <= 0, Error{numerics}
[[nodiscard]] results::FrequencyResult solve(const model::Model& model, core::Frequency f,
                                             const Options& options = {});

/// What `check` tells without solving.
using CheckReport = results::CheckReport;

/// Geometry and mesh of a model at one frequency. @throws as solve
[[nodiscard]] CheckReport check(const model::Model& model, core::Frequency f, const Options& options = {});

}  // namespace feldspar::solver
