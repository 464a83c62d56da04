#include "models/water/pipe_sizes.h"

#include <array>

namespace mistwright::water {
namespace {

constexpr SoldPipe metric(const char* name, double outside_mm, double wall_mm) {
  return {name, 1e-3 * (outside_mm - 2.0 * wall_mm), 1e-3 * outside_mm};
}

constexpr std::array polyethylene{
    metric("20 mm", 20.0, 2.0), metric("25 mm", 25.0, 2.3), metric("32 mm", 32.0, 3.0),
    metric("40 mm", 40.0, 3.7), metric("50 mm", 50.0, 4.6), metric("63 mm", 63.0, 5.8),
    metric("75 mm", 75.0, 6.8), metric("90 mm", 90.0, 8.2), metric("110 mm", 110.0, 10.0),
};

constexpr std::array pvc{
    metric("1/2 in", 21.336, 2.7686),   metric("3/4 in", 26.67, 2.8702),
    metric("1 in", 33.401, 3.3782),     metric("1 1/4 in", 42.164, 3.556),
    metric("1 1/2 in", 48.26, 3.683),   metric("2 in", 60.325, 3.9116),
    metric("2 1/2 in", 73.025, 5.1562), metric("3 in", 88.9, 5.4864),
    metric("4 in", 114.3, 6.0198),
};

}  // namespace

std::span<const SoldPipe> sold_pipes(PipeSeries series) {
  if (series == PipeSeries::PvcSchedule40) return pvc;
  return polyethylene;
}

}  // namespace mistwright::water
