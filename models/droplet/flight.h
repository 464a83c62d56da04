#pragma once
// How long does one drop live, and where does it come down?
// In still air the square of the diameter falls on a straight line, d^2 = d0^2 - K t, with K fixed
// by the balance of diffusing vapour and conducted heat at the drop's own temperature; a moving
// drop evaporates faster by Ranz and Marshall's ventilation factor. Drag is in drag.h. Left out:
// solutes (a drop dries wholly), the seconds a drop takes to cool to its wet-bulb temperature,
// radiation, growth in fog (K is zero in saturated air), neighbours' vapour.
#include "models/droplet/drag.h"

namespace mistwright::droplet {

/// The temperature at which a resting drop's evaporation takes up exactly the heat conducted to it.
/// It lies below the wet bulb, because vapour diffuses faster than heat: by 1.3 K at 20 degC and no
/// moisture, 1.7 K at 50 degC and 10 %. Left out: below 0 degC a drop stays liquid, while
/// saturation is taken over ice; K is then too low, by 5 % in air of 0 degC and 11 % at -5, both at
/// 50 %.
/// @return temperature [K]; the air's own when it is saturated
[[nodiscard]] double drop_temperature_K(const AirState& air);

/// Evaporation constant K = -d(d^2)/dt of a pure water drop in still air: d^2 falls by K t.
/// 558 um2/s at 20 degC and 50 %.
/// @return K [m2/s], zero in saturated air
/// Source: quasi-steady diffusion (Maxwell 1877), in the form of Pruppacher and Klett 1997,
/// Microphysics of Clouds and Precipitation, section 13.2: K = 8 D (rho_s(T_d) - rho_v) / rho_w
/// with k (T - T_d) = L D (rho_s(T_d) - rho_v); vapour densities each at their own temperature, D
/// and k at the film temperature midway. Driving the flux by mole fractions instead gives 1 to 3 %
/// less, as much as measured diffusivities differ. Checked in tests/droplet/flight_test.cpp.
[[nodiscard]] double evaporation_constant_m2_per_s(const AirState& air);

/// By how much motion speeds evaporation, Sh/2 = 1 + 0.3 Re^(1/2) Sc^(1/3).
/// @param reynolds_number  0 to 200 in the source
/// Source: Ranz and Marshall 1952, Chem. Eng. Prog. 48:141 and 173.
[[nodiscard]] double ventilation_factor(double reynolds_number, double schmidt_number);

/// Schmidt number of water vapour in air, about 0.61.
[[nodiscard]] double schmidt_number(const AirState& air);

/// Life in still air, d^2/K, without ventilation; infinite in saturated air.
[[nodiscard]] double lifetime_s(double diameter_m, const AirState& air);

/// One drop's fall.
struct Fall {
  double fall_time_s = 0.0;         ///< to the floor, or to its end in the air
  double drift_m = 0.0;             ///< sideways, at the wind's speed
  double landing_diameter_m = 0.0;  ///< zero when it dries in the air
  double evaporated_fraction = 0.0;
  double lifetime_s = 0.0;  ///< in still air, without ventilation: lifetime_s(diameter, air)
};

/// A drop let go at its terminal speed in a level wind: it falls at the terminal speed of what is
/// left of it and is carried at the wind's speed.
/// @param diameter_m  above 0, to 6 mm
/// @param height_m    zero or above; infinite: to its end, which in saturated air never comes
[[nodiscard]] Fall fall(double diameter_m, double height_m, double wind_m_per_s,
                        const AirState& air);

}  // namespace mistwright::droplet
