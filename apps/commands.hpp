#pragma once

#include <string>

#include "command_line.hpp"
#include "core/error.hpp"

/// The commands: from what was typed to the text of the answer. @throws core::Error
namespace feldspar::app {

struct Answer {
  std::string text;         ///< for standard output or the file
  core::Warnings warnings;  ///< for standard error: those that the text does not show
};

/// @param colour only used for text
[[nodiscard]] Answer run_bands(const CommandLine& line, bool colour);
[[nodiscard]] Answer run_solve(const CommandLine& line, bool colour);
[[nodiscard]] Answer run_check(const CommandLine& line, bool colour);
[[nodiscard]] Answer run_models(const CommandLine& line, bool colour);

}  // namespace feldspar::app
