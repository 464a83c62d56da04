#include "models/water/head.h"

#include <cmath>

#include "models/contracts.h"
#include "models/units.h"

namespace mistwright::water {

double head_flow_m3_per_s(const HeadType& type, double pressure_Pa) {
  EXPECT(type.rated_pressure_Pa > 0.0 && type.rated_flow_m3_per_s >= 0.0);
  if (pressure_Pa <= 0.0) return 0.0;
  return type.rated_flow_m3_per_s *
         std::pow(pressure_Pa / type.rated_pressure_Pa, type.flow_exponent);
}

double head_dv50_m(const HeadType& type, double pressure_Pa) {
  EXPECT(pressure_Pa > 0.0 && type.spectrum_pressure_Pa > 0.0);
  return type.dv50_m * std::pow(pressure_Pa / type.spectrum_pressure_Pa, -type.spectrum_exponent);
}

double boom_dose_m(const HeadType& type) {
  if (type.boom.heads == 0) return 0.0;
  EXPECT(type.boom.speed_m_per_s > 0.0 && type.boom.width_m > 0.0);
  return type.boom.heads * type.rated_flow_m3_per_s / (type.boom.speed_m_per_s * type.boom.width_m);
}

double orifice_flow_m3_per_s(const Orifice& orifice, double pressure_Pa) {
  if (pressure_Pa <= 0.0) return 0.0;
  const double area_m2 = 0.25 * pi * orifice.diameter_m * orifice.diameter_m;
  return orifice.discharge_coefficient * area_m2 *
         std::sqrt(2.0 * pressure_Pa / water_density_kg_per_m3);
}

}  // namespace mistwright::water
