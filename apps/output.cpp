#include "output.hpp"

#include <fcntl.h>
#include <fmt/format.h>
#include <sys/ioctl.h>
#include <unistd.h>

#include <algorithm>
#include <cerrno>
#include <cstdlib>
#include <cstring>
#include <filesystem>
#include <string_view>
#include <system_error>

#include "core/error.hpp"
#include "storage/folder.hpp"

namespace feldspar::app {
namespace {

namespace fs = std::filesystem;

[[noreturn]] void fail(core::ErrorKind kind, const std::string& path, const std::string& why) {
  throw core::Error(kind, why, core::Place{path, 0, 0, {}});
}

fs::path folder_of(const fs::path& path) {
  return path.has_parent_path() ? path.parent_path() : fs::path(".");
}

bool write_all(int file, std::string_view text) {
  while (!text.empty()) {
    const ssize_t written = ::write(file, text.data(), text.size());
    if (written < 0 && errno == EINTR) continue;
    if (written <= 0) return false;
    text.remove_prefix(static_cast<std::size_t>(written));
  }
  return true;
}

/// What cannot be replaced (a pipe, a device), or is a file in the making.
/// @param name as the user calls it
void write_in_place(const std::string& path, const std::string& name, const std::string& text) {
  const int file = ::open(path.c_str(), O_WRONLY | O_CLOEXEC);
  if (file < 0)
    fail(core::ErrorKind::storage, name, fmt::format("cannot be opened: {}", std::strerror(errno)));
  bool done = write_all(file, text);
  int reason = errno;
  if (::close(file) != 0 && done) {
    done = false;
    reason = errno;
  }
  if (!done) {
    fail(core::ErrorKind::storage, name, fmt::format("cannot be written: {}", std::strerror(reason)));
  }
}

}  // namespace

std::string target_of(const std::string& path) {
  constexpr int kLongestChain = 40;  // of links to links; as the system itself
  fs::path target = path;
  std::error_code error;
  for (int i = 0; i < kLongestChain && fs::is_symlink(target, error); ++i)
    target = target.parent_path() / fs::read_symlink(target, error);  // also where it leads nowhere yet
  return target.string();
}

void check_writable(const std::string& path) {
  if (path.empty()) {
    throw core::Error(core::ErrorKind::usage, "--output needs the name of a file");
  }
  const fs::path target = target_of(path);
  const fs::path folder = folder_of(target);
  std::error_code error;
  if (fs::is_directory(target, error)) {
    fail(core::ErrorKind::usage, path, "is a folder; --output needs the name of a file");
  }
  if (!fs::is_directory(folder, error)) {
    fail(core::ErrorKind::usage, path,
         fmt::format("there is no folder '{}'; make it first", folder.string()));
  }
  if (::access(folder.c_str(), W_OK) != 0) {
    fail(core::ErrorKind::usage, path, fmt::format("the folder '{}' cannot be written to", folder.string()));
  }
}

void write_file(const std::string& path, const std::string& text) {
  const fs::path target = target_of(path);
  std::error_code error;
  if (fs::exists(target, error) && !fs::is_regular_file(target, error))
    return write_in_place(path, path, text);

  storage::FileInTheMaking making(target.string());
  write_in_place(making.path(), path, text);
  making.put_in_place();
}

void write_standard_output(const std::string& text) {
  if (!write_all(STDOUT_FILENO, text)) {
    fail(core::ErrorKind::storage, "standard output",
         fmt::format("cannot be written: {}", std::strerror(errno)));
  }
}

bool wants_colour() {
  const char* refused = std::getenv("NO_COLOR");
  if (refused && *refused) return false;
  const char* terminal = std::getenv("TERM");
  if (terminal && std::string_view(terminal) == "dumb") return false;
  return ::isatty(STDOUT_FILENO) == 1;
}

report::Strokes strokes_of(bool ascii) {
  if (ascii) return report::Strokes::ascii;
  for (const char* name : {"LC_ALL", "LC_CTYPE", "LANG"}) {  // the first that is set counts, POSIX 8.2
    const char* value = std::getenv(name);
    if (!value || !*value) continue;
    const std::string_view locale(value);
    const bool utf8 = locale.find("UTF-8") != std::string_view::npos ||
                      locale.find("utf8") != std::string_view::npos ||
                      locale.find("utf-8") != std::string_view::npos;
    return utf8 ? report::Strokes::braille : report::Strokes::ascii;
  }
  return report::Strokes::ascii;
}

int screen_width() {
  constexpr int kUsual = 80;
  constexpr int kWidest = 120;
  winsize size{};
  if (::ioctl(STDOUT_FILENO, TIOCGWINSZ, &size) != 0 || size.ws_col == 0) return kUsual;
  return std::clamp(static_cast<int>(size.ws_col), 40, kWidest);
}

}  // namespace feldspar::app
