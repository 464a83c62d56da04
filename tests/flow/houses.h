#pragma once
// Invented houses for the tests of airflow.
#include "models/flow/enclosure.h"

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

}  // namespace mistwright::test
