#include "sim/house/drops_seen.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <numeric>

#include "models/parallel.h"
#include "models/random.h"

namespace mistwright {

namespace {

constexpr int tracks_a_size = 12;
/// Drops that are flown for the water in one regime's air.
constexpr double airborne_drops = 12'000.0;
/// Of the head's water, in a class and finer ones: which sizes are shown. Our choice.
constexpr std::array<double, 4> shown_fractions = {0.02, 0.1, 0.5, 0.9};

/// One head's typical burst and how long it sprays.
struct HeadBurst {
  Sprayed sprayed;
  double spray_s = 0.0;
};

std::vector<HeadBurst> typical_bursts(HouseRun& run) {
  std::vector<HeadBurst> bursts;
  const House& house = run.house();
  for (std::uint32_t valve = 0; valve < house.network.valves.size(); ++valve) {
    const double burst_s = longest_burst_s(house, valve);
    if (burst_s <= 0.0) continue;
    const ZoneAlone zone = run.works().alone(valve, burst_s);
    for (Sprayed& one : typical_burst(run.airflow(), run.works(), valve, run.water().classes())) {
      const double spray_s = zone.windows[one.head].spray_s();
      if (spray_s > 0.0) bursts.push_back({std::move(one), spray_s});
    }
  }
  return bursts;
}

/// The head nearest the middle of the benches.
const HeadBurst& middle_head(const std::vector<HeadBurst>& bursts, const Plan& plan) {
  double x_m = 0.0, y_m = 0.0, area_m2 = 0.0;
  for (const auto& cell : plan.benches.cells) {
    x_m += cell.area_m2 * cell.x_m;
    y_m += cell.area_m2 * cell.y_m;
    area_m2 += cell.area_m2;
  }
  const auto distance_m = [&](const HeadBurst& burst) {
    const droplet::Launch& launch = burst.sprayed.launch;
    return std::hypot(launch.x_m - x_m / area_m2, launch.y_m - y_m / area_m2);
  };
  return *std::min_element(
      bursts.begin(), bursts.end(),
      [&](const HeadBurst& a, const HeadBurst& b) { return distance_m(a) < distance_m(b) - 1e-9; });
}

std::vector<SizeSeen> sizes_of(const Sprayed& head, const droplet::SizeClasses& classes) {
  const double total = std::accumulate(head.class_kg.begin(), head.class_kg.end(), 0.0);
  std::vector<SizeSeen> sizes;
  double finer = 0.0;
  std::size_t next = 0;
  for (std::size_t k = 0; k < classes.count(); ++k) {
    finer += head.class_kg[k] / total;
    if (next >= shown_fractions.size() || finer < shown_fractions[next]) continue;
    sizes.push_back({k, classes.diameter_m[k], finer});
    while (next < shown_fractions.size() && finer >= shown_fractions[next]) ++next;
  }
  return sizes;
}

/// Level distance from a head within which half of what lands on benches does.
std::optional<double> landing_distance_m(const droplet::Outcome& outcome,
                                         const droplet::Launch& launch, const Plan& plan) {
  const double landed = outcome.bench_fraction();
  if (landed < 0.01) return std::nullopt;
  std::vector<std::pair<double, double>> by_distance;
  for (std::size_t b = 0; b < outcome.bench.size(); ++b) {
    const auto& cell = plan.benches.cells[b];
    by_distance.emplace_back(std::hypot(cell.x_m - launch.x_m, cell.y_m - launch.y_m),
                             outcome.bench[b]);
  }
  std::sort(by_distance.begin(), by_distance.end());
  double sum = 0.0;
  for (const auto& [distance_m, share] : by_distance) {
    sum += share;
    if (sum >= 0.5 * landed) return distance_m;
  }
  return by_distance.back().first;
}

/// All that one regime's flights share.
class Air {
 public:
  Air(HouseRun& run, const RegimeSpray& spray)
      : run_(run),
        regime_(run.airflow().regime(DeviceState::from_key(spray.regime, run.house().fans.size(),
                                                           run.house().openings.size()))),
        K_m2_per_s_(spray.drying_kg_m2_per_s / spray.sprayed_kg) {}

