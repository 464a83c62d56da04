#include "sim/study/answer.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <numeric>

#include "sim/study/neighbours.h"
#include "sim/study/runner.h"

namespace mistwright::study {

namespace {

/// By which published fits of impaction differ at small Stokes numbers.
constexpr double impaction_doubt_ratio = 2.0;

report::ClockAdvice clock_advice(const House& house, const control::Band& band) {
  report::ClockAdvice advice;
  std::int64_t coarsest = 0;
  bool day_only = true;
  int starts = 0;
  for (const Clock& clock : house.clocks) {
    for (const auto& programme : clock.programmes) {
      starts = std::max(starts, control::starts_a_day(programme));
      for (const auto& b : programme.bands) {
        if (b.burst_us <= 0) continue;
        coarsest = std::gcd(coarsest, std::gcd(b.burst_us, b.interval_us));
        day_only = day_only && b.from_us < b.to_us;
      }
    }
  }
  // Counting in ones or in whole minutes is what clocks do; finer is rare.
  const double counted_s =
      static_cast<double>(std::gcd(coarsest, std::gcd(band.burst_us, band.interval_us))) * 1e-6;
  advice.resolution_s = counted_s >= 60.0 ? 60.0 : counted_s >= 1.0 ? 1.0 : counted_s;
  advice.starts_a_day = starts;
  advice.day_hours_only = day_only;
  return advice;
}

/// Runs the changed houses and fills in what the verdict says of them.
class Trials {
 public:
  Trials(const House& house, const Options& options, Runner& runner,
         std::shared_ptr<Building>& building, report::VerdictInput& input)
      : house_(house), options_(options), runner_(runner), building_(building), input_(input) {}

  /// @param from share of the whole work that is done already
  void run(double from) {
    const std::vector<Change> changes = neighbours(house_);
    const control::Band* band = busiest_band(house_);
    at_ = from;
    step_ = (1.0 - from) / static_cast<double>(changes.size() + (band != nullptr ? 5 : 4));
    for (const Change& change : changes) {
      input_.neighbours.push_back(
          {change.words, summary_of(change.house, change.words), change.clock_only});
    }
    how_sure();
    if (band != nullptr) whole_minutes(*band);
  }

 private:
  report::Summary summary_of(const House& changed, const std::string& words) {
    runner_.part_of(at_, at_ + step_, words);
    at_ += step_;
    return report::summarise(runner_.record(changed, building_),
                             options_.thresholds.leaf_counts_from_s);
  }

  /// Of the house as it is and changed to either side.
  [[nodiscard]] report::DryRange range(double one_s, double other_s) const {
    return {std::min({one_s, other_s, input_.main.worst.dry_s}),
            std::max({one_s, other_s, input_.main.worst.dry_s})};
  }

  void how_sure() {
    report::SureRange sure;
    sure.film_low_m = house_.crop.film_capacity_low_m;
    sure.film_high_m = house_.crop.film_capacity_high_m;
    sure.film =
        range(summary_of(with_film_capacity(house_, sure.film_low_m), "leaves that hold less")
                  .worst.dry_s,
              summary_of(with_film_capacity(house_, sure.film_high_m), "leaves that hold more")
                  .worst.dry_s);
    sure.impaction = range(
        summary_of(with_impaction_doubt(house_, 1.0 / impaction_doubt_ratio),
                   "fewer fine drops on leaves")
            .worst.dry_s,
        summary_of(with_impaction_doubt(house_, impaction_doubt_ratio), "more fine drops on leaves")
            .worst.dry_s);
    input_.sure = sure;
  }

  void whole_minutes(const control::Band& band) {
    report::ClockAdvice advice = clock_advice(house_, band);
    const Change minutes = in_whole_minutes(house_);
    if (const control::Band* told = busiest_band(minutes.house)) {
      const report::Summary summary = summary_of(minutes.house, "a clock of whole minutes");
      report::ClockAdvice::WholeMinutes whole;
      whole.burst_s = static_cast<double>(told->burst_us) * 1e-6;
      whole.interval_s = static_cast<double>(told->interval_us) * 1e-6;
      int starts = 0;
      for (const Clock& clock : minutes.house.clocks) {
        for (const auto& programme : clock.programmes) {
          starts = std::max(starts, control::starts_a_day(programme));
        }
      }
      whole.bare_s = starts > 0 ? std::min(whole.interval_s, summary.worst.dry_s / starts) : 0.0;
      advice.whole_minutes = whole;
    }
    input_.clock = advice;
  }

  const House& house_;
  const Options& options_;
  Runner& runner_;
  std::shared_ptr<Building>& building_;
  report::VerdictInput& input_;
  double at_ = 0.0, step_ = 0.0;
};

}  // namespace

Answer answer(const House& house, const Options& options, const Progress& progress) {
  Answer answer;
  Runner runner(options, progress);
  std::shared_ptr<Building> building;
  const double main_share = options.neighbours ? 0.25 : 1.0;
  runner.part_of(0.0, main_share, "the house as it is");
  answer.record = runner.record(house, building, record::Detail::WithDrops);
  answer.input.main = report::summarise(answer.record, options.thresholds.leaf_counts_from_s);
  answer.input.assumed_count = static_cast<int>(house.assumed.size());
  if (options.neighbours) Trials(house, options, runner, building, answer.input).run(main_share);
  answer.verdict = report::verdict(answer.input, options.thresholds);
  for (record::Group& group : answer.record.groups) {
    if (group.name != "provenance") continue;
    group.attributes["verdict"] = answer.verdict;
    group.attributes["neighbours"] = report::neighbours_text(answer.input);
  }
  return answer;
}

}  // namespace mistwright::study
