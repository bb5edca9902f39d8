#pragma once

#include <algorithm>
#include <functional>
#include <string>
#include <vector>

#include "results/sweep.hpp"
#include "storage/hdf5_objects_detail.hpp"

/// How a sweep lies in an HDF5 file (private to this module). docs/studies.md says it for users.
namespace feldspar::storage::detail {

inline constexpr const char* kRoot = "/";
inline constexpr const char* kStatus = "status";
inline constexpr const char* kMessage = "message";
inline constexpr const char* kGroup = "feldspar";
inline constexpr const char* kDescription = "feldspar/description";
inline constexpr const char* kFrequency = "frequency";

/// Sizes of the dimensions over which a quantity is stored.
inline std::vector<hsize_t> sizes_of(const results::SweepLayout& layout, results::Extent extent) {
  std::vector<hsize_t> sizes;
  for (const results::Dimension& dimension : layout.cases) sizes.push_back(dimension.size);
  for (const results::Dimension* dimension : layout.within(extent)) sizes.push_back(dimension->size);
  return sizes;
}

/// A block of cases that is a hyperslab of the case dimensions: chunks of all datasets are such blocks, so
/// that each is written once.
struct Blocks {
  explicit Blocks(const results::SweepLayout& layout);
  /// Calls job with start and count along each case dimension, block after block.
  void each(const std::function<void(const Slab&)>& job) const;
  std::vector<hsize_t> sizes;
  std::vector<hsize_t> block;
};

/// Indices of the cases of a block in the order in which they lie in it.
std::vector<std::size_t> cases_in(const Slab& block, const std::vector<hsize_t>& sizes);

/// The slab of a quantity that belongs to a block of cases.
inline Slab slab_of(const Slab& block, const std::vector<hsize_t>& sizes) {
  Slab slab = block;
  for (std::size_t d = block.start.size(); d < sizes.size(); ++d) {
    slab.start.push_back(0);
    slab.count.push_back(sizes[d]);
  }
  return slab;
}

}  // namespace feldspar::storage::detail
