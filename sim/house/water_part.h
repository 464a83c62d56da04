#pragma once
// Valves, pressures and spray: when a clock opens a valve the network is solved for the valves then
// open, each head sprays from when its water arrives to when the valve has shut, and the burst's
// water lands at its end.
#include <vector>

#include "models/water/fill.h"
#include "models/water/hydraulics.h"
#include "sim/engine/ledger.h"
#include "sim/engine/part.h"
#include "sim/house/spray.h"

namespace mistwright {

/// A valve spraying alone: what its heads get.
struct ZoneAlone {
  water::Hydraulics hydraulics;
  std::vector<water::SprayWindow> windows;  ///< by head, for the burst of the zone's busiest band
  double burst_s = 0.0;
};

/// The network and its heads, ready to be solved.
class Waterworks {
 public:
  explicit Waterworks(const House& house);
  Waterworks(const Waterworks&) = delete;
  Waterworks& operator=(const Waterworks&) = delete;

  [[nodiscard]] water::Hydraulics solve(const std::vector<bool>& open) const;
  [[nodiscard]] ZoneAlone alone(std::uint32_t valve, double burst_s) const;
  [[nodiscard]] const std::vector<water::NetworkHead>& heads() const { return heads_; }
  [[nodiscard]] const House& house() const { return house_; }

 private:
  const House& house_;
  std::vector<water::NetworkHead> heads_;
};

/// The longest burst that any programme asks of a valve [s]; zero if none does.
[[nodiscard]] double longest_burst_s(const House& house, std::uint32_t valve);

/// How long the air that a head drags along keeps moving, for footprints: one value for every
/// burst, so that bursts of any length share them. Drops above 60 um have landed by then.
inline constexpr double induced_air_lasts_s = 8.0;

/// How a head in its place launches.
[[nodiscard]] droplet::Launch head_launch(Airflow& airflow, const House& house, std::uint32_t head,
                                          double pressure_Pa);

/// Everything a valve's heads spray in one burst of its own, by class.
[[nodiscard]] std::vector<Sprayed> typical_burst(Airflow& airflow, const Waterworks& works,
                                                 std::uint32_t valve,
                                                 const droplet::SizeClasses& classes);

/// What flew through one regime's air.
struct RegimeSpray {
  std::uint64_t regime = 0;  ///< DeviceState::key()
  double sprayed_kg = 0.0;
  double drying_kg_m2_per_s = 0.0;  ///< water times the K that it met in flight
};

struct WaterLedger {
  engine::Sum drawn_kg, sprayed_kg, drained_lines_kg, evaporated_kg, out_kg, surfaces_kg,
      to_leaves_kg, to_medium_kg;
  std::vector<std::vector<engine::Sum>> fate_by_class_kg;  ///< [fate][class]
  double worst_dense_correction_fraction = 0.0;
  double worst_deposit_noise_ratio = 0.0;
  /// What leaves caught, before their capacity, [fans off, some fan on][size group * bench cells +
  /// cell], and how many bursts landed in each.
  std::vector<double> leaves_by_size_kg[2];
  std::uint64_t bursts_landed[2] = {0, 0};
  /// Seconds told of the bursts that landed in each regime, by its slot.
  std::vector<engine::Sum> misted_s;
  std::vector<RegimeSpray> by_regime;  ///< in order of first use
};

class WaterPart final : public engine::Part {
 public:
  WaterPart(Shared& shared, const Waterworks& works, droplet::SizeClasses classes);

  std::optional<engine::Wake> next_event(SimTime) override { return std::nullopt; }
  void advance(SimTime, SimTime) override {}
  void on_event(const engine::Event& event, engine::Effects& effects) override;
  void state(engine::StateVisitor& visitor) override;
  [[nodiscard]] const char* name() const override { return "the water"; }

  /// Kinds of event. Open: first = the burst that the clock commands [s], second = the valve.
  enum Kind : std::uint32_t { Open, Shut };

  [[nodiscard]] const WaterLedger& ledger() const { return ledger_; }
  [[nodiscard]] const droplet::SizeClasses& classes() const { return classes_; }
  [[nodiscard]] std::uint64_t bursts() const { return bursts_; }

 private:
  struct Burst {
    std::uint8_t open = 0;
    SimTime command{};
    double told_s = 0.0;
  };

  void spray_until(SimTime now);
  void solve_network();
  void open(std::uint32_t valve, double burst_s, SimTime now, engine::Effects& effects);
  void shut(std::uint32_t valve, SimTime now, engine::Effects& effects);
  void book(const Landed& landed);
  void give_to_air(const Landed& landed, double sprayed_kg);

  Shared& shared_;
  const Waterworks& works_;
  droplet::SizeClasses classes_;
  WaterLedger ledger_;
  std::vector<Burst> valves_;
  std::vector<double> head_flow_m3_per_s_, launch_pressure_Pa_;
  std::vector<double> head_start_s_, head_stop_s_;  ///< since the run's start, of the present burst
  std::vector<double> sprayed_kg_;                  ///< [head][class], of the present burst
  SimTime sprayed_until_{};
  std::uint64_t bursts_ = 0;
  std::vector<std::vector<double>> shares_;  ///< by head, at its present pressure
};

}  // namespace mistwright
