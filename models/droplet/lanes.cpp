#include "models/droplet/lanes.h"

#include <algorithm>

// The loops are compiled twice, for machines with wide registers and for any; both give the same
// bits, for neither fuses a product with a sum. A sanitizer cannot start such a program.
#if defined(__x86_64__) && defined(__GNUC__) && !defined(__clang__) && \
    !defined(__SANITIZE_ADDRESS__) && !defined(__SANITIZE_THREAD__)
#define MISTWRIGHT_WIDE [[gnu::target_clones("avx2", "default")]]
#else
#define MISTWRIGHT_WIDE
#endif

namespace mistwright::droplet {

namespace {

/// By value: of two numbers' addresses the compiler cannot choose for several lanes at once.
[[gnu::always_inline]] inline double least(double a, double b) {
  return b < a ? b : a;
}

}  // namespace

template <std::size_t W>
inline void Lanes<W>::look_up() {
  const FieldSeen& field = flying.sky.seen;
  const double* const clearances = flying.clearance_m.data();
#pragma omp simd
  for (std::size_t l = 0; l < W; ++l) {
    const Seen seen = field.at(x_m[l], y_m[l], z_m[l]);
    mean_u[l] = seen.u_m_per_s, mean_v[l] = seen.v_m_per_s, mean_w[l] = seen.w_m_per_s;
    sigma[l] = seen.sigma_m_per_s;
    slope_x[l] = seen.slope_x_per_s, slope_y[l] = seen.slope_y_per_s;
    slope_z[l] = seen.slope_z_per_s;
    timescale_s[l] = seen.timescale_s;
    cell[l] = seen.cell;
    clearance_m[l] = clearances[seen.cell];
    strain_per_s[l] = seen.level_strain_per_s;
  }
}

template <std::size_t W>
inline void Lanes<W>::meet_jets() {
  const bool cone = flying.sky.induced.cone();
  for (std::size_t first = 0; first < W; first += few) {
    bool any = false;
    for (std::size_t l = first; l < first + few; ++l) {
      any = any | (age_s[l] < jet_ends_s[l]);
      jet_m_per_s[l] = jet_distance_m[l] = 0.0;
    }
    if (!any) continue;
    if (cone)
      carry<true>(first);
    else
      carry<false>(first);
  }
}

template <std::size_t W>
template <bool Cone>
inline void Lanes<W>::carry(std::size_t first) {
  const Sky& sky = flying.sky;
  const double x0 = sky.launch.x_m, y0 = sky.launch.y_m, z0 = sky.launch.z_m;
#pragma omp simd
  for (std::size_t l = first; l < first + few; ++l) {
    const Offset off{x_m[l] - x0, y_m[l] - y0, z_m[l] - z0};
    const Velocity jet = sky.induced.carrying_in<Cone>(off);
    const double on = age_s[l] < jet_ends_s[l] ? 1.0 : 0.0;
    mean_u[l] += on * jet.u_m_per_s;
    mean_v[l] += on * jet.v_m_per_s;
    mean_w[l] += on * jet.w_m_per_s;
    jet_m_per_s[l] = on * std::sqrt(jet.u_m_per_s * jet.u_m_per_s + jet.v_m_per_s * jet.v_m_per_s +
                                    jet.w_m_per_s * jet.w_m_per_s);
    jet_distance_m[l] = std::sqrt(off.x_m * off.x_m + off.y_m * off.y_m + off.z_m * off.z_m);
  }
}

template <std::size_t W>
inline void Lanes<W>::choose_steps() {
  const Motion& motion = flying.sky.motion;
  const double edge_m = flying.sky.seen.cell_edge_m();
  // At rest a drop loses at most a quarter of its square in a step; one that never dries never
  // does.
  const double per_K = flying.K_m2_per_s > 0.0 ? 0.25 / flying.K_m2_per_s : 1e30;
#pragma omp simd
  for (std::size_t l = 0; l < W; ++l) {
    const double s = sigma[l], level = s * path_sigma_ratio(l);
    const double air_u = mean_u[l] + level * omega_x[l];
    const double air_v = mean_v[l] + level * omega_y[l];
    const double air_w = mean_w[l] + s * omega_z[l];
    const double du = u[l] - air_u, dv = v[l] - air_v, dw = w[l] - air_w;
    const Pace pace = pace_at(motion, diameter_m[l], du * du + dv * dv + dw * dw, slip2[l]);
    const double slip =
        std::sqrt(slip_u[l] * slip_u[l] + slip_v[l] * slip_v[l] + slip_w[l] * slip_w[l]);
    const double mean =
        std::sqrt(mean_u[l] * mean_u[l] + mean_v[l] * mean_v[l] + mean_w[l] * mean_w[l]);
    const double off_w = dw + pace.sink_m_per_s;
    crossing_s[l] = crossing_time_s(timescale_s[l], std::max(slip, pace.sink_m_per_s), s);
    const double dt =
        step_s(motion, diameter_m[l], pace,
               {crossing_s[l], edge_m, usual_speed_m_per_s(mean, slip, s),
                du * du + dv * dv + off_w * off_w, s, jet_m_per_s[l], jet_distance_m[l]});
    rate_per_s[l] = pace.rate_per_s;
    sink_m_per_s[l] = pace.sink_m_per_s;
    reynolds[l] = pace.reynolds_number;
    const double dries = per_K * diameter_m[l] * diameter_m[l];
    dt_s[l] = std::min(std::min(dt, dries), longest_flight_s - age_s[l] + 1e-9);
    // The last step: half the change of the air for as long as the drop followed it, and half the
    // change of what turbulence does in a step.
    const double change = 0.5 * was_followed_s[l];
    const double longer = 0.5 * was_share_ratio[l] * (dt_s[l] - was_dt_s[l]) * s;
    const double gust_u = longer * path_sigma_ratio(l) * omega_x[l];
    const double gust_v = longer * path_sigma_ratio(l) * omega_y[l];
    late_x[l] = change * (air_u - was_u[l]) + gust_u;
    late_y[l] = change * (air_v - was_v[l]) + gust_v;
    late_z[l] = change * (air_w - was_w[l]) + longer * omega_z[l];
    u[l] += 0.5 * was_gained_ratio[l] * (air_u - was_u[l]);
    v[l] += 0.5 * was_gained_ratio[l] * (air_v - was_v[l]);
    w[l] += 0.5 * was_gained_ratio[l] * (air_w - was_w[l]);
  }
}

template <std::size_t W>
inline void Lanes<W>::turn_eddies() {
#pragma omp simd
  for (std::size_t l = 0; l < W; ++l) {
    const double decay = memory_ratio(dt_s[l] / crossing_s[l]);
    eddy_kept_ratio[l] = decay;
    const double shake = std::sqrt(1.0 - decay * decay);
    // A patch drifts as a whole where turbulence is uneven, with the path's part of the speed.
    const double level = 0.5 * dt_s[l] / path_sigma_ratio(l), up = 0.5 * dt_s[l];
    omega_x[l] = turned_eddy_ratio(omega_x[l], {decay, level * slope_x[l], shake * shake_x[l]});
    omega_y[l] = turned_eddy_ratio(omega_y[l], {decay, level * slope_y[l], shake * shake_y[l]});
    omega_z[l] = turned_eddy_ratio(omega_z[l], {decay, up * slope_z[l], shake * shake_z[l]});
  }
}

template <std::size_t W>
inline void Lanes<W>::move() {
  const double length_m = flying.length_m, width_m = flying.width_m;
  const OpenAir open = flying.open_air;
#pragma omp simd
  for (std::size_t l = 0; l < W; ++l) {
    const double dt = dt_s[l], sink = sink_m_per_s[l];
    const double level = sigma[l] * path_sigma_ratio(l);
    const double air_u = mean_u[l] + level * omega_x[l];
    const double air_v = mean_v[l] + level * omega_y[l];
    const double air_w = mean_w[l] + sigma[l] * omega_z[l];
    const Relaxation relax = Relaxation::over(dt, rate_per_s[l]);
    const double off_u = u[l] - air_u, off_v = v[l] - air_v, off_w = w[l] - (air_w - sink);
    const double by_x = late_x[l] + (air_u * dt + off_u * relax.reach_s);
    const double by_y = late_y[l] + (air_v * dt + off_v * relax.reach_s);
    const double by_z = late_z[l] + ((air_w - sink) * dt + off_w * relax.reach_s);
    const double x = x_m[l] + by_x, y = y_m[l] + by_y, z = z_m[l] + by_z;
    to_x[l] = x, to_y[l] = y, to_z[l] = z;
    const double by = std::max(std::max(std::fabs(by_x), std::fabs(by_y)), std::fabs(by_z));
    const double off_sides_m = least(y, width_m - y);
    const double in_open_m = least(least(z_m[l], z) - open.low_m, open.high_m(off_sides_m) - z);
    const double in_cell_m = clearance_m[l];
    const double off_all_m = in_cell_m < 0.0 ? in_cell_m : std::max(in_cell_m - by, in_open_m);
    spare_m[l] = least(least(off_all_m, off_sides_m), least(least(x, length_m - x), z));
    u[l] = air_u + off_u * relax.decay_factor;
    v[l] = air_v + off_v * relax.decay_factor;
    w[l] = air_w - sink + off_w * relax.decay_factor;
    slip_u[l] *= relax.decay_factor;
    slip_v[l] *= relax.decay_factor;
    slip_w[l] = (slip_w[l] + sink) * relax.decay_factor - sink;
    age_s[l] += dt;
    in_air_s[l] = dt;
    reach_s[l] = relax.reach_s;
    decay_factor[l] = relax.decay_factor;
    was_u[l] = air_u, was_v[l] = air_v, was_w[l] = air_w;
    was_dt_s[l] = dt;
    was_followed_s[l] = dt - relax.reach_s;
    was_share_ratio[l] = 1.0 - relax.reach_s / dt;
    was_gained_ratio[l] = 1.0 - relax.decay_factor;
  }
}

/// Until it touches something a drop dries. One smaller than smallest_drop_m is gone.
template <std::size_t W>
inline void Lanes<W>::dry() {
  const double K = flying.K_m2_per_s;
  if (K <= 0.0) return;
#pragma omp simd
  for (std::size_t l = 0; l < W; ++l) {
    const double vent = 1.0 + flying.ventilation_factor * std::sqrt(reynolds[l]);
    const double before = diameter_m[l] * diameter_m[l];
    const double after = before - K * vent * in_air_s[l];
    const bool gone = after <= smallest_drop_m * smallest_drop_m;
    const double ratio = gone ? 0.0 : after / before;
    const double kept = ratio * std::sqrt(ratio);
    evaporated[l] = mass[l] * (1.0 - kept);
    mass[l] *= kept;
    // What is left may be small against the first mass because the drop dried, not because it was
    // shared out.
    first_mass[l] *= kept;
    diameter_m[l] = gone ? diameter_m[l] : std::sqrt(std::max(after, 0.0));
  }
}

/// Patches grow, and end well before walls, which take up what turbulence throws at them.
template <std::size_t W>
inline void Lanes<W>::widen() {
  for (std::size_t first = 0; first < W; first += few) {
    bool any = false;
    for (std::size_t l = first; l < first + few; ++l) {
      any = any | (eddy2[l] >= Patch::least_eddy2_ratio);
      stopped[l] = 0.0;
    }
    if (any) widen_from(first);
  }
}

template <std::size_t W>
inline void Lanes<W>::widen_from(std::size_t first) {
  constexpr double per_widths_to_walls = 1.0 / 3.0;
  const double length_m = flying.length_m, width_m = flying.width_m;
  const double widest_of_all_m = flying.widest_patch_m;
#pragma omp simd
  for (std::size_t l = first; l < first + few; ++l) {
    const double x = x_m[l], y = y_m[l];
    const double wall_m = least(least(x, length_m - x), least(y, width_m - y));
    const double widest_m = least(widest_of_all_m, wall_m * per_widths_to_walls);
    Patch patch{place2[l],     place_speed[l], place_eddy[l], speed2[l],
                speed_eddy[l], eddy2[l],       slip2[l],      grows[l] > 0.5};
    const bool stops = patch.step({in_air_s[l], reach_s[l], decay_factor[l], eddy_kept_ratio[l],
                                   1.0 + strain_per_s[l] * in_air_s[l]},
                                  sigma[l], widest_m);
    place2[l] = patch.place2_m2;
    place_speed[l] = patch.place_speed_m2_per_s;
    place_eddy[l] = patch.place_eddy_m;
    speed2[l] = patch.speed2_m2_per_s2;
    speed_eddy[l] = patch.speed_eddy_m_per_s;
    eddy2[l] = patch.eddy2_ratio;
    slip2[l] = patch.slip2_m2_per_s2;
    grows[l] = patch.grows ? 1.0 : 0.0;
    stopped[l] = stops ? 1.0 : 0.0;
  }
}

template <std::size_t W>
inline void Lanes<W>::settle() {
#pragma omp simd
  for (std::size_t l = 0; l < W; ++l) {
    const double gone = mass[l] > 0.0 ? 0.0 : 1.0;
    const double over = age_s[l] < longest_flight_s ? 0.0 : 1.0;
    const double near = spare_m[l] > 0.0 ? 0.0 : 1.0;
    closer[l] = std::max(std::max(near, stopped[l]), std::max(gone, over));
    const double look = closer[l];
    const double x = x_m[l], y = y_m[l], z = z_m[l], a = to_x[l], b = to_y[l], c = to_z[l];
    x_m[l] = look > 0.5 ? x : a;
    y_m[l] = look > 0.5 ? y : b;
    z_m[l] = look > 0.5 ? z : c;
  }
}

namespace {

template <std::size_t W>
[[gnu::always_inline]] inline void look_in(Lanes<W>& lanes) {
  lanes.look_up();
  lanes.meet_jets();
  lanes.choose_steps();
}

template <std::size_t W>
[[gnu::always_inline]] inline void go_in(Lanes<W>& lanes) {
  lanes.shakers.draw(lanes.shake_x, lanes.shake_y, lanes.shake_z);
  lanes.turn_eddies();
  lanes.move();
}

template <std::size_t W>
[[gnu::always_inline]] inline void arrive_in(Lanes<W>& lanes) {
  lanes.dry();
  lanes.widen();
  lanes.settle();
}

}  // namespace

MISTWRIGHT_WIDE void look(Lanes<1>& lanes) {
  look_in(lanes);
}
MISTWRIGHT_WIDE void look(Lanes<16>& lanes) {
  look_in(lanes);
}
MISTWRIGHT_WIDE void go(Lanes<1>& lanes) {
  go_in(lanes);
}
MISTWRIGHT_WIDE void go(Lanes<16>& lanes) {
  go_in(lanes);
}
MISTWRIGHT_WIDE void arrive(Lanes<1>& lanes) {
  arrive_in(lanes);
}
MISTWRIGHT_WIDE void arrive(Lanes<16>& lanes) {
  arrive_in(lanes);
}

std::optional<Contact> step_after_look(Lanes<1>& lanes, const Surroundings& around) {
  go(lanes);
  const auto touch = around.first_contact(lanes.at(0), lanes.to(0));
  if (touch) lanes.touch_after(0, touch->share_fraction * lanes.dt_s[0]);
  arrive(lanes);
  return touch;
}

}  // namespace mistwright::droplet
