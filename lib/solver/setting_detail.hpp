#pragma once

#include "moment/solve.hpp"
#include "solver/solve.hpp"

namespace feldspar::solver {

/// Mesh and tolerance that an accuracy stands for.
[[nodiscard]] moment::Setting setting_for(Accuracy accuracy);

/// @throws Error{usage} for a frequency that is none, Error{model} for a model without wires or ports
/// that is no known antenna either
void check_input(const model::Model& model, core::Frequency f);

/// The structure as the engine computes it: wires as thick as their coats, and what metal, coats and inserts
/// put in series with the current and the charge at this frequency.
struct ElectricalStructure {
  geometry::Structure structure;
  moment::SeriesImpedance series;
};
[[nodiscard]] ElectricalStructure electrical(const geometry::Structure& structure, core::Frequency f);

}  // namespace feldspar::solver
