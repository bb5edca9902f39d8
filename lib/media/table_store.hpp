#pragma once

#include <complex>
#include <cstddef>
#include <memory>

#include "media/half_space.hpp"
#include "media/through_table.hpp"

namespace feldspar::media {

/// What a ground table is made for. Lengths in m; `rho` and `high`, or `depth`, at most, `low` at least.
struct TableReach {
  double rho = 0.0;
  double low = 0.0;   ///< least sum of two heights
  double high = 0.0;  ///< greatest height
  double depth = 0.0;
  bool operator==(const TableReach&) const = default;
};

/// The next reach of a coarse ladder (steps of the square root of 2), so that structures of about one size
/// share their tables. What is 0 stays 0.
[[nodiscard]] TableReach rounded(const TableReach& reach);

/// Ground tables for the pairs that occur; null where there are none.
struct GroundTables {
  std::shared_ptr<const HalfSpaceTable> above;
  std::shared_ptr<const BelowTable> below;
  std::shared_ptr<const AcrossTable> across;
  [[nodiscard]] std::size_t entries() const;
};

/// Tables for exactly this reach. @throws core::Error{usage} as the tables do
[[nodiscard]] GroundTables make_tables(double k0, std::complex<double> n2, const TableReach& reach,
                                       double tolerance);

/// Keeps tables for the next structure at the same soil and frequency: a change of geometry does not build
/// them again. A table gives the same numbers whatever else was asked of it, so that results do not depend on
/// the store. Thread-safe.
class TableStore {
 public:
  /// @param most sets of tables kept; the one longest unused goes
  explicit TableStore(std::size_t most = 128);
  ~TableStore();

  /// As make_tables(), kept. Arguments are compared exactly: round the reach first.
  [[nodiscard]] GroundTables get(double k0, std::complex<double> n2, const TableReach& reach,
                                 double tolerance);
  [[nodiscard]] std::size_t made() const;  ///< sets made so far

 private:
  struct Impl;
  std::unique_ptr<Impl> impl_;
};

}  // namespace feldspar::media
