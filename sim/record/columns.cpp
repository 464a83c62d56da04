#include "sim/record/columns.h"

#include <fmt/chrono.h>
#include <fmt/format.h>

#include <ctime>

namespace mistwright::record {

std::string utc_text(std::int64_t utc_s) {
  return fmt::format("{:%Y-%m-%dT%H:%M:%SZ}", fmt::gmtime(static_cast<std::time_t>(utc_s)));
}

std::vector<double> made(std::size_t count, const std::function<double(std::size_t)>& value) {
  std::vector<double> values(count);
  for (std::size_t i = 0; i < count; ++i) values[i] = value(i);
  return values;
}

std::vector<double> counting(std::size_t count) {
  return made(count, [](std::size_t i) { return static_cast<double>(i); });
}

void add_time(Columns& columns, HouseRun& run, const std::string& name,
              const std::vector<double>& time_us) {
  Variable& time =
      columns.add(name, "time", "microseconds since " + utc_text(run.house().civil.start_utc_s),
                  {name}, time_us);
  time.whole = true;
  time.standard_name = "time";
  time.attributes["calendar"] = "standard";
}

}  // namespace mistwright::record
