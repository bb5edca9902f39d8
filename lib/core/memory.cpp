#include "core/memory.hpp"

#include <cstdlib>  // defines __GLIBC__
#ifdef __GLIBC__
#include <malloc.h>
#endif

namespace feldspar::core {

void keep_freed_memory() noexcept {
#ifdef __GLIBC__
  constexpr int kMapFrom = 32 * 1024 * 1024;  // bytes; the most that glibc accepts
  constexpr int kGiveBackFrom = 256 * 1024 * 1024;
  mallopt(M_MMAP_THRESHOLD, kMapFrom);
  mallopt(M_TRIM_THRESHOLD, kGiveBackFrom);
#endif
}

}  // namespace feldspar::core
