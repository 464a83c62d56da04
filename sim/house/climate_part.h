#pragma once
// The air of the house in time: freezes the balances' coefficients, moves them exactly to the next
// change, books every flux. New coefficients are taken when a stretch ends, when a device or the
// wetness changed, and when a surface or a class of leaves passes between drying and dew.
#include <array>
#include <vector>

#include "models/sky/weather.h"
#include "sim/engine/part.h"
#include "sim/house/canopy.h"
#include "sim/house/shared.h"

namespace mistwright {

/// Everything booked at the house's boundary and between its stores, cumulative.
struct ClimateLedger {
  std::array<engine::Sum, static_cast<std::size_t>(air::Line::Count)> lines;
  engine::Sum vapour_in_flight_kg, correction_kg, mist_heat_J, drip_kg, floor_runoff_kg;
  engine::Sum surface_water_in_kg;  ///< landed on cover, walls and floor from the heads
};

class ClimatePart final : public engine::Part {
 public:
  explicit ClimatePart(Shared& shared);

  std::optional<engine::Wake> next_event(SimTime now) override;
  void advance(SimTime from, SimTime to) override;
  void on_event(const engine::Event& event, engine::Effects& effects) override;
  void state(engine::StateVisitor& visitor) override;
  [[nodiscard]] const char* name() const override { return "the air"; }

  /// Books the fluxes up to now, so that the ledger can be struck.
  void settle(SimTime now);
  /// After state() has been read back: freezes the same coefficients again.
  void resume();
  [[nodiscard]] const ClimateLedger& ledger() const { return ledger_; }
  [[nodiscard]] const std::vector<ClassLines>& lines() const { return lines_; }
  /// How wet the leaves of each class are taken to be in this stretch.
  [[nodiscard]] const std::vector<Wetness>& wetness() const { return wetness_; }
  /// The air as it is, and what drives it, for bench_air().
  [[nodiscard]] RegimeMoment moment_now() const;
  /// The mean moment of each regime met, by slot.
  [[nodiscard]] const std::vector<RegimeMean>& regime_means() const { return regime_means_; }
  [[nodiscard]] const std::vector<double>& start_state() const { return first_air_; }

 private:
  void freeze(SimTime now);
  void expect_middle(double lasted_s, double length_s);
  void surroundings(double length_s);
  void build(double length_s);
  void find_watch();
  void take_impulses();
  void drip();
  void enter_regime();
  void measure(double t_s);
  void note_regime(SimTime now);
  [[nodiscard]] SurfaceGifts gifts() const;  ///< what floor and benches give to the air now

  Shared& shared_;
  ClimateLedger ledger_;
  std::vector<double> start_air_;   ///< at the stretch's start
  std::vector<double> middle_air_;  ///< expected half-way: where coefficients are taken
  std::vector<double> first_air_;   ///< at the run's start
  std::vector<Wetness> wetness_;    ///< frozen for the stretch, by class
  ClassIntegrals base_;             ///< integrals at the stretch's start
  std::vector<double> base_medium_kg_;
  double length_s_ = 0.0;
  double booked_s_ = 0.0;  ///< of the stretch, already in the ledger
  double watch_s_ = -1.0;  ///< first watched crossing, -1 for none
  std::vector<RegimeMean> regime_means_;

  // Follows from the above; rebuilt, never saved.
  std::vector<air::Flux> fluxes_;
  std::vector<ClassLines> lines_;
  std::vector<air::Affine> alpha_, beta_, evaporation_;  ///< by class
  air::HouseNow now_;
  double speed_ratio_ = 1.0;
};

}  // namespace mistwright
