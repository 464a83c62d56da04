#pragma once
// Events are plain data, so that they can be printed, saved, hashed and compared.
#include <compare>
#include <cstdint>

#include "sim/engine/time.h"

namespace mistwright::engine {

/// The order of things that happen at one instant. Whoever is acted upon comes after whoever acts:
/// the weather moves controllers, controllers move valves and fans, those change the water's
/// pressures, a closing valve lands its water, then air, leaves and medium begin their next
/// stretch, the ledger is struck, and a recording sees the state after all of it.
enum class Rank : std::uint8_t {
  Weather,
  Controller,
  Device,
  Hydraulics,
  Deposition,
  Climate,
  Ledger,
  Record
};

/// Something that happens: to which part, of what kind, with up to two numbers.
struct Event {
  SimTime time{};
  Rank rank = Rank::Weather;
  std::uint64_t sequence =
      0;  ///< order of posting: ties at one instant and rank are first in, first out
  std::uint32_t part = 0;
  std::uint32_t kind = 0;        ///< the part's own enum
  std::uint32_t generation = 0;  ///< of a prediction; zero for a posted event, which is never stale
  double first = 0.0, second = 0.0;

  /// The total order: earlier time, then lower rank, then lower sequence.
  [[nodiscard]] friend bool before(const Event& a, const Event& b) {
    if (a.time != b.time) return a.time < b.time;
    if (a.rank != b.rank) return a.rank < b.rank;
    return a.sequence < b.sequence;
  }
};

}  // namespace mistwright::engine
