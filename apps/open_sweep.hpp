#pragma once

#include <string>

#include "report/sweep.hpp"

namespace feldspar::app {

/// Whether it is an HDF5 file, by its first bytes (HDF5 File Format Specification, superblock signature).
[[nodiscard]] bool is_sweep_file(const std::string& path);

/// Everything of a finished sweep; says on standard error how many of its cases are damaged.
/// @throws core::Error{storage} when it cannot be read
[[nodiscard]] report::SweepView open_sweep(const std::string& path);

}  // namespace feldspar::app
