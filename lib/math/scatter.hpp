#pragma once

#include <cstdint>

/// Numbers that look random and are the same on every machine: for choosing points to check, not for
/// statistics.
namespace feldspar::math {

/// splitmix64: every bit of x moves every bit of the result.
inline std::uint64_t scatter(std::uint64_t x) noexcept {
  x += 0x9e3779b97f4a7c15U;
  x = (x ^ (x >> 30U)) * 0xbf58476d1ce4e5b9U;
  x = (x ^ (x >> 27U)) * 0x94d049bb133111ebU;
  return x ^ (x >> 31U);
}

/// In [0, 1).
inline double scatter_fraction(std::uint64_t x) noexcept {
  return static_cast<double>(scatter(x) >> 11U) * 0x1p-53;
}

}  // namespace feldspar::math
