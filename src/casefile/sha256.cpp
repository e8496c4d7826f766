// SPDX-License-Identifier: Apache-2.0
#include "casefile/sha256.hpp"

#include <algorithm>
#include <bit>

namespace fw::casefile {

namespace {

/// First 32 bits of the fractional parts of the cube roots of the first 64 primes (FIPS 180-4, 4.2.2).
constexpr std::array<std::uint32_t, 64> constants{
    0x428a2f98U, 0x71374491U, 0xb5c0fbcfU, 0xe9b5dba5U, 0x3956c25bU, 0x59f111f1U, 0x923f82a4U, 0xab1c5ed5U,
    0xd807aa98U, 0x12835b01U, 0x243185beU, 0x550c7dc3U, 0x72be5d74U, 0x80deb1feU, 0x9bdc06a7U, 0xc19bf174U,
    0xe49b69c1U, 0xefbe4786U, 0x0fc19dc6U, 0x240ca1ccU, 0x2de92c6fU, 0x4a7484aaU, 0x5cb0a9dcU, 0x76f988daU,
    0x983e5152U, 0xa831c66dU, 0xb00327c8U, 0xbf597fc7U, 0xc6e00bf3U, 0xd5a79147U, 0x06ca6351U, 0x14292967U,
    0x27b70a85U, 0x2e1b2138U, 0x4d2c6dfcU, 0x53380d13U, 0x650a7354U, 0x766a0abbU, 0x81c2c92eU, 0x92722c85U,
    0xa2bfe8a1U, 0xa81a664bU, 0xc24b8b70U, 0xc76c51a3U, 0xd192e819U, 0xd6990624U, 0xf40e3585U, 0x106aa070U,
    0x19a4c116U, 0x1e376c08U, 0x2748774cU, 0x34b0bcb5U, 0x391c0cb3U, 0x4ed8aa4aU, 0x5b9cca4fU, 0x682e6ff3U,
    0x748f82eeU, 0x78a5636fU, 0x84c87814U, 0x8cc70208U, 0x90befffaU, 0xa4506cebU, 0xbef9a3f7U, 0xc67178f2U};

}  // namespace

void Sha256::block(const unsigned char* bytes) {
  std::array<std::uint32_t, 64> w{};
  for (std::size_t t = 0; t < 16; ++t) {
    w[t] = static_cast<std::uint32_t>(bytes[4 * t]) << 24U | static_cast<std::uint32_t>(bytes[4 * t + 1]) << 16U |
           static_cast<std::uint32_t>(bytes[4 * t + 2]) << 8U | static_cast<std::uint32_t>(bytes[4 * t + 3]);
  }
  for (std::size_t t = 16; t < 64; ++t) {
    const std::uint32_t s0 = std::rotr(w[t - 15], 7) ^ std::rotr(w[t - 15], 18) ^ (w[t - 15] >> 3U);
    const std::uint32_t s1 = std::rotr(w[t - 2], 17) ^ std::rotr(w[t - 2], 19) ^ (w[t - 2] >> 10U);
    w[t] = w[t - 16] + s0 + w[t - 7] + s1;
  }
  auto [a, b, c, d, e, f, g, h] = state_;
  for (std::size_t t = 0; t < 64; ++t) {
    const std::uint32_t s1 = std::rotr(e, 6) ^ std::rotr(e, 11) ^ std::rotr(e, 25);
    const std::uint32_t first = h + s1 + ((e & f) ^ (~e & g)) + constants[t] + w[t];
    const std::uint32_t s0 = std::rotr(a, 2) ^ std::rotr(a, 13) ^ std::rotr(a, 22);
    const std::uint32_t second = s0 + ((a & b) ^ (a & c) ^ (b & c));
    h = g;
    g = f;
    f = e;
    e = d + first;
    d = c;
    c = b;
    b = a;
    a = first + second;
  }
  const std::array<std::uint32_t, 8> sum{a, b, c, d, e, f, g, h};
  for (std::size_t i = 0; i < 8; ++i) state_[i] += sum[i];
}

void Sha256::add(std::string_view bytes) {
  total_bytes_ += bytes.size();
  for (std::size_t at = 0; at < bytes.size();) {
    const std::size_t take = std::min(bytes.size() - at, rest_.size() - rest_size_);
    std::transform(
        bytes.begin() + static_cast<std::ptrdiff_t>(at), bytes.begin() + static_cast<std::ptrdiff_t>(at + take),
        rest_.begin() + static_cast<std::ptrdiff_t>(rest_size_), [](char c) { return static_cast<unsigned char>(c); });
    rest_size_ += take;
    at += take;
    if (rest_size_ == rest_.size()) {
      block(rest_.data());
      rest_size_ = 0;
    }
  }
}

std::string Sha256::hex() {
  const std::uint64_t bits = 8 * total_bytes_;
  add(std::string_view("\x80", 1));
  while (rest_size_ != 56) add(std::string_view("\0", 1));
  std::string length(8, '\0');
  for (std::size_t i = 0; i < 8; ++i) length[i] = static_cast<char>(bits >> (56U - 8U * i) & 0xFFU);
  add(length);
  constexpr char digits[] = "0123456789abcdef";
  std::string text;
  for (const std::uint32_t word : state_) {
    for (unsigned shift = 32; shift > 0; shift -= 4) text += digits[word >> (shift - 4U) & 0xFU];
  }
  return text;
}

std::string sha256_hex(std::string_view bytes) {
  Sha256 hash;
  hash.add(bytes);
  return hash.hex();
}

}  // namespace fw::casefile
