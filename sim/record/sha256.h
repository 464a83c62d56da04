#pragma once
// The SHA-256 digest (FIPS 180-4, section 6.2): by which two results are known to be the same.
// Here for naming content, not for keeping secrets.
#include <array>
#include <cstddef>
#include <cstdint>
#include <string>
#include <string_view>

namespace mistwright::record {

/// Takes bytes in any portions; digest() ends it.
class Sha256 {
 public:
  void add(std::string_view bytes);
  /// A whole number as eight bytes, lowest first.
  void add(std::uint64_t number);
  /// @return 64 lower-case hexadecimal digits; the object is spent afterwards
  [[nodiscard]] std::string digest();

 private:
  void block(const unsigned char* bytes);

  std::array<std::uint32_t, 8> state_{0x6a09e667, 0xbb67ae85, 0x3c6ef372, 0xa54ff53a,
                                      0x510e527f, 0x9b05688c, 0x1f83d9ab, 0x5be0cd19};
  std::array<unsigned char, 64> waiting_{};
  std::size_t waiting_count_ = 0;
  std::uint64_t total_bytes_ = 0;
};

/// @return 64 lower-case hexadecimal digits
[[nodiscard]] std::string sha256(std::string_view bytes);

}  // namespace mistwright::record
