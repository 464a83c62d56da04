#include <fmt/core.h>

#include <algorithm>
#include <cmath>

#include "sim/scenario/readers.h"

namespace mistwright::scenario {
namespace {

constexpr std::int64_t day_us = 86'400'000'000;
constexpr std::size_t most_bands = 1000;

std::string clock_face(std::int64_t us) {
  const std::int64_t s = us / 1'000'000;
  const std::string short_form = fmt::format("{:02}:{:02}", s / 3600 % 24, s / 60 % 60);
  return s % 60 == 0 ? short_form : fmt::format("{}:{:02}", short_form, s % 60);
}

std::int64_t microseconds(double time_s) {
  return std::llround(time_s * 1e6);
}

/// A time as a clock's face would say it: "1 min", "10 s".
std::string in_words(double time_s) {
  if (time_s >= 3600.0 && std::fmod(time_s, 3600.0) == 0.0)
    return fmt::format("{} h", time_s / 3600.0);
  if (time_s >= 60.0 && std::fmod(time_s, 60.0) == 0.0) return fmt::format("{} min", time_s / 60.0);
  return fmt::format("{} s", time_s);
}

/// A band with the places that messages point to.
struct ReadBand {
  control::Band band;
  Span at, from_at;
  bool good = false;
  bool off = false;
};

std::int64_t band_length_us(const control::Band& band) {
  return band.to_us > band.from_us ? band.to_us - band.from_us : band.to_us - band.from_us + day_us;
}

void check_against_clock(Reading& reading, const Clock& clock, const Got<double>& time,
                         const char* what) {
  const double step_s = clock.limits.resolution_s;
  if (!time.given || !time.good || step_s <= 0.0) return;
  const std::int64_t step_us = microseconds(step_s);
  if (microseconds(time.value) % step_us != 0) {
    const std::string unit = step_s == 60.0     ? "minutes"
                             : step_s == 3600.0 ? "hours"
                             : step_s == 1.0    ? "seconds"
                                                : fmt::format("steps of {}", in_words(step_s));
    reading.error(
        "E0602", time.at,
        fmt::format("clock `{}` counts {} and cannot time {}", clock.name, unit, time.typed),
        fmt::format("its shortest burst is {}; choose a clock with `resolution = \"{}\"`",
                    in_words(std::max(step_s, clock.limits.shortest_burst_s)),
                    time.value >= 1.0 ? "1 s" : "0.1 s"));
    return;
  }
  if (std::string_view(what) != "burst") return;
  if (time.value < clock.limits.shortest_burst_s) {
    reading.error(
        "E0603", time.at,
        fmt::format("a burst of {} is shorter than clock `{}` can time", time.typed, clock.name),
        fmt::format("its shortest burst is {}", in_words(clock.limits.shortest_burst_s)));
  } else if (time.value > clock.limits.longest_burst_s) {
    reading.error(
        "E0603", time.at,
        fmt::format("a burst of {} is longer than clock `{}` can time", time.typed, clock.name),
        fmt::format("its longest burst is {}", in_words(clock.limits.longest_burst_s)));
  }
}

ReadBand read_band(Reading& reading, const Value& value, const Clock* clock) {
  ReadBand out;
  out.at = out.from_at = value.at;
  if (value.type != Value::Type::Table) {
    reading.error("E0203", value.at,
                  fmt::format("a band is a table, but this is {}", type_name(value.type)),
                  "write { from = 07:00:00, to = 19:00:00, burst = \"6 s\", every = \"10 min\" }");
    return out;
  }
  Table table(reading, &value, "programme.bands", value.at);
  const auto from = table.time_of_day("from");
  const auto to = table.time_of_day("to");
  const auto off = table.flag("off");
  const auto continuous = table.flag("continuous");
  const auto burst = table.quantity("burst");
  const auto every = table.quantity("every");
  table.finish();
  out.from_at = from.at;
  out.off = off.value;
  out.band.from_us = from.value;
  out.band.to_us = to.value;
  const bool none = off.value || continuous.value;
  if (none && (burst.given || every.given || off.value == continuous.value)) {
    reading.error("E0604", value.at, "a band is off, or continuous, or has `burst` and `every`",
                  "keep one of the three");
    return out;
  }
  for (const char* key : {"burst", "every"}) {
    if (!none && !table.has(key)) {
      reading.error("E0201", value.at, fmt::format("this band needs `{}`", key),
                    "or write `off = true`");
      return out;
    }
  }
  if (!from.good || !to.good || !burst.good != !every.good) return out;
  if (continuous.value) {
    out.band.burst_us = out.band.interval_us = band_length_us(out.band);
  } else if (!off.value) {
    if (!burst.good || !every.good) return out;
    out.band.burst_us = microseconds(burst.value);
    out.band.interval_us = microseconds(every.value);
    if (burst.value >= every.value) {
      Problem& p = reading.error(
          "E0601", burst.at,
          fmt::format("burst ({}) is {} its interval ({})", burst.typed,
                      burst.value > every.value ? "longer than" : "as long as", every.typed),
          "the valve would never close; for continuous mist write `continuous = true`");
      p.second = Second{every.at, "the interval, start to start"};
      return out;
    }
    if (clock) {
      check_against_clock(reading, *clock, burst, "burst");
      check_against_clock(reading, *clock, every, "interval");
    }
  }
  out.good = true;
  return out;
}

/// Two bands of a zone that are open at the same time of day; the part they share.
std::optional<std::pair<std::int64_t, std::int64_t>> shared_part(const control::Band& a,
                                                                 const control::Band& b) {
  for (const std::int64_t turn : {-day_us, std::int64_t{0}, day_us}) {
    const std::int64_t from = std::max(a.from_us, b.from_us + turn);
    const std::int64_t to =
        std::min(a.from_us + band_length_us(a), b.from_us + turn + band_length_us(b));
    if (from < to) return std::pair(from, to);
  }
  return std::nullopt;
}

void check_day(Reading& reading, std::vector<ReadBand> bands, const std::string& zone,
               const Span& at) {
  std::stable_sort(bands.begin(), bands.end(), [](const ReadBand& a, const ReadBand& b) {
    return a.band.from_us < b.band.from_us;
  });
  bool overlap = false;
  for (std::size_t i = 0; i < bands.size(); ++i) {
    for (std::size_t j = i + 1; j < bands.size() && j < i + 50; ++j) {
      const auto part = shared_part(bands[i].band, bands[j].band);
      if (!part) continue;
      overlap = true;
      Problem& p = reading.error("E0605", bands[j].from_at,
                                 fmt::format("two bands of zone `{}` overlap from {} to {}", zone,
                                             clock_face(part->first), clock_face(part->second)),
                                 "neither wins: make them meet");
      p.second = Second{bands[i].from_at, "the other band"};
    }
  }
  if (overlap || bands.empty()) return;
  for (std::size_t i = 0; i < bands.size(); ++i) {
    const control::Band& band = bands[i].band;
    const std::int64_t end = (band.from_us + band_length_us(band)) % day_us;
    const std::int64_t next = bands[(i + 1) % bands.size()].band.from_us;
    if (end == next) continue;
    reading.warning("W0606", at,
                    fmt::format("zone `{}` has no programme from {} to {}", zone, clock_face(end),
                                clock_face(next)),
                    "off is assumed; write a band with `off = true` to silence this");
  }
}

Names read_clock_kinds(Reading& reading, const Value& root) {
  Names names("clock");
  for_each_table(reading, root, "clock", [&](Table& table) {
    Clock clock;
    const auto name = table.text("name");
    names.add(reading, name.value, name.at);
    clock.name = name.value;
    const auto resolution = table.quantity("resolution");
    const auto shortest = table.quantity("shortest_burst");
    clock.limits = {.resolution_s = resolution.value,
                    .shortest_burst_s = shortest.given ? shortest.value : resolution.value,
                    .longest_burst_s = table.quantity("longest_burst").value,
                    .starts_a_day = static_cast<int>(table.whole("starts_a_day").value),
                    .outputs = static_cast<int>(table.whole("outputs").value)};
    reading.house.clocks.push_back(std::move(clock));
  });
  return names;
}

/// The programmes of one clock: where each was written, for messages.
struct Wired {
  std::vector<std::string> zones;
  std::vector<Span> at;
};

void check_clock(Reading& reading, const Clock& clock, const Wired& wired) {
  if (static_cast<int>(wired.zones.size()) > clock.limits.outputs && clock.limits.outputs > 0) {
    std::string extra;
    for (std::size_t i = static_cast<std::size_t>(clock.limits.outputs);
         i < wired.zones.size() && i < static_cast<std::size_t>(clock.limits.outputs) + 8; ++i) {
      extra += fmt::format("{}`{}`", extra.empty() ? "" : ", ", wired.zones[i]);
    }
    reading.error(
        "E0607", wired.at[static_cast<std::size_t>(clock.limits.outputs)],
        fmt::format("clock `{}` has {} output{}, {} zones are wired to it", clock.name,
                    clock.limits.outputs, clock.limits.outputs == 1 ? "" : "s", wired.zones.size()),
        fmt::format("without an output: {}", extra));
  }
  if (clock.limits.starts_a_day == 0) return;
  int starts = 0;
  for (const auto& programme : clock.programmes) starts += control::starts_a_day(programme);
  if (starts > clock.limits.starts_a_day && !wired.at.empty()) {
    reading.error("E0609", wired.at.back(),
                  fmt::format("clock `{}` can start {} times a day, its programmes need {}",
                              clock.name, clock.limits.starts_a_day, starts));
  }
}

/// Reads the programmes and wires them to clocks.
class ProgrammeReader {
 public:
  ProgrammeReader(Reading& reading, const Names& clocks, const Names& valves)
      : reading_(reading),
        clocks_(clocks),
        valves_(valves),
        wired_(clocks.size()),
        programmed_(valves.size()) {}

