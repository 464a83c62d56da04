#pragma once
// The one place that knows which Catch2 is installed.
#if __has_include(<catch2/catch_all.hpp>)
#include <catch2/catch_all.hpp>
#else
#include <catch2/catch.hpp>
#endif

namespace mistwright::test {
/// Within a relative tolerance of a printed value.
inline auto rel(double expected, double tolerance) {
  return Catch::Matchers::WithinRel(expected, tolerance);
}
/// Within an absolute tolerance of a printed value.
inline auto abs(double expected, double tolerance) {
  return Catch::Matchers::WithinAbs(expected, tolerance);
}
}  // namespace mistwright::test
