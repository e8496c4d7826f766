// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstdint>
#include <string>
#include <string_view>
#include <vector>

#include "base/result.hpp"
#include "base/stated.hpp"
#include "diagnosis/next_look.hpp"
#include "diagnosis/tables.hpp"
#include "units/quantity.hpp"

namespace fw::catalog {

/// What an entry of the catalog is, and the folder it stands in.
enum class EntryKind : std::uint8_t {
  layout,  ///< layouts/: a complete sheet, or changes of another layout; one file each
  build,   ///< builds/: a named change list: assist forms, two tanks, the shop's house builds; one file each
  part,    ///< parts/: [[part]] tables, several in a file
  engine,  ///< engines.toml: [[engine]] tables
};
[[nodiscard]] std::string_view name(EntryKind kind);

/// One entry. Its text is a document of its own; numbers are read from it by whoever uses it.
struct Entry {
  EntryKind kind = EntryKind::part;
  std::string id;
  std::string title;
  std::string source;  ///< where its numbers come from, never empty
  std::string file;    ///< the name that origins carry
  std::uint32_t line = 0;
  /// layout and build: the whole file. part and engine: a document that holds this one table, at the line where it
  /// stands in its file.
  std::string text;
  std::vector<std::string> fits;  ///< build: ids of the layouts it is made for; empty: any
  bool shop = false;              ///< from the shop's folder
};

/// A climate word and what it brings: ambient air and the grade that is sold there.
struct ClimateWord {
  std::string id;  ///< "temperate"
  std::string source;
  Stated coldest_K;
  Stated hottest_K;
  std::string grade;  ///< id of a fuel grade
};

/// What the shop knows before any case: default doubt per source class, layouts, builds, parts, engines, climates.
struct Catalog {
  units::SourceSpreads spreads;
  std::vector<Entry> entries;
  std::vector<ClimateWord> climates;
  diagnosis::Tables diagnosis;  ///< diagnosis/: causes, mechanisms, findings
  diagnosis::Losses losses;     ///< diagnosis/losses.toml: what wrong decisions cost

  /// The entry, or nullptr.
  [[nodiscard]] const Entry* find(EntryKind kind, std::string_view id) const;
  /// The entry, or not_found naming the nearest and all of its kind.
  [[nodiscard]] Result<const Entry*> require(EntryKind kind, std::string_view id) const;
  [[nodiscard]] std::vector<std::string> ids(EntryKind kind) const;
};

/// The catalog built into the program (catalog/). Errors: those of add_file, which only a damaged build can cause.
[[nodiscard]] Result<Catalog> built_in();

/// Adds one file of a catalog folder; its name under the folder says what it holds. An entry with the id of an
/// older one takes its place; the files of one folder must not hold the same id twice.
///
/// Errors: broken TOML; an entry without id, title or source; an id twice in one file; a file that no folder of the
/// catalog is for; a number without its class word (typical, assumed, catalog, datasheet, measured, exactly).
[[nodiscard]] Result<void> add_file(Catalog& catalog, const std::string& name, std::string_view text,
                                    const std::string& shown_as, bool shop);

/// The built-in catalog with the shop's folder over it: same layout and format, the shop's entries take precedence.
/// Errors: not_found for the folder, io, and those of add_file for each file, all at once.
[[nodiscard]] Result<Catalog> with_shop_folder(const std::string& folder);

/// Reads the table of source classes from its text. Every row states its 90 % half-width and its source.
[[nodiscard]] Result<units::SourceSpreads> read_source_classes(std::string_view text, std::string_view file);

}  // namespace fw::catalog
