// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <array>
#include <cstddef>
#include <string>
#include <string_view>

namespace fw::cli {

/// How far nested work has come, as one share and in words.
///
/// Four levels are known by what they count: sheets or faults; the ways to read a sheet with unknown facts; draws;
/// running points. A step of an outer level begins its inner levels afresh. Running points count only where nothing
/// else is told: a sheet solves them many times over. The share never falls.
/// Check: progress_test.cpp.
class ProgressShare {
 public:
  void at(std::string_view what, std::size_t done, std::size_t total);
  /// From 0 to 1.
  [[nodiscard]] double share() const { return share_; }
  /// "sheets 1 of 3, draws 512 of 2,000"; "" before anything is told.
  [[nodiscard]] std::string words() const;

 private:
  struct Level {
    std::string what;
    std::size_t done = 0;
    std::size_t total = 0;  ///< 0: nothing told
  };
  [[nodiscard]] std::size_t levels_shown() const;

  std::array<Level, 4> levels_;
  double share_ = 0.0;
};

/// One line at most `columns` wide: "[######........]  42 %  sheets 1 of 3, draws 512 of 2,000".
[[nodiscard]] std::string progress_line(const ProgressShare& share, int columns);

}  // namespace fw::cli
