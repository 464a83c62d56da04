#pragma once
// The wires and the transformer of electric valves: does enough voltage come to the farthest valve,
// and how large a transformer do they ask for?
// A coil on alternating current is told by the currents that it draws: one while its armature is
// pulled in, a smaller one while it holds. All coils are taken to be in phase with each other and
// with the wires' drop, which errs on the safe side: reactance turns part of the drop away from the
// coil's voltage. Left out: that a coil draws less at less voltage, the wires' own reactance,
// the transformer's own fall under load.
#include <array>
#include <optional>
#include <vector>

namespace mistwright::water {

/// Resistivity of annealed copper at 20 degC [ohm m] and its rise with temperature over that value
/// [1/K].
/// Source: International Annealed Copper Standard; NBS Handbook 100, 1966 (figures from memory).
inline constexpr double copper_resistivity_20C_ohm_m = 1.7241e-8;
inline constexpr double copper_temperature_rise_per_K = 0.00393;

/// Resistivity of annealed copper [ohm m].
/// @param temperature_K  of the wire, 233.15 to 378.15
/// @throws RangeError outside that range
/// Source: as above; straight in temperature.
[[nodiscard]] double copper_resistivity_ohm_m(double temperature_K);

/// Diameter [m] of a solid round wire by American wire gauge.
/// @param gauge  -3 (four noughts) to 40; a larger number is a thinner wire
/// @throws RangeError outside that range
/// Source: d = 0.127 mm 92^((36 - n)/39), the rule that defines the gauge (ASTM B258, from memory).
[[nodiscard]] double awg_diameter_m(int gauge);

/// Cross-section [m2] of that wire; the same range and errors.
[[nodiscard]] double awg_area_m2(int gauge);

/// Resistance of stranded wire over solid wire of the same gauge (from memory).
inline constexpr double stranded_resistance_ratio = 1.02;
/// Resistance of wire sold by square millimetres over that of solid annealed copper of its nominal
/// area, at most: IEC 60228 sets the greatest resistance (from memory, sizes 0.5 to 6 mm2).
inline constexpr double metric_resistance_ratio = 1.075;

/// One conductor of copper.
struct Conductor {
  double area_m2 = 0.0;
  double resistance_ratio = 1.0;  ///< over solid copper of that area; not below 1
  double temperature_K = 293.15;
};

/// Resistance of a conductor's length [ohm/m].
/// @throws RangeError if its temperature is out of range
[[nodiscard]] double resistance_ohm_per_m(const Conductor& wire);

/// Voltage lost out and back along a pair of equal conductors [V].
/// @param length_m  one way, not negative
/// @param current_A  not negative
/// @throws RangeError if the temperature is out of range
/// Source: Ohm's law.
[[nodiscard]] double pair_drop_V(const Conductor& wire, double length_m, double current_A);

/// The longest way [m], one way, over which a pair loses no more than a voltage.
/// @param current_A  above 0
/// @param drop_V  not negative
/// @throws RangeError if the temperature is out of range
[[nodiscard]] double longest_run_m(const Conductor& wire, double current_A, double drop_V);

/// A valve's coil on alternating current. What stands here is common practice for valves of 24 V:
/// 0.3 to 0.5 A while it pulls in, 0.18 to 0.30 A held, at work from about 20 V.
struct ValveCoil {
  double rated_V = 24.0;
  double inrush_A = 0.4;
  double holding_A = 0.24;
  double pull_in_s = 0.05;    ///< how long the inrush lasts; common practice
  double power_factor = 1.0;  ///< of the coil; 1: not known, energy is the most possible
  double least_voltage_fraction = 5.0 / 6.0;  ///< of rated_V, with which it still pulls in
};

/// A cable from the transformer: a wire for each valve, and one common wire that all share, along
/// the same way.
struct ValveCable {
  Conductor valve_wire;
  Conductor common_wire;
};

/// A valve that draws current at its place along the cable.
struct WiredValve {
  double distance_m = 0.0;  ///< one way from the transformer
  double current_A = 0.0;
};

/// Voltage at each valve [V], not below zero. Valve i loses I_i r d_i in its own wire, and in the
/// common wire, which carries what all valves beyond a place draw, r times the sum over all j of
/// I_j min(d_i, d_j).
/// @param source_V  at the transformer, not negative
/// @param valves  those that draw current; distances and currents not negative
/// @throws RangeError if a temperature is out of range
/// Source: Ohm's and Kirchhoff's laws.
[[nodiscard]] std::vector<double> valve_voltages_V(double source_V, const ValveCable& cable,
                                                   const std::vector<WiredValve>& valves);

/// Voltage at each valve [V] while it alone pulls in and all others hold; not below zero.
/// @param source_V  at the transformer, not negative
/// @param distances_m  one way from the transformer, of valves open together
/// @throws RangeError if a temperature is out of range
[[nodiscard]] std::vector<double> pull_in_voltages_V(double source_V, const ValveCable& cable,
                                                     const std::vector<double>& distances_m,
                                                     const ValveCoil& coil);

/// Wires that shops sell: by gauge, thinnest first (common practice), and by area [m2], nominal
/// sizes of IEC 60228 (from memory).
inline constexpr std::array<int, 7> sold_gauges = {22, 20, 18, 16, 14, 12, 10};
inline constexpr std::array<double, 7> sold_areas_m2 = {0.5e-6, 0.75e-6, 1e-6, 1.5e-6,
                                                        2.5e-6, 4e-6,    6e-6};

/// What a wire must do.
struct WireQuestion {
  double source_V = 24.0;           ///< at the transformer
  std::vector<double> distances_m;  ///< one way, of valves open together
  ValveCoil coil;
  double wire_temperature_K = 293.15;
};

/// The thinnest sold gauge of stranded wire, for valve wires and common alike, with which each
/// valve still has its least voltage while it pulls in and the others hold; none if the thickest
/// does not do it.
/// @throws RangeError if the temperature is out of range
[[nodiscard]] std::optional<int> thinnest_gauge(const WireQuestion& question);

/// The same for wire sold by area [m2], at the greatest resistance that its standard lets it have.
/// @throws RangeError if the temperature is out of range
[[nodiscard]] std::optional<double> thinnest_area_m2(const WireQuestion& question);

/// Valves on one transformer.
struct TransformerLoad {
  int open = 1;                ///< valves open together
  int pulling_in = 1;          ///< of those, how many pull in at the same moment
  double margin_ratio = 1.25;  ///< of what is asked for over the load; common practice
};

/// The apparent power that a transformer must be sold for [VA]: rated voltage times what those that
/// pull in and those that hold draw, times the margin. None for no valve.
/// Source: sum of currents in phase, which is the most that it can be.
[[nodiscard]] double transformer_VA(const ValveCoil& coil, const TransformerLoad& load);

/// How many coils of one current a transformer feeds at once, without margin.
/// @param sold_VA  the transformer's, not negative
/// @param source_V  above 0
/// @param current_A  above 0
[[nodiscard]] int coils_fed(double sold_VA, double source_V, double current_A);

/// Energy that a coil takes at its rated voltage [J]: holding for as long as it is open, and the
/// rest of the inrush each time that it opens. Losses in wires and transformer are left out.
/// @param open_s  in sum, not negative
/// @param openings  not negative
[[nodiscard]] double coil_energy_J(const ValveCoil& coil, double open_s, int openings);

}  // namespace mistwright::water
