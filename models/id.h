#pragma once
#include <compare>
#include <cstddef>
#include <cstdint>

namespace mistwright {

/// An index that cannot be mistaken for the index of another kind of thing.
template <class Thing>
struct Id {
  std::uint32_t value = 0;
  constexpr Id() = default;
  constexpr explicit Id(std::size_t index) : value(static_cast<std::uint32_t>(index)) {}
  [[nodiscard]] constexpr std::size_t index() const { return value; }
  friend constexpr auto operator<=>(Id, Id) = default;
};

}  // namespace mistwright