  void read(Table& table) {
    const std::size_t before = reading_.problems.size();
    const auto name = table.text("valve");
    const auto valve = valves_.find(reading_, name);
    const auto clock = clock_of(table);
    control::Programme programme;
    programme.bands = read_bands(table, name.value, clock);
    good_ = good_ && !reading_.errors_since(before);
    if (!valve || !clock) return;
    programme.valve = *valve;
    if (programmed_[*valve]) {
      Problem& p =
          reading_.error("E0611", name.at, fmt::format("zone `{}` has two programmes", name.value));
      p.second = Second{*programmed_[*valve], "the other one"};
      good_ = false;
      return;
    }
    programmed_[*valve] = name.at;
    wired_[*clock].zones.push_back(name.value);
    wired_[*clock].at.push_back(name.at);
    reading_.house.clocks[*clock].programmes.push_back(std::move(programme));
  }

  void finish() {
    if (!good_) return;
    for (std::size_t i = 0; i < valves_.size(); ++i) {
      if (programmed_[i]) continue;
      reading_.warning("W0612", valves_.at(i),
                       fmt::format("zone `{}` has no programme: it stays shut", valves_.name(i)),
                       "add [[programme]]");
    }
    for (std::size_t i = 0; i < wired_.size(); ++i)
      check_clock(reading_, reading_.house.clocks[i], wired_[i]);
  }

