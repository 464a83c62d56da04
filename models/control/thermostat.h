#pragma once
// A switch on temperature with hysteresis.
#include <optional>

namespace mistwright::control {

/// Turns on when the temperature rises to on_above_K and off when it falls to off_below_K.
struct Thermostat {
  double on_above_K = 0.0;  ///< must exceed off_below_K
  double off_below_K = 0.0;

  /// The state after a temperature has been reached.
  [[nodiscard]] bool next(bool on, double temperature_K) const {
    if (temperature_K >= on_above_K) return true;
    if (temperature_K <= off_below_K) return false;
    return on;
  }
  /// The temperature at which the present state ends.
  [[nodiscard]] double threshold_K(bool on) const { return on ? off_below_K : on_above_K; }
};

}  // namespace mistwright::control
