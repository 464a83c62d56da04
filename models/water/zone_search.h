#pragma once
// Which heads spray together? The fewest zones such that the supply and the pipes serve each zone
// alone; of those the ones that break fewest rows, and then those whose flows are most alike. Small
// houses: every way to group the heads. Larger: every way to cut the rows, laid one behind the
// other, into stretches; how far that may be from the best of all is told by a bound.
// Left out: zones chosen by what their plants need, and by sun and draught.
#include <cstdint>
#include <functional>
#include <vector>

namespace mistwright::water {

/// A head as zones see it.
struct ZoneHead {
  std::uint32_t row = 0;       ///< rows are numbered in the order in which zones may join them
  double flow_m3_per_s = 0.0;  ///< at its rated pressure: above zero
};

/// Whether heads, as numbers in rising order, may spray together.
using ZoneFits = std::function<bool(const std::vector<std::uint32_t>& heads)>;

struct Zoning {
  /// Numbers of heads in rising order; none when some head does not fit even alone.
  std::vector<std::vector<std::uint32_t>> zones;
  std::vector<std::uint32_t> alone_too_much;  ///< heads that do not fit even alone
  bool every_way = false;  ///< whether every way to group the heads was looked at
};

/// Up to so many heads every way to group them is looked at.
inline constexpr std::size_t every_way_heads = 12;

/// @param heads  in the order of their rows, and within a row in the order along it
/// @param fits   asked of up to 2^12 groups of a small house and of about two groups a head of a
///               larger one; in a larger one a stretch of one that fits is taken to fit, and the
///               zones that come out have been asked
/// Source: dynamic programming over subsets and over cuts (Bellman; derived).
[[nodiscard]] Zoning fewest_zones(const std::vector<ZoneHead>& heads, const ZoneFits& fits);

/// How few zones can possibly do: by count, the heads of least flow first, and by sum.
/// @param least_flow_m3_per_s  of each head, at the least pressure at which it may work
/// @param most_flow_m3_per_s   that the supply gives at the pressure that the easiest head needs
/// @return at least 1 when there are heads; 0 for no heads
[[nodiscard]] std::size_t least_zones(std::vector<double> least_flow_m3_per_s,
                                      double most_flow_m3_per_s);

}  // namespace mistwright::water
