#pragma once

#include <string>

namespace feldspar::storage {

/// A file in the making, in the folder of the one it becomes: there whole or not at all.
class FileInTheMaking {
 public:
  /// @param alone nobody else can be making it now, since a lock says so: what an earlier run left behind is
  /// used again; else it has a name that nothing else has
  /// @throws core::Error{storage} when the folder cannot be written to
  explicit FileInTheMaking(const std::string& final_path, bool alone = false);
  ~FileInTheMaking();  ///< removes it unless put_in_place() was called
  FileInTheMaking(const FileInTheMaking&) = delete;
  FileInTheMaking& operator=(const FileInTheMaking&) = delete;

  [[nodiscard]] const std::string& path() const { return path_; }
  /// Waits until it is on the disk and gives it its name. @throws core::Error{storage}
  void put_in_place();

 private:
  std::string final_path_;
  std::string path_;
};

}  // namespace feldspar::storage
