#pragma once
// Which way does a single drop fly? The drops of one diameter from one head in one regime of the
// air, each followed by itself to its end, for pictures. Motion, drying and touches are those of
// footprint.h; but a drop is whole: where a parcel leaves a share of its water on a surface, a drop
// stays there by lot, and so it leaves with the air that leaks out. Left out: patches (patch.h).
#include <cstdint>
#include <vector>

#include "models/droplet/contact.h"
#include "models/droplet/footprint.h"

namespace mistwright::droplet {

/// A drop on its way.
struct TrackPoint {
  Point at;
  double age_s = 0.0;
  double diameter_m = 0.0;
};

/// One drop from the head to its end. A drop that still floats after longest_flight_s has the fate
/// that footprint.h gives it, and its track ends in the air.
struct Track {
  std::vector<TrackPoint> points;  ///< at least two, in order of age
  Fate fate = Fate::Evaporated;
  bool afloat = false;  ///< let be before its end: it has no fate yet

  /// What is left of its water at the end, over what it had; 0 when it evaporated.
  [[nodiscard]] double left_fraction() const;
};

/// How old a drop is when it is let be: above 0, to longest_flight_s.
struct LetBe {
  double age_s = longest_flight_s;
};

/// Follows as many drops as the case has parcels; directions are spread evenly over the spray.
/// What the case says of noise and patches is not asked.
/// @param diameter_m  1 um to 2 mm
/// @param evaporation_constant_m2_per_s  K in still air, at least 0
/// @param stream  names the draws: the same seed and stream give the same bits
[[nodiscard]] std::vector<Track> tracks(const FootprintCase& a_case, const Launch& launch,
                                        double diameter_m, double evaporation_constant_m2_per_s,
                                        std::uint64_t stream, const LetBe& let_be = {});

/// Fewer points of the same path (Douglas and Peucker 1973): none left out lies further from the
/// straight lines between those kept than a tolerance, which is widened by halves until few enough
/// are left. Ends stay.
/// @param tolerance_m  above zero
/// @param most_points  at least 2
[[nodiscard]] std::vector<TrackPoint> thinned(const std::vector<TrackPoint>& points,
                                              double tolerance_m, std::size_t most_points);

}  // namespace mistwright::droplet
