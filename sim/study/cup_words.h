#pragma once
// What `mistwright cans` prints: where the cups go, what to do, what they should hold; and what was
// made of their readings.
#include <string>

#include "sim/study/cup_judge.h"

namespace mistwright::study {

[[nodiscard]] std::string cup_plan_words(const House& house, const CupPlan& plan);

[[nodiscard]] std::string judgement_words(const House& house, const CupPlan& plan,
                                          const CupTable& table, const Judgement& judgement);

}  // namespace mistwright::study
