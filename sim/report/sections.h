#pragma once
// The page's sections, each from the record alone, in the order in which they are read.
#include <string>

#include "sim/record/record.h"
#include "sim/report/bench_map.h"
#include "sim/report/summary.h"

namespace mistwright::report {

/// What all sections look at.
struct Subject {
  const record::Record& record;
  const Summary& summary;
  const Plan& plan;
};

[[nodiscard]] std::string verdict_section(const std::string& verdict_text);
[[nodiscard]] std::string dry_section(const Subject& subject);  ///< the bench map of dry minutes
[[nodiscard]] std::string mist_section(
    const Subject& subject);  ///< what landed on leaves and medium
/// How evenly it landed, by droplet size and fans; nothing when the record has no group `deposit`.
[[nodiscard]] std::string even_section(const Subject& subject);
/// Ways of single drops, water in the air, one head's share of the benches; nothing when the record
/// has no group `drops`.
[[nodiscard]] std::string flight_section(const Subject& subject);
[[nodiscard]] std::string film_section(const Subject& subject);   ///< films by the hour
[[nodiscard]] std::string day_section(const Subject& subject);    ///< curves
[[nodiscard]] std::string water_section(const Subject& subject);  ///< fates of the water
[[nodiscard]] std::string tap_section(const Subject& subject);    ///< pressures
[[nodiscard]] std::string air_section(const Subject& subject);    ///< flow
/// Temperature and dryness of the air from place to place when it is hottest; nothing when the
/// record has no group `air`.
[[nodiscard]] std::string warmth_section(const Subject& subject);
[[nodiscard]] std::string changes_section(const Subject& subject);  ///< neighbours that were run
[[nodiscard]] std::string assumed_section(const Subject& subject);
[[nodiscard]] std::string audit_section(const Subject& subject);
[[nodiscard]] std::string method_section();
[[nodiscard]] std::string cautions_section();

}  // namespace mistwright::report
