#pragma once

#include <cstddef>
#include <cstdint>
#include <string>
#include <vector>

#include "storage/case_source.hpp"

namespace feldspar::storage {

/// The cases of a sweep that is running, one after another as they are finished. A record carries a checksum,
/// so that whatever stops the program, or damages the file, costs only the records it hits.
///
/// Little-endian: the line "feldspar journal 1\n"; length (u32) and CRC-32 (u32) of the identity, and the
/// identity; then records: "case" (4 bytes), index (u64), status (u8), bytes of the message (u32), number of
/// values (u32), message, values (f64), CRC-32 (u32) of all that from "case" on.
class Journal : public CaseSource {
 public:
  /// Opens the journal, or begins one. What is damaged in it is passed over and will be written again.
  /// @param identity  what the cases are of; a journal of another one is refused
  /// @throws core::Error{storage} when it cannot be opened or made, is another program's file, or another run
  /// is writing to it; Error{usage} when it is of another identity, with the lines that differ
  Journal(const std::string& path, const std::string& identity);
  ~Journal() override;
  Journal(const Journal&) = delete;
  Journal& operator=(const Journal&) = delete;

  /// Writes a record; sync() puts it on the disk. A record that does not fit is taken back.
  /// @throws core::Error{storage}
  void append(const results::CaseRecord& record);
  /// @throws core::Error{storage}
  void sync();

  [[nodiscard]] bool has(std::size_t index) const { return index < where_.size() && where_[index] != 0; }
  [[nodiscard]] std::size_t count() const { return count_; }
  [[nodiscard]] results::CaseRecord read(std::size_t index) override;
  [[nodiscard]] std::uint64_t damaged_bytes() const { return damaged_; }
  /// Deletes it; nothing can be written any more.
  void remove();

 private:
  void begin(const std::string& identity);
  void scan();
  void note(std::size_t index, std::uint64_t at);

  std::string path_;
  int file_ = -1;
  std::uint64_t end_ = 0;      // of what has been written whole
  std::uint64_t damaged_ = 0;  // bytes that are no record
  bool dirty_ = false;
  std::vector<std::uint64_t> where_;  // where each case's record begins; 0 for none
  std::size_t count_ = 0;
};

}  // namespace feldspar::storage
