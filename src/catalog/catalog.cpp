// SPDX-License-Identifier: Apache-2.0
#include "catalog/catalog.hpp"

#include <string>

#include "catalog/document.hpp"
#include "catalog/embedded.hpp"

namespace fw::catalog {

Result<units::SourceSpreads> read_source_classes(std::string_view text, std::string_view file) {
  units::SourceSpreads spreads;
  auto document = Document::parse(text, std::string(file), spreads);
  if (!document) return fail(document.error());
  document->demand_format();
  Table top = document->root();
  const auto half_width = [&](const char* key, double& into) {
    auto row = top.table(key);
    if (!row) {
      if (!top.has(key))
        top.fault("", std::string("no table ") + key, "its half_width and source", std::string("Add [") + key + "]");
      return;
    }
    static_cast<void>(row->required_text("source", "where the spread comes from"));
    if (const auto value = row->number("half_width", units::Dimension::ratio)) into = *value;
  };
  half_width("measured", spreads.measured);
  half_width("datasheet", spreads.datasheet);
  half_width("catalog", spreads.catalog);
  half_width("typical", spreads.typical);
  half_width("length", spreads.length);
  half_width("bore", spreads.bore);
  if (auto row = top.table("assumed")) {
    static_cast<void>(row->required_text("source", "where the spread comes from"));
    if (const auto value = row->number("factor", units::Dimension::ratio)) {
      if (*value > 1.0) {
        spreads.assumed_factor = *value;
      } else {
        row->fault("factor", "a factor of 1 or less", "a factor above 1", "Write for example factor = \"2\"");
      }
    }
  }
  if (const auto sound = document->finish(); !sound) return fail(sound.error());
  return spreads;
}

Result<Catalog> built_in() {
  const auto spreads = read_source_classes(embedded::source_classes, "catalog/source-classes.toml");
  if (!spreads) return fail(spreads.error());
  return Catalog{.spreads = *spreads};
}

}  // namespace fw::catalog
