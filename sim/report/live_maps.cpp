#include "sim/report/live_maps.h"

#include <fmt/core.h>

#include <algorithm>

#include "sim/report/html.h"
#include "sim/report/json.h"
#include "sim/report/map_words.h"

namespace mistwright::report {
namespace {

/// "AAAB" as "A3B": neighbours are often alike.
std::string in_runs(const std::string& letters) {
  std::string runs;
  for (std::size_t from = 0, to = 0; from < letters.size(); from = to) {
    to = std::min(letters.find_first_not_of(letters[from], from), letters.size());
    runs += letters[from];
    if (to - from > 1) runs += std::to_string(to - from);
  }
  return runs;
}

/// A letter a cell, a word a frame: A is the lightest colour.
std::string levels_json(const LiveMap& map, std::size_t frames) {
  const std::size_t cells = frames > 0 ? map.values.size() / frames : 0;
  std::vector<std::string> levels(frames);
  for (std::size_t k = 0; k < frames; ++k)
    for (std::size_t c = 0; c < cells; ++c)
      levels[k] += static_cast<char>(
          'A' + static_cast<int>(Plan::level(map.values[k * cells + c], map.scale)));
  for (std::string& letters : levels) letters = in_runs(letters);
  return json_list(levels);
}

std::string thirds_json(const LiveMap& map, const std::vector<Third>& thirds, std::size_t frames) {
  const std::size_t cells = frames > 0 ? map.values.size() / frames : 0;
  std::string json = "[";
  for (std::size_t k = 0; k < frames; ++k) {
    std::vector<std::string> numbers;
    for (const MapLabel& label : third_labels(thirds, map.values, map.decimals, k * cells))
      numbers.push_back(label.words);
    json += (k > 0 ? "," : "") + json_list(numbers);
  }
  return json + "]";
}

}  // namespace

std::string time_row(const std::string& id, const std::string& label, std::size_t steps,
                     std::size_t start) {
  return fmt::format(
      "<div class=\"time-row\" id=\"{0}-row\"><label for=\"{0}-time\">{1}</label>"
      "<output id=\"{0}-clock\" for=\"{0}-time\"></output>"
      "<input type=\"range\" id=\"{0}-time\" min=\"0\" max=\"{2}\" step=\"1\" value=\"{3}\">"
      "<div class=\"buttons\"><button type=\"button\" id=\"{0}-earlier\">Earlier</button>"
      "<button type=\"button\" id=\"{0}-play\">Play</button>"
      "<button type=\"button\" id=\"{0}-later\">Later</button></div></div>\n",
      id, label, steps > 0 ? steps - 1 : 0, start);
}

std::string live_maps(const Plan& plan, const std::vector<LiveMap>& maps, const Frames& frames) {
  const std::vector<Third> thirds = thirds_of(plan);
  std::vector<MapLabel> empty;
  empty.reserve(thirds.size());
  for (const Third& third : thirds) empty.push_back({third.x_m, third.y_m, third.length_m, ""});
  const std::size_t count = frames.elapsed_h.size();
  std::string pictures, data;
  for (const LiveMap& map : maps) {
    pictures += fmt::format(
        "<figure class=\"live-map\" data-map=\"{}\">{}{}<figcaption class=\"said\"></figcaption>"
        "<p class=\"short\"></p></figure>\n",
        map.id, plan.small(map.name, {}, map.scale, "", empty), plan.colour_bar(map.scale));
    data += fmt::format(
        "{}{{\"id\":{},\"colours\":{},\"levels\":{},\"thirds\":{},\"words\":{},\"shorts\":{}}}",
        data.empty() ? "" : ",", json_text(map.id),
        json_list(ramp_colours(map.scale.ramp, map_levels)), levels_json(map, count),
        thirds_json(map, thirds, count), json_list(map.words), json_list(map.shorts));
  }
  return "<div class=\"live\" id=\"film-live\" hidden>" +
         time_row("film", "Time of day", count, frames.first_shown) + "<div class=\"pair\">" +
         pictures + "</div></div>\n" +
         data_block("maps-data",
                    fmt::format("{{{},\"at\":{},\"clock\":{},\"maps\":[{}]}}", plan.cell_places(),
                                json_list(frames.elapsed_h, 4), json_list(frames.clock), data));
}

}  // namespace mistwright::report
