#pragma once

#include <chrono>

#include "core/quantity.hpp"
#include "geometry/wire.hpp"
#include "media/ground.hpp"

/// What the benchmarks measure against, and structures of any size to measure on.
namespace feldspar::benchmarks {

/// One evaluation of exp(-jkR)/R from three coordinates, in a plain loop over 2,048 points in the cache with
/// the widest instructions there are, s. The mean over one run of about 0.2 ms.
[[nodiscard]] double kernel_seconds();

/// One factorisation of a random complex matrix by LAPACK on one thread (by Eigen in a build without), s.
[[nodiscard]] double lu_seconds(int unknowns);

/// Dipoles 10 m long, 8 m apart on a square grid, each tilted and turned another way, so that nothing is
/// parallel, symmetric or repeated: the general case. The first one is fed. Hanging at `height`, m.
[[nodiscard]] geometry::Structure bed_of_dipoles(int count, double height);
inline constexpr core::Frequency kBedFrequency{14.1e6};

[[nodiscard]] media::Ground free_space();
[[nodiscard]] media::Ground average_soil();

/// The most memory that this process has held so far, bytes; 0 where /proc does not tell.
[[nodiscard]] double peak_memory();

/// Wall time of job(), s.
template <class Job>
[[nodiscard]] double seconds(const Job& job) {
  const auto start = std::chrono::steady_clock::now();
  job();
  return std::chrono::duration<double>(std::chrono::steady_clock::now() - start).count();
}

}  // namespace feldspar::benchmarks
