#pragma once
// The inside of the house as the air and the drops see it: walls, a curved roof, solid benches, and
// the places where air goes in and out.
#include <cmath>
#include <cstddef>
#include <string>
#include <vector>

namespace mistwright::flow {

/// A solid box standing on the floor or hanging in the air (a bench top with its cuttings).
struct Box {
  double x0_m = 0.0, x1_m = 0.0, y0_m = 0.0, y1_m = 0.0, z0_m = 0.0, z1_m = 0.0;
};

/// Leaves that the air passes through.
struct Foliage {
  Box box;
  double leaf_area_density_1_per_m = 0.0;  ///< one side, per volume; at least 0
};

/// A thin upright sheet that neither air nor drops pass, such as the film about a bench.
struct Sheet {
  std::size_t axis = 0;              ///< that it stands across: 0 for x, 1 for y
  double place_m = 0.0;              ///< along that axis
  double low_m = 0.0, high_m = 0.0;  ///< its ends along the other level axis
  double z0_m = 0.0, z1_m = 0.0;
  double inward_factor = 1.0;  ///< +1 when what it encloses lies at greater x or y, else -1
};

enum class Side { Front, Back, Right, Left, Roof };

/// A rectangle of a wall or the roof through which air passes, in plan and height.
struct Port {
  std::string name;
  Side side = Side::Front;
  double along_m = 0.0;   ///< centre: y on front and back, x on the sides and the roof
  double height_m = 0.0;  ///< centre above the floor; ignored for the roof
  double width_m = 0.0, tall_m = 0.0;
  double open_fraction = 1.0;  ///< of the rectangle, between blades; above 0

  [[nodiscard]] double free_m2() const { return width_m * tall_m * open_fraction; }
};

/// A fan that stirs: a jet of air inside the house.
struct Stirrer {
  double x_m = 0.0, y_m = 0.0, z_m = 0.0,
         bearing_rad = 0.0;  ///< bearing in the plan, from +x towards +y
  double diameter_m = 0.0, flow_m3_per_s = 0.0;
};

struct Enclosure {
  double length_m = 0.0, width_m = 0.0, eave_height_m = 0.0, ridge_height_m = 0.0;
  std::vector<Box> boxes;
  std::vector<Sheet> sheets;
  std::vector<Port> ports;
  std::vector<Stirrer> stirrers;
  std::vector<Foliage> foliage;

  /// Height of the roof [m] above y: half an ellipse from the eaves to the ridge.
  [[nodiscard]] double roof_height_m(double y_m) const {
    const double s = 2.0 * y_m / width_m - 1.0;
    return eave_height_m +
           (ridge_height_m - eave_height_m) * std::sqrt(std::fmax(0.0, 1.0 - s * s));
  }
};

}  // namespace mistwright::flow
