#pragma once

#include <cstddef>
#include <memory>
#include <span>

#include "kernel/line_pair.hpp"
#include "moment/fill.hpp"

namespace feldspar::moment {

/// Reaction integrals between two elements of a mesh, which must outlive it, as does what `surroundings`
/// points to. Owns its scratch memory: one object per thread.
class Reactions {
 public:
  Reactions(const geometry::Mesh& mesh, const Surroundings& surroundings, double tolerance);
  ~Reactions();

  /// Block of the matrix that fill_local() describes, local functions of m x local functions of n, ohm.
  [[nodiscard]] kernel::Moments block(std::size_t m, std::size_t n);
  /// Sum of the blocks of m with several elements that turns about a vertical axis map on each other.
  [[nodiscard]] kernel::Moments sum(std::size_t m, std::span<const std::size_t> turned);
  /// Distances at which a kernel was sampled so far.
  [[nodiscard]] std::size_t samples() const;

 private:
  struct Impl;
  std::unique_ptr<Impl> impl_;
};

}  // namespace feldspar::moment
