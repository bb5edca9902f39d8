#pragma once

#include <string>

#include "command_line.hpp"
#include "study/sweep_plan.hpp"

namespace feldspar::app {

/// What a study would take, from a few of its cases run here and now.
[[nodiscard]] std::string estimate_text(const study::SweepPlan& plan, const CommandLine& line);

}  // namespace feldspar::app
