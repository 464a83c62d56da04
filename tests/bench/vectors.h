#pragma once
// SUNDIALS' serial vector with its arithmetic replaced by loops that the compiler spreads over
// vector lanes. Debian builds the library's own loops without: sums and products then cost several
// times as much as need be.
#include <nvector/nvector_serial.h>

namespace mistwright::bench {

/// Replaces the operations of a serial vector and so of all clones of it.
void vectorise(N_Vector vector);

}  // namespace mistwright::bench
