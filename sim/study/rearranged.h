#pragma once
// The same house with one thing in it standing elsewhere: a head, the heads' height, a fan, a
// skirt, one more head. The supply feels each as its grower would plumb it: a head that moves hangs
// on a longer riser, one more head on a tube of a riser's bore from the foot of the head it is
// taken after. Left out: fittings that a move may need, and pipes laid anew to suit.
#include <cstddef>
#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "sim/house/house.h"

namespace mistwright::study {

/// A place in the house; axes as in house.h.
struct Place {
  double x_m = 0.0, y_m = 0.0, z_m = 0.0;
};

/// Heads keep as much room to the roof, and drops as much air above the leaves. Our choice.
inline constexpr double head_room_m = 0.1;

/// The pipe at whose end a head alone hangs; none when it stands on a line with others.
[[nodiscard]] std::optional<std::size_t> riser_of(const House& house, std::size_t head);

/// The node from which a head's riser goes up; without a riser, the head's own.
[[nodiscard]] std::uint32_t foot_of(const House& house, std::size_t head);

/// Why a head cannot stand at a place; empty when it can.
[[nodiscard]] std::string head_hindrance(const House& house, const Place& place);

/// @param head  index into House::heads; the place is one without hindrance
[[nodiscard]] House with_head_at(const House& house, std::size_t head, const Place& place);

/// @param rise_m  downwards when negative
[[nodiscard]] House with_heads_raised(const House& house, const std::vector<std::size_t>& heads,
                                      double rise_m);

/// One more head of a head's type and zone, called "one more".
/// @param like  index of the head from whose riser's foot it is fed
[[nodiscard]] House with_one_more_head(const House& house, std::size_t like, const Place& place);

/// Why a bench cannot have a skirt of that height; empty when it can.
[[nodiscard]] std::string skirt_hindrance(const House& house, std::size_t bench, double skirt_m);
[[nodiscard]] House with_skirt(const House& house, std::size_t bench, double skirt_m);

/// The fan set the other way: a stirring fan blows back, an exhaust fan hangs in the wall across.
[[nodiscard]] House with_fan_other_way(const House& house, std::size_t fan);
/// Why a fan cannot be set the other way; empty when it can.
[[nodiscard]] std::string fan_hindrance(const House& house, std::size_t fan);

}  // namespace mistwright::study
