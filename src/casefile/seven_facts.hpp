// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "base/result.hpp"
#include "catalog/catalog.hpp"
#include "supply/judge.hpp"
#include "system/line_sheet.hpp"

namespace fw::casefile {

/// How a fact that nobody knows is written; an empty text or list says the same.
inline constexpr std::string_view not_known = "?";

/// What a person can tell at the counter. An empty text or list, or "?", means "don't know".
struct SevenFacts {
  std::string layout;                 ///< 1: id of a layout of the catalog, e.g. "c-low"
  std::string engine;                 ///< 1: id of an engine archetype; empty: the layout's own engine
  std::string rated_power;            ///< 2: as typed, e.g. "230 kW"
  std::string assist;                 ///< 3: "none", or id of an assist change list: "g1" to "g6"
  std::string assist_set;             ///< 3: set pressure as typed, e.g. "11 psi"
  std::vector<std::string> filters;   ///< 4: in the order of the flow, of strainer, coarse, separator, pump, fine
  std::string main_hose;              ///< 5: dash with its kind, or a bore, as typed
  std::vector<std::string> bypassed;  ///< 6: "none", or of chassis pump, separator, heater, engine filter, sensor
  std::string climate;                ///< 7: arctic, cold, temperate, hot, tropical
};

/// A sheet made from facts, with what stands behind it.
struct FactsSheet {
  system::LineSheet sheet;
  supply::Climate climate = supply::Climate::temperate;
  /// The sheet as a document that starts from its layout and lists what the facts change: it can be saved and edited.
  std::string text;
  /// One sentence for every fact that was not told, saying what stands in.
  std::vector<std::string> taken;
};

/// The same facts with every "?" emptied.
[[nodiscard]] SevenFacts only_told(SevenFacts facts);

/// The line sheet of a layout with the facts put in (docs/reference/line-sheet.md, "From seven facts").
///
/// A fact not told is the range of the catalog (layouts, typical, no source): power 0.8 to 1.2 of the archetype's,
/// assist set 55 to 103 kPa where an assist pump is told of, hose bore 7.75 to 12.7 mm, climate temperate; filters
/// and what is bypassed as in the layout. All those numbers are marked unknown.
///
/// A layout not known makes no sheet: assess::judge_layouts answers over all of them.
///
/// Errors: not_found for no layout, for a layout, engine or assist form that the catalog has not, naming the known
/// ones; invalid_input for a quantity that cannot be read, with the fact's name as the field; conflict for an assist
/// form that does not fit the layout, or for filters or bypassed parts that it has not, saying which.
[[nodiscard]] Result<FactsSheet> sheet_from_facts(const SevenFacts& facts, const catalog::Catalog& catalog);

}  // namespace fw::casefile
