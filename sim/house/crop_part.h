#pragma once
// The leaves' films and the medium under them. Leaves are touched when water lands, when drying
// turns to dew or back, when a map is drawn and at the run's end; between touches only some hundred
// representatives move, so that the air feels how wet the crop is. At each touch the difference
// between what the leaves lost and what the air was given goes back to the air, under a line of its
// own.
#include <vector>

#include "sim/engine/ledger.h"
#include "sim/engine/part.h"
#include "sim/house/shared.h"

namespace mistwright {

/// What a leaf has been through.
struct LeafHistory {
  std::vector<double> depth_m, dry_s, spell_s, longest_spell_s, deposit_m, runoff_m, evaporated_m;
};

/// What the medium under a bench cell has been through.
struct MediumHistory {
  std::vector<double> water_m, soggy_s, drained_m, mist_m, leaves_mist_m, demand_m;
};

struct CropLedger {
  engine::Sum landed_on_leaves_kg, film_evaporated_kg, dew_kg, film_runoff_kg;
  engine::Sum medium_gained_kg, medium_drained_kg, medium_evaporated_kg, medium_shortfall_kg;
  engine::Sum correction_kg, correction_gross_kg, drip_taken_kg;
};

enum class CropEvent : std::uint32_t { Landed, SignChange, Look };

class CropPart final : public engine::Part {
 public:
  explicit CropPart(Shared& shared);

  std::optional<engine::Wake> next_event(SimTime now) override;
  void advance(SimTime from, SimTime to) override;
  void on_event(const engine::Event& event, engine::Effects& effects) override;
  void state(engine::StateVisitor& visitor) override;
  [[nodiscard]] const char* name() const override { return "the leaves"; }
  /// After state() has been read back.
  void resume();

  [[nodiscard]] const LeafHistory& leaves() const { return leaves_; }
  [[nodiscard]] const MediumHistory& medium() const { return medium_; }
  [[nodiscard]] const CropLedger& ledger() const { return ledger_; }
  [[nodiscard]] double films_kg() const;
  [[nodiscard]] double medium_kg() const;
  [[nodiscard]] double start_medium_kg() const { return start_medium_kg_; }
  [[nodiscard]] double start_films_kg() const { return start_films_kg_; }
  /// Share of each bench cell's leaf area that is more than the set share bare, as of the last
  /// touch.
  [[nodiscard]] std::vector<double> bare_share() const;
  [[nodiscard]] std::vector<double> mean_depth_m() const;
  /// Share of all leaves now more than the set share bare, by the representatives.
  [[nodiscard]] double bare_share_now_fraction() const;

 private:
  void touch(SimTime now);
  void touch_cell(std::size_t cell, double dt_s, double start_s);
  void move_medium(double dt_s);
  void gain(const Deposit& deposit);
  void add_slots();
  void resynchronise();
  void push_node(SimTime now);
  [[nodiscard]] bool bare(double depth_m) const;

  Shared& shared_;
  LeafHistory leaves_;
  MediumHistory medium_;
  CropLedger ledger_;
  std::vector<std::vector<std::uint32_t>> class_leaves_;  ///< of each class, in drying order
  SimTime touched_{};
  SimTime looked_ = run_start;  ///< last map
  double start_medium_kg_ = 0.0, start_films_kg_ = 0.0;

  // Integrals of every class at each instant since the last touch, the first being that touch.
  std::vector<double> node_s_;
  std::vector<double> node_alpha_m_;                    ///< [node][class]
  std::vector<double> node_beta_m_;                     ///< [node][slot][class]
  std::vector<double> given_kg_;                        ///< by class, to the air, at the last touch
  std::vector<double> medium_given_kg_, drip_seen_kg_;  ///< by air cell, at the last touch
  std::vector<double> alpha_seen_m_;  ///< by class: representatives have moved this far
  std::vector<double> beta_seen_m_;   ///< by class, of the present slot
  std::uint32_t slot_seen_ = 0;

  // Follows from the plan and the slots; rebuilt, never saved.
  std::vector<std::vector<double>> factor_;  ///< [slot][leaf]
  // Scratch of one touch.
  std::vector<double> cell_evaporated_kg_, cell_dew_kg_, cell_runoff_m3_;
};

}  // namespace mistwright
