#pragma once

#include <string>
#include <vector>

#include "model/model.hpp"

namespace feldspar::report {

/// "Soil: average, relative permittivity 13, conductivity 5 mS/m; flat and uniform."
[[nodiscard]] std::string describe_ground(const media::Ground& ground);

/// "Far soil: sea, relative permittivity 81, conductivity 5000 mS/m, from 25 m on, all round; ..."
[[nodiscard]] std::string describe_far_soil(const media::FarSoil& far);

/// Where the numbers of named soils come from, a line each; empty when no soil has a name.
[[nodiscard]] std::vector<std::string> describe_soil_sources(const model::Model& model);

/// "radial_count 4, radial_length 5.2 m", in the file's order; empty without parameters.
[[nodiscard]] std::string describe_parameters(const model::Model& model);

/// "Antenna as given: 13.6 - j1000 ohm at every frequency.", "Antenna as measured: file mine.s1p, ..."
[[nodiscard]] std::string describe_antenna(const circuit::KnownAntenna& antenna);

/// What a result takes for granted, a sentence each: ground, power, every part of the feed, the coax's
/// outside.
[[nodiscard]] std::vector<std::string> describe_assumptions(const model::Model& model);

/// What to beware of, in two lines; docs/safety.md says it in full.
[[nodiscard]] std::string caution();

}  // namespace feldspar::report
