#pragma once

#include "command_line.hpp"
#include "commands.hpp"

namespace feldspar::app {

/// Where the signal goes at given frequencies. @throws core::Error
[[nodiscard]] Answer run_pattern(const CommandLine& line, bool colour);

}  // namespace feldspar::app
