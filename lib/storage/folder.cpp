#include "storage/folder.hpp"

#include <fcntl.h>
#include <fmt/format.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cerrno>
#include <cstdio>
#include <cstring>
#include <filesystem>

#include "core/error.hpp"

namespace feldspar::storage {

namespace {

namespace fs = std::filesystem;

[[noreturn]] void fail(const std::string& path, const char* what) {
  throw core::Error(core::ErrorKind::storage, fmt::format("cannot be {}: {}", what, std::strerror(errno)),
                    core::Place{path, 0, 0, {}});
}

std::string folder_of(const std::string& path) {
  const fs::path folder = fs::path(path).parent_path();
  return folder.empty() ? "." : folder.string();
}

bool sync(const std::string& path, int flags) {
  const int file = ::open(path.c_str(), flags | O_CLOEXEC);
  if (file < 0) return false;
  const bool done = ::fsync(file) == 0;
  const int reason = errno;
  ::close(file);
  errno = reason;
  return done;
}

}  // namespace

FileInTheMaking::FileInTheMaking(const std::string& final_path, bool alone) : final_path_(final_path) {
  const std::string name = "." + fs::path(final_path).filename().string() + (alone ? ".new" : ".XXXXXX");
  path_ = (fs::path(folder_of(final_path)) / name).string();
  const int file =
      alone ? ::open(path_.c_str(), O_WRONLY | O_CREAT | O_TRUNC | O_CLOEXEC, 0666) : ::mkstemp(path_.data());
  if (file < 0) {
    path_.clear();
    fail(final_path_, "made");
  }
  const mode_t mask = ::umask(0);
  ::umask(mask);
  ::fchmod(file, 0666 & ~mask);
  ::close(file);
}

FileInTheMaking::~FileInTheMaking() {
  if (!path_.empty()) ::unlink(path_.c_str());
}

void FileInTheMaking::put_in_place() {
  if (!sync(path_, O_RDONLY)) fail(final_path_, "written");
  if (std::rename(path_.c_str(), final_path_.c_str()) != 0) fail(final_path_, "written");
  path_.clear();
  sync(folder_of(final_path_), O_RDONLY | O_DIRECTORY);  // some file systems cannot; the name is there anyway
}

}  // namespace feldspar::storage
