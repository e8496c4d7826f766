// SPDX-License-Identifier: Apache-2.0
#include "app/catalog_answer.hpp"

#include <algorithm>
#include <array>
#include <vector>

#include <fmt/format.h>
#include <nlohmann/json.hpp>

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
  const nlohmann::ordered_json json{{"schema", "fuelwright.catalog/1.0"}, {"entries", entries}};
  answer.json = json.dump(2) + "\n";
  return answer;
}

}  // namespace fw::app
