#include "storage/journal.hpp"

#include <fcntl.h>
#include <fmt/format.h>
#include <sys/file.h>
#include <sys/stat.h>
#include <unistd.h>
#include <zlib.h>

#include <algorithm>
#include <bit>
#include <cerrno>
#include <cstring>
#include <optional>
#include <string_view>

#include "core/error.hpp"
#include "storage/difference.hpp"

namespace feldspar::storage {

static_assert(std::endian::native == std::endian::little, "journals are written as the processor has them");

namespace {

constexpr std::string_view kFirstLine = "feldspar journal 1\n";
constexpr std::string_view kMark = "case";
constexpr std::size_t kHead = 4 + 8 + 1 + 4 + 4;  // of a record, before its message
constexpr std::size_t kCheck = 4;
constexpr std::uint32_t kLongestMessage = 1U << 16;
constexpr std::uint32_t kMostValues = 1U << 24;
constexpr std::uint64_t kMostCases = 1U << 28;
constexpr std::size_t kLongestIdentity = std::size_t{16} << 20;

[[noreturn]] void lose(const std::string& path, const std::string& why) {
  throw core::Error(core::ErrorKind::storage, why, core::Place{path, 0, 0, {}});
}

std::uint32_t checksum(const char* bytes, std::size_t count) {
  return static_cast<std::uint32_t>(::crc32_z(0, reinterpret_cast<const Bytef*>(bytes), count));
}

template <class T>
void put(std::string& bytes, const T& value) {
  bytes.append(reinterpret_cast<const char*>(&value), sizeof value);
}

template <class T>
T get(const char* bytes) {
  T value;
  std::memcpy(&value, bytes, sizeof value);
  return value;
}

std::string encode(const results::CaseRecord& record) {
  const std::string message = record.message.substr(0, kLongestMessage);
  std::string bytes(kMark);
  put(bytes, std::uint64_t{record.index});
  put(bytes, static_cast<std::uint8_t>(record.status));
  put(bytes, static_cast<std::uint32_t>(message.size()));
  put(bytes, static_cast<std::uint32_t>(record.values.size()));
  bytes += message;
  bytes.append(reinterpret_cast<const char*>(record.values.data()), record.values.size() * sizeof(double));
  put(bytes, checksum(bytes.data(), bytes.size()));
  return bytes;
}

/// Bytes of the record whose head this is, or nothing when it is none.
std::optional<std::size_t> length_of(const char* head) {
  if (std::string_view(head, 4) != kMark) return std::nullopt;
  const auto message = get<std::uint32_t>(head + 13);
  const auto values = get<std::uint32_t>(head + 17);
  if (message > kLongestMessage || values > kMostValues || get<std::uint64_t>(head + 4) > kMostCases)
    return std::nullopt;
  return kHead + message + values * sizeof(double) + kCheck;
}

bool is_sound(const char* record, std::size_t length) {
  return checksum(record, length - kCheck) == get<std::uint32_t>(record + length - kCheck);
}

/// A file read through a window that moves forward, so that its size does not matter.
class Window {
 public:
  Window(int file, std::uint64_t at) : file_(file), begin_(at) {}

  /// The bytes from `at` on, `count` of them or as many as there are. @param at never falls
  std::string_view bytes(std::uint64_t at, std::size_t count) {
    if (at + count > begin_ + buffer_.size()) refill(at, std::max(count, kStep));
    const auto offset = static_cast<std::size_t>(at - begin_);
    if (offset >= buffer_.size()) return {};
    return std::string_view(buffer_).substr(offset, count);
  }

 private:
  static constexpr std::size_t kStep = std::size_t{1} << 20;

  void refill(std::uint64_t at, std::size_t count) {
    const auto drop = static_cast<std::size_t>(std::min<std::uint64_t>(at - begin_, buffer_.size()));
    buffer_.erase(0, drop);
    begin_ = at;
    const std::size_t had = buffer_.size();
    if (had >= count) return;
    buffer_.resize(count);
    const ssize_t got = ::pread(file_, buffer_.data() + had, count - had, static_cast<off_t>(begin_ + had));
    buffer_.resize(had + static_cast<std::size_t>(std::max<ssize_t>(got, 0)));
  }

