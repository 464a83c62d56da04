#include "sim/report/verdict.h"

#include <fmt/core.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <sstream>

#include "sim/report/places.h"
#include "sim/report/words.h"

namespace mistwright::report {
namespace {

constexpr std::size_t hanging_indent = 14;
constexpr std::array<const char*, 11> labels{
    "Where, when", "Why",  "Change first", "Your tap",        "The water", "The medium",
    "The clock",   "Heat", "How sure",     "Before you buy:", "Cautions"};

Answer judge(double value, const Limit& limit) {
  return value <= limit.yes ? Answer::Yes : value <= limit.no ? Answer::YesBut : Answer::NotYet;
}

/// Told to spray, and it does not: its check valve asks for more than the line has.
bool never_opens(const LastHead& head) {
  return head.told_s > 0.0 && head.sprays_s <= 0.0;
}

Answer judge_tap(const Summary& s) {
  if (!s.last_head) return Answer::Yes;
  if (never_opens(*s.last_head)) return Answer::NotYet;
  if (s.last_head->pressure_Pa < s.last_head->working_low_Pa) return Answer::NotYet;
  return s.last_head->pressure_Pa > s.last_head->working_high_Pa ? Answer::YesBut : Answer::Yes;
}

std::string day_words(const Summary& s, const Thresholds& t) {
  if (s.days_number > 1.25) return fmt::format("Over these {:.0f} days", s.days_number);
  if (s.part_of_day_s > 0.0)
    return fmt::format("In the {} of this run", duration_words(s.part_of_day_s));
  const double hottest = s.outside_hottest_K;
  const char* kind = hottest < t.cool_day_K   ? "cool"
                     : hottest < t.warm_day_K ? "mild"
                     : hottest < t.hot_day_K  ? "warm"
                                              : "hot";
  return fmt::format("On this {} day", kind);
}

/// What keeps a yes from being whole.
std::vector<std::string> buts(const Summary& s, const Thresholds& t) {
  std::vector<std::string> reasons;
  if (judge(s.worst.dry_s, t.worst_corner_s) != Answer::Yes ||
      judge(s.dry_leaf_share_fraction, t.dry_leaf_share_fraction) != Answer::Yes)
    reasons.emplace_back("some corners go dry");
  if (judge_tap(s) != Answer::Yes)
    reasons.emplace_back("the pressure is not what the heads are made for");
  if (judge(s.soggy_s, t.soggy_s) != Answer::Yes) reasons.emplace_back("the medium gets soggy");
  if (judge(s.hottest_leaf_K, t.hottest_leaf_K) != Answer::Yes)
    reasons.emplace_back("leaves get hot");
  return reasons;
}

std::string opening(const Summary& s, const Thresholds& t) {
  const Answer all = answer(s, t);
  std::string text = all == Answer::Yes      ? "YES. "
                     : all == Answer::NotYet ? "NOT YET. "
                                             : "YES, BUT ";
  if (all == Answer::YesBut) text += list_words(buts(s, t)) + ". ";
  text += fmt::format("{} {} more than half bare before the next burst", day_words(s, t),
                      leaves_go_words(s.dry_leaf_share_fraction));
  text += s.dry_leaf_share_fraction > 0.0
              ? fmt::format(" (each for over {} {}).", duration_words(t.leaf_counts_from_s),
                            each_day(s.part_of_day_s))
              : ".";
  if (judge_tap(s) == Answer::NotYet)
    text += " The tap does not hold the pressure that the last head needs.";
  if (judge(s.soggy_s, t.soggy_s) != Answer::Yes)
    text += fmt::format(" The medium is soggy for {} {}.", duration_words(s.soggy_s),
                        each_day(s.part_of_day_s));
  if (judge(s.hottest_leaf_K, t.hottest_leaf_K) != Answer::Yes)
    text += fmt::format(" Leaves reach {}.", temperature_words(s.hottest_leaf_K));
  if (s.part_of_day_s > 0.0) text += " Part of a day is no answer for a whole one.";
  return text;
}

std::string where_when(const Summary& s) {
  if (s.worst.dry_s < 30.0) return "no place on the benches goes dry.";
  const std::string stretch = s.worst_to_h > s.worst_from_h
                                  ? stretch_words(s.worst_from_h, s.worst_to_h, s.by_days)
                                  : std::string();
  const std::string worst = duration_words(s.worst.dry_s), best = duration_words(s.best.dry_s);
  if (s.by_days)
    return fmt::format("worst: {}, {} a day{}; best: {}, {} a day.", s.worst.words, worst,
                       stretch.empty() ? "" : ", longest " + stretch, s.best.words, best);
  return fmt::format("worst: {}{}, {}; best: {}, {}.", s.worst.words,
                     stretch.empty() ? "" : ", " + stretch, worst, s.best.words, best);
}

std::string why(const Summary& s) {
  std::string text = fmt::format(
      "your heads bring {} an hour to the bench; {} the leaves lose {} where they are wet.",
      depth_words(s.mist_then_kg_per_m2), at_words(s.peak_loss_hour_h, s.by_days),
      depth_words(s.peak_loss_kg_per_m2));
  if (s.worst.dry_s >= 30.0 && s.worst_gets_ratio)
    text +=
        fmt::format(" The worst corner gets {:.0f} % of the mean.", 100.0 * *s.worst_gets_ratio);
  return text;
}

/// A change must not pay for drier corners with a soaked medium, a failing tap or hotter leaves.
bool harmless(const Summary& changed, const Summary& before, const Thresholds& t) {
  const auto no_worse = [](Answer now, Answer then) {
    return now == Answer::Yes || static_cast<int>(now) <= static_cast<int>(then);
  };
  return no_worse(judge_tap(changed), judge_tap(before)) &&
         no_worse(judge(changed.soggy_s, t.soggy_s), judge(before.soggy_s, t.soggy_s)) &&
         no_worse(judge(changed.hottest_leaf_K, t.hottest_leaf_K),
                  judge(before.hottest_leaf_K, t.hottest_leaf_K));
}

const Neighbour* best_change(const VerdictInput& input, const Thresholds& t, bool clock_only) {
  const Neighbour* best = nullptr;
  for (const Neighbour& n : input.neighbours) {
    if ((clock_only && !n.clock_only) || !harmless(n.summary, input.main, t)) continue;
    if (input.main.worst.dry_s - n.summary.worst.dry_s < t.change_is_worth_s) continue;
    if (best == nullptr || n.summary.worst.dry_s < best->summary.worst.dry_s) best = &n;
  }
  return best;
}

/// What a change does besides: how many leaves stay dry, and the water where it is not about the
/// same.
std::string besides(const Summary& changed, const Summary& before) {
  constexpr double about_the_same = 0.1;
  const double now = std::round(100.0 * before.dry_leaf_share_fraction);
  const double then = std::round(100.0 * changed.dry_leaf_share_fraction);
  std::string text;
  if (now != then) text = fmt::format(", leaves that go dry {:.0f} % (now {:.0f} %)", then, now);
  if (std::abs(changed.water_kg - before.water_kg) > about_the_same * before.water_kg)
    text += fmt::format(", water {} {}", water_words(changed.water_kg),
                        each_day(changed.part_of_day_s));
  return text;
}

std::string change_first(const VerdictInput& input, const Thresholds& t) {
  const std::size_t tried = input.neighbours.size();
  if (tried == 0) return "not computed: no changed houses were run.";
  if (input.main.water_kg <= 0.0)
    return "nothing sprays in this run, so no change is worth more than another.";
  const std::string tried_words = fmt::format(" Tried {} change{}.", tried, tried == 1 ? "" : "s");
  const Neighbour* best = best_change(input, t, false);
  if (best == nullptr) {
    if (answer(input.main, t) == Answer::Yes) return "nothing needs to." + tried_words;
    return fmt::format(
               "none of the changes tried helps the worst corner by {} without harm elsewhere.",
               duration_words(t.change_is_worth_s)) +
           tried_words;
  }
  std::string text =
      answer(input.main, t) == Answer::Yes ? "nothing needs to; it could still be better: " : "";
  text +=
      fmt::format("{}: worst corner {}{}.", best->words, duration_words(best->summary.worst.dry_s),
                  besides(best->summary, input.main));
  if (!best->clock_only) {
    const Neighbour* clock = best_change(input, t, true);
    text += clock != nullptr ? fmt::format(" Clock alone, {}: {}.", clock->words,
                                           duration_words(clock->summary.worst.dry_s))
                             : std::string(" The clock alone does not cure it.");
  }
  return text + tried_words;
}

std::string your_tap(const Summary& s) {
  if (!s.last_head) return "not computed: the run has no heads.";
  const LastHead& h = *s.last_head;
  if (never_opens(h))
    return fmt::format(
        "does not open the heads: {} has {} when its valve opens, and its check valve asks for "
        "more.",
        h.name, pressure_words(h.pressure_Pa));
  const Answer tap = judge_tap(s);
  const std::string label = h.name.find("head") == std::string::npos
                                ? fmt::format("last head ({})", h.name)
                                : fmt::format("last head, {},", h.name);
  std::string text = tap == Answer::Yes      ? "holds: "
                     : tap == Answer::NotYet ? "does not hold: "
                                             : "is too strong: ";
  text += fmt::format("{} {}, ", label, pressure_words(h.pressure_Pa));
  text += tap == Answer::YesBut
              ? fmt::format("made for at most {}.", pressure_words(h.working_high_Pa))
              : fmt::format("needs {}.", pressure_words(h.working_low_Pa));
  if (h.told_s <= 0.0) return text + " No programme opens it.";
  return text + fmt::format(" Told {}, the last head sprays {}.", burst_words(h.told_s),
                            burst_words(h.sprays_s));
}

std::string the_water(const Summary& s) {
  const auto percent = [&](Fate fate) {
    return s.fate_fraction[static_cast<std::size_t>(fate)] * 100.0;
  };
  return fmt::format(
      "{} {}: leaves {:.0f} %, medium {:.0f} %, floor, walls and cover {:.0f} %, air {:.0f} %, "
      "out with the fan {:.0f} %.",
      water_words(s.water_kg), each_day(s.part_of_day_s), percent(Fate::Leaves),
      percent(Fate::Medium), percent(Fate::Floor) + percent(Fate::Walls) + percent(Fate::Cover),
      percent(Fate::Air), percent(Fate::Out));
}

std::string the_medium(const Summary& s) {
  const std::string state =
      s.soggiest_s < 60.0
          ? std::string("not soggy")
          : fmt::format("soggy for {} {}, {} in the wettest place", duration_words(s.soggy_s),
                        each_day(s.part_of_day_s), duration_words(s.soggiest_s));
  return fmt::format("{}; it gets {} L/m2 {} from the mist.", state,
                     number_words(s.medium_gets_kg_per_m2), each_day(s.part_of_day_s));
}

std::string the_clock(const std::optional<ClockAdvice>& clock) {
  if (!clock) return "not computed.";
  const bool seconds = std::fmod(clock->resolution_s, 60.0) > 0.0;
  std::string text = fmt::format(
      "{}: {} starts a day{}.", seconds ? "must count seconds" : "may count whole minutes",
      clock->starts_a_day, clock->day_hours_only ? ", day hours only" : "");
  if (!seconds) return text;
  if (!clock->whole_minutes) return text + " What a clock of whole minutes would do: not computed.";
  const auto& m = *clock->whole_minutes;
  return text + fmt::format(
                    " In whole minutes the nearest is {:.0f} min every {:.0f}: bare {} of each "
                    "{:.0f} min.",
                    m.burst_s / 60.0, m.interval_s / 60.0, duration_words(m.bare_s),
                    m.interval_s / 60.0);
}

std::string heat(const Summary& s) {
  return fmt::format(
      "hottest at the leaves {} {}. How long cuttings last without mist: not computed yet.",
      temperature_words(s.hottest_leaf_K), at_words(s.hottest_hour_h, s.by_days));
}

std::string how_sure(const VerdictInput& input) {
  std::string text = "how the answer leans on the water that a leaf holds: not computed.";
  if (input.sure) {
    const SureRange& r = *input.sure;
    const std::string film = fmt::format("the water a leaf holds ({:.2f}-{:.2f} mm)",
                                         r.film_low_m * 1e3, r.film_high_m * 1e3);
    const std::string fine = "the fine drops that strike leaves (half to double)";
    const bool film_first = r.film.high_s - r.film.low_s >= r.impaction.high_s - r.impaction.low_s;
    const DryRange& first = film_first ? r.film : r.impaction;
    const DryRange& second = film_first ? r.impaction : r.film;
    text = fmt::format(
        "leans most on {}: worst corner {} to {}; then on {}: {}.", film_first ? film : fine,
        duration_words(first.low_s), duration_words(first.high_s), film_first ? fine : film,
        second.high_s - second.low_s < 60.0
            ? "a minute at most"
            : fmt::format("{} to {}", duration_words(second.low_s), duration_words(second.high_s)));
  }
  return text + fmt::format(" Assumed: {} value{}, see check --assumed.", input.assumed_count,
                            input.assumed_count == 1 ? "" : "s");
}

}  // namespace

Answer answer(const Summary& s, const Thresholds& t) {
  return std::max({judge(s.dry_leaf_share_fraction, t.dry_leaf_share_fraction),
                   judge(s.worst.dry_s, t.worst_corner_s), judge(s.soggy_s, t.soggy_s),
                   judge(s.hottest_leaf_K, t.hottest_leaf_K), judge_tap(s)});
}

std::string verdict(const VerdictInput& input, const Thresholds& t) {
  const Summary& s = input.main;
  const std::array<std::string, labels.size()> words{
      where_when(s),
      why(s),
      change_first(input, t),
      your_tap(s),
      the_water(s),
      the_medium(s),
      the_clock(input.clock),
      heat(s),
      how_sure(input),
      "set one head on your hose, measure its flow and a cup at each corner.",
      "keep lines and water clean and cool: mist can carry disease into the lungs. Keep tap water "
      "safe from backflow as your "
      "supplier asks. Low voltage near water, wiring by a licensed person. A shut house gets hot "
      "within minutes. Local codes go "
      "first."};
  std::string text = wrapped("", opening(s, t), 0);
  for (std::size_t i = 0; i < labels.size(); ++i)
    text += wrapped(labels[i], words[i], hanging_indent);
  return text;
}

VerdictLines verdict_lines(const std::string& text) {
  VerdictLines found;
  std::istringstream stream(text);
  for (std::string line; std::getline(stream, line);) {
    const auto label = std::find_if(labels.begin(), labels.end(), [&](const char* l) {
      return line.starts_with(l) && line.substr(std::string(l).size(), 1) == " ";
    });
    std::string words = label == labels.end() ? line : line.substr(std::string(*label).size());
    words.erase(0, std::min(words.find_first_not_of(' '), words.size()));
    if (label != labels.end()) {
      found.lines.emplace_back(*label, words);
      continue;
    }
    std::string& before = found.lines.empty() ? found.opening : found.lines.back().second;
    before += (before.empty() || words.empty() ? "" : " ") + words;
  }
  return found;
}

std::string kept_verdict(const record::Record& record) {
  if (const std::string* kept = attribute_text(record, "provenance", "verdict")) return *kept;
  VerdictInput input;
  input.main = summarise(record);
  return verdict(input);
}

std::string neighbours_text(const VerdictInput& input) {
  const auto row = [](const std::string& words, const Summary& s) {
    return fmt::format("{}\t{:.1f}\t{:.1f}\t{:.4f}\t{:.3f}\t{:.1f}\t{:.2f}\n", words, s.worst.dry_s,
                       s.mean_dry_s, s.dry_leaf_share_fraction, s.water_kg, s.soggy_s,
                       s.hottest_leaf_K);
  };
  std::string text = row("as it is", input.main);
  for (const Neighbour& n : input.neighbours) text += row(n.words, n.summary);
  return text;
}

}  // namespace mistwright::report