 private:
  std::optional<std::uint32_t> clock_of(Table& table) {
    if (table.has("clock")) return clocks_.find(reading_, table.text("clock"));
    if (clocks_.size() == 1) return 0;
    table.missing("clock");
    return std::nullopt;
  }

  std::vector<control::Band> read_bands(Table& table, const std::string& zone,
                                        const std::optional<std::uint32_t>& clock) {
    std::vector<control::Band> out;
    const Value* list = table.raw("bands");
    if (!list) return out;
    if (list->items.empty() || list->items.size() > most_bands) {
      reading_.error("E0610", list->at,
                     list->items.empty()
                         ? std::string("a programme needs at least one band")
                         : fmt::format("more than {} bands in a programme", most_bands));
      return out;
    }
    std::vector<ReadBand> bands;
    bool complete = true;
    for (const Value& item : list->items) {
      bands.push_back(read_band(reading_, item, clock ? &reading_.house.clocks[*clock] : nullptr));
      complete = complete && bands.back().good;
      out.push_back(bands.back().band);
    }
    if (complete) check_day(reading_, bands, zone, table.key_span("bands"));
    return out;
  }

  Reading& reading_;
  const Names& clocks_;
  const Names& valves_;
  std::vector<Wired> wired_;
  std::vector<std::optional<Span>> programmed_;  ///< of each valve, where
  bool good_ = true;
};

}  // namespace

void read_clocks(Reading& reading, const Value& root, const Names& valves) {
  const Names clocks = read_clock_kinds(reading, root);
  ProgrammeReader programmes(reading, clocks, valves);
  for_each_table(reading, root, "programme", [&](Table& table) { programmes.read(table); });
  programmes.finish();
}

}  // namespace mistwright::scenario
