#include "models/droplet/flying.h"

#include <cmath>

#include "models/droplet/flight.h"

namespace mistwright::droplet {

namespace {

double fractional_part(double value) {
  return value - std::floor(value);
}

}  // namespace

Flying::Flying(const FootprintCase& a_case, const Launch& launch,
               double evaporation_constant_m2_per_s)
    : sky{launch, FieldSeen(a_case.field), Motion(a_case.state), InducedAir(launch)},
      K_m2_per_s(evaporation_constant_m2_per_s),
      ventilation_factor(0.3 * std::cbrt(schmidt_number(a_case.state))),
      length_m(a_case.house.length_m),
      width_m(a_case.house.width_m),
      clearance_m(a_case.field.grid.cells(), -1.0) {}

Turn turn_on_lattice(std::size_t n, std::size_t count, const Placement& shift) {
  const auto index = static_cast<double>(n);
  return {{fractional_part(shift.turn_fraction + (index + 0.5) / static_cast<double>(count)),
           fractional_part(shift.slice_fraction + index * 0.7548776662466927)},
          fractional_part(shift.turn_fraction + index * 0.5698402909980532)};
}

Parcel launched(const Flying& flying, const Point& at, double diameter_m, const Turn& turn,
                Random& random) {
  const Launch& launch = flying.sky.launch;
  Parcel p;
  p.at = at;
  p.v = p.slip = launch_velocity(launch, turn.placement);
  for (double& omega : p.omega) omega = random.normal();
  p.diameter_m = diameter_m;
  p.mass_fraction = p.first_mass_fraction = 1.0;
  if (flying.widest_patch_m <= 0.0) p.patch = Patch::none();
  if (flying.sky.induced.any()) p.jet_ends_s = launch.jet_lasts_s * (1.0 - turn.moment_fraction);
  return p;
}

}  // namespace mistwright::droplet
