#pragma once

#include <cstddef>
#include <cstdint>
#include <map>
#include <mutex>
#include <string>
#include <string_view>

#include "model/family.hpp"

namespace feldspar::model {

/// FNV-1a (Fowler, Noll, Vo), 64 bits: tells two texts apart, not made against malice.
[[nodiscard]] std::uint64_t checksum(std::string_view text) noexcept;

/// Which files a family has read, so that results can say what they are of. May be used from several threads.
class FileRecord {
 public:
  struct Entry {
    std::size_t bytes = 0;
    std::uint64_t checksum = 0;
  };
  /// `files`, remembered. This object must outlive the result.
  [[nodiscard]] FileText recording(FileText files);
  /// By the path that the model gives.
  [[nodiscard]] std::map<std::string, Entry> entries() const;

 private:
  mutable std::mutex guard_;
  std::map<std::string, Entry> entries_;
};

}  // namespace feldspar::model
