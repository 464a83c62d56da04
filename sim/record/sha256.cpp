#include "sim/record/sha256.h"

#include <algorithm>
#include <bit>
#include <cstring>

namespace mistwright::record {
namespace {

// FIPS 180-4, section 4.2.2: the first 32 bits of the fractional parts of the cube roots of the
// first 64 primes.
constexpr std::array<std::uint32_t, 64> K{
    0x428a2f98, 0x71374491, 0xb5c0fbcf, 0xe9b5dba5, 0x3956c25b, 0x59f111f1, 0x923f82a4, 0xab1c5ed5,
    0xd807aa98, 0x12835b01, 0x243185be, 0x550c7dc3, 0x72be5d74, 0x80deb1fe, 0x9bdc06a7, 0xc19bf174,
    0xe49b69c1, 0xefbe4786, 0x0fc19dc6, 0x240ca1cc, 0x2de92c6f, 0x4a7484aa, 0x5cb0a9dc, 0x76f988da,
    0x983e5152, 0xa831c66d, 0xb00327c8, 0xbf597fc7, 0xc6e00bf3, 0xd5a79147, 0x06ca6351, 0x14292967,
    0x27b70a85, 0x2e1b2138, 0x4d2c6dfc, 0x53380d13, 0x650a7354, 0x766a0abb, 0x81c2c92e, 0x92722c85,
    0xa2bfe8a1, 0xa81a664b, 0xc24b8b70, 0xc76c51a3, 0xd192e819, 0xd6990624, 0xf40e3585, 0x106aa070,
    0x19a4c116, 0x1e376c08, 0x2748774c, 0x34b0bcb5, 0x391c0cb3, 0x4ed8aa4a, 0x5b9cca4f, 0x682e6ff3,
    0x748f82ee, 0x78a5636f, 0x84c87814, 0x8cc70208, 0x90befffa, 0xa4506ceb, 0xbef9a3f7, 0xc67178f2};

}  // namespace

void Sha256::block(const unsigned char* bytes) {
  std::array<std::uint32_t, 64> w{};
  for (std::size_t t = 0; t < 16; ++t) {
    w[t] = (std::uint32_t{bytes[4 * t]} << 24) | (std::uint32_t{bytes[4 * t + 1]} << 16) |
           (std::uint32_t{bytes[4 * t + 2]} << 8) | std::uint32_t{bytes[4 * t + 3]};
  }
  for (std::size_t t = 16; t < 64; ++t) {
    const std::uint32_t s0 = std::rotr(w[t - 15], 7) ^ std::rotr(w[t - 15], 18) ^ (w[t - 15] >> 3);
    const std::uint32_t s1 = std::rotr(w[t - 2], 17) ^ std::rotr(w[t - 2], 19) ^ (w[t - 2] >> 10);
    w[t] = s1 + w[t - 7] + s0 + w[t - 16];
  }
  auto [a, b, c, d, e, f, g, h] = state_;
  for (std::size_t t = 0; t < 64; ++t) {
    const std::uint32_t S1 = std::rotr(e, 6) ^ std::rotr(e, 11) ^ std::rotr(e, 25);
    const std::uint32_t T1 = h + S1 + ((e & f) ^ (~e & g)) + K[t] + w[t];
    const std::uint32_t S0 = std::rotr(a, 2) ^ std::rotr(a, 13) ^ std::rotr(a, 22);
    const std::uint32_t T2 = S0 + ((a & b) ^ (a & c) ^ (b & c));
    h = g, g = f, f = e, e = d + T1, d = c, c = b, b = a, a = T1 + T2;
  }
  const std::array<std::uint32_t, 8> mixed{a, b, c, d, e, f, g, h};
  for (std::size_t i = 0; i < 8; ++i) state_[i] += mixed[i];
}

void Sha256::add(std::string_view bytes) {
  total_bytes_ += bytes.size();
  while (!bytes.empty()) {
    const std::size_t taken = std::min(bytes.size(), waiting_.size() - waiting_count_);
    std::memcpy(waiting_.data() + waiting_count_, bytes.data(), taken);
    waiting_count_ += taken;
    bytes.remove_prefix(taken);
    if (waiting_count_ == waiting_.size()) {
      block(waiting_.data());
      waiting_count_ = 0;
    }
  }
}

void Sha256::add(std::uint64_t number) {
  std::array<char, 8> bytes{};
  for (std::size_t i = 0; i < 8; ++i) bytes[i] = static_cast<char>((number >> (8 * i)) & 0xffU);
  add(std::string_view(bytes.data(), bytes.size()));
}

std::string Sha256::digest() {
  const std::uint64_t bits = total_bytes_ * 8;
  add(std::string_view("\x80", 1));
  while (waiting_count_ != 56) add(std::string_view("\0", 1));
  std::array<char, 8> length{};
  for (std::size_t i = 0; i < 8; ++i) length[i] = static_cast<char>((bits >> (56 - 8 * i)) & 0xffU);
  add(std::string_view(length.data(), length.size()));
  std::string text;
  for (const std::uint32_t word : state_)
    for (int shift = 28; shift >= 0; shift -= 4) text += "0123456789abcdef"[(word >> shift) & 0xfU];
  return text;
}

std::string sha256(std::string_view bytes) {
  Sha256 hash;
  hash.add(bytes);
  return hash.digest();
}

}  // namespace mistwright::record
