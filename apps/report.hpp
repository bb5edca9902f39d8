#pragma once

#include "command_line.hpp"
#include "commands.hpp"

namespace feldspar::app {

/// The page, written to its file, and the still plots beside it. @return what was written
/// @throws core::Error
[[nodiscard]] std::string run_report(const CommandLine& line);

}  // namespace feldspar::app
