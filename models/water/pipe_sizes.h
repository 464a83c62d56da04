#pragma once
// Which bores are sold: pipes by open dimension standards, metric and US.
#include <span>

namespace mistwright::water {

struct SoldPipe {
  const char* name;  ///< as it is asked for over the counter
  double bore_m;     ///< mean inside diameter by the standard's least wall
  double outside_m;
};

enum class PipeSeries { PolyethyleneMetric, PvcSchedule40 };

/// From the narrowest to the widest.
/// Source: ISO 4427-2 for PE 100, SDR 11 (16 bar at 20 degC; outside diameters and least walls from
/// memory); ASTM D1785 for PVC schedule 40 (outside diameters and least walls as in a public
/// library of fluid dynamics, python3-fluids).
[[nodiscard]] std::span<const SoldPipe> sold_pipes(PipeSeries series);

}  // namespace mistwright::water
