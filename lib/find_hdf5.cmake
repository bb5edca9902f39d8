# HDF5_INCLUDE_DIRS, FELDSPAR_HDF5_FILE and FELDSPAR_HDF5_HL_FILE: HDF5's headers, and the shared libraries that lib/storage
# loads at run time, by name only. They are not linked: Debian's library drags a web client, Kerberos and LDAP in, and
# loading them costs every start of the program 20 ms, which one that reads no such file need not pay.
find_package(PkgConfig REQUIRED)
pkg_check_modules(HDF5 REQUIRED hdf5>=1.10)

# The name that a library's real file begins with: libhdf5_serial.so.103 of libhdf5_serial.so.103.3.1
function(feldspar_soname variable)
  find_library(found_${variable} NAMES ${ARGN} HINTS ${HDF5_LIBRARY_DIRS} REQUIRED)
  file(REAL_PATH ${found_${variable}} real)
  get_filename_component(name ${real} NAME)
  if(NOT name MATCHES "^(lib[^.]*\\.so\\.[0-9]+)")
    message(FATAL_ERROR "expected a shared library of HDF5, found ${real}")
  endif()
  set(${variable} ${CMAKE_MATCH_1} PARENT_SCOPE)
endfunction()
feldspar_soname(FELDSPAR_HDF5_FILE hdf5_serial hdf5)
feldspar_soname(FELDSPAR_HDF5_HL_FILE hdf5_serial_hl hdf5_hl)
