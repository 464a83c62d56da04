#pragma once
// What a supply gives at a flow.
#include "models/water/network.h"
#include "models/water/pipe.h"

namespace mistwright::water {

/// Loss coefficient of a hose bib [Pa s2/m6]: what p = p_static - loss q^2 needs to pass through
/// its bucket test; zero without a bucket test.
[[nodiscard]] double supply_loss_Pa_s2_per_m6(const Supply& supply);

/// Gauge pressure at the supply's node [Pa] when a flow is drawn. A pump's curve is continued along
/// its first and last segments.
[[nodiscard]] double supply_pressure_Pa(const Supply& supply, double flow_m3_per_s);

/// The same as a drop from its source (minus the pressure), with its slope.
[[nodiscard]] Drop supply_drop(const Supply& supply, double flow_m3_per_s);

}  // namespace mistwright::water
