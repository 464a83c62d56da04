#include "models/air/house_balance.h"

#include <algorithm>
#include <cmath>

#include "models/air/psychrometrics.h"
#include "models/units.h"

namespace mistwright::air {

namespace {

/// Least temperature step that drives free convection: keeps the conductance finite where all is
/// level.
constexpr double least_step_K = 0.3;
/// Emissivity of plants, soil and films in the thermal band; 0.90 to 0.97, from memory.
constexpr double emissivity_fraction = 0.93;
/// Film of still air and of root mat over which bare medium evaporates, against the free surface;
/// derived from trays that lose a tenth to a third of a free surface under leaves (common
/// practice).
constexpr double medium_evaporation_factor = 0.3;
/// Least water for a surface to take part in evaporation [kg/m2].
constexpr double least_water_kg_per_m2 = 1e-6;

class Builder {
 public:
  Builder(const HouseFixed& fixed, const HouseNow& now, const std::vector<double>& state)
      : fixed_(fixed), now_(now), state_(state) {}

  std::vector<Flux> build() {
    constexpr std::size_t fluxes_a_cell = 24, fluxes_a_move = 2;  // leaves' fluxes follow
    fluxes_.reserve(fluxes_a_move * now_.moves.size() + 2 * fluxes_a_cell * fixed_.cells);
    for (const AirMove& move : now_.moves) between(move);
    for (std::size_t cell = 0; cell < fixed_.cells; ++cell) {
      ventilation(cell);
      cover(cell);
      floor(cell);
      if (fixed_.bench_area_m2[cell] > 0.0) medium(cell);
    }
    return std::move(fluxes_);
  }

 private:
  static std::uint32_t at(std::size_t cell, CellState which) { return state_index(cell, which); }
  [[nodiscard]] double temperature_K(std::size_t cell, CellState which) const {
    return kelvin(state_[at(cell, which)]);
  }
  [[nodiscard]] double air_heat_J_per_K(std::size_t cell) const {
    return fixed_.air_mass_kg[cell] * fixed_.heat_capacity_air_J_per_kg_K;
  }
  [[nodiscard]] double cover_heat_J_per_K(std::size_t cell) const {
    return fixed_.cover_area_m2[cell] * fixed_.cover_heat_capacity_J_per_m2_K;
  }
  [[nodiscard]] double floor_heat_J_per_K(std::size_t cell) const {
    return fixed_.floor_area_m2[cell] * fixed_.floor_heat_capacity_J_per_m2_K;
  }
  [[nodiscard]] double medium_heat_J_per_K(std::size_t cell) const {
    return fixed_.bench_area_m2[cell] * fixed_.medium_heat_capacity_J_per_m2_K;
  }

  void push(Line line, const Affine& size, const Affine::Terms& feeds) {
    Flux& flux = fluxes_.emplace_back();
    flux.line = static_cast<std::uint32_t>(line);
    flux.size = size;
    flux.feeds = feeds;
  }

  /// conductance * (state a - state b), from a to b.
  static Affine difference(std::uint32_t a, std::uint32_t b, double conductance) {
    return Affine{}.add(a, conductance).add(b, -conductance);
  }
  /// conductance * (state - fixed temperature).
  static Affine difference_to(std::uint32_t a, double temperature_K, double conductance) {
    Affine affine;
    affine.add(a, conductance);
    affine.constant = -conductance * celsius(temperature_K);
    return affine;
  }

  void between(const AirMove& move) {
    const double cp = fixed_.heat_capacity_air_J_per_kg_K;
    push(Line::BetweenCellsHeat,
         Affine{}.add(at(move.from, CellState::Air), move.flow_kg_per_s * cp),
         {{at(move.from, CellState::Air), -1.0 / air_heat_J_per_K(move.from)},
          {at(move.to, CellState::Air), 1.0 / air_heat_J_per_K(move.to)}});
    push(Line::BetweenCellsVapour,
         Affine{}.add(at(move.from, CellState::Humidity), move.flow_kg_per_s),
         {{at(move.from, CellState::Humidity), -1.0 / fixed_.air_mass_kg[move.from]},
          {at(move.to, CellState::Humidity), 1.0 / fixed_.air_mass_kg[move.to]}});
  }

