#pragma once

#include <string>

#include "model/model.hpp"
#include "results/band_table.hpp"
#include "results/result.hpp"

namespace feldspar::report {

/// What the radio sees at one frequency by what hangs at its end of the coax; "" where nobody asked.
[[nodiscard]] std::string touch_text(const model::Model& model, const results::FrequencyResult& result,
                                     bool colour);

/// The same for the middle of every band; "" where nobody asked.
[[nodiscard]] std::string touch_block(const results::BandTable& bands, bool colour);

}  // namespace feldspar::report
