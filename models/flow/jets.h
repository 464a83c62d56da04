#pragma once
// How fast does the air of a jet move, free of walls?
// A rectangular mouth w by h at uniform speed U0 turns into a Gaussian profile whose half-widths
// grow as b = 0.1 x once that exceeds the mouth's own (Rajaratnam 1976, round and plane jets alike)
// and whose momentum stays that of the mouth. That alone gives the plane jet's U ~ x^-1/2 and the
// round jet's U = 5.9 U0 d / x; measured: 5.8 (Hussein, Capp and George 1994) to 6.3 (Rajaratnam
// 1976). Left out: buoyancy, swirl of fans, the secondary flow in the corners of long mouths.
namespace mistwright::flow {

/// A mouth that blows along its axis.
struct JetMouth {
  double width_m = 0.0, tall_m = 0.0;  ///< across the axis, level and upright; above zero
  double speed_m_per_s = 0.0;
  double finest_m = 0.0;  ///< no half-width below it, momentum kept: what a grid can hold
};

/// Half-widths (where the speed is half the axis's) and speed on the axis.
struct JetSection {
  double half_width_m = 0.0, half_tall_m = 0.0;
  double axis_speed_m_per_s = 0.0;
};

/// The jet's cross-section at a distance along its axis, at least 0.
JetSection jet_section(const JetMouth& mouth, double along_m);

/// A point seen from the mouth: along the axis, and sideways and upward from it.
struct JetPoint {
  double along_m = 0.0, aside_m = 0.0, above_m = 0.0;
};

/// Speed along the axis [m/s]; zero behind the mouth.
double jet_speed_m_per_s(const JetMouth& mouth, const JetPoint& point);

/// The square mouth of a round one's area.
JetMouth round_mouth(double diameter_m, double flow_m3_per_s);

}  // namespace mistwright::flow
