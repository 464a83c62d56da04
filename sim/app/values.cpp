#include "sim/app/values.h"

#include <fmt/format.h>

#include <charconv>
#include <chrono>
#include <memory>
#include <string_view>

#include "sim/scenario/source.h"

namespace mistwright::app {
namespace {

using scenario::Problem;
using scenario::SourceText;

/// A limit in SI; the table of limits is ours, so it always reads.
double limit_number(const char* text, scenario::Kind kind) {
  return scenario::read_quantity(text, kind, "limit").value;
}

/// Reads digits of a fixed count and steps past them.
bool digits(std::string_view& text, std::size_t count, int& value) {
  if (text.size() < count) return false;
  const char* end = text.data() + count;
  const auto read = std::from_chars(text.data(), end, value);
  if (read.ec != std::errc() || read.ptr != end || text[0] == '-') return false;
  text.remove_prefix(count);
  return true;
}

bool step(std::string_view& text, char wanted) {
  if (text.empty() || text[0] != wanted) return false;
  text.remove_prefix(1);
  return true;
}

struct Moment {
  int year = 0, month = 0, day = 0, hour = 0, minute = 0, second = 0;
  int zone_sign = 1, zone_hour = 0, zone_minute = 0;
};

/// 2026-05-28T13:00, seconds if wanted, then Z or an offset.
std::optional<Moment> read_moment(std::string_view text) {
  Moment m;
  const bool date = digits(text, 4, m.year) && step(text, '-') && digits(text, 2, m.month) &&
                    step(text, '-') && digits(text, 2, m.day);
  const bool clock = date && (step(text, 'T') || step(text, ' ')) && digits(text, 2, m.hour) &&
                     step(text, ':') && digits(text, 2, m.minute);
  if (!clock || (step(text, ':') && !digits(text, 2, m.second))) return {};
  if (step(text, 'Z')) return text.empty() ? std::optional(m) : std::nullopt;
  if (step(text, '-')) {
    m.zone_sign = -1;
  } else if (!step(text, '+')) {
    return {};
  }
  if (!digits(text, 2, m.zone_hour)) return {};
  step(text, ':');
  if (!digits(text, 2, m.zone_minute) || !text.empty()) return {};
  return m;
}

std::optional<double> utc_s(const Moment& m) {
  using namespace std::chrono;
  const year_month_day date{year{m.year}, month{static_cast<unsigned>(m.month)},
                            day{static_cast<unsigned>(m.day)}};
  if (!date.ok() || m.hour > 23 || m.minute > 59 || m.second > 59 || m.zone_hour > 14 ||
      m.zone_minute > 59) {
    return {};
  }
  const auto local = sys_days{date} + hours{m.hour} + std::chrono::minutes{m.minute} +
                     std::chrono::seconds{m.second};
  const auto zone = hours{m.zone_hour} + std::chrono::minutes{m.zone_minute};
  const auto utc = m.zone_sign > 0 ? local - zone : local + zone;
  return static_cast<double>(utc.time_since_epoch().count());
}

Problem at_value(const std::shared_ptr<const SourceText>& source, std::string message,
                 std::string help) {
  Problem problem;
  problem.code = "E0308";
  problem.message = std::move(message);
  problem.help = std::move(help);
  problem.at = scenario::span_at(source, 0, source->text.size());
  return problem;
}

}  // namespace

double Values::needed(const Text& text, const Wanted& wanted) {
  const auto source = std::make_shared<const SourceText>(wanted.flag, text.value_or(""));
  const auto result = scenario::read_quantity(source->text, wanted.kind, wanted.flag);
  if (!result.good) {
    Problem problem;
    problem.code = result.fault.code;
    problem.message = result.fault.message;
    problem.label = result.fault.label;
    problem.help = result.fault.help;
    problem.at = scenario::span_at(source, result.fault.offset, result.fault.length);
    problems_.push_back(std::move(problem));
    return 0.0;
  }
  if (result.value < limit_number(wanted.lowest, wanted.kind) ||
      result.value > limit_number(wanted.highest, wanted.kind)) {
    const char* unit = scenario::kind_info(wanted.kind).unit;
    problems_.push_back(
        at_value(source,
                 fmt::format("`{}` of {} is out of range", wanted.flag,
                             scenario::rounded(result.value, unit)),
                 fmt::format("it may run from {} to {}", wanted.lowest, wanted.highest)));
  }
  return result.value;
}

double Values::given_or(const Text& text, const Wanted& wanted, double otherwise_number) {
  return text ? needed(text, wanted) : otherwise_number;
}

double Values::moment_s(const Text& text, const char* flag) {
  const auto source = std::make_shared<const SourceText>(flag, text.value_or(""));
  const auto moment = read_moment(source->text);
  if (!moment) {
    problems_.push_back(at_value(source, fmt::format("`{}` is not a moment with its zone", flag),
                                 "write 2026-05-28T13:00-04:00, or 2026-05-28T17:00Z"));
    return 0.0;
  }
  const auto seconds = utc_s(*moment);
  if (!seconds) {
    problems_.push_back(at_value(source,
                                 fmt::format("`{}` names a moment that does not exist", flag),
                                 "months run to 12, hours to 23, minutes and seconds to 59"));
  }
  return seconds.value_or(0.0);
}

void Values::out_of_reach(const std::string& message) {
  Problem problem;
  problem.code = "E0309";
  problem.message = message;
  problem.help = "the published relation behind this answer does not reach so far";
  problems_.push_back(std::move(problem));
}

}  // namespace mistwright::app
