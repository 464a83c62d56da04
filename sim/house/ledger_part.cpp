#include "sim/house/ledger_part.h"

#include <algorithm>
#include <cmath>

#include "models/air/house_balance.h"
#include "models/units.h"

namespace mistwright {

using air::Line;

namespace {
constexpr double hour_s = 3600.0;
}

std::optional<engine::Wake> LedgerPart::next_event(SimTime) {
  const SimTime end = run_start + shared_.house.span;
  if (struck_ >= end) return std::nullopt;
  return engine::Wake{std::min(end, struck_ + duration_up(hour_s)), engine::Rank::Ledger, 0};
}

/// The balances of liquid water: all of it, what the heads sprayed, films and medium.
std::vector<engine::Balance> LedgerPart::strike_water() const {
  const ClimateLedger& air = climate_.ledger();
  const CropLedger& crop = crop_.ledger();
  const WaterLedger& water = water_.ledger();
  // What dripped from the cover and has not been taken up by the flats is still on its way.
  double surfaces = air.drip_kg.value() - crop.drip_taken_kg.value();
  for (std::size_t c = 0; c < shared_.plan.fixed.cells; ++c) {
    surfaces += shared_.air[air::state_index(c, air::CellState::CoverWater)] +
                shared_.air[air::state_index(c, air::CellState::FloorWater)];
  }
  const double films = crop_.films_kg();
  const double films_change = films - crop_.start_films_kg();
  const double medium = crop_.medium_kg();
  const double medium_change = medium - crop_.start_medium_kg();

  engine::Balance liquid{"liquid water", "kg"};
  liquid.inflow = water.drawn_kg.value() + crop.dew_kg.value() + line(Line::CoverCondensation) +
                  line(Line::FloorEvaporation);
  liquid.outflow = water.drained_lines_kg.value() + water.evaporated_kg.value() +
                   water.out_kg.value() + crop.film_evaporated_kg.value() +
                   crop.medium_evaporated_kg.value() + crop.medium_drained_kg.value() +
                   air.floor_runoff_kg.value();
  liquid.stored_change = films_change + medium_change + surfaces;
  liquid.held = films + medium + surfaces;

  engine::Balance sprayed{"what the heads sprayed", "kg"};
  sprayed.inflow = water.sprayed_kg.value();
  sprayed.outflow = water.to_leaves_kg.value() + water.to_medium_kg.value() +
                    water.surfaces_kg.value() + water.evaporated_kg.value() + water.out_kg.value();

  engine::Balance film{"films on leaves", "kg"};
  film.inflow = crop.landed_on_leaves_kg.value() + crop.dew_kg.value();
  film.outflow = crop.film_evaporated_kg.value() + crop.film_runoff_kg.value();
  film.stored_change = films_change;
  film.held = films;

  engine::Balance pot{"water in the medium", "kg"};
  pot.inflow = crop.medium_gained_kg.value();
  pot.outflow = crop.medium_drained_kg.value() + crop.medium_evaporated_kg.value();
  pot.stored_change = medium_change;
  pot.held = medium;
  return {liquid, sprayed, film, pot};
}

double LedgerPart::line(air::Line which) const {
  return climate_.ledger().lines[static_cast<std::size_t>(which)].value();
}

/// The balances of the air: vapour, heat, and what leaves lost against what it was given.
std::vector<engine::Balance> LedgerPart::strike_air() const {
  const ClimateLedger& air = climate_.ledger();
  const CropLedger& crop = crop_.ledger();
  const air::HouseFixed& fixed = shared_.plan.fixed;
  const double latent = fixed.latent_heat_J_per_kg;

  engine::Balance vapour{"vapour in the air", "kg"};
  vapour.inflow = line(Line::AirInVapour) + line(Line::LeafEvaporation) +
                  line(Line::Transpiration) + line(Line::MediumEvaporation) +
                  air.vapour_in_flight_kg.value() + air.correction_kg.value();
  vapour.outflow =
      line(Line::AirOutVapour) + line(Line::CoverCondensation) + line(Line::FloorEvaporation);
  vapour.held = air::vapour_held_kg(fixed, shared_.air);
  vapour.stored_change = vapour.held - air::vapour_held_kg(fixed, climate_.start_state());

  engine::Balance heat{"heat", "J"};
  heat.inflow = line(Line::SunOnFloor) + line(Line::SunOnMedium) + line(Line::SunOnCover) +
                line(Line::SunOnLeaves) + line(Line::AirInHeat) + latent * line(Line::AirInVapour);
  heat.outflow = line(Line::AirOutHeat) + latent * line(Line::AirOutVapour) +
                 line(Line::CoverToOutside) + line(Line::CoverToSky) + line(Line::InsideToSky) +
                 line(Line::Ground) + air.mist_heat_J.value();
  heat.held = air::heat_held_J(fixed, shared_.air);
  heat.stored_change = heat.held - air::heat_held_J(fixed, climate_.start_state());

  // The air is given what representatives lose; the difference to the leaves follows at the next
  // touch.
  engine::Balance given{"leaves' loss given to the air", "kg"};
  given.inflow = crop.film_evaporated_kg.value() - crop.dew_kg.value();
  given.outflow = crop.correction_kg.value();
  for (const double kg : shared_.integrals.evaporation_kg) given.outflow += kg;
  return {vapour, heat, given};
}

std::vector<engine::Balance> LedgerPart::strike() const {
  std::vector<engine::Balance> balances = strike_water();
  for (engine::Balance& balance : strike_air()) balances.push_back(std::move(balance));
  return balances;
}

void LedgerPart::on_event(const engine::Event& event, engine::Effects&) {
  climate_.settle(event.time);
  struck_ = event.time;
  std::vector<engine::Balance> balances = strike();
  // Between touches the leaves are behind the air; their line closes at each touch, so at the end.
  const bool end = event.time >= run_start + shared_.house.span;
  for (std::size_t i = 0; i < balances.size(); ++i) {
    if (i + 1 == balances.size() && !end) continue;
    frames_.worst_audit_fraction =
        std::max(frames_.worst_audit_fraction, balances[i].relative_residual());
  }
  frames_.balances = std::move(balances);
}

void LedgerPart::state(engine::StateVisitor& visitor) {
  visitor.value(struck_);
  visitor.value(frames_.worst_audit_fraction);
}

}  // namespace mistwright
