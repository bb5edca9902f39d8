#pragma once

#include <hdf5.h>
#include <hdf5_hl.h>

/// HDF5's C functions, loaded when the first file is opened (private to this module). Not linked: see
/// lib/find_hdf5.cmake.
namespace feldspar::storage::detail {

// clang-format off
#define FELDSPAR_HDF5_FUNCTIONS(X)                                                                \
  X(H5open) X(H5dont_atexit) X(H5get_libversion) X(H5Eset_auto2) X(H5Ewalk2)                      \
  X(H5Fcreate) X(H5Fopen) X(H5Fclose)                                                             \
  X(H5Pcreate) X(H5Pclose) X(H5Pset_libver_bounds) X(H5Pset_obj_track_times) X(H5Pset_fill_value) \
  X(H5Pset_chunk) X(H5Pset_shuffle) X(H5Pset_deflate) X(H5Pset_fletcher32)                       \
  X(H5Dcreate2) X(H5Dopen2) X(H5Dclose) X(H5Dwrite) X(H5Dread) X(H5Dget_space)                    \
  X(H5Screate) X(H5Screate_simple) X(H5Sclose) X(H5Sselect_hyperslab)                             \
  X(H5Sget_simple_extent_ndims) X(H5Sget_simple_extent_dims)                                      \
  X(H5Tcopy) X(H5Tset_size) X(H5Tset_cset) X(H5Tclose) X(H5Acreate2) X(H5Awrite) X(H5Aclose)      \
  X(H5Gcreate2) X(H5Gclose) X(H5Lexists) X(H5Oopen) X(H5Oclose)
#define FELDSPAR_HDF5_HL_FUNCTIONS(X) X(H5DSset_scale) X(H5DSattach_scale)
#define FELDSPAR_HDF5_IDENTIFIERS(X)                                                              \
  X(H5T_NATIVE_DOUBLE_g) X(H5T_NATIVE_UINT8_g) X(H5T_IEEE_F64LE_g) X(H5T_STD_U8LE_g) X(H5T_C_S1_g) \
  X(H5P_CLS_DATASET_CREATE_ID_g) X(H5P_CLS_FILE_CREATE_ID_g) X(H5P_CLS_FILE_ACCESS_ID_g)
// clang-format on

struct Hdf5 {
#define FELDSPAR_DECLARE(name) decltype(&::name) name = nullptr;  // NOLINT(bugprone-macro-parentheses)
  FELDSPAR_HDF5_FUNCTIONS(FELDSPAR_DECLARE)
  FELDSPAR_HDF5_HL_FUNCTIONS(FELDSPAR_DECLARE)
#undef FELDSPAR_DECLARE
#define FELDSPAR_DECLARE(name) hid_t name = -1;  // NOLINT(bugprone-macro-parentheses)
  FELDSPAR_HDF5_IDENTIFIERS(FELDSPAR_DECLARE)
#undef FELDSPAR_DECLARE
};

/// @throws core::Error{storage} when the library is not installed, or another than the program was built for
[[nodiscard]] const Hdf5& hdf5();

}  // namespace feldspar::storage::detail