  void ventilation(std::size_t cell) {
    const double cp = fixed_.heat_capacity_air_J_per_kg_K;
    const double in = now_.inflow_kg_per_s[cell];
    const double out = now_.outflow_kg_per_s[cell];
    const double heat = air_heat_J_per_K(cell);
    const double mass = fixed_.air_mass_kg[cell];
    const auto air = at(cell, CellState::Air);
    const auto humidity = at(cell, CellState::Humidity);
    Affine heat_in;
    heat_in.constant = in * cp * celsius(now_.outside_temperature_K);
    Affine vapour_in;
    vapour_in.constant = in * now_.outside_humidity_ratio;
    push(Line::AirInHeat, heat_in, {{air, 1.0 / heat}});
    push(Line::AirOutHeat, Affine{}.add(air, out * cp), {{air, -1.0 / heat}});
    push(Line::AirInVapour, vapour_in, {{humidity, 1.0 / mass}});
    push(Line::AirOutVapour, Affine{}.add(humidity, out), {{humidity, -1.0 / mass}});
  }

  void cover(std::size_t cell) {
    const double area = fixed_.cover_area_m2[cell];
    const double heat = cover_heat_J_per_K(cell);
    const auto cover = at(cell, CellState::Cover);
    const auto air = at(cell, CellState::Air);
    const double cover_K = temperature_K(cell, CellState::Cover);
    const double inside =
        inside_convection_W_per_m2_K(cover_K - temperature_K(cell, CellState::Air));
    push(Line::AirToCover, difference(air, cover, area * inside),
         {{air, -1.0 / air_heat_J_per_K(cell)}, {cover, 1.0 / heat}});
    const double outside = outside_convection_W_per_m2_K(now_.wind_speed_m_per_s);
    const double through = 1.0 / (1.0 / outside + 1.0 / fixed_.cover_conductance_W_per_m2_K);
    // What does not face the sky faces surroundings that are as warm as the outside air.
    const double seen =
        emissivity_fraction * (1.0 - cover_longwave_transmittance_fraction(fixed_, state_, cell));
    const double around = (1.0 - fixed_.cover_sky_view_fraction) * seen *
                          radiative_conductance_W_per_m2_K(cover_K, now_.outside_temperature_K);
    push(Line::CoverToOutside,
         difference_to(cover, now_.outside_temperature_K, area * (through + around)),
         {{cover, -1.0 / heat}});
    const double sky = fixed_.cover_sky_view_fraction * seen *
                       radiative_conductance_W_per_m2_K(cover_K, now_.sky_temperature_K);
    push(Line::CoverToSky, difference_to(cover, now_.sky_temperature_K, area * sky),
         {{cover, -1.0 / heat}});
    Affine sun;
    sun.constant = now_.sun_on_cover_W_per_m2 * fixed_.floor_area_m2[cell];
    push(Line::SunOnCover, sun, {{cover, 1.0 / heat}});
    wet_surface(cell, {Line::CoverCondensation, CellState::Cover, CellState::CoverWater, area, 1.0,
                       inside, heat});
  }

  struct WetSurface {
    Line line;
    CellState temperature, water;
    double area_m2, wet_fraction, convection_W_per_m2_K, heat_J_per_K;
  };

  /// Vapour between the air and a surface that may hold water: onto it when it is colder than the
  /// dew point, off it while water lies there. Heat and vapour share the boundary layer (Lewis
  /// relation).
  void wet_surface(std::size_t cell, const WetSurface& surface) {
    const auto humidity = at(cell, CellState::Humidity);
    const auto temperature = at(cell, surface.temperature);
    const auto water = at(cell, surface.water);
    const SaturationLine line =
        saturation_line(temperature_K(cell, surface.temperature), fixed_.pressure_Pa);
    const bool condensing = state_[humidity] > line.humidity_ratio;
    const bool wet = state_[water] > least_water_kg_per_m2 * surface.area_m2;
    if (!condensing && !wet) return;
    const double share = condensing ? 1.0 : surface.wet_fraction;
    const double conductance_kg_per_s = share * surface.area_m2 * surface.convection_W_per_m2_K /
                                        fixed_.heat_capacity_air_J_per_kg_K;
    // Positive onto the surface.
    Affine onto;
    onto.add(humidity, conductance_kg_per_s);
    onto.add(temperature, -conductance_kg_per_s * line.slope_per_K);
    onto.constant =
        -conductance_kg_per_s * (line.humidity_ratio - line.slope_per_K * state_[temperature]);
    push(surface.line, onto,
         {{humidity, -1.0 / fixed_.air_mass_kg[cell]},
          {water, 1.0},
          {temperature, fixed_.latent_heat_J_per_kg / surface.heat_J_per_K}});
  }

