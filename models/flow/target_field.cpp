#include "models/flow/target_field.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "models/contracts.h"

namespace mistwright::flow {
namespace {

using Vector = std::array<double, 3>;

/// Share of the cross-section that a jet's outline fills before it weakens: first critical section
/// of confined jets, Sadovskaya after the Industrial Ventilation Design Guidebook (2001) ch. 7.
/// That it is spent where it fills the whole, about three times the root of the section away, is
/// common practice.
constexpr double weakens_fraction = 0.24;
/// The outline lies where the speed is a tenth of the axis's: 1.82 half-widths of 0.1 x.
const double outline_ratio = 0.1 * std::sqrt(std::log(10.0) / std::log(2.0));

/// Speed left by the room's confinement.
double confinement_factor(const PlacedJet& jet, double along_m) {
  const auto filled = [&](const JetRoom& room, double mouth_m) {
    const double reach_m = mouth_m / 2.0 + outline_ratio * along_m;
    const double inside_m = std::fmin(reach_m, room.high_m) - std::fmax(-reach_m, room.low_m);
    return std::fmin(1.0, inside_m / (room.high_m - room.low_m));
  };
  const double share = filled(jet.aside, jet.mouth.width_m) * filled(jet.above, jet.mouth.tall_m);
  return std::fmin(1.0, (1.0 - share) / (1.0 - weakens_fraction));
}

/// Squares of a Gaussian of peak 1 and of its images behind the two walls, added.
double mirrored_square(const JetRoom& room, double half_m, double at_m) {
  const auto square = [&](double centre_m) {
    const double r = (at_m - centre_m) / half_m;
    return r * r > 40.0 ? 0.0 : std::exp(-2.0 * std::numbers::ln2 * r * r);
  };
  const double own = square(0.0);
  return room.mirrors ? own + square(2.0 * room.low_m) + square(2.0 * room.high_m) : own;
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

/// Walls beside a jet: a jet from the roof sees the house's length and width, a level one its
/// height and, when it runs along or across the house, the two walls beside it.
void give_room(const Enclosure& enclosure, PlacedJet& jet) {
  const auto& [x_m, y_m, z_m] = jet.origin_m;
  const JetRoom along_x{-x_m, enclosure.length_m - x_m, true};
  const JetRoom along_y{-y_m, enclosure.width_m - y_m, true};
  if (std::fabs(jet.axis[2]) > 0.5) {
    jet.aside = along_x;
    jet.above = along_y;
    return;
  }
  // A side wall's roof height is that of the house a little further in.
  const double inner_m = std::clamp(y_m, 0.25 * enclosure.width_m, 0.75 * enclosure.width_m);
  jet.above = {-z_m, std::fmax(z_m, enclosure.roof_height_m(inner_m)) - z_m, true};
  constexpr double aligned = 1e-9;
  if (std::fabs(jet.axis[1]) < aligned) {
    jet.aside = jet.axis[0] > 0.0 ? along_y : JetRoom{-along_y.high_m, -along_y.low_m, true};
  } else if (std::fabs(jet.axis[0]) < aligned) {
    jet.aside = jet.axis[1] < 0.0 ? along_x : JetRoom{-along_x.high_m, -along_x.low_m, true};
  } else {
    const double half_m =
        (std::fabs(jet.axis[0]) * enclosure.width_m + std::fabs(jet.axis[1]) * enclosure.length_m) /
        2.0;
    jet.aside = {-half_m, half_m, false};
  }
}

}  // namespace

std::vector<PlacedJet> placed_jets(const Enclosure& enclosure, const std::vector<PortFlow>& ports,
                                   double finest_m) {
  std::vector<PlacedJet> jets;
  for (const PortFlow& flow : ports) {
    if (flow.inflow_m3_per_s <= 0.0) continue;
    const Port& port = enclosure.ports.at(flow.port);
    EXPECT(port.width_m > 0.0 && port.tall_m > 0.0);
    PlacedJet jet;
    jet.mouth = {port.width_m, port.tall_m, flow.inflow_m3_per_s / (port.width_m * port.tall_m),
                 finest_m};
    jet.origin_m = port_centre_m(enclosure, port);
    jet.axis = inward_axis(port.side);
    jet.flow_m3_per_s = flow.inflow_m3_per_s;
    give_room(enclosure, jet);
    jets.push_back(jet);
  }
  for (const Stirrer& fan : enclosure.stirrers) {
    PlacedJet jet;
    jet.mouth = round_mouth(fan.diameter_m, fan.flow_m3_per_s);
    jet.mouth.finest_m = finest_m;
    jet.origin_m = {fan.x_m, fan.y_m, fan.z_m};
    jet.axis = {std::cos(fan.bearing_rad), std::sin(fan.bearing_rad), 0.0};
    jet.flow_m3_per_s = fan.flow_m3_per_s;
    give_room(enclosure, jet);
    jets.push_back(jet);
  }
  return jets;
}

JetThere placed_jet_at(const PlacedJet& jet, const std::array<double, 3>& point_m) {
  Vector away{};
  for (std::size_t axis = 0; axis < 3; ++axis) away[axis] = point_m[axis] - jet.origin_m[axis];
  const double along_m = away[0] * jet.axis[0] + away[1] * jet.axis[1] + away[2] * jet.axis[2];
  if (along_m < 0.0) return {};
  const JetSection section = jet_section(jet.mouth, along_m);
  const bool falls = std::fabs(jet.axis[2]) > 0.5;
  const double aside_m = falls ? away[0] : away[1] * jet.axis[0] - away[0] * jet.axis[1];
  const double above_m = falls ? away[1] : away[2];
  const double square = mirrored_square(jet.aside, section.half_width_m, aside_m) *
                        mirrored_square(jet.above, section.half_tall_m, above_m);
  if (square < 1e-16) return {};
  const double core = std::sqrt(square) * confinement_factor(jet, along_m);
  return {section.axis_speed_m_per_s * core, std::fmin(1.0, core)};
}

void add_jets(const Grid& grid, const std::vector<PlacedJet>& jets, double strength_ratio,
              FaceField& field, FaceWeights& stiffness_factor) {
  constexpr double jet_stiffness = 10.0;
  const Vector step_m{grid.dx_m, grid.dy_m, grid.dz_m};
  const std::array<std::vector<double>*, 3> speeds{&field.u_m_per_s, &field.v_m_per_s,
                                                   &field.w_m_per_s};
  const std::array<std::vector<double>*, 3> stiffness{&stiffness_factor.u, &stiffness_factor.v,
                                                      &stiffness_factor.w};
  const auto blow = [&](const Vector& at_m, std::size_t axis, std::size_t face) {
    double& stiff = (*stiffness[axis])[face];
    for (const PlacedJet& jet : jets) {
      const double part = jet.axis[axis];
      if (part == 0.0) continue;
      const JetThere there = placed_jet_at(jet, at_m);
      (*speeds[axis])[face] += strength_ratio * part * there.speed_m_per_s;
      const double core = std::fabs(part) * there.core_fraction;
      stiff = std::fmax(stiff, 1.0 + (jet_stiffness - 1.0) * core);
    }
  };
  for (std::size_t c = 0; c < grid.cells(); ++c) {
    const auto [i, j, k] = grid.place(c);
    const std::array<std::size_t, 3> at{i, j, k};
    const std::array<std::size_t, 3> faces{grid.u_face(i, j, k), grid.v_face(i, j, k),
                                           grid.w_face(i, j, k)};
    for (std::size_t axis = 0; axis < 3; ++axis) {
      if (at[axis] == 0 || grid.fluid[c] == 0 || grid.fluid[c - grid.stride(axis)] == 0) continue;
      Vector face_m{grid.x_centre_m(i), grid.y_centre_m(j), grid.z_centre_m(k)};
      face_m[axis] -= step_m[axis] / 2.0;
      blow(face_m, axis, faces[axis]);
    }
  }
}

}  // namespace mistwright::flow
