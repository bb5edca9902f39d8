#pragma once

#include <memory>
#include <optional>

#include "core/quantity.hpp"
#include "model/model.hpp"
#include "moment/solve.hpp"
#include "results/check_report.hpp"
#include "results/result.hpp"

/// One model at one frequency: currents, port, feed line, fields, power.
namespace feldspar::solver {

enum class Accuracy { draft, normal, fine };

/// What a result holds besides when its fields are asked for.
struct Keep {
  bool pattern = false;                                        ///< FrequencyResult::pattern_dbi
  bool currents = false;                                       ///< FrequencyResult::currents
  std::optional<results::PatternRequest> view = std::nullopt;  ///< FrequencyResult::view
};

struct Options {
  Accuracy accuracy = Accuracy::normal;
  int threads = 1;           ///< >= 1; the answer does not depend on it
  bool fields = true;        ///< gain, sky power, losses; false: impedance and circuit only
  bool ground_flux = false;  ///< compute the ground's power on its own (always at `fine`)
  std::optional<core::Frequency> mesh_for = std::nullopt;  ///< moment::Setting::mesh_for
  std::shared_ptr<media::TableStore> tables = nullptr;     ///< moment::Setting::tables
  Keep keep = {};
};

/// An antenna known by its impedance only gives the circuit part: no gain, no unknowns, no error of its own,
/// and what it takes as PowerBudget::antenna.
/// @throws Error{geometry} for wires that cannot be computed, Error{usage} for f <= 0, Error{numerics}
[[nodiscard]] results::FrequencyResult solve(const model::Model& model, core::Frequency f,
                                             const Options& options = {});

/// The two halves of solve() for a model with wires: the currents for 1 V at each port, and all that follows
/// from them. @throws as solve
[[nodiscard]] moment::Solution solve_currents(const model::Model& model, core::Frequency f,
                                              const Options& options = {});
[[nodiscard]] results::FrequencyResult evaluate(const model::Model& model, core::Frequency f,
                                                const moment::Solution& solution,
                                                const Options& options = {});

/// What `check` tells without solving.
using CheckReport = results::CheckReport;

/// Geometry and mesh of a model at one frequency. @throws as solve
[[nodiscard]] CheckReport check(const model::Model& model, core::Frequency f, const Options& options = {});

}  // namespace feldspar::solver
