#pragma once
// What is noted down while a run goes on: plain columns, turned into a Record afterwards.
#include <cstdint>
#include <vector>

#include "sim/engine/event.h"
#include "sim/engine/ledger.h"

namespace mistwright {

/// One value of the house as a whole, over time.
struct SeriesColumn {
  const char* name;
  const char* long_name;
  const char* units;
  const char* standard_name;  ///< of the CF table, or empty
};

enum class Series : std::uint32_t {
  OutsideTemperature,
  OutsideDeficit,
  WindSpeed,
  GlobalRadiation,
  LightAtLeaves,
  AirTemperature,
  RelativeHumidity,
  Deficit,
  WetBulb,
  LeafTemperature,
  HottestLeaf,
  CoverTemperature,
  FloorTemperature,
  MediumTemperature,
  Demand,
  FilmDepth,
  BareShare,
  MediumWater,
  AirChanges,
  FansRunning,
  ShadeDrawn,
  CoverCondensate,
  WaterUsed,
  LeafEvaporation,
  Count
};
inline constexpr std::size_t series_count = static_cast<std::size_t>(Series::Count);

/// Names, meanings and units of the columns, in the order of Series.
[[nodiscard]] const std::vector<SeriesColumn>& series_columns();

struct Frames {
  std::vector<double> series_time_us;
  std::vector<std::vector<double>> series;                                 ///< [column][row]
  std::vector<double> cell_temperature_K, cell_humidity, cell_deficit_Pa;  ///< [row][air cell]

  std::vector<double> map_time_us;
  std::vector<double> bare_share, film_depth_m;  ///< [map][bench cell]
  /// Air over each bench cell, [map][bench cell]; empty where the run does not know it.
  std::vector<double> bench_air_temperature_K, bench_air_deficit_Pa, bench_air_speed_m_per_s;
  // Cumulative at each map, [map][bench cell]:
  std::vector<double> dry_s, mist_m, demand_m;

  struct Note {
    SimTime time;
    std::uint32_t part, kind;
    double first, second;
  };
  std::vector<Note> notes;  ///< bursts, switchings, changes of drying and dew

  std::vector<engine::Balance> balances;  ///< at the end
  double worst_audit_fraction = 0.0;      ///< of all balances at all hours
};

}  // namespace mistwright
