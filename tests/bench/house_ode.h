#pragma once
// The house of one day as ordinary differential equations: the balances that the air's part
// freezes for a stretch, here evaluated at the very state, and every leaf's film. What depends on
// time alone is tabulated every ten seconds. Leaves stand class by class, so that a class's alpha
// and beta meet runs of leaves.
#include <vector>

#include "sim/house/surroundings.h"
#include "tests/bench/day.h"

namespace mistwright::bench {

/// Leaves in the order of their classes.
struct FilmTable {
  std::vector<std::uint32_t> plan_leaf;  ///< index in the plan
  std::vector<std::size_t> first;        ///< by class, one past the end at the back
  std::vector<double> radiation_factor, area_m2;
  std::vector<double> conductance_factor[2];  ///< fan off, fan on
};

class HouseOde {
 public:
  explicit HouseOde(const Day& day);

  [[nodiscard]] std::size_t air_states() const { return air_states_; }
  [[nodiscard]] std::size_t films() const { return table_.plan_leaf.size(); }
  [[nodiscard]] std::size_t size() const { return air_states_ + films(); }
  [[nodiscard]] const FilmTable& table() const { return table_; }
  [[nodiscard]] const Day& day() const { return day_; }
  [[nodiscard]] double dry_depth_m() const { return dry_depth_m_; }

  /// The state at the start, and the fan's.
  [[nodiscard]] std::vector<double> start() const;
  [[nodiscard]] bool fan_at_start() const { return fan_at_start_; }
  void set_fan(bool on) { fan_ = on; }
  [[nodiscard]] bool fan() const { return fan_; }

  /// Rates of the whole state.
  void rates(double t_s, const double* state, double* rate);
  /// Coefficients at a state: lines by class and, with the films' wetness, the linear system.
  void freeze(double t_s, const double* state);
  /// Of the last evaluation, by class: what a reference leaf loses by sun and dryness [m/s].
  [[nodiscard]] const std::vector<double>& alpha_m_per_s() const { return alpha_; }
  [[nodiscard]] const std::vector<double>& beta_m_per_s() const { return beta_; }
  /// The same at another state, on the lines of the last evaluation.
  [[nodiscard]] double alpha_at(std::size_t leaf_class, const std::vector<double>& air) const;
  [[nodiscard]] double beta_at(std::size_t leaf_class, const std::vector<double>& air) const;
  /// Wetted areas that freeze() goes by.
  void set_wetness(std::size_t leaf_class, double by_radiation_m2, double by_conductance_m2);
  [[nodiscard]] const std::vector<air::Flux>& fluxes() const { return fluxes_; }
  [[nodiscard]] std::size_t evaluations() const { return evaluations_; }

  [[nodiscard]] double mean_air_C(const double* state) const;
  /// Degrees above the temperature at which the fan switches next.
  [[nodiscard]] double over_threshold_K(const double* state) const;
  /// Adds a landing to a state.
  void land(const Landing& landing, double* state) const;
  /// Water that cover and floor cannot hold falls; says whether any did.
  bool drip(double* state) const;
  /// Time that a leaf was too bare within a step, from its depths at both ends: the film's law
  /// makes the demand that is left until then a straight line where the demand is steady.
  void count_dry(double step_s, const double* before, const double* after, double* dry_s) const;
  /// Seconds spent in the air's coefficients and in the leaves' loop.
  double air_seconds_s = 0.0, leaf_seconds_s = 0.0;
  bool timed = false;

 private:
  [[nodiscard]] Surroundings look_out(double t_s) const;
  [[nodiscard]] Surroundings between(double t_s) const;
  void lines_at(double t_s, const double* state);
  void add_leaves();
  void add_fluxes();

  const Day& day_;
  Shared shared_;
  FilmTable table_;
  std::size_t air_states_ = 0;
  double dry_depth_m_ = 0.0;
  bool fan_ = false, fan_at_start_ = false;
  std::vector<double> start_air_, mass_share_;
  std::vector<Surroundings> outside_;
  DeviceState devices_[2];
  // Of the last evaluation.
  std::vector<double> air_, alpha_, beta_;
  std::vector<air::Affine> alpha_line_, beta_line_;
  std::vector<ClassLines> lines_;
  std::vector<Wetness> wetness_;
  std::vector<air::Flux> fluxes_;
  air::HouseNow now_;
  std::size_t evaluations_ = 0;
};

}  // namespace mistwright::bench
