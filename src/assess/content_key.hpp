// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <compare>
#include <cstdint>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "assess/section.hpp"
#include "catalog/catalog.hpp"
#include "debris/debris_map.hpp"
#include "diagnosis/diagnose.hpp"
#include "extent/decision.hpp"
#include "supply/judge.hpp"
#include "system/line_sheet.hpp"
#include "system/running_point.hpp"

/// Content keys: what a section's result depends on, as one number.
///
/// A key is the SHA-256 of a canonical serialisation of the section's name and its inputs as values: a tag before each
/// item, texts with their length, lists with their count, optional items with a mark, doubles by their bits (one bit
/// pattern for every NaN, zero without its sign). Two inputs with the same key give the same result; what does not
/// change a result is left out: comments, order of keys and places in files, who noted a finding and when. How a number
/// was typed and its source are in the key, because results carry them. Keys hold within one build of the program: the
/// formulas are not in them, and nothing stores them.
///
/// Deterministic: no addresses, no locale, no clock. Check: content_key_test.cpp changes one input at a time.
namespace fw::assess {

/// Lower-case hexadecimal, 64 digits.
struct ContentKey {
  std::string hex;

  friend auto operator<=>(const ContentKey&, const ContentKey&) = default;
};

/// Of one sheet alone; the keys below take it so that a sheet is read once.
[[nodiscard]] ContentKey sheet_key(const system::LineSheet& sheet);

[[nodiscard]] ContentKey supply_key(const ContentKey& sheet, std::span<const system::RunningPoint> points,
                                    const supply::Sampling& sampling);
/// Of the supply keys of both sheets.
[[nodiscard]] ContentKey comparison_key(const ContentKey& first, const ContentKey& second);
[[nodiscard]] ContentKey diagnosis_key(const diagnosis::Tables& tables, const diagnosis::Facts& facts,
                                       const diagnosis::Draws& draws);
[[nodiscard]] ContentKey looks_key(const diagnosis::Tables& tables, const diagnosis::Losses& losses,
                                   const diagnosis::Facts& facts, const diagnosis::LookAhead& ahead);
/// Story, findings and the system as found; `seed` of the draws.
[[nodiscard]] ContentKey debris_key(const extent::DecisionInput& input, std::uint64_t seed);
/// What debris_key holds, with prices, policy, prior, shape and the system as rebuilt.
[[nodiscard]] ContentKey extent_key(const extent::DecisionInput& input, std::uint64_t seed);
[[nodiscard]] ContentKey rail_key(const ContentKey& sheet, double inlet_K);
[[nodiscard]] ContentKey heat_key(const ContentKey& sheet, double air_K);
/// Of the keys of all sheets in their order.
[[nodiscard]] ContentKey water_key(std::span<const ContentKey> sheets, const WaterFacts& facts);

/// Gives each number of a result that carries origins the place where it stands in this sheet: a result found by its
/// key may come from a file in which a comment has since moved the lines.
void place_anew(std::vector<Stated>& inputs, const system::LineSheet& sheet);

}  // namespace fw::assess
