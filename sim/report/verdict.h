#pragma once
// The answer in plain words, first of all that the program says. Each line's numbers come from the
// run, or from runs of neighbours (the same house with one thing changed); what was not computed
// says so.
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "sim/report/summary.h"

namespace mistwright::report {

/// A judgement: up to `yes` is good, beyond `no` is not, between them is a but.
struct Limit {
  double yes = 0.0, no = 0.0;
};

/// The one table by which a run is judged. All values are ours and may be overridden.
struct Thresholds {
  double leaf_counts_from_s = 600.0;  ///< a leaf counts as dry when it was for longer a day
  Limit dry_leaf_share_fraction{0.05, 0.25};
  Limit worst_corner_s{1800.0, 7200.0};       ///< dry time a day of the worst place
  Limit soggy_s{2.0 * 3600.0, 8.0 * 3600.0};  ///< mean of the benches a day
  Limit hottest_leaf_K{308.15, 313.15};       ///< 35 and 40 degC
  double change_is_worth_s =
      600.0;  ///< gain at the worst corner below which a change is not proposed
  double cool_day_K = 291.15, warm_day_K = 297.15,
         hot_day_K = 305.15;  ///< by the hottest air outside
};

/// The same house with one thing changed, run like the main one.
struct Neighbour {
  std::string words;  ///< "heads of 60 L/h (16 gal/h), same clock"
  Summary summary;
  bool clock_only = false;  ///< nothing but the programme differs: free of cost
};

/// What the clock must be able to do.
struct ClockAdvice {
  double resolution_s = 1.0;  ///< coarsest counting in which the programme can be told exactly
  int starts_a_day = 0;
  bool day_hours_only = false;
  struct WholeMinutes {
    double burst_s = 60.0, interval_s = 0.0;
    double bare_s = 0.0;  ///< of each interval, worst corner or mean as the study says
  };
  std::optional<WholeMinutes> whole_minutes =
      {};  ///< nearest programme in whole minutes, if one was run
};

/// The worst corner's dry time over the honest range of something.
struct DryRange {
  double low_s = 0.0, high_s = 0.0;
};

/// What the answer leans on: the water that a leaf holds, and how many fine drops strike leaves
/// (half to double below Stokes 0.2).
struct SureRange {
  double film_low_m = 0.0, film_high_m = 0.0;
  DryRange film;
  DryRange impaction;
};

struct VerdictInput {
  Summary main;
  std::vector<Neighbour> neighbours = {};
  std::optional<ClockAdvice> clock = {};
  std::optional<SureRange> sure = {};
  int assumed_count = 0;
};

enum class Answer { Yes, YesBut, NotYet };

[[nodiscard]] Answer answer(const Summary& summary, const Thresholds& thresholds = {});

/// The whole text, lines of at most 100 columns.
[[nodiscard]] std::string verdict(const VerdictInput& input, const Thresholds& thresholds = {});

/// The verdict that a run keeps in its results, or, where it has none, one from the results alone.
/// @throws std::out_of_range  when these are no run's results
[[nodiscard]] std::string kept_verdict(const record::Record& record);

/// A verdict's text taken apart again: the opening, then each line's label and words, unwrapped.
struct VerdictLines {
  std::string opening;
  std::vector<std::pair<std::string, std::string>> lines;
};
[[nodiscard]] VerdictLines verdict_lines(const std::string& text);

/// What was tried, a line each with cells separated by tabs: words, then dry time of the worst
/// corner [s], mean dry time [s], share of dry leaves, water [kg], mean soggy time [s], hottest
/// leaf [K]. The first line is the house as it is. For `neighbours` among the attributes of the
/// group `provenance`.
[[nodiscard]] std::string neighbours_text(const VerdictInput& input);

}  // namespace mistwright::report