  [[nodiscard]] double drying_m2_per_s() const { return K_m2_per_s_; }

  [[nodiscard]] std::vector<droplet::Track> tracks(const droplet::Launch& launch, double diameter_m,
                                                   int count, const droplet::LetBe& let_be,
                                                   std::uint64_t stream) const {
    const Plan& plan = run_.plan();
    droplet::FootprintCase a_case{regime_.field, plan.enclosure, plan.benches, plan.air};
    a_case.state = plan.drop_air;
    a_case.parcels = count;
    a_case.seed = run_.house().numerics.seed;
    return droplet::tracks(a_case, launch, diameter_m, K_m2_per_s_, stream, let_be);
  }

  /// Footprints of a head's classes, by class; those without water stay empty.
  [[nodiscard]] std::vector<droplet::Outcome> outcomes(const Sprayed& head) const {
    Airflow& airflow = run_.airflow();
    const droplet::SizeClasses& classes = run_.water().classes();
    std::vector<SprayKey> keys;
    std::vector<droplet::Bracket> between;
    for (std::size_t k = 0; k < classes.count(); ++k) {
      between.push_back(
          droplet::between_nodes(airflow.nodes(), classes.diameter_m[k], K_m2_per_s_));
      for (const std::size_t node : {between[k].low, between[k].high})
        keys.push_back(
            {regime_.key, head.launch, classes.diameter_m[k], node, head.enough_noise_ratio[k]});
    }
    std::vector<SprayKey> wanted;
    for (std::size_t i = 0; i < keys.size(); ++i)
      if (head.class_kg[i / 2] > 0.0) wanted.push_back(keys[i]);
    airflow.ensure(wanted, run_.shared().threads);
    std::vector<droplet::Outcome> outcomes(classes.count());
    for (std::size_t k = 0; k < classes.count(); ++k)
      if (head.class_kg[k] > 0.0)
        outcomes[k] = droplet::blend(airflow.footprint(keys[2 * k]),
                                     airflow.footprint(keys[2 * k + 1]), between[k].share_fraction);
    return outcomes;
  }

  [[nodiscard]] std::vector<double> airborne_kg_per_m3(const std::vector<HeadBurst>& bursts) const;

