#pragma once
// How even is what a set of places gets? Christiansen's uniformity, the low quarter, the driest
// tenth and the coefficient of variation, of amounts that each stand for a weight: a can for one, a
// cell of a bench or a leaf for its area. All are ratios, 1 being perfect (0 for the variation).
// Amounts are in any unit, at least 0. Left out: where the places are, and what falls between cans.
#include <span>

namespace mistwright::droplet {

/// Amounts and what each stands for.
struct Catches {
  std::span<const double> amounts;
  std::span<const double> weights = {};  ///< of like length, at least 0; empty: all alike
};

/// How many cans make the low quarter of a number that four does not divide.
enum class QuarterRule {
  RoundedUp,  ///< n / 4 rounded up: 4 of 15. Ours unless said otherwise
  Nearest,    ///< rounded, halves up: 4 of 15, 3 of 13
  Down,       ///< rounded down, at least one: 3 of 15
};

/// Weighted mean, in the unit of the amounts. @throws std::invalid_argument  no weight at all
[[nodiscard]] double mean_number(const Catches& catches);

/// Christiansen's uniformity, 1 - mean deviation / mean: at most 1, below 0 when most get nothing.
/// 0 when nobody gets anything. Source: Christiansen 1942.
[[nodiscard]] double christiansen_ratio(const Catches& catches);

/// Mean of the lowest quarter in whole cans, all alike, over the mean of all: 0 to 1.
/// Source: Merriam and Keller 1978, whose low quarter this is; the rule for odd numbers is stated
/// by the caller.
[[nodiscard]] double low_quarter_ratio(std::span<const double> amounts,
                                       QuarterRule rule = QuarterRule::RoundedUp);

/// Mean of the driest share of the weight over the mean of all: 0 to 1. The place on the border
/// counts in part, so that a quarter is a quarter of the area.
/// @param share_fraction  above 0, to 1; 0.25 for the low quarter, 0.1 for the driest tenth
[[nodiscard]] double driest_share_ratio(const Catches& catches, double share_fraction);

/// Sample standard deviation over the mean. Weights that stand for area leave sum - sum of squares
/// / sum in the place of n - 1, which is n - 1 when all are alike. 0 for a single place.
[[nodiscard]] double variation_ratio(const Catches& catches);

/// Christiansen's uniformity that belongs to a coefficient of variation when amounts follow the
/// normal curve, whose mean deviation is sqrt(2 / pi) standard deviations: 1 - 0.798 CV.
[[nodiscard]] double normal_christiansen_ratio(double variation_ratio);

/// All of them. `low_quarter_ratio` is the quarter of the weight, see driest_share_ratio().
struct Evenness {
  double mean_number = 0.0;  ///< in the unit of the amounts
  double christiansen_ratio = 0.0, low_quarter_ratio = 0.0, variation_ratio = 0.0;
  double driest_tenth_ratio = 0.0;  ///< what the driest tenth gets, over the mean
};
[[nodiscard]] Evenness evenness(const Catches& catches);

}  // namespace mistwright::droplet
