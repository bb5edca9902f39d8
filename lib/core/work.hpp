#pragma once

#include <cstddef>

namespace feldspar::core {

/// What a computation did, counted: the same for any number of threads. Instruction sets round differently,
/// which may decide whether a cell of a ground table is divided; otherwise the same on every machine.
struct Work {
  std::size_t samples = 0;        ///< distances at which a kernel was evaluated
  std::size_t solves = 0;         ///< systems of equations factored
  std::size_t unknowns = 0;       ///< of all these systems together
  std::size_t table_entries = 0;  ///< complex coefficients of the ground tables' cells that were needed

  Work& operator+=(const Work& other) noexcept {
    samples += other.samples;
    solves += other.solves;
    unknowns += other.unknowns;
    table_entries += other.table_entries;
    return *this;
  }
  bool operator==(const Work&) const = default;
};

}  // namespace feldspar::core
