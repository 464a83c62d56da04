#pragma once
// Counter-based random numbers: draw n of a stream is a pure function of (seed, stream, n), so that
// neither the order of work nor the number of threads nor another part's draws can change it.
// Philox4x32-10: Salmon, Moraes, Dror and Shaw 2011, "Parallel random numbers: as easy as 1, 2, 3",
// SC'11. Checked against that paper's published known-answer vectors in tests/base.
#include <array>
#include <cmath>
#include <cstdint>
#include <string_view>

#include "models/units.h"

namespace mistwright {

using PhiloxBlock = std::array<std::uint32_t, 4>;

/// A block's four words, each in the lower half of 64 bits so that a loop over many blocks needs
/// no change of width.
struct PhiloxWords {
  std::uint64_t a, b, c, d;
};

[[gnu::always_inline]] constexpr PhiloxWords philox4x32_words(PhiloxWords counter,
                                                              std::uint64_t key,
                                                              std::uint64_t second_key) {
  constexpr std::uint64_t low_half = 0xFFFFFFFFU;
  for (int round = 0; round < 10; ++round) {
    const std::uint64_t p = 0xD2511F53U * counter.a, q = 0xCD9E8D57U * counter.c;
    counter = {(q >> 32U) ^ counter.b ^ key, q & low_half, (p >> 32U) ^ counter.d ^ second_key,
               p & low_half};
    key = (key + 0x9E3779B9U) & low_half;
    second_key = (second_key + 0xBB67AE85U) & low_half;
  }
  return counter;
}

constexpr PhiloxBlock philox4x32(PhiloxBlock counter, std::array<std::uint32_t, 2> key) {
  const PhiloxWords words =
      philox4x32_words({counter[0], counter[1], counter[2], counter[3]}, key[0], key[1]);
  return {static_cast<std::uint32_t>(words.a), static_cast<std::uint32_t>(words.b),
          static_cast<std::uint32_t>(words.c), static_cast<std::uint32_t>(words.d)};
}

/// A fixed 64-bit name for a stream (FNV-1a), so that adding a part never shifts another's draws.
constexpr std::uint64_t stream_of(std::string_view name) {
  std::uint64_t hash = 0xcbf29ce484222325ULL;
  for (const char c : name) hash = (hash ^ static_cast<unsigned char>(c)) * 0x100000001b3ULL;
  return hash;
}

/// A cursor over one stream.
class Random {
 public:
  constexpr Random(std::uint64_t seed, std::uint64_t stream) : seed_(seed), stream_(stream) {}

  /// Uniform in (0, 1).
  double uniform() {
    if (left_ == 0) refill();
    left_ -= 2;
    const std::uint64_t bits =
        (std::uint64_t{block_[left_]} << 32U) | std::uint64_t{block_[left_ + 1]};
    return (static_cast<double>(bits >> 11U) + 0.5) * 0x1p-53;
  }

  /// Standard normal (Box and Muller 1958; both of the pair are used).
  double normal() {
    if (has_spare_) {
      has_spare_ = false;
      return spare_;
    }
    const double radius = std::sqrt(-2.0 * std::log(uniform()));
    const double angle = 2.0 * pi * uniform();
    spare_ = radius * std::sin(angle);
    has_spare_ = true;
    return radius * std::cos(angle);
  }

 private:
  void refill() {
    block_ = philox4x32(
        {static_cast<std::uint32_t>(draw_), static_cast<std::uint32_t>(draw_ >> 32U),
         static_cast<std::uint32_t>(stream_), static_cast<std::uint32_t>(stream_ >> 32U)},
        {static_cast<std::uint32_t>(seed_), static_cast<std::uint32_t>(seed_ >> 32U)});
    ++draw_;
    left_ = 4;
  }

  std::uint64_t seed_;
  std::uint64_t stream_;
  std::uint64_t draw_ = 0;
  PhiloxBlock block_{};
  std::size_t left_ = 0;
  double spare_ = 0.0;
  bool has_spare_ = false;
};

}  // namespace mistwright
