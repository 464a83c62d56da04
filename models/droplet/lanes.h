#pragma once
// Parcels flown side by side: each row holds one number of W parcels, so that an instruction moves
// several of them and none waits for another's. A parcel's numbers do not depend on W.
//
// One step: the air is looked up where the parcel is. What the last step got wrong, since it took
// the air of its start for the whole way, is put right: half the change of the air, and half the
// change of the step's length times sigma. The eddy changes, by half its drift before and half
// after. The parcel moves. In that order and with that correction the walk is of second order with
// one look a step, though steps differ from place to place: position Verlet for the Langevin
// equation (Leimkuhler and Matthews 2013, Appl. Math. Res. Express 2013:34, from memory) in
// Thomson's variables, with Heun's correction a step late; derived here. Left out: that correction
// after a touch.
#include <array>
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <optional>
#include <vector>

#include "models/droplet/flying.h"
#include "models/droplet/touch.h"

namespace mistwright::droplet {

template <std::size_t W>
struct alignas(W < 8 ? 8 : 64) Row {
  double value[W] = {};
  [[gnu::always_inline]] double& operator[](std::size_t l) { return value[l]; }
  [[gnu::always_inline]] const double& operator[](std::size_t l) const { return value[l]; }
};

/// Three numbers with mean 0 and variance 1 for each lane and step, from a counter.
template <std::size_t W>
class Shakers {
 public:
  explicit Shakers(std::uint64_t seed) : key_{seed & low_half, seed >> 32U} {}
  void start(std::size_t l, std::uint64_t stream) {
    stream_[0][l] = stream & low_half;
    stream_[1][l] = stream >> 32U;
    draw_[l] = 0;
  }
  [[gnu::always_inline]] void draw(Row<W>& x, Row<W>& y, Row<W>& z) {
#pragma omp simd
    for (std::size_t l = 0; l < W; ++l) {
      const PhiloxWords drawn =
          philox4x32_words({draw_[l], 1U, stream_[0][l], stream_[1][l]}, key_[0], key_[1]);
      draw_[l] += 1;
      x[l] = shaken_ratio(drawn.a);
      y[l] = shaken_ratio(drawn.b);
      z[l] = shaken_ratio(drawn.c);
    }
  }

 private:
  static constexpr std::uint64_t low_half = 0xFFFFFFFFU;
  std::array<std::uint64_t, 2> key_;
  alignas(W < 8 ? 8 : 64) std::uint64_t stream_[2][W] = {};
  alignas(W < 8 ? 8 : 64) std::uint64_t draw_[W] = {};
};

template <std::size_t W>
struct Lanes {
  Lanes(const Flying& all, std::uint64_t seed) : flying(all), shakers(seed) {}

  /// A parcel takes a lane; what it draws is named by a stream.
  void start(std::size_t l, const Parcel& p, std::uint64_t stream) {
    put(l, p);
    shakers.start(l, stream);
  }
  [[nodiscard]] Parcel get(std::size_t l) const {
    Parcel p;
    p.at = {x_m[l], y_m[l], z_m[l]};
    p.v = {u[l], v[l], w[l]};
    p.slip = {slip_u[l], slip_v[l], slip_w[l]};
    p.omega = {omega_x[l], omega_y[l], omega_z[l]};
    p.diameter_m = diameter_m[l];
    p.mass_fraction = mass[l];
    p.first_mass_fraction = first_mass[l];
    p.age_s = age_s[l];
    p.jet_ends_s = jet_ends_s[l];
    p.patch = {place2[l],     place_speed[l], place_eddy[l], speed2[l],
               speed_eddy[l], eddy2[l],       slip2[l],      grows[l] > 0.5};
    return p;
  }
  /// Puts a parcel back; nothing of its last step is put right any more.
  void put(std::size_t l, const Parcel& p) {
    x_m[l] = p.at.x_m, y_m[l] = p.at.y_m, z_m[l] = p.at.z_m;
    u[l] = p.v.u_m_per_s, v[l] = p.v.v_m_per_s, w[l] = p.v.w_m_per_s;
    slip_u[l] = p.slip.u_m_per_s, slip_v[l] = p.slip.v_m_per_s, slip_w[l] = p.slip.w_m_per_s;
    omega_x[l] = p.omega[0], omega_y[l] = p.omega[1], omega_z[l] = p.omega[2];
    diameter_m[l] = p.diameter_m;
    mass[l] = p.mass_fraction;
    first_mass[l] = p.first_mass_fraction;
    age_s[l] = p.age_s;
    jet_ends_s[l] = p.jet_ends_s;
    place2[l] = p.patch.place2_m2;
    place_speed[l] = p.patch.place_speed_m2_per_s;
    place_eddy[l] = p.patch.place_eddy_m;
    speed2[l] = p.patch.speed2_m2_per_s2;
    speed_eddy[l] = p.patch.speed_eddy_m_per_s;
    eddy2[l] = p.patch.eddy2_ratio;
    slip2[l] = p.patch.slip2_m2_per_s2;
    grows[l] = p.patch.grows ? 1.0 : 0.0;
    forget(l);
  }
  /// Keeps an empty lane's numbers harmless.
  void park(std::size_t l) {
    age_s[l] = omega_x[l] = omega_y[l] = omega_z[l] = 0.0;
    forget(l);
  }
  void forget(std::size_t l) { was_followed_s[l] = was_share_ratio[l] = was_gained_ratio[l] = 0.0; }

