#include "models/sky/weather.h"

#include <algorithm>
#include <cmath>
#include <string>

#include "models/air/psychrometrics.h"
#include "models/contracts.h"
#include "models/sky/sun.h"
#include "models/units.h"

namespace mistwright::sky {
namespace {

// The sine of the sun's elevation within one interval, declination and the equation of time held as
// at its middle: sine(t) = constant + swing cos(middle_angle + rate (t - middle)). The declination
// moves less than 0.01 degrees from there in half an hour.
class SunArc {
 public:
  SunArc(const WeatherSeries& series, double from_s, double to_s)
      : half_angle_(pi * (to_s - from_s) / day_s), middle_s_(0.5 * (from_s + to_s)) {
    const SunDirection sun = sun_direction(middle_s_);
    constant_ = std::sin(series.latitude_rad) * std::sin(sun.declination_rad);
    swing_ = std::cos(series.latitude_rad) * std::cos(sun.declination_rad);
    middle_angle_ = std::remainder(sun.greenwich_hour_angle_rad + series.longitude_rad, 2.0 * pi);
    distance_AU_ = sun.distance_AU;
  }

  [[nodiscard]] double outside_W_per_m2() const {
    return extraterrestrial_normal_W_per_m2(distance_AU_);
  }

  /// The sine above a given one at a moment, or zero.
  [[nodiscard]] double above_ratio(double utc_s, double floor_ratio) const {
    const double angle = middle_angle_ + 2.0 * pi * (utc_s - middle_s_) / day_s;
    return std::max(0.0, constant_ + swing_ * std::cos(angle) - floor_ratio);
  }

  /// The mean of above_ratio over the interval, exactly.
  [[nodiscard]] double mean_above_ratio(double floor_ratio) const {
    const double level = constant_ - floor_ratio;
    if (swing_ <= 0.0) return std::max(0.0, level);
    const double sunset = std::acos(std::clamp(-level / swing_, -1.0, 1.0));
    // The interval, at most a day long, may reach into the days before and after.
    double area = 0.0;
    for (const double turn : {-2.0 * pi, 0.0, 2.0 * pi}) {
      const double from = std::max(middle_angle_ - half_angle_, turn - sunset);
      const double to = std::min(middle_angle_ + half_angle_, turn + sunset);
      if (to > from) area += level * (to - from) + swing_ * (std::sin(to) - std::sin(from));
    }
    return std::max(0.0, area) / (2.0 * half_angle_);
  }

 private:
  double half_angle_;
  double middle_s_;
  double constant_ = 0.0, swing_ = 0.0, middle_angle_ = 0.0, distance_AU_ = 1.0;
};

// Diffuse light begins and ends with civil twilight, the sun 6 degrees below the horizon.
const double twilight_ratio = std::sin(radians(-6.0));
// Below this mean the interval has no sun to follow (a few seconds of it): its energy is spread
// evenly.
constexpr double least_mean_ratio = 1e-6;

double shape_factor(const SunArc& arc, double utc_s, double floor_ratio) {
  const double mean = arc.mean_above_ratio(floor_ratio);
  return mean < least_mean_ratio ? 1.0 : arc.above_ratio(utc_s, floor_ratio) / mean;
}

// Radiation of the interval (row's stamp at its end) at one moment.
void set_radiation(Weather& now, const Weather& row, const SunArc& arc, double utc_s) {
  const double global_mean = std::max(0.0, row.global_horizontal_W_per_m2);
  const double diffuse_given = std::clamp(row.diffuse_horizontal_W_per_m2, 0.0, global_mean);
  // Direct light on the level follows the sine of the sun's elevation, so facing the sun it is
  // constant while the sun is up; what would exceed the light outside the atmosphere is counted as
  // diffuse.
  const double sine_mean = arc.mean_above_ratio(0.0);
  double direct_normal = 0.0;
  if (sine_mean >= least_mean_ratio) {
    direct_normal = std::min((global_mean - diffuse_given) / sine_mean, arc.outside_W_per_m2());
  }
  const double sine = arc.above_ratio(utc_s, 0.0);
  const double diffuse_mean = global_mean - direct_normal * sine_mean;
  now.direct_normal_W_per_m2 = sine > 0.0 ? direct_normal : 0.0;
  now.diffuse_horizontal_W_per_m2 = diffuse_mean * shape_factor(arc, utc_s, twilight_ratio);
  now.global_horizontal_W_per_m2 = now.diffuse_horizontal_W_per_m2 + direct_normal * sine;
}

}  // namespace

Weather weather_at(const WeatherSeries& series, double utc_s) {
  const auto& rows = series.rows;
  if (rows.size() < 2 || !(utc_s >= static_cast<double>(rows.front().utc_s) &&
                           utc_s <= static_cast<double>(rows.back().utc_s))) {
    throw RangeError("weather asked at " + std::to_string(utc_s) +
                     " s since 1970, outside the weather series");
  }
  // The first row at or after the moment; a moment on a stamp belongs to the interval that ends
  // there.
  auto later = std::lower_bound(
      rows.begin(), rows.end(), utc_s,
      [](const WeatherRow& row, double t) { return static_cast<double>(row.utc_s) < t; });
  if (later == rows.begin()) ++later;
  const auto earlier = later - 1;
  const auto from_s = static_cast<double>(earlier->utc_s);
  const auto to_s = static_cast<double>(later->utc_s);
  EXPECT(to_s > from_s && to_s - from_s <= 86400.0);
  const Weather& a = earlier->weather;
  const Weather& b = later->weather;
  const double share = (utc_s - from_s) / (to_s - from_s);
  const auto between = [share](double at_start, double at_end) {
    return at_start + share * (at_end - at_start);
  };

  Weather now;
  now.temperature_K = between(a.temperature_K, b.temperature_K);
  // On a straight line between two nearly saturated rows the air would pass above saturation.
  now.vapour_pressure_Pa = std::min(between(a.vapour_pressure_Pa, b.vapour_pressure_Pa),
                                    air::saturation_pressure_Pa(now.temperature_K));
  now.pressure_Pa = between(a.pressure_Pa, b.pressure_Pa);
  now.cloud_fraction = between(a.cloud_fraction, b.cloud_fraction);
  const double northward = between(a.wind_speed_m_per_s * std::cos(a.wind_from_rad),
                                   b.wind_speed_m_per_s * std::cos(b.wind_from_rad));
  const double eastward = between(a.wind_speed_m_per_s * std::sin(a.wind_from_rad),
                                  b.wind_speed_m_per_s * std::sin(b.wind_from_rad));
  now.wind_speed_m_per_s = std::hypot(northward, eastward);
  const double bearing = std::atan2(eastward, northward);
  now.wind_from_rad = now.wind_speed_m_per_s > 0.0 ? (bearing < 0.0 ? bearing + 2.0 * pi : bearing)
                                                   : b.wind_from_rad;
  set_radiation(now, b, SunArc(series, from_s, to_s), utc_s);
  return now;
}

}  // namespace mistwright::sky
