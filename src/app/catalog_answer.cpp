// SPDX-License-Identifier: Apache-2.0
#include "app/catalog_answer.hpp"

#include <algorithm>
#include <array>
#include <vector>

#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include "casefile/line_sheet_reader.hpp"
#include "casefile/sheet_sources.hpp"
#include "catalog/document.hpp"

namespace fw::app {

namespace {

using catalog::Entry;
using catalog::EntryKind;

constexpr std::array<EntryKind, 4> kinds{EntryKind::layout, EntryKind::build, EntryKind::engine, EntryKind::part};

std::string heading(EntryKind kind) {
  switch (kind) {
    case EntryKind::layout: return "Layouts (from = \"layout:ID\")";
    case EntryKind::build: return "Builds (build = \"ID\" in a [[change]])";
    case EntryKind::engine: return "Engine archetypes";
    case EntryKind::part: return "Parts (catalog = \"ID\" in a part)";
  }
  return {};
}

/// A layout put together: what its change lists may name.
Result<system::LineSheet> layout_sheet(const std::string& id, const catalog::Catalog& catalog) {
  const std::string text = fmt::format("format = 1\nname = \"{0}\"\nfrom = \"layout:{0}\"\n", id);
  return casefile::read_line_sheet(text, "layout:" + id, catalog.spreads, casefile::sheet_sources(catalog));
}

std::string ids_text(const system::LineSheet& sheet) {
  std::string text = "\nIds, each leg in the order of the flow:\n";
  for (const system::Leg& leg : sheet.legs) {
    text += fmt::format("  {} (from {} to {}):", leg.id, leg.from, leg.to);
    for (const system::Part& part : leg.parts) text += (&part == &leg.parts.front() ? " " : ", ") + part.id;
    text += "\n";
  }
  return text;
}

nlohmann::ordered_json legs_json(const system::LineSheet& sheet) {
  nlohmann::ordered_json legs = nlohmann::ordered_json::array();
  for (const system::Leg& leg : sheet.legs) {
    nlohmann::ordered_json parts = nlohmann::ordered_json::array();
    for (const system::Part& part : leg.parts) parts.push_back(part.id);
    legs.push_back({{"id", leg.id}, {"from", leg.from}, {"to", leg.to}, {"parts", parts}});
  }
  return legs;
}

nlohmann::ordered_json entry_json(const Entry& entry, bool whole) {
  nlohmann::ordered_json json{{"kind", std::string(name(entry.kind))},
                              {"id", entry.id},
                              {"title", entry.title},
                              {"source", entry.source},
                              {"file", entry.file},
                              {"line", entry.line},
                              {"shop", entry.shop},
                              {"fits", entry.fits}};
  if (whole) json["text"] = entry.text;
  return json;
}

}  // namespace

Result<catalog::Catalog> open_catalog(const std::string& folder) {
  return folder.empty() ? catalog::built_in() : catalog::with_shop_folder(folder);
}

Result<CatalogAnswer> catalog_answer(const std::string& id, const std::string& folder) {
  const auto catalog = open_catalog(folder);
  if (!catalog) return fail(catalog.error());
  CatalogAnswer answer;
  nlohmann::ordered_json entries = nlohmann::ordered_json::array();
  std::vector<std::string> known;
  for (const EntryKind kind : kinds) {
    if (id.empty()) answer.text += (answer.text.empty() ? "" : "\n") + heading(kind) + "\n";
    for (const Entry& entry : catalog->entries) {
      if (entry.kind != kind) continue;
      known.push_back(entry.id);
      if (!id.empty() && entry.id != id) continue;
      entries.push_back(entry_json(entry, !id.empty()));
      if (id.empty()) {
        answer.text += fmt::format("  {:<26}{}{}\n", entry.id, entry.title, entry.shop ? " (shop)" : "");
      } else {
        std::string body = entry.text;
        body.erase(0, body.find_first_not_of('\n'));
        answer.text += fmt::format("{}{}: {}\nsource: {}\nfile: {}:{}\n\n{}", answer.text.empty() ? "" : "\n", entry.id,
                                   entry.title, entry.source, entry.file, entry.line, body);
        if (kind == EntryKind::layout) {
          const auto sheet = layout_sheet(entry.id, *catalog);
          if (!sheet) return fail(sheet.error());
          answer.text += ids_text(*sheet);
          entries.back()["legs"] = legs_json(*sheet);
        }
      }
    }
  }
  if (entries.empty()) {
    const std::string near = catalog::nearest(id, known);
    return fail(Error{.code = ErrorCode::not_found,
                      .where = {.file = {}, .line = 0, .column = 0, .field = "ID"},
                      .found = "the id \"" + id + "\"",
                      .expected = "an id that \"fuelwright catalog\" lists",
                      .hint = near.empty() ? "Run fuelwright catalog" : "Write \"" + near + "\""});
  }
  const nlohmann::ordered_json json{{"schema", "fuelwright.catalog/1.1"}, {"entries", entries}};
  answer.json = json.dump(2) + "\n";
  return answer;
}

}  // namespace fw::app