  [[nodiscard]] Point at(std::size_t l) const { return {x_m[l], y_m[l], z_m[l]}; }
  [[nodiscard]] Approach approach(std::size_t l) const {
    return {1.0 / rate_per_s[l], sink_m_per_s[l], sigma[l]};
  }
  [[nodiscard]] Point to(std::size_t l) const { return {to_x[l], to_y[l], to_z[l]}; }
  /// Ends the step's way through the air early.
  void touch_after(std::size_t l, double way_s) {
    const Relaxation relax = Relaxation::over(way_s, rate_per_s[l]);
    in_air_s[l] = way_s;
    reach_s[l] = relax.reach_s;
    decay_factor[l] = relax.decay_factor;
    eddy_kept_ratio[l] = memory_ratio(way_s / crossing_s[l]);
  }
  void reach(std::size_t l) { x_m[l] = to_x[l], y_m[l] = to_y[l], z_m[l] = to_z[l]; }

  /// Lanes that are left out together when none of them has a jet to meet, or a patch that grows.
  static constexpr std::size_t few = W < 4 ? W : 4;
  /// The lanes whose step may touch something, and those that are to be looked at: one bit each.
  [[nodiscard]] std::uint32_t near_lanes() const {
    std::uint32_t bits = 0;
    for (std::size_t l = 0; l < W; ++l) bits |= (spare_m[l] > 0.0 ? 0U : 1U) << l;
    return bits;
  }
  [[nodiscard]] std::uint32_t closer_lanes() const {
    std::uint32_t bits = 0;
    for (std::size_t l = 0; l < W; ++l) bits |= (closer[l] > 0.5 ? 1U : 0U) << l;
    return bits;
  }

  // Parcels; see Parcel and Patch.
  Row<W> x_m, y_m, z_m, u, v, w;  ///< speeds in m/s
  Row<W> slip_u, slip_v, slip_w, omega_x, omega_y, omega_z;
  Row<W> diameter_m, mass, first_mass, age_s, jet_ends_s;
  Row<W> place2, place_speed, place_eddy, speed2, speed_eddy, eddy2, slip2, grows;
  // Of this step.
  std::size_t cell[W] = {};
  Row<W> sigma, dt_s, rate_per_s, sink_m_per_s;
  Row<W> late_x, late_y, late_z;  ///< by which the last step went wrong
  Row<W> to_x, to_y, to_z;
  Row<W> spare_m;   ///< at nought or below the step may touch something
  Row<W> in_air_s;  ///< of the step, until it touches something
  /// What drag and turbulence do in that time; see Relaxation and memory_ratio().
  Row<W> reach_s, decay_factor, eddy_kept_ratio;
  Row<W> evaporated;  ///< mass lost since the step began
  Row<W> stopped;     ///< 1: its patch has just ceased to grow
  Row<W> closer;      ///< 1: not moved yet, since it needs a closer look

  // The loops that look(), go() and arrive() are made of (lanes.cpp).
  [[gnu::always_inline]] void look_up();
  [[gnu::always_inline]] void meet_jets();
  template <bool Cone>
  [[gnu::always_inline]] void carry(std::size_t first);
  [[gnu::always_inline]] void choose_steps();
  [[gnu::always_inline]] void turn_eddies();
  [[gnu::always_inline]] void move();
  [[gnu::always_inline]] void dry();
  [[gnu::always_inline]] void widen();
  [[gnu::always_inline]] void widen_from(std::size_t first);
  [[gnu::always_inline]] void settle();
  [[gnu::always_inline]] [[nodiscard]] double path_sigma_ratio(std::size_t l) const {
    return Patch::path_sigma_ratio(grows[l] > 0.5);
  }

  const Flying& flying;
  Shakers<W> shakers;
  // Of this step and between its parts.
  Row<W> mean_u, mean_v, mean_w, jet_m_per_s, jet_distance_m;
  Row<W> slope_x, slope_y, slope_z, timescale_s, strain_per_s, crossing_s, reynolds, clearance_m;
  Row<W> shake_x, shake_y, shake_z;
  // Of the last step.
  Row<W> was_u, was_v, was_w, was_dt_s, was_followed_s, was_share_ratio, was_gained_ratio;
};

/// What each parcel meets, how long its next step is, and how its last one is put right.
void look(Lanes<1>& lanes);
void look(Lanes<16>& lanes);

/// Says where the steps lead, the last ones' correction with them, and whether anything may be
/// touched on the way.
void go(Lanes<1>& lanes);
void go(Lanes<16>& lanes);

/// Lets drops dry and patches grow while the parcels are in the air (in_air_s), and moves those
/// that need no closer look.
void arrive(Lanes<1>& lanes);
void arrive(Lanes<16>& lanes);

/// The rest of a single parcel's step after look(): whatever it touches first is left to the
/// caller, and without a touch so is its move (reach()).
[[nodiscard]] std::optional<Contact> step_after_look(Lanes<1>& lanes, const Surroundings& around);

}  // namespace mistwright::droplet
