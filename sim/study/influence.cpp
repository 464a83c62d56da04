#include "sim/study/influence.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <numeric>

#include "models/air/psychrometrics.h"
#include "models/droplet/cloud_choice.h"
#include "models/droplet/concentration.h"
#include "models/droplet/flight.h"
#include "models/droplet/spectrum.h"
#include "models/parallel.h"
#include "models/units.h"
#include "sim/report/places.h"

namespace mistwright::study {

namespace {

using Values = std::vector<double>;

constexpr double grid_m = 0.1;
/// Finest cells of the cloud, and how many it may have: an adjoint takes seconds then.
constexpr double finest_cell_m = 0.1, most_cells_number = 150e3;
/// Sizes and rings stand for a fifth of the water each.
constexpr std::array<double, 5> fifths_fraction = {0.1, 0.3, 0.5, 0.7, 0.9};
constexpr int spokes = 16;

/// Between places that rise; beyond them the nearest.
struct Between {
  std::size_t low = 0, high = 0;
  double share_fraction = 0.0;
};

Between between(const Values& places_m, double at_m) {
  const auto above = std::upper_bound(places_m.begin(), places_m.end(), at_m);
  if (above == places_m.begin()) return {};
  const auto high = static_cast<std::size_t>(above - places_m.begin());
  if (above == places_m.end()) return {high - 1, high - 1, 0.0};
  return {high - 1, high, (at_m - places_m[high - 1]) / (places_m[high] - places_m[high - 1])};
}

/// A value between the places of a grid, linear along both.
struct Sheet {
  const Values &x_m, &y_m, &values;
  [[nodiscard]] double at(double x, double y) const {
    const Between i = between(x_m, x), j = between(y_m, y);
    const auto row = [&](std::size_t n) {
      const double low = values[n * x_m.size() + i.low], high = values[n * x_m.size() + i.high];
      return low + i.share_fraction * (high - low);
    };
    return row(j.low) + j.share_fraction * (row(j.high) - row(j.low));
  }
};

/// The type whose heads together are rated for most water.
std::size_t main_type(const House& house) {
  Values flow(house.head_types.size(), 0.0);
  for (const PlacedHead& head : house.heads)
    flow[head.type] += house.head_types[head.type].rated_flow_m3_per_s;
  return static_cast<std::size_t>(std::max_element(flow.begin(), flow.end()) - flow.begin());
}

/// The height at which most heads of a type stand, within a centimetre; of several the first.
double main_height_m(const House& house, std::size_t type) {
  double best_m = 0.0;
  std::ptrdiff_t most = 0;
  for (const PlacedHead& one : house.heads) {
    if (one.type != type) continue;
    const auto alike =
        std::count_if(house.heads.begin(), house.heads.end(), [&](const PlacedHead& other) {
          return other.type == type && std::abs(other.z_m - one.z_m) < 0.01;
        });
    if (alike <= most) continue;
    most = alike;
    best_m = one.z_m;
  }
  return best_m;
}

/// The regime in which bursts lasted longest, and how long.
struct Misting {
  std::uint64_t key = 0;
  double misted_s = 0.0, other_s = 0.0;
};

Misting main_regime(const record::Record& record) {
  Misting main;
  bool first = true;
  for (const record::Group& group : record.groups) {
    if (!group.name.starts_with("flow_")) continue;
    const double misted_s = report::attribute_number(group, "misted_s", 0.0);
    main.other_s += misted_s;
    if (!first && misted_s <= main.misted_s) continue;
    first = false;
    main.misted_s = misted_s;
    main.key = std::stoull(group.attributes.at("regime_key"));
  }
  main.other_s -= main.misted_s;
  return main;
}

/// The house's air while its bursts are told; of the whole run when none are.
droplet::AirState misting_air(const record::Record& record, double pressure_Pa) {
  const record::Group& series = record.group("series");
  const record::Group& events = record.group("events");
  const Values& time_us = series.variable("time").values;
  const record::Variable& kind = events.variable("kind");
  Values at_us;
  for (std::size_t i = 0; i < kind.values.size(); ++i)
    if (report::flag_word(kind, i) == "burst_told")
      at_us.push_back(events.variable("event_time").values[i]);
  if (at_us.empty()) at_us = time_us;
  const auto mean = [&](const char* name) {
    const Values& values = series.variable(name).values;
    double sum = 0.0;
    for (const double us : at_us) {
      const Between b = between(time_us, us);
      sum += values[b.low] + b.share_fraction * (values[b.high] - values[b.low]);
    }
    return sum / static_cast<double>(at_us.size());
  };
  const double temperature_K = mean("air_temperature");
  const double full_Pa = air::saturation_pressure_Pa(temperature_K);
  return {temperature_K, std::min(1.0, mean("relative_humidity")) * full_Pa, pressure_Pa};
}

/// Mean pressure at a type's heads, each zone open alone.
double head_pressure_Pa(const House& house, const record::Record& record, std::size_t type) {
  const Values& pressure = record.group("heads").variable("pressure").values;
  double sum = 0.0, count = 0.0;
  for (std::size_t h = 0; h < house.heads.size(); ++h) {
    if (house.heads[h].type != type || pressure[h] <= 0.0) continue;
    sum += pressure[h];
    count += 1.0;
  }
  return count > 0.0 ? sum / count : house.head_types[type].rated_pressure_Pa;
}

/// The diameter below which a share of the water flies.
double diameter_below_m(const droplet::Spectrum& spectrum, double share_fraction) {
  double low = droplet::smallest_edge_m, high = droplet::largest_edge_m;
  for (int i = 0; i < 50; ++i) {
    const double middle = std::sqrt(low * high);
    (droplet::volume_below_fraction(spectrum, middle) < share_fraction ? low : high) = middle;
  }
  return high;
}

/// Radii of the rings on which the fifths of a head's water come down in still air; fog, which its
/// jet carries away, is as if let go.
Values rings_m(const water::HeadType& type, double pressure_Pa, const droplet::Throw& thrown) {
  if (thrown.floats) return {0.0};
  Values radii;
  for (const double share : fifths_fraction)
    radii.push_back(droplet::reach_m(type, pressure_Pa, thrown, share));
  return radii;
}

/// Centres of whole cells near the wished edge.
Values centres_m(double length_m) {
  const auto count = static_cast<std::size_t>(std::max(1.0, std::round(length_m / grid_m)));
  Values places;
  for (std::size_t i = 0; i < count; ++i)
    places.push_back(length_m * (static_cast<double>(i) + 0.5) / static_cast<double>(count));
  return places;
}

Values over_rings(const Influence& of, const House& house, const Values& radii_m) {
  const Sheet sheet{of.x_m, of.y_m, of.let_go_fraction};
  Values shares;
  for (const double y : of.y_m)
    for (const double x : of.x_m) {
      double sum = 0.0;
      for (const double radius : radii_m)
        for (int n = 0; n < spokes; ++n) {
          const double angle_rad = 2.0 * pi * (n + 0.5) / spokes;
          const double px = x + radius * std::cos(angle_rad), py = y + radius * std::sin(angle_rad);
          const bool inside = px >= 0.0 && px <= house.structure.length_m && py >= 0.0 &&
                              py <= house.structure.width_m;
          if (inside) sum += sheet.at(px, py);
        }
      shares.push_back(sum / (static_cast<double>(radii_m.size()) * spokes));
    }
  return shares;
}

}  // namespace

double Influence::share_at_fraction(double x, double y) const {
  return Sheet{x_m, y_m, thrown_fraction}.at(x, y);
}

std::vector<double> driest_cells(const record::Record& record) {
  const record::Group& bench = record.group("bench");
  const Values& dry = bench.variable("dry_time").values;
  const Values& mist = bench.variable("mist_on_leaves").values;
  const Values& area = bench.variable("area").values;
  std::vector<std::size_t> order(dry.size());
  std::iota(order.begin(), order.end(), std::size_t{0});
  std::stable_sort(order.begin(), order.end(), [&](std::size_t a, std::size_t b) {
    return dry[a] != dry[b] ? dry[a] > dry[b] : mist[a] < mist[b];
  });
  double left_m2 = driest_share_fraction * std::accumulate(area.begin(), area.end(), 0.0);
  Values weight(dry.size(), 0.0);
  for (const std::size_t cell : order) {
    weight[cell] = std::clamp(left_m2 / area[cell], 0.0, 1.0);
    left_m2 -= area[cell];
    if (left_m2 <= 0.0) break;
  }
  return weight;
}

Influence influence(const House& house, Building& building, const record::Record& record,
                    int threads) {
  const Misting misting = main_regime(record);
  const Regime& regime = building.airflow.regime(
      DeviceState::from_key(misting.key, house.fans.size(), house.openings.size()));
  Influence of;
  of.type = main_type(house);
  of.height_m = main_height_m(house, of.type);
  of.air = regime.words;
  of.misted_s = misting.misted_s;
  of.other_misted_s = misting.other_s;
  of.weight_number = driest_cells(record);

  const Structure& s = house.structure;
  const double volume_m3 = s.length_m * s.width_m * s.ridge_height_m;
  droplet::FootprintCase a_case{regime.field, building.plan.enclosure, building.plan.benches,
                                building.plan.air};
  a_case.state = misting_air(record, building.plan.fixed.pressure_Pa);
  const droplet::CloudAir air(a_case,
                              std::max(finest_cell_m, std::cbrt(volume_m3 / most_cells_number)));
  const water::HeadType& type = house.head_types[of.type];
  const double pressure_Pa = head_pressure_Pa(house, record, of.type);
  const droplet::Spectrum spectrum = droplet::spectrum_at(type, pressure_Pa);
  const double K_m2_per_s = droplet::evaporation_constant_m2_per_s(a_case.state);
  const auto head = std::find_if(house.heads.begin(), house.heads.end(),
                                 [&](const PlacedHead& one) { return one.type == of.type; });
  std::array<Values, fifths_fraction.size()> of_size;
  std::array<double, fifths_fraction.size()> misplaced{};
  parallel_for(of_size.size(), threads, [&](std::size_t n, int) {
    const double diameter_m = diameter_below_m(spectrum, fifths_fraction[n]);
    const droplet::CloudDrops drops{diameter_m, K_m2_per_s};
    of_size[n] = droplet::landing_shares(air, drops, of.weight_number);
    misplaced[n] = std::min(
        1.0, droplet::cloud_error_fraction(air, drops, {head->x_m, head->y_m, of.height_m}));
  });
  of.misplaced_fraction = std::accumulate(misplaced.begin(), misplaced.end(), 0.0) /
                          static_cast<double>(misplaced.size());
  Values mean(air.size, 0.0);
  for (const Values& one : of_size)
    for (std::size_t c = 0; c < mean.size(); ++c)
      mean[c] += one[c] / static_cast<double>(of_size.size());
  const droplet::InfluenceMap map = droplet::influence_map(air, mean, of.height_m);

  of.x_m = centres_m(s.length_m);
  of.y_m = centres_m(s.width_m);
  const Sheet sheet{map.x_m, map.y_m, map.share_fraction};
  for (const double y : of.y_m)
    for (const double x : of.x_m) of.let_go_fraction.push_back(sheet.at(x, y));
  of.thrown_fraction =
      over_rings(of, house, rings_m(type, pressure_Pa, building.airflow.thrown(type)));
  return of;
}

}  // namespace mistwright::study
