#pragma once

/// FELDSPAR_CLONES before a function with loops over arrays: compiled for plain x86-64, for AVX2 and for
/// AVX-512, the best one chosen when the program starts. What it calls must be inlined. Only GCC knows how
/// to; the thread sanitizer stumbles over it. Sources that use it need -fno-math-errno -fno-trapping-math
/// -fopenmp-simd.
#if defined(__x86_64__) && defined(__GNUC__) && !defined(__clang__) && !defined(__SANITIZE_THREAD__)
#define FELDSPAR_CLONES __attribute__((target_clones("default", "arch=x86-64-v3", "arch=x86-64-v4")))
#else
#define FELDSPAR_CLONES
#endif
