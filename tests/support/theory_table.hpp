// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cmath>
#include <cstddef>
#include <cstdio>
#include <fstream>
#include <iterator>
#include <string>
#include <string_view>
#include <vector>

#include <gtest/gtest.h>

#include "project_file.hpp"

/// The tables "Deviations from outside values" of docs/theory, for tests only: each row is made from what a test finds,
/// and must stand in the page as it is made.
namespace fw::test {

struct TheoryRow {
  std::string what;
  std::string source;
  double outside = 0.0;
  double ours = 0.0;
  /// Name of the test that asserts the tolerance.
  std::string held_by;
};

/// A number by a format of the C library.
[[nodiscard]] inline std::string printed(const char* format, double value) {
  char text[64];
  const int length = std::snprintf(text, sizeof text, format, value);
  return {text, static_cast<std::size_t>(length)};
}

/// "+0.52 %"; "below 0.01 %" where two decimals would show nothing.
[[nodiscard]] inline std::string deviation_text(double outside, double ours) {
  const double percent = 1e2 * (ours / outside - 1.0);
  return std::abs(percent) < 0.01 ? std::string("below 0.01 %") : printed("%+.2f %%", percent);
}

[[nodiscard]] inline std::string row_text(const TheoryRow& row) {
  return "| " + row.what + " | " + row.source + " | " + printed("%.4g", row.outside) + " | " +
         printed("%.4g", row.ours) + " | " + deviation_text(row.outside, row.ours) + " | `" + row.held_by + "` |";
}

[[nodiscard]] inline std::string theory_page(std::string_view page) {
  std::ifstream file(test::project_file("docs/theory/") + std::string(page));
  return {std::istreambuf_iterator<char>(file), {}};
}

/// One row of a page.
inline void expect_theory_row(std::string_view page, const TheoryRow& row) {
  EXPECT_NE(theory_page(page).find("\n" + row_text(row) + "\n"), std::string::npos)
      << "docs/theory/" << page << " must hold:\n"
      << row_text(row);
}

/// All rows of the table between "<!-- begin NAME -->" and "<!-- end NAME -->" of a page.
inline void expect_theory_table(std::string_view page, const std::string& name, const std::vector<TheoryRow>& rows) {
  std::string fresh =
      "<!-- begin " + name +
      " -->\n| what | outside value by | outside | ours | deviation | test |\n| --- | --- | --- | --- | --- | --- |\n";
  for (const TheoryRow& row : rows) fresh += row_text(row) + "\n";
  fresh += "<!-- end " + name + " -->\n";
  EXPECT_NE(theory_page(page).find(fresh), std::string::npos) << "docs/theory/" << page << " must hold:\n" << fresh;
}

}  // namespace fw::test
