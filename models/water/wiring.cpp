#include "models/water/wiring.h"

#include <algorithm>
#include <cmath>
#include <string>

#include "models/contracts.h"
#include "models/units.h"

namespace mistwright::water {
namespace {

/// Whether each valve of a question has its least voltage on such a cable.
bool serves(const WireQuestion& question, double area_m2, double resistance_ratio) {
  const Conductor wire = {.area_m2 = area_m2,
                          .resistance_ratio = resistance_ratio,
                          .temperature_K = question.wire_temperature_K};
  const std::vector<double> at_valves_V =
      pull_in_voltages_V(question.source_V, {wire, wire}, question.distances_m, question.coil);
  const double least_V = question.coil.least_voltage_fraction * question.coil.rated_V;
  return std::all_of(at_valves_V.begin(), at_valves_V.end(),
                     [&](double at_valve_V) { return at_valve_V >= least_V; });
}

}  // namespace

double copper_resistivity_ohm_m(double temperature_K) {
  if (!(temperature_K >= 233.15 && temperature_K <= 378.15)) {
    throw RangeError("copper wire is described from 233.15 K to 378.15 K, and was asked at " +
                     std::to_string(temperature_K) + " K");
  }
  return copper_resistivity_20C_ohm_m *
         (1.0 + copper_temperature_rise_per_K * (temperature_K - kelvin(20.0)));
}

double awg_diameter_m(int gauge) {
  if (gauge < -3 || gauge > 40) {
    throw RangeError("American wire gauge runs from -3 (0000) to 40, and was asked at " +
                     std::to_string(gauge));
  }
  return 0.127e-3 * std::pow(92.0, (36.0 - gauge) / 39.0);
}

double awg_area_m2(int gauge) {
  const double diameter_m = awg_diameter_m(gauge);
  return 0.25 * pi * diameter_m * diameter_m;
}

double resistance_ohm_per_m(const Conductor& wire) {
  EXPECT(wire.area_m2 > 0.0 && wire.resistance_ratio >= 1.0);
  return wire.resistance_ratio * copper_resistivity_ohm_m(wire.temperature_K) / wire.area_m2;
}

double pair_drop_V(const Conductor& wire, double length_m, double current_A) {
  EXPECT(length_m >= 0.0 && current_A >= 0.0);
  return 2.0 * length_m * resistance_ohm_per_m(wire) * current_A;
}

double longest_run_m(const Conductor& wire, double current_A, double drop_V) {
  EXPECT(current_A > 0.0 && drop_V >= 0.0);
  return drop_V / (2.0 * resistance_ohm_per_m(wire) * current_A);
}

std::vector<double> valve_voltages_V(double source_V, const ValveCable& cable,
                                     const std::vector<WiredValve>& valves) {
  EXPECT(source_V >= 0.0);
  const double own_ohm_per_m = resistance_ohm_per_m(cable.valve_wire);
  const double common_ohm_per_m = resistance_ohm_per_m(cable.common_wire);
  std::vector<double> out;
  out.reserve(valves.size());
  for (const WiredValve& valve : valves) {
    EXPECT(valve.distance_m >= 0.0 && valve.current_A >= 0.0);
    double drop_V = own_ohm_per_m * valve.distance_m * valve.current_A;
    for (const WiredValve& other : valves) {
      drop_V += common_ohm_per_m * std::min(valve.distance_m, other.distance_m) * other.current_A;
    }
    out.push_back(std::max(source_V - drop_V, 0.0));
  }
  return out;
}

std::vector<double> pull_in_voltages_V(double source_V, const ValveCable& cable,
                                       const std::vector<double>& distances_m,
                                       const ValveCoil& coil) {
  EXPECT(coil.holding_A >= 0.0 && coil.inrush_A >= coil.holding_A);
  std::vector<WiredValve> valves;
  valves.reserve(distances_m.size());
  for (const double distance_m : distances_m) valves.push_back({distance_m, coil.holding_A});
  std::vector<double> out;
  out.reserve(valves.size());
  for (std::size_t i = 0; i < valves.size(); ++i) {
    valves[i].current_A = coil.inrush_A;
    out.push_back(valve_voltages_V(source_V, cable, valves)[i]);
    valves[i].current_A = coil.holding_A;
  }
  return out;
}

std::optional<int> thinnest_gauge(const WireQuestion& question) {
  for (const int gauge : sold_gauges) {
    if (serves(question, awg_area_m2(gauge), stranded_resistance_ratio)) return gauge;
  }
  return std::nullopt;
}

std::optional<double> thinnest_area_m2(const WireQuestion& question) {
  for (const double area_m2 : sold_areas_m2) {
    if (serves(question, area_m2, metric_resistance_ratio)) return area_m2;
  }
  return std::nullopt;
}

double transformer_VA(const ValveCoil& coil, const TransformerLoad& load) {
  EXPECT(load.open >= 0 && load.pulling_in >= 0 && load.margin_ratio >= 1.0);
  const int pulling_in = std::min(load.pulling_in, load.open);
  const double current_A = pulling_in * coil.inrush_A + (load.open - pulling_in) * coil.holding_A;
  return coil.rated_V * current_A * load.margin_ratio;
}

int coils_fed(double sold_VA, double source_V, double current_A) {
  EXPECT(sold_VA >= 0.0 && source_V > 0.0 && current_A > 0.0);
  // A hair is given, so that a load that fits exactly is not lost to rounding.
  return static_cast<int>(std::floor(sold_VA / (source_V * current_A) * (1.0 + 1e-12)));
}

double coil_energy_J(const ValveCoil& coil, double open_s, int openings) {
  EXPECT(open_s >= 0.0 && openings >= 0 && coil.inrush_A >= coil.holding_A);
  const double charge_C =
      coil.holding_A * open_s + (coil.inrush_A - coil.holding_A) * coil.pull_in_s * openings;
  return coil.power_factor * coil.rated_V * charge_C;
}

}  // namespace mistwright::water
