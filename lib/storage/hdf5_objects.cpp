#include "storage/hdf5_objects_detail.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cerrno>
#include <cstdint>
#include <cstring>
#include <limits>

#include "core/error.hpp"

namespace feldspar::storage::detail {

namespace {

constexpr unsigned kCompression = 1;  // higher levels take twice the time for a few percent

// H5F_ACC_TRUNC and H5F_ACC_RDONLY, whose macros would call a library that is linked
constexpr unsigned kTruncate = 2U;
constexpr unsigned kReadOnly = 0U;

Handle text_type() {
  Handle type(hdf5().H5Tcopy(hdf5().H5T_C_S1_g), hdf5().H5Tclose);
  hdf5().H5Tset_size(type.get(), H5T_VARIABLE);
  hdf5().H5Tset_cset(type.get(), H5T_CSET_UTF8);
  return type;
}

Handle space_of(const std::vector<hsize_t>& sizes) {
  return {hdf5().H5Screate_simple(static_cast<int>(sizes.size()), sizes.data(), nullptr), hdf5().H5Sclose};
}

Handle scalar_space() {
  return {hdf5().H5Screate(H5S_SCALAR), hdf5().H5Sclose};
}

/// The file's and the memory's part of a transfer.
struct Selection {
  Handle file;
  Handle memory;
};

Selection select(hid_t dataset, const Slab* slab) {
  Selection selection;
  if (!slab) return selection;
  selection.file = Handle(hdf5().H5Dget_space(dataset), hdf5().H5Sclose);
  selection.memory = space_of(slab->count);
  hdf5().H5Sselect_hyperslab(selection.file.get(), H5S_SELECT_SET, slab->start.data(), nullptr,
                             slab->count.data(), nullptr);
  return selection;
}

hid_t or_all(const Handle& space) {
  return space.get() < 0 ? H5S_ALL : space.get();
}

/// The deepest entry of HDF5's error stack says most.
herr_t keep_deepest(unsigned /*n*/, const H5E_error2_t* entry, void* text) {
  *static_cast<std::string*>(text) = entry->desc ? entry->desc : "";
  return 0;
}

std::vector<const char*> pointers(const std::vector<std::string>& values) {
  std::vector<const char*> list;
  for (const std::string& value : values) list.push_back(value.c_str());
  return list;
}

}  // namespace

hid_t File::check(hid_t id, const char* what) const {
  if (id >= 0) return id;
  std::string why;
  hdf5().H5Ewalk2(H5E_DEFAULT, H5E_WALK_DOWNWARD, keep_deepest, &why);
  const bool full = why.find("No space left") != std::string::npos || errno == ENOSPC;
  throw core::Error(core::ErrorKind::storage,
                    full ? fmt::format("cannot be {}: the disk is full", what)
                         : fmt::format("cannot be {}{}{}", what, why.empty() ? "" : ": ", why),
                    core::Place{name_, 0, 0, {}});
}

File File::create(const std::string& path, const std::string& name) {
  File file(name);
  const Handle properties(hdf5().H5Pcreate(hdf5().H5P_CLS_FILE_CREATE_ID_g), hdf5().H5Pclose);
  hdf5().H5Pset_obj_track_times(properties.get(), false);
  // from 1.10 on the file's frame has checksums as well
  const Handle access(hdf5().H5Pcreate(hdf5().H5P_CLS_FILE_ACCESS_ID_g), hdf5().H5Pclose);
  hdf5().H5Pset_libver_bounds(access.get(), H5F_LIBVER_V110, H5F_LIBVER_V110);
  const hid_t made = hdf5().H5Fcreate(path.c_str(), kTruncate, properties.get(), access.get());
  file.file_ = Handle(file.check(made, "made"), hdf5().H5Fclose);
  return file;
}

File File::open(const std::string& path, const std::string& name) {
  File file(name);
  file.file_ = Handle(file.check(hdf5().H5Fopen(path.c_str(), kReadOnly, H5P_DEFAULT), "read as HDF5"),
                      hdf5().H5Fclose);
  return file;
}

void File::close() {
  errno = 0;
  if (!file_.close()) check(-1, "written");
}

Handle File::dataset(const std::string& name) const {
  return {check(hdf5().H5Dopen2(file_.get(), name.c_str(), H5P_DEFAULT), "read"), hdf5().H5Dclose};
}

Handle File::object(const std::string& name) const {
  return {check(hdf5().H5Oopen(file_.get(), name.c_str(), H5P_DEFAULT), "read"), hdf5().H5Oclose};
}

bool File::has(const std::string& name) const {
  return hdf5().H5Lexists(file_.get(), name.c_str(), H5P_DEFAULT) > 0;
}

void File::set(const std::string& name, const std::string& attribute, hid_t type, hid_t space,
               const void* value) {
  const Handle owner = object(name);
  const Handle made(
      check(hdf5().H5Acreate2(owner.get(), attribute.c_str(), type, space, H5P_DEFAULT, H5P_DEFAULT),
            "written"),
      hdf5().H5Aclose);
  check(hdf5().H5Awrite(made.get(), type, value), "written");
}

void File::set_text(const std::string& name, const std::string& attribute, const std::string& value) {
  const char* text = value.c_str();
  set(name, attribute, text_type().get(), scalar_space().get(), &text);
}

void File::set_texts(const std::string& name, const std::string& attribute,
                     const std::vector<std::string>& values) {
  if (values.empty()) return;
  set(name, attribute, text_type().get(), space_of({values.size()}).get(), pointers(values).data());
}

void File::create_group(const std::string& name) {
  const Handle made(
      check(hdf5().H5Gcreate2(file_.get(), name.c_str(), H5P_DEFAULT, H5P_DEFAULT, H5P_DEFAULT), "written"),
      hdf5().H5Gclose);
}

void File::create(const std::string& name, const Shape& shape, hid_t type, const void* fill,
                  hid_t fill_type) {
  const Handle properties(hdf5().H5Pcreate(hdf5().H5P_CLS_DATASET_CREATE_ID_g), hdf5().H5Pclose);
  const hid_t id = properties.get();
  hdf5().H5Pset_obj_track_times(id, false);
  if (fill) hdf5().H5Pset_fill_value(id, fill_type, fill);
  if (!shape.chunk.empty()) {
    hdf5().H5Pset_chunk(id, static_cast<int>(shape.chunk.size()), shape.chunk.data());
    if (fill) {  // texts of any length lie elsewhere in the file, and HDF5 has no filters for them
      hdf5().H5Pset_shuffle(id);
      hdf5().H5Pset_deflate(id, kCompression);
      hdf5().H5Pset_fletcher32(id);
    }
  }
  const Handle made(check(hdf5().H5Dcreate2(file_.get(), name.c_str(), type, space_of(shape.sizes).get(),
                                            H5P_DEFAULT, id, H5P_DEFAULT),
                          "written"),
                    hdf5().H5Dclose);
}

void File::create_numbers(const std::string& name, const Shape& shape) {
  const double none = std::numeric_limits<double>::quiet_NaN();
  create(name, shape, hdf5().H5T_IEEE_F64LE_g, &none, hdf5().H5T_NATIVE_DOUBLE_g);
}

void File::create_bytes(const std::string& name, const Shape& shape, std::uint8_t fill) {
  create(name, shape, hdf5().H5T_STD_U8LE_g, &fill, hdf5().H5T_NATIVE_UINT8_g);
}

void File::create_words(const std::string& name, const Shape& shape) {
  create(name, shape, text_type().get(), nullptr, -1);
}

void File::write(const std::string& name, hid_t type, const void* values, const Slab* slab) {
  Handle target = dataset(name);
  const Selection selection = select(target.get(), slab);
  errno = 0;
  check(hdf5().H5Dwrite(target.get(), type, or_all(selection.memory), or_all(selection.file), H5P_DEFAULT,
                        values),
        "written");
  if (!target.close()) check(-1, "written");  // here chunks go to the disk
}

void File::write(const std::string& name, std::span<const double> values, const Slab* slab) {
  write(name, hdf5().H5T_NATIVE_DOUBLE_g, values.data(), slab);
}

void File::write(const std::string& name, std::span<const std::uint8_t> values, const Slab* slab) {
  write(name, hdf5().H5T_NATIVE_UINT8_g, values.data(), slab);
}

void File::write(const std::string& name, const std::vector<std::string>& values, const Slab* slab) {
  write(name, text_type().get(), pointers(values).data(), slab);
}

std::vector<hsize_t> File::sizes(const std::string& name) const {
  const Handle source = dataset(name);
  const Handle space(hdf5().H5Dget_space(source.get()), hdf5().H5Sclose);
  std::vector<hsize_t> list(
      static_cast<std::size_t>(std::max(hdf5().H5Sget_simple_extent_ndims(space.get()), 0)));
  if (!list.empty()) hdf5().H5Sget_simple_extent_dims(space.get(), list.data(), nullptr);
  return list;
}

bool File::read(const std::string& name, hid_t type, void* values, const Slab* slab) const {
  const Handle source = dataset(name);
  const Selection selection = select(source.get(), slab);
  return hdf5().H5Dread(source.get(), type, or_all(selection.memory), or_all(selection.file), H5P_DEFAULT,
                        values) >= 0;
}

bool File::read(const std::string& name, std::span<double> values, const Slab* slab) const {
  return read(name, hdf5().H5T_NATIVE_DOUBLE_g, values.data(), slab);
}

bool File::read(const std::string& name, std::span<std::uint8_t> values, const Slab* slab) const {
  return read(name, hdf5().H5T_NATIVE_UINT8_g, values.data(), slab);
}

void File::set_scale(const std::string& name) {
  check(hdf5().H5DSset_scale(dataset(name).get(), name.c_str()), "written");
}

void File::attach_scale(const std::string& name, unsigned index, const std::string& scale) {
  check(hdf5().H5DSattach_scale(dataset(name).get(), dataset(scale).get(), index), "written");
}

}  // namespace feldspar::storage::detail
