#pragma once
// Parts of the invented run; see sample_record.h.
#include <functional>
#include <string>
#include <vector>

#include "tests/report/sample_record.h"

namespace mistwright::test {

/// Appends a variable filled by index.
void add(record::Group& group, const std::string& name, const std::string& long_name,
         const std::string& units, std::vector<std::string> dimensions,
         const std::function<double(std::size_t)>& value);

/// Makes the last variable one of whole numbers, with words for them if it is a category.
void whole(record::Group& group, std::vector<std::string> meanings = {});

[[nodiscard]] record::Group sample_heads(const SampleChoice& choice);
[[nodiscard]] record::Group sample_water();
[[nodiscard]] record::Group sample_audit();
[[nodiscard]] record::Group sample_events();
/// Sixteen cells of like leaf area: while a fan runs the amounts of
/// tests/reference/cu_du_example.csv in drops of 100 to 200 um, while none runs all alike in drops
/// below 50 um.
[[nodiscard]] record::Group sample_deposit();
[[nodiscard]] record::Group sample_air();
[[nodiscard]] record::Group sample_flow(const std::string& name, const std::string& words,
                                        double strength);
[[nodiscard]] record::Group sample_house(const SampleChoice& choice);

inline const std::string sample_time_units = "microseconds since 2027-05-28T05:00:00Z";

}  // namespace mistwright::test
