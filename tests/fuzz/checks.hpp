// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstdlib>
#include <string>

#include "base/result.hpp"
#include "casefile/line_sheet_reader.hpp"
#include "casefile/sheet_sources.hpp"
#include "catalog/catalog.hpp"
#include "system/line_sheet.hpp"

/// What the fuzzers of documents share. A broken promise aborts, which the fuzzing engine and the replay both see.
namespace fw::fuzz {

inline void check(bool holds) {
  if (!holds) std::abort();
}

/// Every error says what was found and what is expected.
template <typename T>  // the same for every kind of result
void check_errors(const Result<T>& result) {
  if (result) return;
  for (const Error& error : result.error()) {
    check(!error.found.empty());
    check(!error.expected.empty());
    check(!to_text(error).empty());
  }
}

/// The catalog that the program brings along.
inline const catalog::Catalog& book() {
  static const catalog::Catalog catalog = *catalog::built_in();
  return catalog;
}

/// Reads a sheet that may start from any layout, name any build and part of the catalog, and start from itself: files
/// are out of reach, any name but a layout's leads back to the sheet. What comes out is sound, or errors that teach.
inline void check_sheet(const std::string& text) {
  catalog::SheetSources sources = casefile::sheet_sources(book());
  const auto layouts = sources.sheet;
  sources.sheet = [&](const std::string& name, const std::string& asked_by) -> Result<catalog::SheetSource> {
    if (name.starts_with("layout:")) return layouts(name, asked_by);
    return catalog::SheetSource{.file = name, .text = text};
  };
  const auto sheet = casefile::read_line_sheet(text, "sheet.toml", book().spreads, sources);
  check_errors(sheet);
  if (sheet) check(system::validate(*sheet).has_value());
}

}  // namespace fw::fuzz