  /// Long-wave of a body under the cover: part to the cover, part through it to the sky.
  void longwave(std::size_t cell, CellState which, double area_m2, double heat_J_per_K) {
    const double through = cover_longwave_transmittance_fraction(fixed_, state_, cell);
    const double body_K = temperature_K(cell, which);
    const double cover_K = temperature_K(cell, CellState::Cover);
    const double to_cover = (1.0 - through) * emissivity_fraction * area_m2 *
                            radiative_conductance_W_per_m2_K(body_K, cover_K);
    push(Line::LongwaveInside, difference(at(cell, which), at(cell, CellState::Cover), to_cover),
         {{at(cell, which), -1.0 / heat_J_per_K},
          {at(cell, CellState::Cover), 1.0 / cover_heat_J_per_K(cell)}});
    const double to_sky = through * emissivity_fraction * area_m2 *
                          radiative_conductance_W_per_m2_K(body_K, now_.sky_temperature_K);
    push(Line::InsideToSky, difference_to(at(cell, which), now_.sky_temperature_K, to_sky),
         {{at(cell, which), -1.0 / heat_J_per_K}});
  }

  void floor(std::size_t cell) {
    const double heat = floor_heat_J_per_K(cell);
    const auto floor = at(cell, CellState::Floor);
    const auto air = at(cell, CellState::Air);
    const double convection = inside_convection_W_per_m2_K(temperature_K(cell, CellState::Floor) -
                                                           temperature_K(cell, CellState::Air));
    push(Line::FloorToAir, difference(floor, air, fixed_.floor_area_m2[cell] * convection),
         {{floor, -1.0 / heat}, {air, 1.0 / air_heat_J_per_K(cell)}});
    Affine sun;
    sun.constant = now_.sun_on_floor_W_per_m2 * fixed_.bare_floor_area_m2[cell];
    push(Line::SunOnFloor, sun, {{floor, 1.0 / heat}});
    push(Line::Ground,
         difference_to(floor, fixed_.ground_temperature_K,
                       fixed_.floor_area_m2[cell] * fixed_.floor_ground_conductance_W_per_m2_K),
         {{floor, -1.0 / heat}});
    longwave(cell, CellState::Floor, fixed_.bare_floor_area_m2[cell], heat);
    wet_surface(cell, {Line::FloorEvaporation, CellState::Floor, CellState::FloorWater,
                       fixed_.floor_area_m2[cell], fixed_.floor_wet_fraction, convection, heat});
  }

  void medium(std::size_t cell) {
    const double area = fixed_.bench_area_m2[cell];
    const double heat = medium_heat_J_per_K(cell);
    const auto medium = at(cell, CellState::Medium);
    const auto air = at(cell, CellState::Air);
    const double convection = inside_convection_W_per_m2_K(temperature_K(cell, CellState::Medium) -
                                                           temperature_K(cell, CellState::Air));
    // The underside of the flats is open to the air; the upper side only between the leaves.
    push(Line::MediumToAir,
         difference(medium, air, area * convection * (1.0 + fixed_.medium_bare_fraction)),
         {{medium, -1.0 / heat}, {air, 1.0 / air_heat_J_per_K(cell)}});
    Affine sun;
    sun.constant = now_.sun_on_medium_W_per_m2 * area;
    push(Line::SunOnMedium, sun, {{medium, 1.0 / heat}});
    longwave(cell, CellState::Medium, area * fixed_.medium_bare_fraction, heat);
    const SaturationLine line =
        saturation_line(temperature_K(cell, CellState::Medium), fixed_.pressure_Pa);
    const double conductance_kg_per_s =
        medium_evaporation_factor * area * convection / fixed_.heat_capacity_air_J_per_kg_K;
    Affine off;
    off.add(at(cell, CellState::Humidity), -conductance_kg_per_s);
    off.add(medium, conductance_kg_per_s * line.slope_per_K);
    off.constant = conductance_kg_per_s * (line.humidity_ratio - line.slope_per_K * state_[medium]);
    push(Line::MediumEvaporation, off,
         {{at(cell, CellState::Humidity), 1.0 / fixed_.air_mass_kg[cell]},
          {medium, -fixed_.latent_heat_J_per_kg / heat}});
  }

