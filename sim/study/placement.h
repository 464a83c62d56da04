#pragma once
// What would it bring to move something that stands there already? The small changes that a grower
// can make on a quiet afternoon: a head a step along or across, the heads higher or lower, a fan
// the other way, a skirt round a bench, one more head. Each is a whole run of its own, set beside
// the house as it is. Which heads to move and where one more would go is chosen by the influence
// map (influence.h). Left out: two changes at once, and changes of the clock, of shade, of what
// kind of head (`run` tries those).
#include <string>
#include <vector>

#include "sim/study/answer.h"
#include "sim/study/influence.h"
#include "sim/study/rearranged.h"

namespace mistwright::study {

/// How far things are moved. Our choice: large enough to matter, small enough for one to do.
inline constexpr double head_step_m = 0.3, rise_step_m = 0.15, skirt_m = 0.4;
/// How many are tried at most, so that large houses take minutes. Our choice.
inline constexpr std::size_t most_head_moves = 6, most_more_heads = 2, most_fans = 4,
                             most_skirts = 3;

enum class MoveKind { Head, Heights, Fan, Skirt, OneMore };

/// A change that is worth a run.
struct Move {
  MoveKind kind = MoveKind::Head;
  std::string words;  ///< what is changed, with its numbers
  House house;
  Place from, to;  ///< of a head that moves; one more head comes to `to`
};

struct Moves {
  std::vector<Move> moves;
  std::vector<std::string> left_out;  ///< what cannot be done, a clause each, with the reason
};

/// @param worst  the place that is dry longest
[[nodiscard]] Moves moves_worth_running(const House& house, const Influence& influence,
                                        const report::Corner& worst);

/// What one house came to; a run longer than a day as means per day.
struct MoveResult {
  double mean_dry_s = 0.0;  ///< over the leaves of all benches
  report::Corner worst;
  double passing_fraction = 0.0;  ///< leaves dry no longer than the verdict allows
  double water_kg = 0.0;          ///< sprayed
  double lowest_pressure_Pa = 0.0;
  bool starved = false;  ///< some head works below what it needs
};

struct MoveRow {
  MoveKind kind = MoveKind::Head;
  std::string words;
  Place from, to;
  MoveResult result;
  double mean_gain_s = 0.0, worst_gain_s = 0.0;  ///< dry time less than before; harm is negative
};

enum class Effect { Gain, CannotTell, Harm };

struct MoveTable {
  std::string house_name;
  double part_of_day_s = 0.0;  ///< the length of a run shorter than a day; else 0
  MoveResult as_is;
  std::vector<MoveRow> rows;  ///< gains first, largest mean gain first
  std::vector<std::string> left_out;
  /// Gains and losses smaller than these are the noise of the draws: see least_tellable_s().
  double mean_noise_s = 0.0, worst_noise_s = 0.0;
  Influence influence;
  record::Record record;  ///< of the house as it is

  /// In the house as it is: then no change is run.
  [[nodiscard]] bool nothing_sprays() const { return as_is.water_kg <= 0.0; }
  /// By the mean of the leaves; where that cannot tell, by the worst place.
  [[nodiscard]] Effect effect(const MoveRow& row) const;
};

/// Runs of the house as it is by which noise is known: the drops of each are drawn anew, leaves and
/// all else are alike, as they are in the runs of changes.
inline constexpr int noise_runs = 4;
/// Noise of a head's map that is quiet enough to compare houses by. Our choice: a third of the time
/// of the usual 2 %.
inline constexpr double compared_noise_ratio = 0.04;
/// The house as it is run here.
[[nodiscard]] House as_compared(const House& house);

/// The least difference between two runs that is not to be expected of draws alone: the half-width
/// of the interval that holds 95 in 100 of the differences of two further runs, from runs alike but
/// for their draws, t s sqrt(2) with Student's t.
/// @param values_s  noise_runs of them
/// Source: prediction interval of normal draws, Hahn and Meeker 1991, Statistical Intervals, ch. 4;
/// t from the table of Student's distribution (both from memory).
[[nodiscard]] double least_tellable_s(const std::vector<double>& values_s);

/// @throws Stopped, AuditError, engine::EngineError
[[nodiscard]] MoveTable move_table(const House& house, const Options& options,
                                   const Progress& progress = {});

}  // namespace mistwright::study
