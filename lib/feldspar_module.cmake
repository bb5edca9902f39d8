# feldspar_module(name HEADERS … SOURCES … DEPS … EXTERNAL …): one folder of lib/ as one target, feldspar::<name>.
# DEPS are modules further down, EXTERNAL third-party targets that stay out of the headers. HEADERS are installed.

add_library(feldspar_warnings INTERFACE)
target_compile_options(feldspar_warnings INTERFACE
  -Wall -Wextra -Wpedantic -Wconversion -Wshadow
  $<$<CXX_COMPILER_ID:GNU>:-Wno-restrict>  # false positives of gcc 12 on std::string (its bug 105651)
  $<$<BOOL:${FELDSPAR_WARNINGS_AS_ERRORS}>:-Werror>)

function(feldspar_module name)
  cmake_parse_arguments(PARSE_ARGV 1 M "" "" "HEADERS;SOURCES;DEPS;EXTERNAL")
  foreach(dep IN LISTS M_DEPS)
    if(NOT TARGET feldspar::${dep})
      message(FATAL_ERROR "module '${name}' depends on '${dep}', which is not below it (lib/CMakeLists.txt)")
    endif()
  endforeach()
  add_library(feldspar_${name} STATIC)
  add_library(feldspar::${name} ALIAS feldspar_${name})
  set_target_properties(feldspar_${name} PROPERTIES EXPORT_NAME ${name})
  target_sources(feldspar_${name}
    PUBLIC FILE_SET HEADERS BASE_DIRS ${PROJECT_SOURCE_DIR}/lib FILES ${M_HEADERS}
    PRIVATE ${M_SOURCES})
  target_compile_features(feldspar_${name} PUBLIC cxx_std_20)
  # Threads run over frequencies and cases, never inside one matrix product.
  target_compile_definitions(feldspar_${name} PUBLIC EIGEN_DONT_PARALLELIZE)
  list(TRANSFORM M_DEPS PREPEND feldspar::)
  target_link_libraries(feldspar_${name}
    PUBLIC ${M_DEPS} Eigen3::Eigen fmt::fmt
    PRIVATE ${M_EXTERNAL} $<BUILD_INTERFACE:feldspar_warnings>)
  set_property(GLOBAL APPEND PROPERTY FELDSPAR_TARGETS feldspar_${name})
  set_property(GLOBAL APPEND PROPERTY FELDSPAR_EXTERNALS ${M_EXTERNAL})
  string(REPLACE "feldspar::" "" allowed "${M_DEPS}")
  string(REPLACE ";" "," allowed "${allowed}")
  set_property(GLOBAL APPEND PROPERTY FELDSPAR_GRAPH "${name}:${allowed}")
  if(FELDSPAR_TESTS)
    add_test(NAME layers.${name} COMMAND ${CMAKE_COMMAND} -DDIR=${CMAKE_CURRENT_SOURCE_DIR}
             -DALLOWED=${name},${allowed} -DLIB=${PROJECT_SOURCE_DIR}/lib
             -P ${PROJECT_SOURCE_DIR}/lib/check_includes.cmake)
  endif()
endfunction()
