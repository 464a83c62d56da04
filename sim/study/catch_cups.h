#pragma once
// Catch cups: where to stand them on the benches, how many bursts to run, and what each should then
// hold, computed with the house's own pipes, airflow and footprints. A cup stands among the leaves
// with its mouth where they are and catches all that would come down there. Left out: splash, what
// dries in the cup, fog too fine to settle into it beyond what settles on a bench, wind from the
// doors.
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "models/droplet/uniformity.h"
#include "sim/house/house.h"
#include "sim/study/answer.h"

namespace mistwright::study {

/// Readings to one line of a small measuring cylinder; common practice.
inline constexpr double cup_reading_m3 = 1e-6;
/// A cup is worth reading when it holds as many lines: half a line is then 5 %. Our choice.
inline constexpr double lines_worth_reading_number = 10.0;
/// What may be asked: cups on a bench, bursts, mouths.
inline constexpr int fewest_cups = 4, most_cups = 400, most_asked_bursts = 10'000;
inline constexpr double narrowest_mouth_m = 0.02, widest_mouth_m = 0.5;
inline constexpr int fewest_bursts = 20, most_bursts = 200;
/// Air in which the cups are asked, and how far it is likely off. Our choice.
inline constexpr double cups_air_K = 298.15;
inline constexpr double cups_humidity_fraction = 0.70;
inline constexpr double cups_humidity_low_fraction = 0.50, cups_humidity_high_fraction = 0.90;
/// Sound heads of one type differ by so much in flow (standard deviation); common practice.
inline constexpr double head_spread_fraction = 0.05;

struct CupsChoice {
  std::optional<std::size_t> bench = {};  ///< absent: all
  int cups = 24;                          ///< a bench, 4 to 400; as near as a grid allows
  double diameter_m = 0.08;               ///< of the mouth
  std::optional<int> bursts = {};         ///< absent: as many as make the readings good
};

/// A cup in its place.
struct Cup {
  std::string name;  ///< row and column: "B3"; rows go on from bench to bench
  std::size_t bench = 0, row = 0, column = 0;
  double along_m = 0.0, across_m = 0.0;  ///< from the bench's corner nearest the origin
};

/// A regular grid on one bench: every cup stands for the same area.
struct CupGrid {
  std::size_t bench = 0, first = 0;  ///< index of its first cup
  std::size_t rows = 0, columns = 0;
  double along_step_m = 0.0, across_step_m = 0.0;
};

/// What a cup should hold after all bursts, as a depth of water over its mouth.
struct CupCatch {
  double depth_m = 0.0, low_m = 0.0, high_m = 0.0;
};

/// What cups hold with the fans off, or on.
struct CupTable {
  std::string words;  ///< "fan off, vents that open with heat or a fan shut"
  bool fans_on = false;
  std::vector<CupCatch> cups;               ///< as CupPlan::cups
  std::vector<double> cell_depth_m;         ///< of one burst of each zone, by cell of the bench map
  std::vector<droplet::Evenness> of_grids;  ///< expected of each grid's cups; quarter rounded up
  std::vector<droplet::Evenness> of_benches;  ///< over the whole area under each grid
};

struct CupZone {
  std::string name;
  double burst_s = 0.0;  ///< the longest that its programme asks; 0: never opens
};

struct CupPlan {
  std::string house_name;
  double diameter_m = 0.0;
  int bursts = 0;
  bool worth_reading = true;  ///< the low quarter of cups holds enough for its readings
  std::vector<CupGrid> grids;
  std::vector<Cup> cups;
  std::vector<CupZone> zones;
  std::vector<CupTable> tables;  ///< fans off, then on; one for a house without fans
  double noise_ratio = 0.0;      ///< of one cup of middling catch, from two sets of draws

  [[nodiscard]] double mouth_m2() const;
};

/// Cups in equal rectangles as near square as their number allows.
/// @throws std::invalid_argument  cups too wide for that many on a bench
[[nodiscard]] CupPlan place_cups(const House& house, const CupsChoice& choice);

/// Places the cups and says what they should hold.
/// @throws Stopped; std::invalid_argument as place_cups()
[[nodiscard]] CupPlan catch_cups(const House& house, const CupsChoice& choice,
                                 const Options& options, const Progress& progress = {});

/// Of whole cups that stand for like areas, the low quarter rounded up.
[[nodiscard]] droplet::Evenness evenness_of_cups(const std::vector<double>& amounts);

}  // namespace mistwright::study
