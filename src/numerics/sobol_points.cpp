// SPDX-License-Identifier: Apache-2.0
#include "numerics/sobol_points.hpp"

#include "base/contract.hpp"
#include "numerics/philox.hpp"
#include "numerics/stream.hpp"

namespace fw::numerics {

namespace {

struct Primitive {
  unsigned degree;
  unsigned coefficients;
  std::array<std::uint32_t, 8> m;
};

// Dimensions 2 to 40 of new-joe-kuo-6.21201. Licence of the accompanying sets of direction numbers:
//
// Copyright (c) 2008, Frances Y. Kuo and Stephen Joe
// All rights reserved.
//
// Redistribution and use in source and binary forms, with or without modification, are permitted provided that the
// following conditions are met:
//
//     * Redistributions of source code must retain the above copyright notice, this list of conditions and the
//       following disclaimer.
//
//     * Redistributions in binary form must reproduce the above copyright notice, this list of conditions and the
//       following disclaimer in the documentation and/or other materials provided with the distribution.
//
//     * Neither the names of the copyright holders nor the names of the University of New South Wales and the
//       University of Waikato and its contributors may be used to endorse or promote products derived from this
//       software without specific prior written permission.
//
// THIS SOFTWARE IS PROVIDED BY THE COPYRIGHT HOLDERS ``AS IS'' AND ANY EXPRESS OR IMPLIED WARRANTIES, INCLUDING, BUT
// NOT LIMITED TO, THE IMPLIED WARRANTIES OF MERCHANTABILITY AND FITNESS FOR A PARTICULAR PURPOSE ARE DISCLAIMED. IN NO
// EVENT SHALL THE COPYRIGHT HOLDERS BE LIABLE FOR ANY DIRECT, INDIRECT, INCIDENTAL, SPECIAL, EXEMPLARY, OR
// CONSEQUENTIAL DAMAGES (INCLUDING, BUT NOT LIMITED TO, PROCUREMENT OF SUBSTITUTE GOODS OR SERVICES; LOSS OF USE, DATA,
// OR PROFITS; OR BUSINESS INTERRUPTION) HOWEVER CAUSED AND ON ANY THEORY OF LIABILITY, WHETHER IN CONTRACT, STRICT
// LIABILITY, OR TORT (INCLUDING NEGLIGENCE OR OTHERWISE) ARISING IN ANY WAY OUT OF THE USE OF THIS SOFTWARE, EVEN IF
// ADVISED OF THE POSSIBILITY OF SUCH DAMAGE.
constexpr std::array<Primitive, sobol_dimensions - 1> primitives = {{
    {1, 0, {1}},
    {2, 1, {1, 3}},
    {3, 1, {1, 3, 1}},
    {3, 2, {1, 1, 1}},
    {4, 1, {1, 1, 3, 3}},
    {4, 4, {1, 3, 5, 13}},
    {5, 2, {1, 1, 5, 5, 17}},
    {5, 4, {1, 1, 5, 5, 5}},
    {5, 7, {1, 1, 7, 11, 19}},
    {5, 11, {1, 1, 5, 1, 1}},
    {5, 13, {1, 1, 1, 3, 11}},
    {5, 14, {1, 3, 5, 5, 31}},
    {6, 1, {1, 3, 3, 9, 7, 49}},
    {6, 13, {1, 1, 1, 15, 21, 21}},
    {6, 16, {1, 3, 1, 13, 27, 49}},
    {6, 19, {1, 1, 1, 15, 7, 5}},
    {6, 22, {1, 3, 1, 15, 13, 25}},
    {6, 25, {1, 1, 5, 5, 19, 61}},
    {7, 1, {1, 3, 7, 11, 23, 15, 103}},
    {7, 4, {1, 3, 7, 13, 13, 15, 69}},
    {7, 7, {1, 1, 3, 13, 7, 35, 63}},
    {7, 8, {1, 3, 5, 9, 1, 25, 53}},
    {7, 14, {1, 3, 1, 13, 9, 35, 107}},
    {7, 19, {1, 3, 1, 5, 27, 61, 31}},
    {7, 21, {1, 1, 5, 11, 19, 41, 61}},
    {7, 28, {1, 3, 5, 3, 3, 13, 69}},
    {7, 31, {1, 1, 7, 13, 1, 19, 1}},
    {7, 32, {1, 3, 7, 5, 13, 19, 59}},
    {7, 37, {1, 1, 3, 9, 25, 29, 41}},
    {7, 41, {1, 3, 5, 13, 23, 1, 55}},
    {7, 42, {1, 3, 7, 3, 13, 59, 17}},
    {7, 50, {1, 3, 1, 3, 5, 53, 69}},
    {7, 55, {1, 1, 5, 5, 23, 33, 13}},
    {7, 56, {1, 1, 7, 7, 1, 61, 123}},
    {7, 59, {1, 1, 7, 9, 13, 61, 49}},
    {7, 62, {1, 3, 3, 5, 3, 55, 33}},
    {8, 14, {1, 3, 1, 15, 31, 13, 49, 245}},
    {8, 21, {1, 3, 5, 15, 31, 59, 63, 97}},
    {8, 22, {1, 3, 1, 11, 11, 11, 77, 249}},
}};

using Directions = std::array<std::array<std::uint32_t, 32>, sobol_dimensions>;

constexpr Directions make_directions() {
  Directions directions{};
  for (std::size_t k = 0; k < 32; ++k) directions[0][k] = 1U << (31U - k);
  for (std::size_t dimension = 1; dimension < sobol_dimensions; ++dimension) {
    const auto& [degree, coefficients, m] = primitives[dimension - 1];
    auto& v = directions[dimension];
    for (std::size_t k = 0; k < degree; ++k) v[k] = m[k] << (31U - k);
    for (std::size_t k = degree; k < 32; ++k) {
      std::uint32_t word = v[k - degree] ^ (v[k - degree] >> degree);
      for (std::size_t j = 1; j < degree; ++j) {
        if ((coefficients >> (degree - 1U - j) & 1U) != 0U) word ^= v[k - j];
      }
      v[k] = word;
    }
  }
  return directions;
}

constexpr Directions directions = make_directions();

}  // namespace

std::uint32_t sobol_word(std::uint32_t index, std::size_t dimension) {
  FW_EXPECTS(dimension < sobol_dimensions);
  std::uint32_t word = 0;
  std::size_t bit = 0;
  for (std::uint32_t gray = index ^ (index >> 1U); gray != 0U; gray >>= 1U, ++bit) {
    if ((gray & 1U) != 0U) word ^= directions[dimension][bit];
  }
  return word;
}

SobolShift sobol_shift(std::uint64_t seed, std::uint32_t replicate) {
  SobolShift shift{};
  for (std::size_t dimension = 0; dimension < sobol_dimensions; ++dimension) {
    shift[dimension] = words(seed, InputKey{dimension}, Purpose::scramble, replicate)[0];
  }
  return shift;
}

double sobol_unit(std::uint32_t index, std::size_t dimension, const SobolShift& shift) {
  return open_unit(sobol_word(index, dimension) ^ shift[dimension]);
}

}  // namespace fw::numerics
