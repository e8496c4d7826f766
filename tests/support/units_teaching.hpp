// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <functional>
#include <string>
#include <string_view>

#include <gtest/gtest.h>

#include "base/result.hpp"
#include "units/text.hpp"

namespace fw::test {

/// One error that shows what was typed, says `says` in what it expects, and hints with at least one quoted text; all
/// quoted texts of the hint are legal.
inline void expect_teaching(const Errors& errors, std::string_view typed, std::string_view says,
                            const std::function<bool(std::string_view)>& legal) {
  EXPECT_EQ(errors.size(), 1U) << typed;
  const Error& error = errors.front();
  EXPECT_EQ(error.code, ErrorCode::invalid_input) << typed;
  EXPECT_EQ(error.found, units::quoted(typed));
  EXPECT_NE(error.expected.find(says), std::string::npos) << typed << ": " << error.expected;
  int examples = 0;
  // A double quote inside a text (inches) never stands in a hint.
  for (std::size_t open = error.hint.find('"'); open != std::string::npos;) {
    const std::size_t close = error.hint.find('"', open + 1);
    ASSERT_NE(close, std::string::npos) << error.hint;
    const std::string_view example = std::string_view(error.hint).substr(open + 1, close - open - 1);
    EXPECT_TRUE(legal(example)) << typed << ": hint quotes " << example;
    ++examples;
    open = error.hint.find('"', close + 1);
  }
  EXPECT_GE(examples, 1) << typed << ": " << error.hint;
}

}  // namespace fw::test
