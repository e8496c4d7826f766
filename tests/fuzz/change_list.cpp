// SPDX-License-Identifier: Apache-2.0
// Whatever stands in a change list over a layout gives a sound sheet or errors that teach. The first byte chooses the
// layout, the rest is the text after the head of the sheet.
#include <cstddef>
#include <cstdint>
#include <cstdlib>
#include <string>

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
  if (size == 0) return 0;
  static const std::vector<std::string> layouts = book().ids(fw::catalog::EntryKind::layout);
  const std::string text = "format = 1\nname = \"x\"\nfrom = \"layout:" + layouts.at(data[0] % layouts.size()) +
                           "\"\n" + std::string(reinterpret_cast<const char*>(data + 1), size - 1);
  fw::catalog::SheetSources sources = fw::casefile::sheet_sources(book());
  const auto catalog_sheet = sources.sheet;
  sources.sheet = [&](const std::string& name, const std::string& asked_by) -> fw::Result<fw::catalog::SheetSource> {
    if (name.starts_with("layout:")) return catalog_sheet(name, asked_by);
    return fw::catalog::SheetSource{.file = name, .text = text};
  };
  const auto sheet = fw::casefile::read_line_sheet(text, "sheet.toml", book().spreads, sources);
  check_errors(sheet);
  if (sheet) check(fw::system::validate(*sheet).has_value());
  return 0;
}
