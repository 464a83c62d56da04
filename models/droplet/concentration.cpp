#include "models/droplet/concentration.h"

#include <algorithm>
#include <cmath>

#include "models/contracts.h"
#include "models/droplet/flight.h"
#include "models/flow/wide.h"
#include "models/units.h"

namespace mistwright::droplet {

namespace {

constexpr double first_age_s = 0.05;
constexpr double age_growth_ratio = 0.12;  ///< of a stretch over the age at its start
constexpr double longest_stretch_s = 60.0;
constexpr double most_dried_fraction = 0.1;  ///< of the diameter's square, in a stretch
/// A settling cloud is followed for so many falls from the roof.
constexpr double falls_number = 20.0;
/// Bound on the square of a step's share of a cell plus twice its diffusion number.
constexpr double stable_number = 0.8;
/// A puff's root variance over the wished edge of a cell.
constexpr double puff_ratio = 0.7;

/// Taylor's variance over sigma^2 T^2 at an age over T.
double taylor_ratio(double age) {
  return 2.0 * (age < 1e-3 ? 0.5 * age * age : age - 1.0 + std::exp(-age));
}

/// Age over T at which Taylor's variance reaches a value over sigma^2 T^2.
double taylor_age(double ratio) {
  double age = ratio < 1.0 ? std::sqrt(ratio) : 0.5 * ratio + 1.0;
  for (int i = 0; i < 8; ++i)
    age -= (taylor_ratio(age) - ratio) / std::max(1e-12, 2.0 * -std::expm1(-age));
  return age;
}

/// Speed over concentration at which a wall takes drops whose touches come from Gaussian speeds:
/// the share kept of one touch averaged over the speeds of touching drops, those given back again.
double wall_takes_m_per_s(double sigma_m_per_s, double relaxation_s) {
  constexpr int points = 12;
  constexpr double widest = 4.0;
  double kept = 0.0, all = 0.0;
  for (int n = 0; n < points; ++n) {
    const double a = widest * (n + 0.5) / points, weight = a * std::exp(-0.5 * a * a);
    kept += weight * impacted_fraction(a * sigma_m_per_s, relaxation_s);
    all += weight;
  }
  const double share = kept / all;
  return share * sigma_m_per_s * std::sqrt(2.0 / pi) / (2.0 - share);
}

/// Speed over concentration at which all that reaches an opening leaves: the mean of the outward
/// speeds of Gaussian ones.
double opening_takes_m_per_s(double sigma_m_per_s, double out_m_per_s) {
  const double a = out_m_per_s / std::max(sigma_m_per_s, 1e-9);
  if (a > 6.0) return out_m_per_s;
  const double outward = 0.5 * std::erfc(-a / std::sqrt(2.0));
  const double density = std::exp(-0.5 * a * a) / std::sqrt(2.0 * pi);
  return outward > 1e-9 ? sigma_m_per_s * (density / outward + a) : 0.0;
}

/// Rate at which drying takes water [1/s]; a class that ends dries within the stretch.
double drying_per_s(const Stretch& ages) {
  constexpr double all = 60.0;
  const double taken = ages.kept_fraction > 0.0 ? -std::log(ages.kept_fraction) : all;
  return taken / (ages.to_s - ages.from_s);
}

}  // namespace

std::vector<Stretch> stretches(const CloudDrops& drops, const AirState& state, double height_m) {
  const DragAir air = drag_air(state);
  const double K = drops.evaporation_constant_m2_per_s;
  const double per_speed = air.density_kg_per_m3 / air.viscosity_Pa_s;
  const double schmidt = schmidt_number(state);
  const auto fall = [&](double d) { return sphere_terminal_velocity_m_per_s(d, air); };
  const auto shrinking = [&](double d) {
    return K * ventilation_factor(per_speed * d * fall(d), schmidt);
  };
  double end_s = longest_flight_s;
  if (K == 0.0) end_s = std::min(end_s, 5.0 + falls_number * height_m / fall(drops.diameter_m));
  std::vector<Stretch> ages;
  double t = 0.0, square = drops.diameter_m * drops.diameter_m;
  const double smallest = smallest_drop_m * smallest_drop_m;
  while (t < end_s && (K == 0.0 || square > smallest)) {
    const double d = std::sqrt(square), rate = shrinking(d);
    double dt = std::min(
        {std::max(first_age_s, age_growth_ratio * t), longest_stretch_s, end_s - t + 1e-9});
    if (K > 0.0) dt = std::min(dt, std::max(most_dried_fraction * square, 0.5 * smallest) / rate);
    const double middle = std::max(square - 0.5 * dt * rate, 0.5 * square);
    const double mean_d = std::sqrt(middle);
    const double after = square - dt * shrinking(mean_d);
    const double kept = K == 0.0 ? 1.0 : after > smallest ? std::pow(after / square, 1.5) : 0.0;
    ages.push_back({t, t + dt, fall(mean_d), relaxation_time_s(mean_d, air), kept});
    t += dt;
    square = after;
  }
  return ages;
}

Puff puff_at(const CloudAir& air, const Point& point) {
  const double spread_m = puff_ratio * air.cell_m;
  Puff puff;
  puff.variance_m2 = spread_m * spread_m + air.cell_m * air.cell_m / 12.0;
  const auto home = air.place(air.cell_at(point));
  constexpr std::size_t reach = 5;
  std::array<std::size_t, 3> from{}, to{};
  for (std::size_t a = 0; a < 3; ++a) {
    from[a] = home[a] - std::min(home[a], reach);
    to[a] = std::min(home[a] + reach + 1, air.cells[a]);
  }
  double sum = 0.0;
  for (std::size_t k = from[2]; k < to[2]; ++k)
    for (std::size_t j = from[1]; j < to[1]; ++j)
      for (std::size_t i = from[0]; i < to[0]; ++i) {
        const std::size_t c = air.at(i, j, k);
        if (air.air[c] == 0) continue;
        const Point p = air.centre(c);
        const double x = p.x_m - point.x_m, y = p.y_m - point.y_m, z = p.z_m - point.z_m;
        const double weight =
            air.volume_m3[c] * std::exp(-0.5 * (x * x + y * y + z * z) / (spread_m * spread_m));
        puff.parts.push_back({c, weight});
        sum += weight;
      }
  EXPECT(sum > 0.0);
  for (Puff::Part& part : puff.parts) part.share_fraction /= sum;
  return puff;
}

Cloud::Cloud(const CloudAir& air, const CloudDrops& drops, double waits_m2)
    : air_(air),
      drops_(drops),
      waits_m2_(waits_m2),
      ages_(stretches(drops, air.the_case.state, air.the_case.house.ridge_height_m)) {
  EXPECT(drops.diameter_m >= 1e-6 && drops.diameter_m <= 2e-3);
  EXPECT(drops.evaporation_constant_m2_per_s >= 0.0);
  value_ = flux_ = lost_ = diffusivity_ = inverse_ = std::vector<double>(air.size, 0.0);
  kept_.assign(air.size, 1.0);
  landed_.assign(air.touches.size(), 0.0);
  for (auto& axis : face_)
    for (auto& weights : axis) weights.assign(air.size, 0.0);
  for (std::size_t c = 0; c < air.size; ++c)
    if (air.air[c] != 0) inverse_[c] = 1.0 / air.volume_m3[c];
  outcome_.bench.assign(air.bench_cells, 0.0);
  outcome_.evaporated_by_air_cell.assign(air.air_cells, 0.0);
}

void Cloud::add(const Puff& puff, double mass_fraction) {
  for (const Puff::Part& part : puff.parts)
    value_[part.cell] += mass_fraction * part.share_fraction * inverse_[part.cell];
}

double Cloud::airborne_fraction() const {
  double sum = 0.0;
  for (std::size_t c = 0; c < air_.size; ++c) sum += value_[c] * air_.volume_m3[c];
  return sum;
}

/// Mean over a stretch of Taylor's diffusivity, from the age at which his variance is the cloud's
/// own.
double Cloud::diffusivity_m2_per_s(std::size_t cell, const Stretch& ages) const {
  const double sigma = air_.sigma_m_per_s[cell];
  const double T = crossing_time_s(air_.timescale_s[cell], ages.fall_m_per_s, sigma);
  const double waits = waits_m2_ / (sigma * sigma * T * T);
  double from = ages.from_s;
  if (taylor_ratio(from / T) < waits) {
    if (taylor_ratio(ages.to_s / T) <= waits) return 0.0;
    from = T * taylor_age(waits);
  }
  const double mean = (ages.to_s - from) - T * (std::exp(-from / T) - std::exp(-ages.to_s / T));
  return sigma * sigma * T * mean / (ages.to_s - ages.from_s);
}

double Cloud::takes_per_s(const CloudAir::Touch& touch, const Stretch& ages) const {
  if (touch.level) return 0.0;
  const double sigma = air_.sigma_m_per_s[touch.cell];
  const double speed = touch.surface == Surface::Opening
                           ? opening_takes_m_per_s(sigma, touch.out_m_per_s)
                           : wall_takes_m_per_s(sigma, ages.relaxation_s);
  return speed * touch.area_per_volume_1_per_m;
}

/// What the faces across an axis pass in a step of what four cells hold.
void Cloud::couple(std::size_t axis, double dt_s, const Stretch& ages) {
  const std::size_t s = air_.stride[axis];
  const auto& open = air_.open[axis];
  auto& [far_low, low, high, far_high] = face_[axis];
  const double fall = axis == 2 ? ages.fall_m_per_s : 0.0;
  for (std::size_t c = air_.first; c < air_.last; ++c) {
    if (open[c] == 0) continue;
    const double h_low = air_.across_m[axis][c - s], h_high = air_.across_m[axis][c];
    const double apart = 0.5 * (h_low + h_high);
    const double area = air_.volume_m3[c] / h_high;
    const double u = air_.speed_m_per_s[axis][c] - fall;
    const double nu = u * dt_s / apart;
    const double pass = area * u * dt_s;
    const double alpha = 0.5 * (diffusivity_[c] + diffusivity_[c - s]) * dt_s / (apart * apart);
    const double spread = alpha * area * apart + 0.5 * nu * pass;
    const double share = h_high / (h_low + h_high);
    low[c] = pass * share + spread;
    high[c] = pass * (1.0 - share) - spread;
    far_low[c] = far_high[c] = 0.0;
    const double bend = pass * ((1.0 - nu * nu) / 6.0 - alpha);
    if (u > 0.0 && open[c - s] != 0) {
      far_low[c] = -bend;
      low[c] += 2.0 * bend;
      high[c] -= bend;
    } else if (u <= 0.0 && open[c + s] != 0) {
      far_high[c] = -bend;
      high[c] += 2.0 * bend;
      low[c] -= bend;
    }
  }
}

/// What falls onto level surfaces in a step: the fall speed times the concentration at the face, by
/// the second-order upwind value of Lax and Wendroff's step.
void Cloud::settle(double dt_s, const Stretch& ages) {
  auto& high = face_[2][2];
  auto& far_high = face_[2][3];
  const std::size_t s = air_.stride[2];
  for (const auto& touch : air_.touches) {
    if (!touch.level) continue;
    const std::size_t c = touch.cell;
    const double h = air_.across_m[2][c];
    const double pass = -air_.volume_m3[c] / h * ages.fall_m_per_s * dt_s;
    const double ahead = 0.5 * std::max(0.0, 1.0 - ages.fall_m_per_s * dt_s / h);
    const double slope =
        air_.open[2][c + s] != 0 ? ahead * h / (0.5 * (h + air_.across_m[2][c + s])) : 0.0;
    high[c] = pass * (1.0 + slope);
    far_high[c] = -pass * slope;
  }
}

/// Makes a stretch's equations. @return steps in it
int Cloud::prepare(const Stretch& ages) {
  for (std::size_t c = air_.first; c < air_.last; ++c)
    if (air_.air[c] != 0) diffusivity_[c] = diffusivity_m2_per_s(c, ages);
  // The longest stable step along each axis, root of nu^2 + 2 alpha = bound.
  double rate = 1e-9;
  for (std::size_t axis = 0; axis < 3; ++axis) {
    const std::size_t s = air_.stride[axis];
    const double fall = axis == 2 ? ages.fall_m_per_s : 0.0;
    for (std::size_t c = air_.first; c < air_.last; ++c) {
      if (air_.open[axis][c] == 0) continue;
      const double h = std::min(air_.across_m[axis][c], air_.across_m[axis][c - s]);
      const double a = (air_.speed_m_per_s[axis][c] - fall) / h;
      const double b = (diffusivity_[c] + diffusivity_[c - s]) / (h * h);
      rate = std::max(rate,
                      (b + std::sqrt(b * b + 4.0 * a * a * stable_number)) / (2.0 * stable_number));
    }
  }
  const double length_s = ages.to_s - ages.from_s;
  const int count = std::max(1, static_cast<int>(std::ceil(length_s * rate)));
  const double dt_s = length_s / count;
  for (std::size_t axis = 0; axis < 3; ++axis) couple(axis, dt_s, ages);
  settle(dt_s, ages);
  kept_ = taken_per_s(ages);
  for (std::size_t c = air_.first; c < air_.last; ++c) kept_[c] = std::exp(-0.5 * kept_[c] * dt_s);
  return count;
}

/// What surfaces, leaks and drying together take in each cell of air.
std::vector<double> Cloud::taken_per_s(const Stretch& ages) const {
  const double drying = drying_per_s(ages);
  std::vector<double> taken(air_.size, 0.0);
  for (std::size_t c = air_.first; c < air_.last; ++c)
    if (air_.air[c] != 0) taken[c] = drying + air_.leak_per_s[c];
  for (const auto& touch : air_.touches) taken[touch.cell] += takes_per_s(touch, ages);
  return taken;
}

MISTWRIGHT_WIDE
void Cloud::forward(std::size_t axis) {
  const std::size_t s = air_.stride[axis], first = air_.first, last = air_.last;
  const double *a = face_[axis][0].data(), *b = face_[axis][1].data(), *e = face_[axis][2].data(),
               *f = face_[axis][3].data(), *inverse = inverse_.data();
  double *x = value_.data(), *flux = flux_.data();
#pragma omp simd
  for (std::size_t c = first; c < last + s; ++c)
    flux[c] = (a[c] * x[c - 2 * s] + b[c] * x[c - s]) + (e[c] * x[c] + f[c] * x[c + s]);
  if (axis == 2) land();
#pragma omp simd
  for (std::size_t c = first; c < last; ++c) x[c] -= inverse[c] * (flux[c + s] - flux[c]);
}

/// What has fallen through level faces ends there, though there be air below.
void Cloud::land() {
  const std::size_t s = air_.stride[2];
  for (std::size_t n = 0; n < air_.touches.size(); ++n) {
    if (!air_.touches[n].level) continue;
    const std::size_t c = air_.touches[n].cell;
    landed_[n] -= flux_[c];
    value_[c - s] += inverse_[c - s] * flux_[c];
  }
}

MISTWRIGHT_WIDE
void Cloud::backward(std::size_t axis) {
  const std::size_t s = air_.stride[axis], first = air_.first, last = air_.last;
  const double *a = face_[axis][0].data(), *b = face_[axis][1].data(), *e = face_[axis][2].data(),
               *f = face_[axis][3].data(), *inverse = inverse_.data();
  double *x = value_.data(), *step = flux_.data();
#pragma omp simd
  for (std::size_t c = first; c < last + s; ++c)
    step[c] = inverse[c] * x[c] - inverse[c - s] * x[c - s];
  if (axis == 2)
    for (std::size_t n = 0; n < air_.touches.size(); ++n) {
      if (!air_.touches[n].level) continue;
      const std::size_t c = air_.touches[n].cell;
      step[c] = inverse[c] * x[c] - landed_[n];
    }
#pragma omp simd
  for (std::size_t c = first; c < last; ++c)
    x[c] += (f[c - s] * step[c - s] + e[c] * step[c]) +
            (b[c + s] * step[c + s] + a[c + 2 * s] * step[c + 2 * s]);
}

/// Gives what the stretch has taken to those that took it.
void Cloud::book(const Stretch& ages) {
  const double drying = drying_per_s(ages);
  const std::vector<double> whole = taken_per_s(ages);
  for (std::size_t c = air_.first; c < air_.last; ++c) {
    if (whole[c] <= 0.0) continue;
    lost_[c] *= air_.volume_m3[c] / whole[c];
    outcome_.evaporated_fraction += lost_[c] * drying;
    outcome_.evaporated_by_air_cell[air_.air_cell[c]] += lost_[c] * drying;
    outcome_.out_fraction += lost_[c] * air_.leak_per_s[c];
  }
  for (std::size_t n = 0; n < air_.touches.size(); ++n) {
    const auto& touch = air_.touches[n];
    const double mass = touch.level ? landed_[n] : lost_[touch.cell] * takes_per_s(touch, ages);
    if (touch.surface == Surface::BenchTop) {
      for (std::size_t i = touch.first_share; i < touch.last_share; ++i)
        outcome_.bench[air_.shares[i].bench_cell] += mass * air_.shares[i].share_fraction;
    } else if (touch.surface == Surface::Opening) {
      outcome_.out_fraction += mass;
    } else if (touch.surface == Surface::Wall) {
      outcome_.wall_fraction += mass;
    } else if (touch.surface == Surface::Cover) {
      outcome_.cover_fraction += mass;
    } else {
      outcome_.floor_fraction += mass;
    }
  }
}

/// Half a step of what is taken on the way.
void Cloud::fade() {
  for (std::size_t c = air_.first; c < air_.last; ++c) {
    lost_[c] += value_[c] * (1.0 - kept_[c]);
    value_[c] *= kept_[c];
  }
}

void Cloud::live(const Stretch& ages) {
  const int steps = prepare(ages);
  std::fill(lost_.begin(), lost_.end(), 0.0);
  std::fill(landed_.begin(), landed_.end(), 0.0);
  for (int n = 0; n < steps; ++n) {
    const bool odd = n % 2 == 1;
    fade();
    for (std::size_t a = 0; a < 3; ++a) forward(odd ? 2 - a : a);
    fade();
  }
  outcome_.steps += static_cast<std::uint64_t>(steps);
  book(ages);
}

void Cloud::live_back(const Stretch& ages, const std::vector<double>& weight_number) {
  const int steps = prepare(ages);
  // What water landed on a face is worth.
  for (std::size_t n = 0; n < air_.touches.size(); ++n) {
    const auto& touch = air_.touches[n];
    landed_[n] = 0.0;
    for (std::size_t i = touch.first_share; i < touch.last_share; ++i)
      landed_[n] += air_.shares[i].share_fraction * weight_number[air_.shares[i].bench_cell];
  }
  for (int n = steps; n-- > 0;) {
    const bool odd = n % 2 == 1;
    for (std::size_t c = air_.first; c < air_.last; ++c) value_[c] *= kept_[c];
    for (std::size_t a = 0; a < 3; ++a) backward(odd ? a : 2 - a);
    for (std::size_t c = air_.first; c < air_.last; ++c) value_[c] *= kept_[c];
  }
}

void Cloud::give_up() {
  const BenchGrid& benches = air_.the_case.benches;
  for (std::size_t c = air_.first; c < air_.last; ++c) {
    if (air_.air[c] == 0 || value_[c] == 0.0) continue;
    const double mass = value_[c] * air_.volume_m3[c];
    value_[c] = 0.0;
    if (drops_.evaporation_constant_m2_per_s > 0.0) {
      outcome_.evaporated_fraction += mass;
      outcome_.evaporated_by_air_cell[air_.air_cell[c]] += mass;
      continue;
    }
    const Point p = air_.centre(c);
    const auto cell = benches.cell_below(p.x_m, p.y_m, p.z_m);
    if (cell)
      outcome_.bench[*cell] += mass;
    else
      outcome_.floor_fraction += mass;
  }
}

void Cloud::give_up_back(const std::vector<double>& weight_number) {
  const BenchGrid& benches = air_.the_case.benches;
  std::fill(value_.begin(), value_.end(), 0.0);
  if (drops_.evaporation_constant_m2_per_s > 0.0) return;
  for (std::size_t c = air_.first; c < air_.last; ++c) {
    if (air_.air[c] == 0) continue;
    const Point p = air_.centre(c);
    if (const auto cell = benches.cell_below(p.x_m, p.y_m, p.z_m))
      value_[c] = air_.volume_m3[c] * weight_number[*cell];
  }
}

std::vector<double> landing_shares(const CloudAir& air, const CloudDrops& drops,
                                   const std::vector<double>& weight_number) {
  EXPECT(weight_number.size() == air.bench_cells);
  Cloud cloud(air, drops, puff_at(air, air.centre(air.cell_at({}))).variance_m2);
  cloud.give_up_back(weight_number);
  const auto& ages = cloud.ages();
  for (std::size_t n = ages.size(); n-- > 0;) cloud.live_back(ages[n], weight_number);
  std::vector<double> shares = cloud.concentration_1_per_m3();
  for (std::size_t c = 0; c < air.size; ++c)
    shares[c] = air.air[c] != 0 ? shares[c] / air.volume_m3[c] : 0.0;
  return shares;
}

InfluenceMap influence_map(const CloudAir& air, const CloudDrops& drops,
                           const std::vector<double>& weight_number, double height_m) {
  return influence_map(air, landing_shares(air, drops, weight_number), height_m);
}

InfluenceMap influence_map(const CloudAir& air, const std::vector<double>& shares_fraction,
                           double height_m) {
  EXPECT(shares_fraction.size() == air.size);
  InfluenceMap map;
  for (std::size_t i = 0; i < air.cells[0]; ++i)
    map.x_m.push_back(0.5 * (air.edge_m[0][i] + air.edge_m[0][i + 1]));
  for (std::size_t j = 0; j < air.cells[1]; ++j)
    map.y_m.push_back(0.5 * (air.edge_m[1][j] + air.edge_m[1][j + 1]));
  for (const double y : map.y_m)
    for (const double x : map.x_m) {
      const bool there = height_m > 0.0 && height_m < air.the_case.house.roof_height_m(y);
      if (!there) {
        map.share_fraction.push_back(0.0);
        continue;
      }
      const Puff puff = puff_at(air, {x, y, height_m});
      double share = 0.0;
      for (const Puff::Part& part : puff.parts)
        share += part.share_fraction * shares_fraction[part.cell];
      map.share_fraction.push_back(share);
    }
  return map;
}

}  // namespace mistwright::droplet
