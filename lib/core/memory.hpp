#pragma once

namespace feldspar::core {

/// Lets the process keep matrices' memory when they are freed, instead of giving it back and having every
/// page zeroed and mapped again in the next solve: a tenth to a half of the time of solves of 100 to 500
/// unknowns with glibc, which this is for; elsewhere it does nothing. Holds back at most 256 MB.
///
/// For programs, first thing in main(): it changes the allocator of the whole process, which is not for a
/// library to decide.
void keep_freed_memory() noexcept;

}  // namespace feldspar::core
