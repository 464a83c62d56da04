#pragma once
// Which loops are built twice, for plain x86-64 and for its 256-bit vectors?
// Those marked MISTWRIGHT_WIDE; the program takes the better one when it starts. Without fused
// multiply-add both do the same operations, so the bits are the same. Sanitizers start too late for
// the choice, and other compilers take the plain loops.
#if defined(__x86_64__) && defined(__gnu_linux__) && defined(__GNUC__) && !defined(__clang__) && \
    !defined(__SANITIZE_ADDRESS__) && !defined(__SANITIZE_THREAD__)
#define MISTWRIGHT_WIDE __attribute__((target_clones("avx2", "default")))
#else
#define MISTWRIGHT_WIDE
#endif
