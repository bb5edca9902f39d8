#pragma once

#include <vector>

#include "core/quantity.hpp"
#include "model/model.hpp"
#include "results/check_report.hpp"

namespace feldspar::solver {

/// How current travels along the stretches of wire that run close to the soil's surface, above or below it:
/// those nearer than a twentieth of the wavelength in air, sloping at most 1:4, and at least three times as
/// long as their mean height, at which they are computed (media/wire_mode.hpp). Alike ones are counted
/// together. Empty without real soil. Stretches for which no such wave is found are left out.
[[nodiscard]] std::vector<results::CheckReport::WaveLine> waves_near_soil(const model::Model& model,
                                                                          core::Frequency f);

}  // namespace feldspar::solver
