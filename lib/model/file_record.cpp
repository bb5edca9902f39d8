#include "model/file_record.hpp"

#include <utility>

namespace feldspar::model {

std::uint64_t checksum(std::string_view text) noexcept {
  std::uint64_t hash = 0xcbf29ce484222325U;
  for (const char c : text) hash = (hash ^ static_cast<unsigned char>(c)) * 0x100000001b3U;
  return hash;
}

FileText FileRecord::recording(FileText files) {
  return [this, files = std::move(files)](const std::string& path) {
    std::string text = files(path);
    const std::lock_guard lock(guard_);
    entries_[path] = {text.size(), checksum(text)};
    return text;
  };
}

std::map<std::string, FileRecord::Entry> FileRecord::entries() const {
  const std::lock_guard lock(guard_);
  return entries_;
}

}  // namespace feldspar::model
