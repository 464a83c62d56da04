#pragma once
// What the cups hold against what they should: how even, which are off, and what that hints at.
#include <string>
#include <vector>

#include "sim/study/catch_cups.h"

namespace mistwright::study {

/// What was read in one cup.
struct CupAmount {
  std::size_t cup = 0;   ///< index into CupPlan::cups
  double depth_m = 0.0;  ///< of water over its mouth
};

/// How a hint's trouble shows: shares of what is expected. Our choice.
inline constexpr double low_head_ratio = 0.70;  ///< cups nearest a head, over those of the others
inline constexpr double low_side_ratio = 0.80;  ///< one half of a bench over the other
inline constexpr double low_end_ratio =
    0.90;  ///< the half of a zone's heads with the least pressure
inline constexpr double low_all_ratio = 0.85, high_all_ratio = 1.15;  ///< all cups together

struct Judgement {
  struct Row {
    std::size_t cup = 0;
    double depth_m = 0.0;
    CupCatch expected;
    int side_number = 0;  ///< -1 below its range, 1 above, 0 within
  };
  std::vector<Row> rows;                 ///< of the cups that were read, in the plan's order
  std::vector<std::size_t> missing;      ///< cups without a reading
  droplet::Evenness measured, expected;  ///< of the cups that were read; depths in metres
  double total_ratio = 0.0;              ///< all that was caught over what was expected
  std::size_t low_count = 0, high_count = 0;
  std::vector<std::string> hints;  ///< sentences, the likeliest first; empty: nothing stands out

  /// One cup alone has nothing to be even with.
  [[nodiscard]] bool tells_evenness() const { return rows.size() > 1; }
};

/// @param table  of the plan's, the condition in which the cups stood
/// @param amounts  at least one, each cup at most once
[[nodiscard]] Judgement judge_cups(const House& house, const CupPlan& plan, const CupTable& table,
                                   const std::vector<CupAmount>& amounts);

}  // namespace mistwright::study
