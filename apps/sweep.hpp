#pragma once

#include "command_line.hpp"

namespace feldspar::app {

/// `sweep`: runs what is missing of a study and writes its file; `--dry-run` only says what that would be.
/// @return text for standard output  @throws core::Error; Error{numerics} at the end when cases have failed
[[nodiscard]] std::string run_sweep(const CommandLine& line);

/// `gather`: joins the files of shares.
[[nodiscard]] std::string run_gather(const CommandLine& line);

}  // namespace feldspar::app
