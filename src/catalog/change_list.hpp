// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <functional>
#include <string>
#include <string_view>

#include "base/result.hpp"
#include "catalog/document.hpp"
#include "units/quantity.hpp"

/// Sheets that start from another sheet and list only what differs (docs/reference/line-sheet.md, "Changes").
namespace fw::catalog {

/// A document that a sheet refers to, as text.
struct SheetSource {
  std::string file;  ///< the name that errors and origins carry
  std::string text;
};

/// Where referred documents come from.
struct SheetSources {
  /// `from`: "layout:c-low", or a file named relative to the file `asked_by`. Errors say what is known instead.
  std::function<Result<SheetSource>(const std::string& name, const std::string& asked_by)> sheet;
  /// `build` of a change: a named change list of the catalog.
  std::function<Result<SheetSource>(const std::string& name)> build;
  /// `catalog` of a part: the text of a document whose [part] table is the entry.
  std::function<Result<SheetSource>(const std::string& name)> part;
};

/// How many sheets may start from each other.
inline constexpr int longest_chain = 8;

/// Parses a sheet and puts it together: the sheet it starts from, its own tables over that, its [[change]] list in
/// order, then the catalog entries its parts name. What comes out reads like one sheet; every value keeps the file
/// and line where it was typed, and a "?" keeps the value it took the place of as its stand-in.
///
/// Errors, all at once: those of Document::parse; unknown parts with the nearest id, a `from` that leads back to
/// itself, changes without a sheet to change, verbs that are missing or doubled, a build that does not fit. A wrong
/// format line is noted in the document and comes back from finish().
[[nodiscard]] Result<Document> load_sheet_document(std::string_view text, std::string file,
                                                   const units::SourceSpreads& spreads, const SheetSources& sources);

}  // namespace fw::catalog
