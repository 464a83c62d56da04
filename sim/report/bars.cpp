#include "sim/report/bars.h"

#include <fmt/core.h>

#include <algorithm>
#include <cmath>
#include <numeric>

#include "sim/report/svg.h"
#include "sim/report/words.h"

namespace mistwright::report {
namespace {

constexpr double names_px = 82.0, shares_px = 62.0, name_row_px = 19.0;

double sum(const std::vector<double>& values) {
  return std::accumulate(values.begin(), values.end(), 0.0);
}

/// One bar of full length, cut by shares; names are written into the parts that have room.
void draw_shares(Svg& svg, const std::vector<double>& parts, double top, double height,
                 const std::vector<std::string>& names = {}) {
  const double total = sum(parts);
  if (!(total > 0.0)) return;
  double from = names_px;
  for (std::size_t f = 0; f < parts.size(); ++f) {
    const double length = (picture_width_px - names_px - shares_px) * parts[f] / total;
    if (length > 0.05) svg.rect({from, top, length, height}, fmt::format("fate f{}", f));
    if (f < names.size() && length > 16.0 + 9.0 * static_cast<double>(names[f].size()))
      svg.text({from + 0.5 * length, top + 0.5 * height + 4.5}, names[f], Anchor::Middle, "on-map");
    from += length;
  }
}

void draw_keys(Svg& svg, const FateBars& bars, const std::vector<double>& totals) {
  const double all = sum(totals);
  // Two columns, so that the longest name has room in the largest letters.
  const std::size_t rows = (bars.fates.size() + 1) / 2;
  for (std::size_t f = 0; f < bars.fates.size(); ++f) {
    const Point at{4.0 + (f < rows ? 0.0 : 0.5 * picture_width_px),
                   14.0 + name_row_px * static_cast<double>(f % std::max<std::size_t>(rows, 1))};
    svg.rect({at.x_px, at.y_px - 10.0, 12.0, 12.0}, fmt::format("fate f{}", f));
    svg.text({at.x_px + 17.0, at.y_px},
             fmt::format("{} {:.0f} %", bars.fates[f], all > 0.0 ? 100.0 * totals[f] / all : 0.0),
             Anchor::Start);
  }
}

}  // namespace

std::string draw(const FateBars& bars) {
  std::vector<double> totals;
  for (const auto& row : bars.mass_kg) totals.push_back(sum(row));
  const double all = sum(totals);
  const double top = name_row_px * std::ceil(0.5 * static_cast<double>(bars.fates.size())) + 9.0;
  constexpr double row = 17.0;
  const double rows = static_cast<double>(bars.diameters_um.size());
  Svg svg(picture_width_px, top + 24.0 + 40.0 + row * rows + 10.0);
  draw_keys(svg, bars, totals);
  svg.text({names_px - 6.0, top + 16.0}, "all drops", Anchor::End);
  draw_shares(svg, totals, top, 24.0, bars.fates);
  const double head = top + 24.0 + 28.0;
  svg.text({names_px - 6.0, head}, "diameter", Anchor::End, "tick");
  svg.text({picture_width_px - shares_px + 6.0, head}, "share", Anchor::Start, "tick");
  for (std::size_t k = 0; k < bars.diameters_um.size(); ++k) {
    std::vector<double> parts;
    for (const auto& fate : bars.mass_kg) parts.push_back(fate[k]);
    const double y = head + 8.0 + row * static_cast<double>(k);
    draw_shares(svg, parts, y, row - 3.0);
    svg.text({names_px - 6.0, y + 11.0},
             fmt::format("{} \u00b5m", number_words(bars.diameters_um[k])), Anchor::End, "tick");
    const double percent = all > 0.0 ? 100.0 * sum(parts) / all : 0.0;
    svg.text({picture_width_px - shares_px + 6.0, y + 11.0},
             !(percent > 0.0) ? std::string("none")
             : percent < 0.5  ? std::string("< 1 %")
                              : fmt::format("{:.0f} %", percent),
             Anchor::Start, "tick");
  }
  return svg.finish("Where the water went, for all drops and by droplet diameter");
}

std::string draw(const std::vector<HeadMark>& heads) {
  constexpr double row = 22.0, from = 92.0, to = picture_width_px - 92.0, top = 26.0;
  const double bottom = top + row * static_cast<double>(heads.size());
  Svg svg(picture_width_px, bottom + 38.0);
  double high = 0.0;
  for (const HeadMark& h : heads) high = std::max({high, h.pressure_Pa / 1e5, h.high_Pa / 1e5});
  const std::vector<double> ticks = round_ticks(0.0, high, 5);
  const double step = ticks[1] - ticks[0];
  const Scale x{0.0, ticks.back(), from, to};
  svg.text({4.0, 14.0}, "pressure while spraying, bar (psi)", Anchor::Start, "axis");
  for (const double tick : ticks) {
    svg.line({x(tick), top}, {x(tick), bottom}, "grid");
    svg.text({x(tick), bottom + 16.0}, tick_words(tick, step), Anchor::Middle, "tick");
    svg.text({x(tick), bottom + 31.0}, fmt::format("({:.0f})", tick * 1e5 / 6894.757),
             Anchor::Middle, "tick");
  }
  const bool short_names =
      std::all_of(heads.begin(), heads.end(), [](const HeadMark& h) { return h.name.size() <= 3; });
  for (std::size_t i = 0; i < heads.size(); ++i) {
    const HeadMark& h = heads[i];
    const double y = top + row * (static_cast<double>(i) + 0.5);
    const bool outside = h.pressure_Pa < h.low_Pa || h.pressure_Pa > h.high_Pa;
    svg.rect({x(h.low_Pa / 1e5), y - 8.0, x(h.high_Pa / 1e5) - x(h.low_Pa / 1e5), 16.0}, "band");
    svg.rect({from, y - 4.0, x(h.pressure_Pa / 1e5) - from, 8.0}, outside ? "mark bad" : "mark");
    svg.text({from - 8.0, y + 4.0}, shortened(short_names ? "head " + h.name : h.name, 11),
             Anchor::End);
    svg.text({to + 8.0, y + 4.0},
             fmt::format("{:.2f} bar{}", h.pressure_Pa / 1e5, outside ? " !" : ""), Anchor::Start);
  }
  return svg.finish("Pressure at each head against its working range");
}

}  // namespace mistwright::report