 private:
  HouseRun& run_;
  const Regime& regime_;
  double K_m2_per_s_;
};

/// One class of one head, and the drops that stand for its water.
struct AirborneJob {
  const HeadBurst* burst;
  double diameter_m, water_kg, weight;
  std::uint64_t stream;
  int drops = 0;
};

/// More drops where more water hangs longer: shares that give the least noise for the work, since a
/// drop's work goes with its time in the air.
std::vector<AirborneJob> airborne_jobs(const std::vector<HeadBurst>& bursts,
                                       const droplet::SizeClasses& classes) {
  std::vector<AirborneJob> jobs;
  double total = 0.0;
  for (const HeadBurst& burst : bursts) {
    for (std::size_t k = 0; k < classes.count(); ++k) {
      const double kg = burst.sprayed.class_kg[k];
      if (kg <= 0.0) continue;
      const double fall_s =
          std::min(airborne_window_s,
                   burst.sprayed.launch.z_m / droplet::terminal_velocity_m_per_s(
                                                  classes.diameter_m[k], droplet::reference_air));
      jobs.push_back(
          {&burst, classes.diameter_m[k], kg, kg * std::sqrt(fall_s),
           0xD1B54A32D192ED03ULL * (burst.sprayed.head + 1) + 0xA0761D6478BD642FULL * (k + 1)});
      total += jobs.back().weight;
    }
  }
  constexpr double fewest = 4.0;
  for (AirborneJob& job : jobs)
    job.drops = static_cast<int>(std::max(fewest, std::round(airborne_drops * job.weight / total)));
  return jobs;
}

std::vector<double> Air::airborne_kg_per_m3(const std::vector<HeadBurst>& bursts) const {
  const std::vector<AirborneJob> jobs = airborne_jobs(bursts, run_.water().classes());
  std::vector<droplet::Airborne> parts(jobs.size(), droplet::Airborne(run_.plan().grid));
  parallel_for(jobs.size(), run_.shared().threads, [&](std::size_t i, int) {
    const AirborneJob& job = jobs[i];
    const auto flown = tracks(job.burst->sprayed.launch, job.diameter_m, job.drops,
                              {airborne_window_s}, stream_of("water in the air") + job.stream);
    for (const droplet::Track& track : flown)
      parts[i].add(track, job.water_kg / job.drops, {job.burst->spray_s, airborne_window_s});
  });
  droplet::Airborne all(run_.plan().grid);
  for (const droplet::Airborne& part : parts) all.add(part);
  return all.concentration_kg_per_m3(airborne_window_s);
}

/// What is seen of one regime.
FlownAir flown(HouseRun& run, const RegimeSpray& spray, const std::vector<HeadBurst>& bursts,
               const HeadBurst& head, const std::vector<SizeSeen>& sizes) {
  const Air air(run, spray);
  FlownAir seen{.spray = spray,
                .K_m2_per_s = air.drying_m2_per_s(),
                .sizes = {},
                .head = {},
                .airborne_kg_per_m3 = {}};
  const std::vector<droplet::Outcome> outcomes = air.outcomes(head.sprayed);
  for (const SizeSeen& size : sizes) {
    FlownSize one;
    one.tracks = air.tracks(head.sprayed.launch, size.diameter_m, tracks_a_size, {tracks_until_s},
                            stream_of("tracks of drops") + size.size_class);
    for (droplet::Track& track : one.tracks)
      track.points = droplet::thinned(track.points, track_tolerance_m, most_track_points);
    one.outcome = outcomes[size.size_class];
    one.landing_distance_m = landing_distance_m(one.outcome, head.sprayed.launch, run.plan());
    seen.sizes.push_back(std::move(one));
  }
  double so_far_kg = 0.0;
  for (std::size_t k = 0; k < outcomes.size(); ++k) {
    const double kg = head.sprayed.class_kg[k];
    if (kg <= 0.0) continue;
    so_far_kg += kg;
    seen.head = seen.head.bench.empty() ? outcomes[k]
                                        : droplet::blend(seen.head, outcomes[k], kg / so_far_kg);
  }
  seen.airborne_kg_per_m3 = air.airborne_kg_per_m3(bursts);
  return seen;
}

}  // namespace

std::optional<DropsSeen> drops_seen(HouseRun& run) {
  const std::vector<HeadBurst> bursts = typical_bursts(run);
  const auto& sprays = run.water().ledger().by_regime;
  if (bursts.empty() || sprays.empty() || run.plan().benches.cells.empty()) return std::nullopt;
  const HeadBurst& head = middle_head(bursts, run.plan());
  DropsSeen seen{.head = head.sprayed.head,
                 .launch = head.sprayed.launch,
                 .sizes = sizes_of(head.sprayed, run.water().classes()),
                 .airs = {}};
  for (const bool fan_on : {false, true}) {
    const RegimeSpray* most = nullptr;
    for (const RegimeSpray& spray : sprays) {
      const DeviceState devices =
          DeviceState::from_key(spray.regime, run.house().fans.size(), run.house().openings.size());
      const bool blown = std::any_of(devices.fan_on.begin(), devices.fan_on.end(),
                                     [](auto on) { return on != 0; });
      if (blown == fan_on && spray.sprayed_kg > 0.0 &&
          (most == nullptr || spray.sprayed_kg > most->sprayed_kg))
        most = &spray;
    }
    if (most == nullptr) continue;
    seen.airs.push_back(flown(run, *most, bursts, head, seen.sizes));
    seen.airs.back().fan_on = fan_on;
  }
  return seen;
}

}  // namespace mistwright
