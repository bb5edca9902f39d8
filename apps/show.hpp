#pragma once

#include "command_line.hpp"

namespace feldspar::app {

/// `show`: reads the file of a sweep. @throws core::Error
[[nodiscard]] std::string run_show(const CommandLine& line, bool colour);

}  // namespace feldspar::app
