#pragma once
// Invented houses for the tests of airflow.
#include <cmath>

#include "models/flow/enclosure.h"
#include "models/flow/regime_field.h"

namespace mistwright::test {

enum class FanWall { Back, Left };

/// A hoop house of 7.2 m by 3.6 m with two benches, a louvre in front and a fan.
inline flow::Enclosure hoop_house(FanWall fan = FanWall::Back) {
  flow::Enclosure house;
  house.length_m = 7.2;
  house.width_m = 3.6;
  house.eave_height_m = 1.2;
  house.ridge_height_m = 2.4;
  house.boxes = {{1.8, 5.4, 0.2, 1.4, 0.7, 0.9}, {1.8, 5.4, 2.2, 3.4, 0.7, 0.9}};
  const flow::Port back{"fan", flow::Side::Back, 1.8, 1.6, 0.4, 0.4};
  const flow::Port left{"fan", flow::Side::Left, 6.0, 0.8, 0.4, 0.4};
  house.ports = {{"louvre", flow::Side::Front, 1.8, 1.2, 0.6, 0.6},
                 fan == FanWall::Back ? back : left};
  return house;
}

/// An upright box of air without anything in it.
inline flow::Enclosure hall(double length_m, double width_m, double height_m) {
  flow::Enclosure house;
  house.length_m = length_m;
  house.width_m = width_m;
  house.eave_height_m = house.ridge_height_m = height_m;
  return house;
}

/// Mean speed at a height over the boxes of a house whose boxes are 6 m by 1 m.
inline double speed_over_boxes_m_per_s(const flow::Enclosure& house, const flow::RegimeField& field,
                                       double above_m) {
  double sum = 0.0;
  int count = 0;
  for (const flow::Box& box : house.boxes)
    for (int i = 0; i < 60; ++i)
      for (int j = 0; j < 10; ++j, ++count) {
        const flow::AirSample air =
            field.sample(box.x0_m + 0.05 + 0.1 * i, box.y0_m + 0.05 + 0.1 * j, box.z1_m + above_m);
        sum += std::hypot(air.u_m_per_s, air.v_m_per_s, air.w_m_per_s);
      }
  return sum / count;
}

/// The same house seen in a mirror along its length.
inline flow::Enclosure mirrored_across(flow::Enclosure house) {
  const auto other = [&](double y_m) { return house.width_m - y_m; };
  for (flow::Box& box : house.boxes) {
    const double low = other(box.y1_m);
    box.y1_m = other(box.y0_m);
    box.y0_m = low;
  }
  for (flow::Sheet& sheet : house.sheets) {
    if (sheet.axis == 1) {
      sheet.place_m = other(sheet.place_m);
      sheet.inward_factor = -sheet.inward_factor;
      continue;
    }
    const double low = other(sheet.high_m);
    sheet.high_m = other(sheet.low_m);
    sheet.low_m = low;
  }
  for (flow::Port& port : house.ports) {
    if (port.side == flow::Side::Front || port.side == flow::Side::Back)
      port.along_m = other(port.along_m);
    else if (port.side == flow::Side::Right)
      port.side = flow::Side::Left;
    else if (port.side == flow::Side::Left)
      port.side = flow::Side::Right;
  }
  return house;
}

}  // namespace mistwright::test
