#pragma once
// Mass and energy in, out and held. Every line is measured where it happens; none is what is left
// over when the others are added up.
#include <cstdint>
#include <string>
#include <vector>

#include "sim/engine/state.h"

namespace mistwright::engine {

/// A running sum with Neumaier's compensation, so that a day of small amounts keeps its last
/// digits.
class Sum {
 public:
  void add(double amount) {
    const double total = sum_ + amount;
    compensation_ += (sum_ < 0 ? -sum_ : sum_) >= (amount < 0 ? -amount : amount)
                         ? (sum_ - total) + amount
                         : (amount - total) + sum_;
    sum_ = total;
  }
  [[nodiscard]] double value() const { return sum_ + compensation_; }
  void state(StateVisitor& visitor) {
    visitor.value(sum_);
    visitor.value(compensation_);
  }

 private:
  double sum_ = 0.0, compensation_ = 0.0;
};

/// One balance struck: what came in, what went out, and how much more is held than at the start.
struct Balance {
  std::string name, units;
  double inflow = 0.0, outflow = 0.0, stored_change = 0.0, held = 0.0;

  [[nodiscard]] double residual() const { return inflow - outflow - stored_change; }
  /// |in - out - change of store| / (in + out + |store|), 0 for an empty balance.
  [[nodiscard]] double relative_residual() const;
};

/// The largest relative residual that a run may have.
inline constexpr double audit_tolerance_fraction = 1e-9;

}  // namespace mistwright::engine
