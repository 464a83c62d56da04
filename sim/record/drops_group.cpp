// How the water flies: tracks of single drops of one head, the water in the air of the section
// along the house, and where that head's water lands, with the fans off and on.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "sim/house/drops_seen.h"
#include "sim/record/columns.h"

namespace mistwright::record {
namespace {

constexpr double afloat_flag = 6.0;

std::vector<double> fates_of(const droplet::Outcome& o) {
  return {o.bench_fraction(), o.floor_fraction,      o.wall_fraction,
          o.cover_fraction,   o.evaporated_fraction, o.out_fraction};
}

/// One value for each regime.
std::vector<double> by_air(const DropsSeen& seen,
                           const std::function<double(const FlownAir&)>& of) {
  return made(seen.airs.size(), [&](std::size_t a) { return of(seen.airs[a]); });
}

void add_airs(Columns& columns, const DropsSeen& seen, const HouseRun& run) {
  columns.whole("fans", "whether a fan runs", {"fans"},
                by_air(seen, [](const FlownAir& air) { return air.fan_on ? 1.0 : 0.0; }),
                {"off", "on"});
  columns.whole("flow", "N of the group flow_N that holds this air", {"fans"},
                by_air(seen, [&](const FlownAir& air) {
                  const auto& slots = run.shared().slots;
                  return static_cast<double>(
                      std::find(slots.begin(), slots.end(), air.spray.regime) - slots.begin());
                }));
  columns.add("sprayed", "water that the run sprayed into this air", "kg", {"fans"},
              by_air(seen, [](const FlownAir& air) { return air.spray.sprayed_kg; }));
  columns.add("evaporation_constant",
              "fall of the square of a drop's diameter in still air, the mean over that water",
              "m2 s-1", {"fans"}, by_air(seen, [](const FlownAir& air) { return air.K_m2_per_s; }));
}

void add_sizes(Columns& columns, const DropsSeen& seen) {
  const std::size_t sizes = seen.sizes.size();
  columns.whole("size", "droplet size, the smallest first", {"size"}, counting(sizes));
  columns.add("diameter", "droplet diameter at the head", "m", {"size"},
              made(sizes, [&](std::size_t s) { return seen.sizes[s].diameter_m; }));
  columns.add("finer_share", "of the head's water, in drops of this size class and finer", "1",
              {"size"}, made(sizes, [&](std::size_t s) { return seen.sizes[s].finer_fraction; }));
  columns.whole("fate", "where water ends", {"fate"}, counting(6),
                {"bench", "floor", "walls", "cover", "air", "out"});
  std::vector<double> shares, distances_m;
  for (const FlownAir& air : seen.airs)
    for (const FlownSize& size : air.sizes) {
      const auto own = fates_of(size.outcome);
      shares.insert(shares.end(), own.begin(), own.end());
      distances_m.push_back(size.landing_distance_m.value_or(std::nan("")));
    }
  columns.add("fate_share", "share of the head's water of this size", "1", {"fans", "size", "fate"},
              std::move(shares));
  columns.add("landing_distance",
              "level distance from the head within which half of what lands on benches does", "m",
              {"fans", "size"}, std::move(distances_m));
}

/// Tracks one after the other, their points too, each track saying how many it has.
void add_tracks(Group& group, Columns& columns, const DropsSeen& seen) {
  std::vector<double> fans, sizes, fates, counts, x, y, z, age, diameter;
  for (const FlownAir& air : seen.airs)
    for (std::size_t s = 0; s < air.sizes.size(); ++s)
      for (const droplet::Track& track : air.sizes[s].tracks) {
        fans.push_back(air.fan_on ? 1.0 : 0.0);
        sizes.push_back(static_cast<double>(s));
        fates.push_back(track.afloat ? afloat_flag : static_cast<double>(track.fate));
        counts.push_back(static_cast<double>(track.points.size()));
        for (const droplet::TrackPoint& p : track.points) {
          x.push_back(p.at.x_m);
          y.push_back(p.at.y_m);
          z.push_back(p.at.z_m);
          age.push_back(p.age_s);
          diameter.push_back(p.diameter_m);
        }
      }
  group.dimensions.push_back({"track", counts.size()});
  group.dimensions.push_back({"point", x.size()});
  columns.whole("track", "number of the track", {"track"}, counting(counts.size()));
  columns.whole("point", "number of the point, those of one track together", {"point"},
                counting(x.size()));
  columns.whole("track_fans", "whether a fan runs", {"track"}, std::move(fans), {"off", "on"});
  columns.whole("track_size", "droplet size", {"track"}, std::move(sizes));
  columns.whole("track_fate", "where the drop ends", {"track"}, std::move(fates),
                {"bench", "floor", "walls", "cover", "air", "out", "afloat"});
  columns.whole("point_count", "points of the track", {"track"}, std::move(counts))
      .attributes["sample_dimension"] = "point";
  columns.add("point_x", "place along the house", "m", {"point"}, std::move(x));
  columns.add("point_y", "place across the house", "m", {"point"}, std::move(y));
  columns.add("point_z", "place above the floor", "m", {"point"}, std::move(z));
  columns.add("point_age", "time since the drop left the head", "s", {"point"}, std::move(age));
  columns.add("point_diameter", "diameter of what is left of the drop", "m", {"point"},
              std::move(diameter));
}

void add_maps(Columns& columns, const DropsSeen& seen, const Plan& plan) {
  columns.add("z", "centre of the cell above the floor", "m", {"z"},
              made(plan.grid.nz, [&](std::size_t k) { return plan.grid.z_centre_m(k); }));
  columns.add("x", "centre of the cell along the house", "m", {"x"},
              made(plan.grid.nx, [&](std::size_t i) { return plan.grid.x_centre_m(i); }));
  columns.whole("cell", "cell of the bench map", {"cell"}, counting(plan.benches.cells.size()));
  std::vector<double> airborne, landed;
  for (const FlownAir& air : seen.airs) {
    airborne.insert(airborne.end(), air.airborne_kg_per_m3.begin(), air.airborne_kg_per_m3.end());
    landed.insert(landed.end(), air.head.bench.begin(), air.head.bench.end());
  }
  columns.add("airborne_water",
              "water in the air, mean across the house and over the time from the start of a burst",
              "kg m-3", {"fans", "z", "x"}, std::move(airborne));
  columns.add("head_share", "share of the head's water that lands on the cell", "1",
              {"fans", "cell"}, std::move(landed));
}

}  // namespace

std::optional<Group> drops_group(HouseRun& run) {
  const std::optional<DropsSeen> seen = drops_seen(run);
  if (!seen) return std::nullopt;
  const Plan& plan = run.plan();
  Group group{.name = "drops",
              .dimensions = {{"fans", seen->airs.size()},
                             {"size", seen->sizes.size()},
                             {"fate", 6},
                             {"z", plan.grid.nz},
                             {"x", plan.grid.nx},
                             {"cell", plan.benches.cells.size()}},
              .variables = {}};
  group.attributes = {
      {"head", fmt::format("{}", seen->head)},
      {"head_x_m", fmt::format("{}", seen->launch.x_m)},
      {"head_y_m", fmt::format("{}", seen->launch.y_m)},
      {"head_z_m", fmt::format("{}", seen->launch.z_m)},
      {"tracks_until_s", fmt::format("{}", tracks_until_s)},
      {"airborne_window_s", fmt::format("{}", airborne_window_s)},
      {"method",
       "Single drops flown once the run is over, in the air of the group flow_N, drying at the "
       "mean "
       "K that this run's water met in it. Tracks and head_share: the head nearest the middle of "
       "the benches, at the pressure of its zone open alone. airborne_water: every zone opened "
       "once "
       "for its longest burst, each from its own head's first drop."}};
  Columns columns(group);
  add_airs(columns, *seen, run);
  add_sizes(columns, *seen);
  add_tracks(group, columns, *seen);
  add_maps(columns, *seen, plan);
  return group;
}

}  // namespace mistwright::record
