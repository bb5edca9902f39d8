# FELDSPAR_OPENBLAS_FILE: the shared library that lib/math loads at run time for LAPACK's zgetrf, by name only; empty
# switches that off. It is not linked: loading it costs 5 ms, and its idle threads spin for a tenth of a second each,
# which a run that factors no large matrix need not pay (docs/performance.md). Nothing of it is needed to build.
set(FELDSPAR_OPENBLAS_FILE "")
if(FELDSPAR_OPENBLAS AND CMAKE_SYSTEM_NAME STREQUAL "Linux")
  set(FELDSPAR_OPENBLAS_FILE "libopenblas.so.0")  # Debian's alternatives choose its flavour
endif()
