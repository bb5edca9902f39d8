#pragma once

#include <cstdint>
#include <span>
#include <string>
#include <utility>
#include <vector>

#include "storage/hdf5_library_detail.hpp"

/// A thin layer over HDF5's C functions: handles that close themselves, errors as exceptions (private to this
/// module). Every function throws core::Error{storage} with the file's name.
namespace feldspar::storage::detail {

using Closer = herr_t (*)(hid_t);

/// An identifier that is closed when it goes.
class Handle {
 public:
  Handle() = default;
  Handle(hid_t id, Closer closer) : id_(id), close_(closer) {}
  Handle(Handle&& other) noexcept : id_(std::exchange(other.id_, -1)), close_(other.close_) {}
  Handle& operator=(Handle&& other) noexcept {
    std::swap(id_, other.id_);
    std::swap(close_, other.close_);
    return *this;
  }
  Handle(const Handle&) = delete;
  Handle& operator=(const Handle&) = delete;
  ~Handle() {
    if (id_ >= 0) close_(id_);
  }
  [[nodiscard]] hid_t get() const { return id_; }
  /// Closes it now, to see whether that works.
  [[nodiscard]] bool close() { return close_(std::exchange(id_, -1)) >= 0; }

 private:
  hid_t id_ = -1;
  Closer close_ = nullptr;
};

/// Which part of a dataset; of as many dimensions.
struct Slab {
  std::vector<hsize_t> start;
  std::vector<hsize_t> count;
};

/// How a new dataset lies on the disk.
struct Shape {
  std::vector<hsize_t> sizes;
  std::vector<hsize_t> chunk;  ///< empty: in one piece, as it is; else numbers are shuffled, compressed and
                               ///< have checksums
};

/// One HDF5 file that is open.
class File {
 public:
  /// @param name as the user calls it, for messages
  static File create(const std::string& path, const std::string& name);
  static File open(const std::string& path, const std::string& name);
  /// Closes it; what could not be written is told here at the latest.
  void close();

  void set_text(const std::string& name, const std::string& attribute, const std::string& value);
  void set_texts(const std::string& name, const std::string& attribute,
                 const std::vector<std::string>& values);
  [[nodiscard]] bool has(const std::string& name) const;

  void create_group(const std::string& name);
  void create_numbers(const std::string& name,
                      const Shape& shape);  ///< filled with NaN
  void create_bytes(const std::string& name, const Shape& shape, std::uint8_t fill);
  void create_words(const std::string& name, const Shape& shape);
  void write(const std::string& name, std::span<const double> values, const Slab* slab = nullptr);
  void write(const std::string& name, std::span<const std::uint8_t> values, const Slab* slab = nullptr);
  void write(const std::string& name, const std::vector<std::string>& values, const Slab* slab = nullptr);

  [[nodiscard]] std::vector<hsize_t> sizes(const std::string& name) const;
  /// False when what is there fails its checksum.
  [[nodiscard]] bool read(const std::string& name, std::span<double> values,
                          const Slab* slab = nullptr) const;
  [[nodiscard]] bool read(const std::string& name, std::span<std::uint8_t> values,
                          const Slab* slab = nullptr) const;

  /// Makes a dataset the scale of a dimension, `scale` the one
  /// of dimension `index` of `name`.
  void set_scale(const std::string& name);
  void attach_scale(const std::string& name, unsigned index, const std::string& scale);

 private:
  explicit File(std::string name) : name_(std::move(name)) {}
  void create(const std::string& name, const Shape& shape, hid_t type, const void* fill, hid_t fill_type);
  void write(const std::string& name, hid_t type, const void* values, const Slab* slab);
  bool read(const std::string& name, hid_t type, void* values, const Slab* slab) const;
  [[nodiscard]] Handle dataset(const std::string& name) const;
  [[nodiscard]] Handle object(const std::string& name) const;
  void set(const std::string& name, const std::string& attribute, hid_t type, hid_t space, const void* value);
  hid_t check(hid_t id, const char* what) const;

  std::string name_;
  Handle file_;
};

}  // namespace feldspar::storage::detail
