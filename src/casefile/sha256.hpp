// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <array>
#include <cstddef>
#include <cstdint>
#include <string>
#include <string_view>

namespace fw::casefile {

/// SHA-256 of bytes given in pieces. Source: FIPS PUB 180-4 (2015). Check: its examples "abc" ->
/// ba7816bf..., the 56-byte message -> 248d6a61..., a million times "a" -> cdc76e5c... (from memory, confirmed with
/// coreutils sha256sum).
class Sha256 {
 public:
  void add(std::string_view bytes);
  /// Lower-case hexadecimal; the object must not be used afterwards.
  [[nodiscard]] std::string hex();

 private:
  void block(const unsigned char* bytes);

  std::array<std::uint32_t, 8> state_{0x6a09e667U, 0xbb67ae85U, 0x3c6ef372U, 0xa54ff53aU,
                                      0x510e527fU, 0x9b05688cU, 0x1f83d9abU, 0x5be0cd19U};
  std::array<unsigned char, 64> rest_{};
  std::size_t rest_size_ = 0;
  std::uint64_t total_bytes_ = 0;
};

[[nodiscard]] std::string sha256_hex(std::string_view bytes);

}  // namespace fw::casefile
