#pragma once
// What stands in the way of the air or lets it through: outlines for sections, and words.
#include <string>
#include <vector>

#include "sim/record/record.h"
#include "sim/report/places.h"
#include "sim/report/svg.h"

namespace mistwright::report {

enum class MarkKind { Bench, Skirt, Opening, Fan };
enum class Side { Left, Right, Below, Above, Inside };

/// An outline in a section, in metres of the section (`_px` of the box are metres here), and where
/// its name stands.
struct FlowMark {
  MarkKind kind = MarkKind::Bench;
  Side side = Side::Inside;
  Box box_m;
  std::string name;  ///< empty where another section names it
};

/// Benches, openings and fans in a plan.
/// @param house the record's group `house`; nullptr leaves openings and fans out
[[nodiscard]] std::vector<FlowMark> marks_from_above(const Places& places,
                                                     const record::Group* house);
/// The same in a side view along the house; those of the side walls, seen face on, are unnamed.
[[nodiscard]] std::vector<FlowMark> marks_from_side(const Places& places,
                                                    const record::Group* house);

/// Where the air of a regime comes in and goes out, by the speeds in the cells inside each opening
/// and fan: "Air comes in by the door and goes out by the fan." One that carries less than a
/// twentieth of the fastest is not told.
[[nodiscard]] std::string ways_words(const record::Group& flow, const record::Group* house);

}  // namespace mistwright::report
