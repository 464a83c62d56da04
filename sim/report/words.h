#pragma once
// Numbers as people of the trade say them: SI first, US customary beside it. Text is plain ASCII,
// so that it reads the same in a terminal, a mail and the page.
#include <string>
#include <vector>

namespace mistwright::report {

/// "35 min", "5 h 20 min"; below a minute "40 s", below a second "0 min".
[[nodiscard]] std::string duration_words(double duration_s);
/// Seconds as a clock would be told: "6 s", "90 s", "2 min".
[[nodiscard]] std::string burst_words(double duration_s);
/// Hour of the day, 0 to 24, as "14:10".
[[nodiscard]] std::string clock_words(double hour_of_day_h);

/// What amounts are told for: "in this run", or "a day" of a run that covers one.
/// @param part_of_day_s  the length of a run shorter than a day; else 0
[[nodiscard]] const char* each_day(double part_of_day_s);

/// A run longer than this is told by days and hours [h].
inline constexpr double told_by_days_h = 24.5;
/// Hours since the midnight before a run, as "14:10" or, `by_days`, "day 3, 14:10".
[[nodiscard]] std::string when_words(double since_midnight_h, bool by_days);
/// The same in a sentence: "at 14:10", by days "on day 3 at 14:10".
[[nodiscard]] std::string at_words(double since_midnight_h, bool by_days);
/// A stretch between two such hours: "10:00-24:00", by days "day 3, 10:00-24:00" or "day 3, 18:00
/// to day 4, 09:00".
[[nodiscard]] std::string stretch_words(double from_h, double to_h, bool by_days);
/// With a capital at its start.
[[nodiscard]] std::string capital(std::string words);
/// "32 degC (90 degF)"
[[nodiscard]] std::string temperature_words(double temperature_K);
/// "3.0 bar (44 psi)"
[[nodiscard]] std::string pressure_words(double pressure_Pa);
/// Water by its mass, 1 kg a litre: "14 L (3.7 gal)"
[[nodiscard]] std::string water_words(double mass_kg);
/// Water by depth: 0.08 kg/m2 is "0.08 mm".
[[nodiscard]] std::string depth_words(double mass_kg_per_m2);
/// A share of the leaves as the start of a sentence with its verb in the plural or singular chosen:
/// "four in ten leaves go".
[[nodiscard]] std::string leaves_go_words(double share_fraction);
/// Three significant digits without a power of ten where that reads well.
[[nodiscard]] std::string number_words(double plain_number);
/// "a", "a and b", "a, b and c"
[[nodiscard]] std::string list_words(const std::vector<std::string>& items);
/// Direction that a compass bearing [rad] points to, in eight words: "north-east".
[[nodiscard]] std::string compass_words(double bearing_rad);

/// Words of a paragraph; a unit stays with the number before it, a blank between them.
[[nodiscard]] std::vector<std::string> unbroken_words(const std::string& paragraph);

/// A paragraph broken at blanks into lines of at most 100 columns; the first begins with `label`
/// padded to the hanging indent of the following ones.
[[nodiscard]] std::string wrapped(const std::string& label, const std::string& paragraph,
                                  std::size_t indent);

}  // namespace mistwright::report
