#pragma once

#include <cstddef>

#include "results/sweep.hpp"

namespace feldspar::storage {

/// Something that has cases of a sweep: a journal, a file, several files.
class CaseSource {
 public:
  virtual ~CaseSource() = default;
  /// The case, or one whose status is `missing`. @throws core::Error{storage} when it cannot be read at all
  [[nodiscard]] virtual results::CaseRecord read(std::size_t index) = 0;
};

}  // namespace feldspar::storage
