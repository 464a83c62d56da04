#include "tests/bench/fixed_day.h"

#include <algorithm>
#include <cmath>

#include "models/units.h"
#include "tests/bench/film_loops.h"

namespace mistwright::bench {

namespace {

template <class Number>
class Loop {
 public:
  explicit Loop(HouseOde& ode) : ode_(ode) {
    ode.set_fan(ode.fan_at_start());
    const std::vector<double> start = ode.start();
    air_.assign(start.begin(), start.begin() + static_cast<std::ptrdiff_t>(ode.air_states()));
    depth_m_.assign(start.begin() + static_cast<std::ptrdiff_t>(ode.air_states()), start.end());
    dry_s_.assign(ode.films(), Number(0));
    const FilmTable& table = ode.table();
    radiation_.assign(table.radiation_factor.begin(), table.radiation_factor.end());
    area_m2_.assign(table.area_m2.begin(), table.area_m2.end());
    for (int on = 0; on < 2; ++on) {
      conductance_[on].assign(table.conductance_factor[on].begin(),
                              table.conductance_factor[on].end());
    }
  }

  void refresh(double t_s) {
    ode_.freeze(t_s, air_.data());
    system_ = air::assemble(ode_.fluxes(), air_.size());
  }
  void second() {
    std::vector<double>& rate = rate_;
    rate = system_.source;
    for (std::size_t i = 0; i < air_.size(); ++i) {
      for (std::uint32_t k = system_.row_start[i]; k < system_.row_start[i + 1]; ++k) {
        rate[i] += system_.entry[k] * air_[system_.column[k]];
      }
    }
    films();
    for (std::size_t i = 0; i < air_.size(); ++i) air_[i] += rate[i];
  }
  /// Switches the fan if its threshold has been passed.
  bool switched() {
    const double over = ode_.over_threshold_K(air_.data());
    if (ode_.fan() ? over > 0.0 : over < 0.0) return false;
    ode_.set_fan(!ode_.fan());
    return true;
  }
  void land(const Landing& landing) {
    std::vector<double> whole = whole_state();
    ode_.land(landing, whole.data());
    take(whole);
  }
  void drip() { ode_.drip(air_.data()); }
  [[nodiscard]] std::vector<double> whole_state() const {
    std::vector<double> whole = air_;
    whole.insert(whole.end(), depth_m_.begin(), depth_m_.end());
    return whole;
  }
  [[nodiscard]] double mean_air_C() const { return ode_.mean_air_C(air_.data()); }
  [[nodiscard]] const std::vector<Number>& depth_m() const { return depth_m_; }
  [[nodiscard]] const std::vector<Number>& dry_s() const { return dry_s_; }

 private:
  void films() {
    const auto& first = ode_.table().first;
    const std::vector<Number>& g = conductance_[ode_.fan() ? 1 : 0];
    const auto dry_m = static_cast<Number>(ode_.dry_depth_m());
    for (std::size_t c = 0; c + 1 < first.size(); ++c) {
      const std::size_t at = first[c];
      if (first[c + 1] == at) continue;
      const FilmRun<Number> run{first[c + 1] - at,
                                depth_m_.data() + at,
                                radiation_.data() + at,
                                g.data() + at,
                                area_m2_.data() + at,
                                static_cast<Number>(ode_.alpha_at(c, air_)),
                                static_cast<Number>(ode_.beta_at(c, air_)),
                                static_cast<Number>(ode_.day().house().crop.break_depth_m),
                                static_cast<Number>(ode_.day().house().crop.film_capacity_m)};
      const WettedSums wet =
          film_step<Number>(run, Number(1), dry_m, depth_m_.data() + at, dry_s_.data() + at);
      ode_.set_wetness(c, wet.by_radiation_m2, wet.by_conductance_m2);
    }
  }
  void take(const std::vector<double>& whole) {
    std::copy(whole.begin(), whole.begin() + static_cast<std::ptrdiff_t>(air_.size()),
              air_.begin());
    for (std::size_t k = 0; k < depth_m_.size(); ++k) {
      depth_m_[k] = static_cast<Number>(whole[air_.size() + k]);
    }
  }

  HouseOde& ode_;
  std::vector<double> air_, rate_;
  std::vector<Number> depth_m_, dry_s_, radiation_, area_m2_, conductance_[2];
  air::LinearSystem system_;
};

}  // namespace

template <class Number>
Answer fixed_day(HouseOde& ode, bool observed) {
  Answer answer;
  const std::size_t before = ode.evaluations();
  Loop<Number> loop(ode);
  if (observed) answer.air_K.push_back(kelvin(loop.mean_air_C()));
  const auto refresh_every = static_cast<long>(ode.day().house().numerics.air_step_s);
  const std::vector<Landing>& landings = ode.day().landings;
  std::size_t landed = 0;
  const auto end = std::lround(ode.day().span_s());
  const auto every = [](long t_s, double interval_s) { return t_s % std::lround(interval_s) == 0; };
  for (long t_s = 0; t_s < end; ++t_s) {
    if (t_s == 0 || t_s % refresh_every == 0) loop.refresh(static_cast<double>(t_s));
    loop.second();
    ++answer.steps;
    const long now_s = t_s + 1;
    bool changed = false;
    while (landed < landings.size() &&
           std::lround(seconds(landings[landed].time - run_start)) <= now_s) {
      loop.land(landings[landed++]);
      changed = true;
    }
    if (every(now_s, map_every_s)) loop.drip();
    if (loop.switched()) {
      ++answer.switchings;
      changed = true;
    }
    if (changed) loop.refresh(static_cast<double>(now_s));
    if (!observed) continue;
    if (every(now_s, sample_every_s)) answer.air_K.push_back(kelvin(loop.mean_air_C()));
    if (every(now_s, map_every_s)) {
      const std::size_t first = answer.depth_m.size();
      answer.depth_m.resize(first + ode.films());
      for (std::size_t k = 0; k < ode.films(); ++k) {
        answer.depth_m[first + ode.table().plan_leaf[k]] = static_cast<double>(loop.depth_m()[k]);
      }
    }
  }
  answer.rates = ode.evaluations() - before;
  answer.dry_s.resize(ode.films());
  for (std::size_t k = 0; k < ode.films(); ++k) {
    answer.dry_s[ode.table().plan_leaf[k]] = static_cast<double>(loop.dry_s()[k]);
  }
  return answer;
}

template Answer fixed_day<float>(HouseOde&, bool);
template Answer fixed_day<double>(HouseOde&, bool);

}  // namespace mistwright::bench
