#include <fmt/core.h>

#include <algorithm>
#include <cmath>

#include "models/droplet/entrainment.h"
#include "sim/scenario/readers.h"

namespace mistwright::scenario {
namespace {

/// The words of `evidence`, in order.
bool is_tag(const std::string& word) {
  const std::vector<std::string> tags = choices(*find_key("head_type", "evidence"));
  return std::find(tags.begin(), tags.end(), word) != tags.end();
}

/// "common practice: 60 psi" in its two parts.
water::KeyEvidence evidence_from(const std::string& key, const std::string& text) {
  const std::size_t colon = text.find(':');
  water::KeyEvidence out{key, text.substr(0, colon), {}};
  if (colon != std::string::npos) {
    out.why = text.substr(std::min(text.size(), text.find_first_not_of(' ', colon + 1)));
  }
  return out;
}

/// Values that stand in for keys left out carry the tag of the default.
void note_defaults(Table& table, water::HeadType& type) {
  for (const Key& key : keys()) {
    if (std::string_view(key.table) != "head_type" || table.has(key.name)) continue;
    if (key.need == Need::Default) type.key_evidence.push_back({key.name, key.evidence, "assumed"});
  }
  const auto stands_in = [&](const char* key, const char* tag) {
    if (!table.has(key)) type.key_evidence.push_back({key, tag, "assumed"});
  };
  stands_in("dv10", "derived");
  stands_in("dv50", "common practice");
  stands_in("dv90", "derived");
  stands_in("working_pressure_low", "memory");
  stands_in("working_pressure_high", "memory");
}

void read_evidence(Table& table, Reading& reading, water::HeadType& type, const Value& own) {
  note_defaults(table, type);
  const Value* list = table.raw("evidence_of");
  if (!list) return;
  const bool from_file = own.find("evidence_of") == nullptr;
  for (const Entry& entry : list->entries) {
    if (!find_key("head_type", entry.key)) {
      const std::string near = nearest_key("head_type", entry.key);
      reading.error("E0513", entry.key_at,
                    fmt::format("`{}` is not a key of a head type", entry.key),
                    near.empty() ? "name the key whose value you speak of"
                                 : fmt::format("the nearest key is `{}`", near));
      continue;
    }
    const auto said = evidence_from(entry.key, entry.value.text);
    if (entry.value.type != Value::Type::Text || !is_tag(said.tag)) {
      reading.error(
          "E0514", entry.value.at,
          fmt::format("the evidence of `{}` must begin with its tag", entry.key),
          "such as \"memory: 30 to 60 L/h\"; tags: source, memory, common practice, derived, "
          "invented");
      continue;
    }
    // The file speaks of its own values, not of one that the scenario puts in their place.
    if (from_file && own.find(entry.key)) continue;
    type.key_evidence.push_back(said);
  }
}

void read_boom(Table& table, water::HeadType& type) {
  const auto heads = table.whole("boom_heads");
  const auto speed = table.quantity("boom_speed");
  const auto width = table.quantity("boom_width");
  if (!heads.given && !speed.given && !width.given) return;
  for (const char* key : {"boom_heads", "boom_speed", "boom_width"}) {
    if (!table.has(key)) table.missing(key);
  }
  if (!heads.good || !speed.good || !width.good || !heads.given) return;
  type.boom = {static_cast<int>(heads.value), speed.value, width.value};
}

void read_launch(Table& table, Reading& reading, water::HeadType& type) {
  const auto speed = table.quantity("launch_speed");
  type.launch_speed_m_per_s = speed.given ? speed.value : 0.0;
  type.blown_air_m3_per_s = table.quantity("blown_air").value;
  if (type.drive == water::Drive::LinePressure || speed.given) return;
  reading.error(
      "E0515", table.key_span("drive"),
      fmt::format("head type `{}` throws its drops by {}, so its pressure does not say "
                  "how fast",
                  type.name,
                  choices(*find_key("head_type", "drive"))[static_cast<std::size_t>(type.drive)]),
      "give `launch_speed`, such as \"15 m/s\"");
}

/// Whether the bounds of the fit lie on both sides of the stated circle. Two throws instead of the
/// whole fit, which every reading of a scenario would pay for.
bool surely_reaches(const water::HeadType& type) {
  const double pressure_Pa = type.rated_pressure_Pa;
  const double target_m = 0.5 * type.wetted_diameter_m;
  const auto reach_m = [&](double entrainment, double velocity) {
    return droplet::reach_m(type, pressure_Pa, {entrainment, velocity});
  };
  const double usual = droplet::usual_velocity_coefficient(type);
  if (reach_m(1.0, usual) >= droplet::farthest_reach_m) return false;  // may float
  return reach_m(0.0, droplet::lowest_velocity_coefficient) < target_m &&
         target_m < reach_m(1.0, 1.0);
}

}  // namespace

void read_head_needs(Table& table, Reading& reading, water::HeadType& type, const Value& own) {
  read_launch(table, reading, type);
  const auto number = [&](const char* key) {
    const auto got = table.quantity(key);
    return got.given ? got.value : 0.0;
  };
  water::HeadNeeds& needs = type.needs;
  needs.power_W = number("power");
  needs.compressed_air_m3_per_s = number("compressed_air");
  needs.compressed_air_pressure_Pa = number("compressed_air_pressure");
  needs.filter_opening_m = number("filter");
  needs.hardness_kg_per_m3 = number("hardness");
  if (table.has("water_quality")) needs.water = table.text("water_quality").value;
  read_boom(table, type);
  read_evidence(table, reading, type, own);
}

void warn_of_throw(Reading& reading, const water::HeadType& type, const Span& diameter_at) {
  // Nobody asks a wetted circle of fog.
  if (droplet::is_fog(type) || surely_reaches(type)) return;
  const droplet::Throw thrown = droplet::fit_throw(type);
  if (thrown.reached) return;
  const std::string pressure = rounded(type.rated_pressure_Pa, "kPa");
  if (thrown.floats) {
    reading.warning("W0519", diameter_at,
                    fmt::format("drops of `{}` wet no circle: at {} the air of their own jet "
                                "carries most of them away",
                                type.name, pressure),
                    "are flow, pressure and drop sizes right? The run goes on without the circle");
    return;
  }
  const std::string reach = rounded(2.0 * thrown.reach_m, "m");
  Problem& p =
      reading.warning("W0516", diameter_at,
                      fmt::format("drops of `{}` wet {} at {} in still air, not {}", type.name,
                                  reach, pressure, rounded(type.wetted_diameter_m, "m")),
                      "are flow, pressure and drop sizes right? The run goes on with " + reach);
  if (2.0 * thrown.reach_m > type.wetted_diameter_m) {
    p.note = "a slower launch is not that of this pressure";
    return;
  }
  const double speed = droplet::fastest_launch_m_per_s(type, type.rated_pressure_Pa);
  p.note = fmt::format("they leave at {} at most, from {} up", rounded(speed, "m/s"),
                       rounded(type.wetted_height_m, "m"));
}

bool can_stand(Reading& reading, const Got<std::string>& named, const water::HeadType& type) {
  if (type.boom.heads > 0) {
    reading.error("E0517", named.at,
                  fmt::format("head type `{}` is a boom that travels, and only heads that stand "
                              "are simulated",
                              type.name),
                  fmt::format("a pass lays down {}: place heads that lay as much down in a burst",
                              rounded(water::boom_dose_m(type), "mm")));
    return false;
  }
  if (type.drive == water::Drive::Hand) {
    reading.error("E0518", named.at,
                  fmt::format("head type `{}` is held in a hand and stands on no pipe", type.name),
                  "place a head that is fed by a line");
    return false;
  }
  return true;
}

}  // namespace mistwright::scenario
