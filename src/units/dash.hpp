// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstdint>
#include <string_view>

#include "base/result.hpp"
#include "base/stated.hpp"
#include "units/stated_text.hpp"

/// Dash sizes and bores. A dash counts sixteenths of an inch, of what depends on the kind.
namespace fw::units {

enum class DashKind : std::uint8_t {
  j30_hose,  ///< SAE J30 and J517 hose named by its bore (100R6 too): bore = dash/16 in
  r5_hose,   ///< SAE 100R5, 100R14 and J1402 types: the dash names the tube it replaces, the bore is smaller
  tube,      ///< tube: outside diameter = dash/16 in, bore = outside - 2 wall
};
[[nodiscard]] std::string_view name(DashKind kind);

struct DashSize {
  int dash = 0;
  DashKind kind = DashKind::j30_hose;
  double wall_m = 0.0;  ///< tube only, else 0

  friend bool operator==(const DashSize&, const DashSize&) = default;
};

/// True where `text`, without its class word, is meant as a dash size or as a tube with its wall: "-8", "-8 J30 hose",
/// "dash 8 tube", "8 J30 hose", "3/8 in tube 0.035 in wall"; false for "-8 mm", "8 mm", "?".
[[nodiscard]] bool looks_like_dash(std::string_view text);

/// "-8 J30 hose", "-8 J517", "-8 J30 R9 hose", "-8 100R5 hose", "dash 8 tube 0.89 mm wall".
///
/// Validity: -4, -5, -6, -8, -10, -12, -16; walls thinner than half the tube.
/// Errors: invalid_input. A dash without its kind is told the kinds and what this dash is in each.
[[nodiscard]] Result<DashSize> parse_dash(std::string_view text);

/// True bore [m] of the hose or tube itself; stems and swivels are narrower (parts of the line sheet).
///
/// J30, J517: dash/16 in (secondary prints of SAE J517 and J30). 100R5, 100R14: table of 3/16, 1/4, 5/16, 13/32, 1/2,
/// 5/8, 7/8 in for -4 to -16 (secondary; J1402 from memory). Tube: computed. A real hose is 5 to 15 % narrower or wider
/// (from memory): the default spread of bores does not cover that.
/// Errors: not_found for a size outside the table, invalid_input for a wall that leaves no bore.
/// Check: -8: 12.7 mm J30, 10.3 mm 100R5, 10.92 mm tube with 0.89 mm wall.
[[nodiscard]] Result<double> bore_m(const DashSize& size);
/// Where the bore of a kind comes from, for Origin::source.
[[nodiscard]] std::string_view bore_source(DashKind kind);

/// A bore: a length with its doubt ("8 mm", "5/16 in +/- 0.2 mm", "?"), a dash size, or a tube by its outside diameter
/// and wall ("3/8 in tube 0.035 in wall", "8 mm tube 1 mm wall"). A class word may stand before each. Dash and tube
/// sizes are nominal: class catalog where no word is typed, spread that of bores, origin.source = bore_source().
[[nodiscard]] Result<Stated> parse_bore(std::string_view text, const StatedOptions& options = {});

}  // namespace fw::units
