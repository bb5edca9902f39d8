#pragma once

#include <vector>

#include "command_line.hpp"
#include "model/family.hpp"
#include "model/model.hpp"

namespace feldspar::app {

/// One rig of a family, as the command line sets it. @param extra  settings after those
[[nodiscard]] model::Model instantiate(const model::Family& family, const CommandLine& line,
                                       const std::vector<model::Setting>& extra = {});

}  // namespace feldspar::app