  int file_;
  std::uint64_t begin_;
  std::string buffer_;
};

/// As many of `count` bytes as there are.
std::string read_bytes(int file, std::uint64_t at, std::size_t count) {
  std::string bytes(count, '\0');
  const ssize_t got = ::pread(file, bytes.data(), count, static_cast<off_t>(at));
  bytes.resize(static_cast<std::size_t>(std::max<ssize_t>(got, 0)));
  return bytes;
}

bool write_all(int file, std::string_view text, std::uint64_t at) {
  while (!text.empty()) {
    const ssize_t written = ::pwrite(file, text.data(), text.size(), static_cast<off_t>(at));
    if (written < 0 && errno == EINTR) continue;
    if (written <= 0) return false;
    text.remove_prefix(static_cast<std::size_t>(written));
    at += static_cast<std::uint64_t>(written);
  }
  return true;
}

}  // namespace

Journal::Journal(const std::string& path, const std::string& identity) : path_(path) {
  file_ = ::open(path.c_str(), O_RDWR | O_CREAT | O_CLOEXEC, 0666);
  if (file_ < 0) lose(path, fmt::format("cannot be opened: {}", std::strerror(errno)));
  try {
    if (::flock(file_, LOCK_EX | LOCK_NB) != 0)
      lose(path, "another run is writing to it; wait until it is done, or stop it");
    begin(identity);
    scan();
  } catch (...) {
    ::close(file_);
    throw;
  }
}

Journal::~Journal() {
  if (file_ >= 0) ::close(file_);
}

void Journal::begin(const std::string& identity) {
  std::string head(kFirstLine);
  put(head, static_cast<std::uint32_t>(identity.size()));
  put(head, checksum(identity.data(), identity.size()));
  head += identity;
  struct stat about = {};
  ::fstat(file_, &about);
  Window window(file_, 0);
  const std::string first(window.bytes(0, kFirstLine.size() + 8));
  if (!first.empty() && std::string_view(kFirstLine).substr(0, first.size()) !=
                            std::string_view(first).substr(0, kFirstLine.size()))
    lose(path_, "is not a journal of this program; choose another output, or move it away");
  if (first.size() == kFirstLine.size() + 8) {
    const auto length =
        std::min<std::size_t>(get<std::uint32_t>(first.data() + kFirstLine.size()), kLongestIdentity);
    const std::string found(window.bytes(first.size(), length));
    const bool sound =
        checksum(found.data(), found.size()) == get<std::uint32_t>(first.data() + kFirstLine.size() + 4);
    if (sound && found != identity)
      throw core::Error(
          core::ErrorKind::usage,
          "holds the unfinished run of another study; finish that one, choose another output, or remove "
          "it. What differs:\n" +
              difference(found, identity),
          core::Place{path_, 0, 0, {}});
    if (!sound && static_cast<std::uint64_t>(about.st_size) > first.size() + length)
      lose(path_, "is damaged where it says what it is of; move it away to begin again");
    if (sound) {
      end_ = head.size();
      return;
    }
  }
  // new, or cut off before the first case
  if (::ftruncate(file_, 0) != 0 || !write_all(file_, head, 0)) {
    const int reason = errno;
    ::unlink(path_.c_str());
    lose(path_, fmt::format("cannot be written: {}", std::strerror(reason)));
  }
  end_ = head.size();
  dirty_ = true;
}

void Journal::note(std::size_t index, std::uint64_t at) {
  if (index >= where_.size()) where_.resize(index + 1, 0);
  count_ += where_[index] == 0 ? 1 : 0;
  where_[index] = at;
}

void Journal::scan() {
  Window window(file_, end_);
  std::uint64_t at = end_;
  while (true) {
    const std::string_view head = window.bytes(at, kHead);
    if (head.size() < kHead) break;
    const auto length = length_of(head.data());
    const std::string_view record = length ? window.bytes(at, *length) : std::string_view{};
    if (length && record.size() == *length && is_sound(record.data(), *length)) {
      note(static_cast<std::size_t>(get<std::uint64_t>(record.data() + 4)), at);
      damaged_ += at - end_;
      at += *length;
      end_ = at;
    } else {
      ++at;  // look for the next record
    }
  }
  struct stat about = {};
  ::fstat(file_, &about);
  damaged_ += static_cast<std::uint64_t>(about.st_size) - end_;
  if (::ftruncate(file_, static_cast<off_t>(end_)) != 0)
    lose(path_, fmt::format("cannot be written: {}", std::strerror(errno)));
}

void Journal::append(const results::CaseRecord& record) {
  const std::string bytes = encode(record);
  if (!write_all(file_, bytes, end_)) {
    const int reason = errno;
    (void)!::ftruncate(file_, static_cast<off_t>(end_));
    lose(path_, fmt::format("cannot be written: {}", std::strerror(reason)));
  }
  note(record.index, end_);
  end_ += bytes.size();
  dirty_ = true;
}

void Journal::sync() {
  if (!dirty_) return;
  if (::fdatasync(file_) != 0) lose(path_, fmt::format("cannot be written: {}", std::strerror(errno)));
  dirty_ = false;
}

results::CaseRecord Journal::read(std::size_t index) {
  results::CaseRecord record;
  record.index = index;
  if (!has(index)) return record;
  const std::uint64_t at = where_[index];
  const std::string head = read_bytes(file_, at, kHead);
  const auto length = head.size() == kHead ? length_of(head.data()) : std::nullopt;
  const std::string bytes = length ? read_bytes(file_, at, *length) : std::string{};
  if (!length || bytes.size() != *length || !is_sound(bytes.data(), *length))
    lose(path_, "changed while it was read; run the same command again");
  record.status = static_cast<results::CaseStatus>(bytes[12]);
  const auto message = get<std::uint32_t>(bytes.data() + 13);
  record.message = bytes.substr(kHead, message);
  record.values.resize(get<std::uint32_t>(bytes.data() + 17));
  if (!record.values.empty())
    std::memcpy(record.values.data(), bytes.data() + kHead + message, record.values.size() * sizeof(double));
  return record;
}

void Journal::remove() {
  ::unlink(path_.c_str());
  if (file_ >= 0) ::close(file_);
  file_ = -1;
}

}  // namespace feldspar::storage
