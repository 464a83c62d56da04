#pragma once
// What becomes of water that arrives above the leaves: how much does each layer keep, what runs
// off, and what falls between the leaves onto the medium? Interception by leaves at random, a layer
// at a time (Beer's law of the area they turn to the drop's path), with what the air carries round
// a leaf by the Stokes number, E = (St/(St + 0.8))^2; a leaf rejects drops that bounce (Weber
// number) and drops too heavy to cling at its tilt (Furmidge's balance). What a leaf rejects runs
// to the medium. All shares are smooth in diameter. Left out: films that merge and run when the
// leaf is full (the film's capacity is in models/leaf), splash, hairs, edges and veins, undersides.
#include <vector>

namespace mistwright::droplet {

/// How water sits on a leaf: advancing and receding contact angle.
enum class LeafSurface { Waxy, Ordinary, Wettable };

struct Canopy {
  double leaf_area_index = 0.0;  ///< one side, over ground area, all layers together
  int layers = 1;                ///< 1 to 16, of equal area, above one another
  double mean_tilt_rad = 0.0;    ///< from level, 0 to pi/2
  LeafSurface surface = LeafSurface::Ordinary;
  double leaf_length_m = 0.05;  ///< across the drop's path
  double doubt_ratio =
      1.0;  ///< by how much fewer or more fine drops strike; see doubted_efficiency()
};

/// Shares of the water that arrives above a canopy; layers, run-off and through sum to 1.
struct Landing {
  std::vector<double> layer_share_fraction;  ///< kept by each layer, the top one first
  double runoff_share_fraction = 0.0;   ///< hit a leaf and bounced or rolled off, to the medium
  double through_share_fraction = 0.0;  ///< fell between the leaves, to the medium
};

/// @param diameter_m         1 um to 5 mm
/// @param air_speed_m_per_s  level, at the canopy, 0 to 20
[[nodiscard]] Landing landing(const Canopy& canopy, double diameter_m, double air_speed_m_per_s);

/// Share of drops in a body's path that strike it.
/// Source: E = (St/(St + p))^2, p = 0.8: the form of May and Clifford's 1967 measurements, Ann.
/// Occup. Hyg. 10:83, with the constant of Raupach, Briggs, Ford, Leys, Muschal, Cooper and Edge
/// 2001, J. Environ. Qual. 30:714.
/// @param stokes_number  stopping distance over the body's width, at least 0
[[nodiscard]] double impaction_efficiency(double stokes_number, double half_point_number = 0.8);

/// The same where it is doubted: by that factor at a Stokes number of 0.2, by somewhat more below,
/// and ever less above, since the published fits (tests/reference/impaction_efficiency.csv) differ
/// by two at small numbers and meet at large ones. It is the same form with another half point.
/// @param doubt_ratio  above 0, to 4; 1 for the efficiency itself
[[nodiscard]] double doubted_efficiency(double stokes_number, double doubt_ratio);

/// Stopping distance over a body's width, from Stokes's relaxation time with slip, at 20 degC.
[[nodiscard]] double stokes_number(double diameter_m, double speed_m_per_s, double width_m);

/// Contact angles of a leaf surface.
struct ContactAngles {
  double advancing_rad = 0.0, receding_rad = 0.0;
};
[[nodiscard]] ContactAngles contact_angles(LeafSurface surface);

/// Largest drop that clings to a tilted leaf.
/// @param tilt_rad  above 0, to pi/2
/// @return diameter in flight [m]
/// Source: Furmidge 1962, J. Colloid Sci. 17:309: m g sin(tilt) = w sigma (cos receding - cos
/// advancing), w the width of a spherical cap at the mean angle.
[[nodiscard]] double roll_off_diameter_m(LeafSurface surface, double tilt_rad);

/// Share of the drops that hit a leaf which leave it again at once, by bouncing.
/// @param weber_number  rho v^2 d / sigma of the speed across the leaf
[[nodiscard]] double bounce_fraction(LeafSurface surface, double weber_number);

}  // namespace mistwright::droplet
