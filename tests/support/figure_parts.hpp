// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <variant>
#include <vector>

#include "report/figure.hpp"

namespace fw::test {

/// The primitives of one kind in a figure, in the order they are drawn.
template <class T>
std::vector<T> all(const report::Figure& figure) {
  std::vector<T> found;
  for (const report::Primitive& primitive : figure.primitives) {
    if (const auto* mine = std::get_if<T>(&primitive)) found.push_back(*mine);
  }
  return found;
}

}  // namespace fw::test
