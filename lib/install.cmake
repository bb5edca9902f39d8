# The whole library as one target, and the package that find_package(feldspar) reads.
include(CMakePackageConfigHelpers)

get_property(targets GLOBAL PROPERTY FELDSPAR_TARGETS)
get_property(externals GLOBAL PROPERTY FELDSPAR_EXTERNALS)
list(REMOVE_DUPLICATES externals)

add_library(feldspar_all INTERFACE)
add_library(feldspar::feldspar ALIAS feldspar_all)
set_target_properties(feldspar_all PROPERTIES EXPORT_NAME feldspar)
target_link_libraries(feldspar_all INTERFACE ${targets})

# A static library hands its private libraries on to whoever links it, so the package must find them again.
set(FELDSPAR_FIND_EXTERNALS "")
foreach(external IN LISTS externals)
  if(external STREQUAL "BLAS::BLAS")
    string(APPEND FELDSPAR_FIND_EXTERNALS
      "set(BLA_VENDOR OpenBLAS)\nfind_dependency(BLAS)\nunset(BLA_VENDOR)\n")
  elseif(external STREQUAL "OpenMP::OpenMP_CXX")
    string(APPEND FELDSPAR_FIND_EXTERNALS "find_dependency(OpenMP COMPONENTS CXX)\n")
  elseif(external MATCHES "^([A-Za-z0-9_]+)::")
    string(APPEND FELDSPAR_FIND_EXTERNALS "find_dependency(${CMAKE_MATCH_1})\n")
  endif()
endforeach()

set(package_dir ${CMAKE_INSTALL_LIBDIR}/cmake/feldspar)
configure_package_config_file(feldspar-config.cmake.in ${PROJECT_BINARY_DIR}/feldspar-config.cmake
  INSTALL_DESTINATION ${package_dir})
write_basic_package_version_file(${PROJECT_BINARY_DIR}/feldspar-config-version.cmake
  COMPATIBILITY SameMinorVersion)

install(TARGETS ${targets} feldspar_all EXPORT feldspar
  ARCHIVE DESTINATION ${CMAKE_INSTALL_LIBDIR} COMPONENT library
  FILE_SET HEADERS DESTINATION ${CMAKE_INSTALL_INCLUDEDIR}/feldspar COMPONENT library)
install(EXPORT feldspar NAMESPACE feldspar:: FILE feldspar-targets.cmake
  DESTINATION ${package_dir} COMPONENT library)
install(FILES ${PROJECT_BINARY_DIR}/feldspar-config.cmake ${PROJECT_BINARY_DIR}/feldspar-config-version.cmake
  DESTINATION ${package_dir} COMPONENT library)
