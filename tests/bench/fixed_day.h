#pragma once
// The day by a loop of one second: explicit steps of air and films, with the balances' coefficients
// taken anew as often as the engine's longest stretch and after every change.
#include "tests/bench/house_ode.h"

namespace mistwright::bench {

/// @param observed  whether temperatures and films are noted for comparison, which costs time
template <class Number>
[[nodiscard]] Answer fixed_day(HouseOde& ode, bool observed);

extern template Answer fixed_day<float>(HouseOde&, bool);
extern template Answer fixed_day<double>(HouseOde&, bool);

}  // namespace mistwright::bench