  const HouseFixed& fixed_;
  const HouseNow& now_;
  const std::vector<double>& state_;
  std::vector<Flux> fluxes_;
};

}  // namespace

SaturationLine saturation_line(double temperature_K, double pressure_Pa) {
  const double e_Pa = saturation_pressure_Pa(temperature_K);
  const double slope_Pa_per_K = saturation_slope_Pa_per_K(temperature_K);
  const double dry_Pa = pressure_Pa - e_Pa;
  return {molar_mass_ratio * e_Pa / dry_Pa,
          molar_mass_ratio * pressure_Pa / (dry_Pa * dry_Pa) * slope_Pa_per_K};
}

double inside_convection_W_per_m2_K(double temperature_step_K) {
  return std::max(1.0, 1.52 * std::cbrt(std::max(least_step_K, std::abs(temperature_step_K))));
}

double outside_convection_W_per_m2_K(double wind_speed_m_per_s) {
  return 2.8 + 3.0 * wind_speed_m_per_s;
}

double radiative_conductance_W_per_m2_K(double first_K, double second_K) {
  return stefan_boltzmann_W_per_m2_K4 * (first_K + second_K) *
         (first_K * first_K + second_K * second_K);
}

double cover_longwave_transmittance_fraction(const HouseFixed& fixed,
                                             const std::vector<double>& state, std::size_t cell) {
  // A thin dew already closes the film's window; full effect at 0.02 kg/m2.
  constexpr double full_kg_per_m2 = 0.02;
  const double water = state[state_index(cell, CellState::CoverWater)] / fixed.cover_area_m2[cell];
  const double wet = std::clamp(water / full_kg_per_m2, 0.0, 1.0);
  return fixed.cover_longwave_transmittance_fraction *
         (1.0 - wet * (1.0 - wet_cover_longwave_factor));
}

double sky_under_cloth_K(const ShadeCloth& cloth) {
  const double convection = 2.0 * outside_convection_W_per_m2_K(cloth.wind_speed_m_per_s);
  const double to_sky =
      emissivity_fraction *
      radiative_conductance_W_per_m2_K(cloth.outside_temperature_K, cloth.sky_temperature_K);
  const double below =
      emissivity_fraction *
      radiative_conductance_W_per_m2_K(cloth.outside_temperature_K, cloth.outside_temperature_K);
  const double threads_K = cloth.outside_temperature_K +
                           (cloth_absorptance_fraction * cloth.sun_W_per_m2 -
                            to_sky * (cloth.outside_temperature_K - cloth.sky_temperature_K)) /
                               (convection + to_sky + below);
  const auto fourth = [](double x) { return x * x * x * x; };
  return std::pow(cloth.open_fraction * fourth(cloth.sky_temperature_K) +
                      (1.0 - cloth.open_fraction) * fourth(threads_K),
                  0.25);
}

std::vector<Flux> house_fluxes(const HouseFixed& fixed, const HouseNow& now,
                               const std::vector<double>& state) {
  return Builder(fixed, now, state).build();
}

double heat_held_J(const HouseFixed& fixed, const std::vector<double>& state) {
  double heat = 0.0;
  for (std::size_t c = 0; c < fixed.cells; ++c) {
    heat += fixed.air_mass_kg[c] *
            (fixed.heat_capacity_air_J_per_kg_K * state[state_index(c, CellState::Air)] +
             fixed.latent_heat_J_per_kg * state[state_index(c, CellState::Humidity)]);
    heat += fixed.cover_area_m2[c] * fixed.cover_heat_capacity_J_per_m2_K *
            state[state_index(c, CellState::Cover)];
    heat += fixed.floor_area_m2[c] * fixed.floor_heat_capacity_J_per_m2_K *
            state[state_index(c, CellState::Floor)];
    heat += fixed.bench_area_m2[c] * fixed.medium_heat_capacity_J_per_m2_K *
            state[state_index(c, CellState::Medium)];
  }
  return heat;
}

double vapour_held_kg(const HouseFixed& fixed, const std::vector<double>& state) {
  double mass = 0.0;
  for (std::size_t c = 0; c < fixed.cells; ++c) {
    mass += fixed.air_mass_kg[c] * state[state_index(c, CellState::Humidity)];
  }
  return mass;
}

std::vector<double> state_scale(const HouseFixed& fixed) {
  std::vector<double> scale(fixed.cells * states_a_cell, 1.0);
  const double humidity = fixed.heat_capacity_air_J_per_kg_K / fixed.latent_heat_J_per_kg;
  for (std::size_t c = 0; c < fixed.cells; ++c) {
    scale[state_index(c, CellState::Humidity)] = humidity;
    scale[state_index(c, CellState::CoverWater)] = 0.1 * fixed.cover_area_m2[c];
    scale[state_index(c, CellState::FloorWater)] = 0.1 * fixed.floor_area_m2[c];
  }
  return scale;
}

}  // namespace mistwright::air
