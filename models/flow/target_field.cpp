#include "models/flow/target_field.h"

#include <cmath>

#include "models/contracts.h"

namespace mistwright::flow {
namespace {

using Vector = std::array<double, 3>;

double mean_height_m(const Enclosure& enclosure) {
  // Mean of half an ellipse is pi/4 of its height.
  constexpr double quarter_pi = 0.78539816339744831;
  return enclosure.eave_height_m +
         quarter_pi * (enclosure.ridge_height_m - enclosure.eave_height_m);
}

/// Cross-section of the house that a jet along `axis` has before it.
double room_area_m2(const Enclosure& enclosure, const Vector& axis) {
  const double height_m = mean_height_m(enclosure);
  return std::fabs(axis[0]) * enclosure.width_m * height_m +
         std::fabs(axis[1]) * enclosure.length_m * height_m +
         std::fabs(axis[2]) * enclosure.length_m * enclosure.width_m;
}

Vector inward_axis(Side side) {
  switch (side) {
    case Side::Front:
      return {1.0, 0.0, 0.0};
    case Side::Back:
      return {-1.0, 0.0, 0.0};
    case Side::Right:
      return {0.0, 1.0, 0.0};
    case Side::Left:
      return {0.0, -1.0, 0.0};
    case Side::Roof:
      return {0.0, 0.0, -1.0};
  }
  return {};
}

Vector port_centre_m(const Enclosure& enclosure, const Port& port) {
  switch (port.side) {
    case Side::Front:
      return {0.0, port.along_m, port.height_m};
    case Side::Back:
      return {enclosure.length_m, port.along_m, port.height_m};
    case Side::Right:
      return {port.along_m, 0.0, port.height_m};
    case Side::Left:
      return {port.along_m, enclosure.width_m, port.height_m};
    case Side::Roof:
      return {port.along_m, enclosure.width_m / 2.0, enclosure.ridge_height_m};
  }
  return {};
}

}  // namespace

std::vector<PlacedJet> placed_jets(const Enclosure& enclosure, const std::vector<PortFlow>& ports,
                                   double finest_m) {
  std::vector<PlacedJet> jets;
  for (const PortFlow& flow : ports) {
    if (flow.inflow_m3_per_s <= 0.0) continue;
    const Port& port = enclosure.ports.at(flow.port);
    EXPECT(port.width_m > 0.0 && port.tall_m > 0.0);
    const Vector axis = inward_axis(port.side);
    const JetMouth mouth{port.width_m, port.tall_m,
                         flow.inflow_m3_per_s / (port.width_m * port.tall_m),
                         room_area_m2(enclosure, axis), finest_m};
    jets.push_back({mouth, port_centre_m(enclosure, port), axis, 0.0, flow.inflow_m3_per_s});
  }
  for (const Stirrer& fan : enclosure.stirrers) {
    const Vector axis{std::cos(fan.bearing_rad), std::sin(fan.bearing_rad), 0.0};
    JetMouth mouth = round_mouth(fan.diameter_m, fan.flow_m3_per_s, room_area_m2(enclosure, axis));
    mouth.finest_m = finest_m;
    jets.push_back({mouth, {fan.x_m, fan.y_m, fan.z_m}, axis, -fan.diameter_m, fan.flow_m3_per_s});
  }
  return jets;
}

double placed_speed_m_per_s(const PlacedJet& jet, const std::array<double, 3>& point_m) {
  Vector away{};
  for (std::size_t axis = 0; axis < 3; ++axis) away[axis] = point_m[axis] - jet.origin_m[axis];
  const double along_m = away[0] * jet.axis[0] + away[1] * jet.axis[1] + away[2] * jet.axis[2];
  if (along_m < jet.start_m) return 0.0;
  // A jet from the roof falls: its width lies along x and its other edge along y.
  const bool falls = std::fabs(jet.axis[2]) > 0.5;
  const double aside_m = falls ? away[0] : away[1] * jet.axis[0] - away[0] * jet.axis[1];
  const double above_m = falls ? away[1] : away[2];
  return jet_speed_m_per_s(jet.mouth, {std::fmax(0.0, along_m), aside_m, above_m});
}

void add_jets(const Grid& grid, const std::vector<PlacedJet>& jets, double strength_ratio,
              FaceField& field) {
  const Vector step_m{grid.dx_m, grid.dy_m, grid.dz_m};
  const std::array<std::size_t, 3> strides{1, grid.nx, grid.nx * grid.ny};
  for (std::size_t k = 0; k < grid.nz; ++k)
    for (std::size_t j = 0; j < grid.ny; ++j)
      for (std::size_t i = 0; i < grid.nx; ++i) {
        const std::size_t c = grid.cell(i, j, k);
        if (grid.fluid[c] == 0) continue;
        const Vector centre_m{grid.x_centre_m(i), grid.y_centre_m(j), grid.z_centre_m(k)};
        const std::array<double*, 3> faces{&field.u_m_per_s[grid.u_face(i, j, k)],
                                           &field.v_m_per_s[grid.v_face(i, j, k)],
                                           &field.w_m_per_s[grid.w_face(i, j, k)]};
        const std::array<bool, 3> inner{i > 0, j > 0, k > 0};
        for (std::size_t axis = 0; axis < 3; ++axis) {
          if (!inner[axis] || grid.fluid[c - strides[axis]] == 0) continue;
          Vector face_m = centre_m;
          face_m[axis] -= step_m[axis] / 2.0;
          for (const PlacedJet& jet : jets)
            if (jet.axis[axis] != 0.0)
              *faces[axis] += strength_ratio * jet.axis[axis] * placed_speed_m_per_s(jet, face_m);
        }
      }
}

}  // namespace mistwright::flow
