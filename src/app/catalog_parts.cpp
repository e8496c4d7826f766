// SPDX-License-Identifier: Apache-2.0
#include "app/catalog_parts.hpp"

#include <algorithm>
#include <array>

#include <fmt/format.h>

#include "casefile/line_sheet_reader.hpp"
#include "casefile/sheet_sources.hpp"
#include "catalog/document.hpp"

namespace fw::app {

namespace {

// A sheet that only carries the parts; its own numbers are used nowhere.
constexpr const char* carrier = R"(format = 1
name = "parts of the catalog"
fuel = "d975_2d"
[tank]
height = "0.4 m"
[engine]
displacement = "5 L"
rated_power = "150 kW"
rated_speed = "2500 rpm"
[[leg]]
id = "parts"
from = "tank"
to = "engine"
)";

/// Kind of an entry, if it has one.
Result<std::string> kind_of(const catalog::Entry& entry, const units::SourceSpreads& spreads) {
  auto document = catalog::Document::parse(entry.text, entry.file, spreads);
  if (!document) return fail(document.error());
  catalog::Table top = document->root();
  auto table = top.table("part");
  if (!table) return std::string();
  std::string kind = table->text("kind").value_or(std::string());
  table->ignore_rest();
  return kind;
}

}  // namespace

Result<std::vector<supply::Candidate>> catalog_parts(const catalog::Catalog& catalog) {
  constexpr std::array<std::string_view, 6> wanted{"hose", "tube", "strainer", "separator", "filter", "pump"};
  std::vector<const catalog::Entry*> entries;
  std::string text = carrier;
  for (const catalog::Entry& entry : catalog.entries) {
    if (entry.kind != catalog::EntryKind::part) continue;
    const auto kind = kind_of(entry, catalog.spreads);
    if (!kind) return fail(kind.error());
    if (std::ranges::find(wanted, *kind) == wanted.end()) continue;
    text += fmt::format("[[leg.part]]\nid = \"part-{}\"\nkind = \"{}\"\ncatalog = \"{}\"\n", entries.size(), *kind,
                        entry.id);
    if (*kind == "hose" || *kind == "tube") text += "length = \"1 m\"\n";
    entries.push_back(&entry);
  }
  const auto sheet =
      casefile::read_line_sheet(text, "parts of the catalog", catalog.spreads, casefile::sheet_sources(catalog));
  if (!sheet) return fail(sheet.error());
  std::vector<supply::Candidate> candidates;
  for (std::size_t i = 0; i < entries.size(); ++i) {
    const catalog::Entry& entry = *entries[i];
    const system::Part* part = sheet->find_part(fmt::format("part-{}", i));
    if (part == nullptr) continue;
    candidates.push_back(
        {.id = entry.id, .title = entry.title, .source = entry.source, .shop = entry.shop, .part = *part});
  }
  return candidates;
}

}  // namespace fw::app
