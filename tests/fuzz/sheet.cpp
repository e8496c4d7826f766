// SPDX-License-Identifier: Apache-2.0
// Whatever stands in a line sheet gives a sound sheet or errors that teach. The sheet may start from any layout, name
// any build and part of the catalog, and start from itself.
#include <cstddef>
#include <cstdint>
#include <cstdlib>
#include <string>
#include <string_view>

#include "casefile/line_sheet_reader.hpp"
#include "casefile/sheet_sources.hpp"
#include "catalog/catalog.hpp"
#include "system/line_sheet.hpp"

namespace {

void check(bool holds) {
  if (!holds) std::abort();
}

template <typename T>  // the same for every kind of result
void check_errors(const fw::Result<T>& result) {
  if (result) return;
  for (const fw::Error& error : result.error()) {
    check(!error.found.empty());
    check(!error.expected.empty());
    check(!to_text(error).empty());
  }
}

const fw::catalog::Catalog& book() {
  static const fw::catalog::Catalog catalog = *fw::catalog::built_in();
  return catalog;
}

}  // namespace

// NOLINTNEXTLINE(readability-identifier-naming): the name that the fuzzing engine calls
extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  const std::string text(reinterpret_cast<const char*>(data), size);
  fw::catalog::SheetSources sources = fw::casefile::sheet_sources(book());
  // Files are out of reach: any name but a layout's leads back to the sheet itself.
  const auto layouts = sources.sheet;
  sources.sheet = [&](const std::string& name, const std::string& asked_by) -> fw::Result<fw::catalog::SheetSource> {
    if (name.starts_with("layout:")) return layouts(name, asked_by);
    return fw::catalog::SheetSource{.file = name, .text = text};
  };
  const auto sheet = fw::casefile::read_line_sheet(text, "sheet.toml", book().spreads, sources);
  check_errors(sheet);
  if (sheet) check(fw::system::validate(*sheet).has_value());
  return 0;
}
