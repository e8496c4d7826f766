// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <array>
#include <cstddef>
#include <cstdint>

/// Points that fill the unit cube evenly: every aligned block of 2^k points has one point in each of the 2^k
/// slices of each axis. Theory: docs/theory/numerics.md, Sobol points.
namespace fw::numerics {

inline constexpr std::size_t sobol_dimensions = 40;

/// Coordinate of a point as a 32-bit fraction: word / 2^32. Points in Gray-code order, point 0 is the origin.
///
///   v_k = m_k 2^(32-k);  v_k = v_(k-s) ^ (v_(k-s) >> s) ^ a_1 v_(k-1) ^ ... ^ a_(s-1) v_(k-s+1)
///   word = xor of v_k over the bits set in index ^ (index >> 1)
///
/// Source: I. M. Sobol', 1967; direction numbers of S. Joe, F. Y. Kuo, SIAM J. Sci. Comput. 30 (2008) 2635-2654, file
/// new-joe-kuo-6.21201. Keep point 0 and take 2^k points: A. B. Owen, On dropping the first Sobol' point,
/// arXiv:2008.08051 (2020). Precondition: dimension < sobol_dimensions.
/// Check: tests/published/numerics/stat_sobol_points.csv; point 9 begins (0.6875, 0.8125, 0.4375).
[[nodiscard]] std::uint32_t sobol_word(std::uint32_t index, std::size_t dimension);

/// A random digital shift: xored to every point it keeps their evenness and makes their mean unbiased.
using SobolShift = std::array<std::uint32_t, sobol_dimensions>;
/// Shift number `replicate`: one Philox word for each dimension, Purpose::scramble.
[[nodiscard]] SobolShift sobol_shift(std::uint64_t seed, std::uint32_t replicate);

/// Coordinate of a shifted point in the open interval (0, 1): ((word ^ shift) + 0.5) / 2^32.
[[nodiscard]] double sobol_unit(std::uint32_t index, std::size_t dimension, const SobolShift& shift);

}  // namespace fw::numerics
