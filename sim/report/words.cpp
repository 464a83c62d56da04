#include "sim/report/words.h"

#include <fmt/core.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>
#include <set>
#include <sstream>

namespace mistwright::report {
namespace {

constexpr std::size_t columns = 100;

struct DayAndClock {
  double day_number = 1.0;
  std::string clock;
};

DayAndClock day_and_clock(double since_midnight_h) {
  const double minutes = std::round(since_midnight_h * 60.0);
  return {std::floor(minutes / 1440.0) + 1.0, clock_words(std::fmod(minutes, 1440.0) / 60.0)};
}

}  // namespace

std::string duration_words(double duration_s) {
  if (!(duration_s >= 0.5)) return "0 min";
  if (duration_s < 59.5) return fmt::format("{:.0f} s", duration_s);
  const long minutes = std::lround(duration_s / 60.0);
  if (minutes < 60) return fmt::format("{} min", minutes);
  if (minutes % 60 == 0) return fmt::format("{} h", minutes / 60);
  return fmt::format("{} h {} min", minutes / 60, minutes % 60);
}

std::string burst_words(double duration_s) {
  if (duration_s >= 120.0 - 1e-9 && std::abs(std::remainder(duration_s, 60.0)) < 0.05)
    return fmt::format("{:.0f} min", duration_s / 60.0);
  if (std::abs(duration_s - std::round(duration_s)) < 0.05)
    return fmt::format("{:.0f} s", duration_s);
  return fmt::format("{:.1f} s", duration_s);
}

std::string clock_words(double hour_of_day_h) {
  const long minutes = std::lround(hour_of_day_h * 60.0);
  const long in_day = minutes == 1440 ? 1440 : ((minutes % 1440) + 1440) % 1440;
  return fmt::format("{:02}:{:02}", in_day / 60, in_day % 60);
}

const char* each_day(double part_of_day_s) {
  return part_of_day_s > 0.0 ? "in this run" : "a day";
}

std::string when_words(double since_midnight_h, bool by_days) {
  if (!by_days) return clock_words(since_midnight_h);
  const DayAndClock when = day_and_clock(since_midnight_h);
  return fmt::format("day {:.0f}, {}", when.day_number, when.clock);
}

std::string at_words(double since_midnight_h, bool by_days) {
  if (!by_days) return "at " + clock_words(since_midnight_h);
  const DayAndClock when = day_and_clock(since_midnight_h);
  return fmt::format("on day {:.0f} at {}", when.day_number, when.clock);
}

std::string stretch_words(double from_h, double to_h, bool by_days) {
  const double midnight_h = 24.0 * std::floor(from_h / 24.0);
  if (by_days && to_h - midnight_h > 24.0)
    return when_words(from_h, by_days) + " to " + when_words(to_h, by_days);
  return when_words(from_h, by_days) + "-" + clock_words(by_days ? to_h - midnight_h : to_h);
}

std::string capital(std::string words) {
  if (!words.empty() && words[0] >= 'a' && words[0] <= 'z')
    words[0] = static_cast<char>(words[0] - 'a' + 'A');
  return words;
}

std::string temperature_words(double temperature_K) {
  const double celsius = temperature_K - 273.15;
  return fmt::format("{:.0f} degC ({:.0f} degF)", celsius, 1.8 * celsius + 32.0);
}

std::string pressure_words(double pressure_Pa) {
  constexpr double pascals_per_psi = 6894.757;  // NIST SP 811, table B.8
  return fmt::format("{:.1f} bar ({:.0f} psi)", pressure_Pa / 1e5, pressure_Pa / pascals_per_psi);
}

std::string water_words(double mass_kg) {
  constexpr double litres_per_gallon = 3.785412;  // US liquid gallon, NIST SP 811, table B.8
  const double gallons = mass_kg / litres_per_gallon;
  return fmt::format("{} L ({} gal)", number_words(mass_kg), number_words(gallons));
}

std::string depth_words(double mass_kg_per_m2) {
  return mass_kg_per_m2 < 0.995 ? fmt::format("{:.2f} mm", mass_kg_per_m2)
                                : fmt::format("{:.1f} mm", mass_kg_per_m2);
}

std::string leaves_go_words(double share_fraction) {
  static const std::array<const char*, 11> tenths{"",    "one",   "two",   "three", "four", "five",
                                                  "six", "seven", "eight", "nine",  "ten"};
  if (!(share_fraction > 0.0)) return "no leaves go";
  if (share_fraction < 0.03) return "fewer than one leaf in thirty goes";
  if (share_fraction < 0.075) return "one leaf in twenty goes";
  if (share_fraction >= 0.995) return "all leaves go";
  if (share_fraction >= 0.95) return "nearly all leaves go";
  const auto nearest = static_cast<std::size_t>(std::lround(share_fraction * 10.0));
  return nearest == 1 ? std::string("one leaf in ten goes")
                      : fmt::format("{} in ten leaves go", tenths[nearest]);
}

std::string number_words(double plain_number) {
  const double size = std::abs(plain_number);
  if (size == 0.0) return "0";
  if (size >= 1e6 || size < 1e-4) return fmt::format("{:.2e}", plain_number);
  if (size >= 9.95) return fmt::format("{:.0f}", plain_number);
  if (size >= 0.995) return fmt::format("{:.1f}", plain_number);
  return fmt::format("{:.2g}", plain_number);
}

std::string list_words(const std::vector<std::string>& items) {
  std::string text;
  for (std::size_t i = 0; i < items.size(); ++i) {
    if (i > 0) text += i + 1 == items.size() ? " and " : ", ";
    text += items[i];
  }
  return text;
}

std::string compass_words(double bearing_rad) {
  static const std::array<const char*, 8> words{"north", "north-east", "east", "south-east",
                                                "south", "south-west", "west", "north-west"};
  const long eighth = std::lround(bearing_rad / (std::numbers::pi / 4.0));
  return words[static_cast<std::size_t>(((eighth % 8) + 8) % 8)];
}

std::vector<std::string> unbroken_words(const std::string& paragraph) {
  static const std::set<std::string> units{"%",   "s",   "min",  "h",    "m",    "mm",
                                           "L",   "L/h", "L/m2", "m/s",  "mm/s", "bar",
                                           "psi", "kPa", "gal",  "degC", "degF", "W/m\u00b2"};
  std::vector<std::string> words;
  std::istringstream stream(paragraph);
  for (std::string word; stream >> word;) {
    const std::string bare = word.substr(0, word.find_last_not_of(".,;:)") + 1);
    const bool after_number =
        !words.empty() && words.back().back() >= '0' && words.back().back() <= '9';
    if (after_number && units.contains(bare))
      words.back() += ' ' + word;
    else
      words.push_back(word);
  }
  return words;
}

std::string wrapped(const std::string& label, const std::string& paragraph, std::size_t indent) {
  std::string text = label;
  if (indent > 0) text.resize(std::max(label.size() + (label.empty() ? 0 : 1), indent), ' ');
  std::size_t column = text.size();
  bool first = true;
  for (const std::string& word : unbroken_words(paragraph)) {
    if (!first && column + 1 + word.size() > columns) {
      text += '\n';
      text.append(indent, ' ');
      column = indent;
      first = true;
    }
    if (!first) {
      text += ' ';
      ++column;
    }
    text += word;
    column += word.size();
    first = false;
  }
  return text + '\n';
}

}  // namespace mistwright::report
