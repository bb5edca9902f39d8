#include <dlfcn.h>
#include <fmt/format.h>

#include <string>

#include "core/error.hpp"
#include "storage/hdf5_library_detail.hpp"

namespace feldspar::storage::detail {

namespace {

[[noreturn]] void fail(const std::string& why) {
  throw core::Error(core::ErrorKind::storage,
                    fmt::format("HDF5 files cannot be used: {}; install Debian's libhdf5-103-1 and "
                                "libhdf5-hl-100, or what holds {} and {} elsewhere",
                                why, FELDSPAR_HDF5_FILE, FELDSPAR_HDF5_HL_FILE));
}

void* open_library(const char* name) {
  void* handle = dlopen(name, RTLD_NOW | RTLD_GLOBAL);
  if (handle == nullptr) fail(dlerror());
  return handle;
}

void* symbol(void* handle, const char* name) {
  void* found = dlsym(handle, name);
  if (found == nullptr) fail(fmt::format("{} is not in it", name));
  return found;
}

Hdf5 load() {
  void* core = open_library(FELDSPAR_HDF5_FILE);
  void* high_level = open_library(FELDSPAR_HDF5_HL_FILE);
  Hdf5 found;
#define FELDSPAR_FIND(name) found.name = reinterpret_cast<decltype(found.name)>(symbol(core, #name));
  FELDSPAR_HDF5_FUNCTIONS(FELDSPAR_FIND)
#undef FELDSPAR_FIND
#define FELDSPAR_FIND(name) found.name = reinterpret_cast<decltype(found.name)>(symbol(high_level, #name));
  FELDSPAR_HDF5_HL_FUNCTIONS(FELDSPAR_FIND)
#undef FELDSPAR_FIND
  // before anything else, or it has no effect: a file that could not be closed for want of space must not be
  // tried again at the end, where that ends in a crash
  found.H5dont_atexit();
  unsigned major = 0;
  unsigned minor = 0;
  unsigned release = 0;
  found.H5get_libversion(&major, &minor, &release);
  if (major != H5_VERS_MAJOR || minor != H5_VERS_MINOR)
    fail(fmt::format("version {}.{} is installed, {}.{} is needed", major, minor, H5_VERS_MAJOR,
                     H5_VERS_MINOR));
  found.H5dont_atexit();  // a file that could not be closed for want of space must not be tried again at the
                          // end
  found.H5open();
  found.H5Eset_auto2(H5E_DEFAULT, nullptr, nullptr);  // errors become ours (hdf5_objects.cpp)
#define FELDSPAR_FIND(name) found.name = *static_cast<const hid_t*>(symbol(core, #name));
  FELDSPAR_HDF5_IDENTIFIERS(FELDSPAR_FIND)
#undef FELDSPAR_FIND
  return found;
}

}  // namespace

const Hdf5& hdf5() {
  static const Hdf5 loaded = load();
  return loaded;
}

}  // namespace feldspar::storage::detail
