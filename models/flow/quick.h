#pragma once
// What does QUICK (Leonard 1979) add to an upwind difference at a face?
namespace mistwright::flow {

/// Values about a face, seen along the flow through it.
struct Upwind {
  double upstream = 0.0, downstream = 0.0;  ///< on the two sides of the face
  double farther = 0.0;                     ///< one further upstream
  double farther_share = 0.0;               ///< 1 where that one is known, else 0
};

/// QUICK's value at the face less the upstream one; without the farther value the mean less it.
inline double sharper(const Upwind& at) {
  const double step = at.downstream - at.upstream;
  return 0.5 * step - at.farther_share * 0.125 * (step - (at.upstream - at.farther));
}

}  // namespace mistwright::flow
