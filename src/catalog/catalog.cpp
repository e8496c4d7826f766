// SPDX-License-Identifier: Apache-2.0
#include "catalog/catalog.hpp"

#include <algorithm>
#include <array>
#include <cctype>
#include <filesystem>
#include <fstream>
#include <sstream>
#include <string>
#include <utility>

#include <fmt/format.h>

#include "catalog/diagnosis_reader.hpp"
#include "catalog/document_node.hpp"
#include "catalog/embedded.hpp"
#include "fuel/fuel.hpp"

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

std::string_view name(EntryKind kind) {
  static constexpr std::array<std::string_view, 4> names{"layout", "build", "part", "engine"};
  return names.at(static_cast<std::size_t>(kind));
}

const Entry* Catalog::find(EntryKind kind, std::string_view id) const {
  const auto found =
      std::ranges::find_if(entries, [&](const Entry& entry) { return entry.kind == kind && entry.id == id; });
  return found == entries.end() ? nullptr : &*found;
}

std::vector<std::string> Catalog::ids(EntryKind kind) const {
  std::vector<std::string> all;
  for (const Entry& entry : entries) {
    if (entry.kind == kind) all.push_back(entry.id);
  }
  return all;
}

Result<const Entry*> Catalog::require(EntryKind kind, std::string_view id) const {
  if (const Entry* entry = find(kind, id)) return entry;
  const std::vector<std::string> known = ids(kind);
  std::string all;
  for (const std::string& one : known) all += (all.empty() ? "" : ", ") + one;
  const std::string near = nearest(id, known);
  return fail(Error{.code = ErrorCode::not_found,
                    .where = {},
                    .found = fmt::format("the {} \"{}\"", name(kind), id),
                    .expected = known.empty() ? fmt::format("a {} of the catalog", name(kind)) : "one of " + all,
                    .hint = near.empty() ? "See fuelwright catalog" : fmt::format("Write \"{}\"", near)});
}

namespace {

using Node = DocumentAccess::Node;

/// Texts that begin like a number must say what class it is of.
void demand_classes(const Node& node, std::vector<Error>& faults) {
  if (node.kind == Node::Kind::text && node.text_value != "?") {
    const std::string& text = node.text_value;
    const bool number = !text.empty() && (std::isdigit(static_cast<unsigned char>(text.front())) != 0 ||
                                          (text.size() > 1 && (text.front() == '-' || text.front() == '+') &&
                                           std::isdigit(static_cast<unsigned char>(text[1])) != 0));
    if (number) {
      faults.push_back(
          {.code = ErrorCode::invalid_input,
           .where = {.file = *node.file, .line = node.line, .column = 0, .field = node.path},
           .found = "\"" + text + "\"",
           .expected = "a number with its class: typical, assumed, catalog, datasheet, measured or exactly",
           .hint = "Write \"typical " + text + "\""});
    }
    return;
  }
  for (const auto& [key, child] : node.members) {
    // Texts, and the conditions under which a number was taken.
    static constexpr std::array<std::string_view, 8> plain{"id",   "title", "source",       "note",
                                                           "name", "words", "at_viscosity", "at_density"};
    if (std::ranges::find(plain, key) == plain.end()) {
      demand_classes(*child, faults);
    }
  }
  for (const auto& item : node.items) demand_classes(*item, faults);
}

/// Reads climates.toml; a word that is there already is replaced.
Result<void> read_climates(Document& document, std::vector<ClimateWord>& climates) {
  Table top = document.root();
  std::vector<ClimateWord> found;
  for (Table& row : top.tables("climate")) {
    ClimateWord word;
    word.id = row.required_text("id", "arctic, cold, temperate, hot or tropical");
    word.source = row.required_text("source", "where its numbers come from");
    word.grade = row.required_text("grade", "the id of a fuel grade");
    if (!word.grade.empty()) {
      if (const auto known = fuel::grade(word.grade); !known) row.fault("grade", known.error());
    }
    word.coldest_K = row.stated("coldest", units::Dimension::temperature, "climate." + word.id + ".coldest");
    word.hottest_K = row.stated("hottest", units::Dimension::temperature, "climate." + word.id + ".hottest");
    if (!word.coldest_K.given() || !word.hottest_K.given() || word.coldest_K.value >= word.hottest_K.value) {
      row.fault("", "no range from coldest to hottest", "coldest below hottest", "Write coldest = \"typical -10 C\"");
    }
    found.push_back(std::move(word));
  }
  if (const auto sound = document.finish(); !sound) return fail(sound.error());
  for (ClimateWord& word : found) {
    const auto old = std::ranges::find(climates, word.id, &ClimateWord::id);
    if (old == climates.end()) {
      climates.push_back(std::move(word));
    } else {
      *old = std::move(word);
    }
  }
  return {};
}

/// A table of the list `key` as a document of its own whose lines count as in the file.
std::string cut_out(std::string_view text, std::string_view key, std::uint32_t first, std::uint32_t after) {
  std::string cut;
  std::uint32_t line = 1;
  for (std::size_t at = 0; at < text.size(); ++line) {
    const std::size_t end = std::min(text.find('\n', at), text.size() - 1) + 1;
    if (line < first) {
      cut += '\n';
    } else if (line == first) {
      cut += fmt::format("[{}]\n", key);
    } else if (line < after) {
      cut += text.substr(at, end - at);
    }
    at = end;
  }
  return cut;
}

}  // namespace

Result<void> add_file(Catalog& catalog, const std::string& file_name, std::string_view text,
                      const std::string& shown_as, bool shop) {
  const auto unknown_file = [&] {
    return fail(
        Error{.code = ErrorCode::invalid_input,
              .where = {.file = shown_as, .line = 0, .column = 0, .field = {}},
              .found = "a file that the catalog has no use for",
              .expected =
                  "source-classes.toml, engines.toml, climates.toml, or a file in layouts, builds, parts or diagnosis",
              .hint = "Move it into the folder of its kind"});
  };
  if (file_name == "source-classes.toml") {
    const auto spreads = read_source_classes(text, shown_as);
    if (!spreads) return fail(spreads.error());
    catalog.spreads = *spreads;
    return {};
  }
  const bool layout = file_name.starts_with("layouts/");
  const bool build = file_name.starts_with("builds/");
  const bool part = file_name.starts_with("parts/");
  const bool climates = file_name == "climates.toml";
  const bool diagnosis = file_name.starts_with("diagnosis/");
  if (!layout && !build && !part && !climates && !diagnosis && file_name != "engines.toml") return unknown_file();

  auto document = Document::parse(text, shown_as, catalog.spreads);
  if (!document) return fail(document.error());
  document->demand_format();
  Node& root = DocumentAccess::root(*document);
  std::vector<Error>& faults = DocumentAccess::faults(*document);
  demand_classes(root, faults);
  if (climates) return read_climates(*document, catalog.climates);
  if (file_name == "diagnosis/losses.toml") return read_losses(*document, catalog.losses);
  if (diagnosis) return read_diagnosis(*document, catalog.diagnosis);

  std::vector<Entry> found;
  const auto entry_of = [&](Table table, EntryKind kind) {
    Entry entry;
    entry.kind = kind;
    entry.id = table.required_text("id", "an id, e.g. \"c-low\"");
    entry.title = table.required_text("title", "what it is, in words");
    entry.source = table.required_text("source", "where its numbers come from, or \"common practice, no source\"");
    if (table.has("source") && entry.source.empty()) {
      table.fault("source", "\"\"", "where its numbers come from", "Write \"common practice, no source\" if so");
    }
    entry.file = shown_as;
    entry.line = table.line();
    entry.shop = shop;
    return entry;
  };
  Table top = document->root();
  if (layout || build) {
    Entry entry = entry_of(top, layout ? EntryKind::layout : EntryKind::build);
    entry.text = std::string(text);
    if (build) entry.fits = top.texts("fits");
    found.push_back(std::move(entry));
    top.ignore_rest();
  } else {
    const char* key = part ? "part" : "engine";
    std::vector<Table> tables = top.tables(key);
    const auto lines = static_cast<std::uint32_t>(std::ranges::count(text, '\n')) + 2;
    for (std::size_t i = 0; i < tables.size(); ++i) {
      Entry entry = entry_of(tables[i], part ? EntryKind::part : EntryKind::engine);
      entry.text = cut_out(text, key, entry.line, i + 1 < tables.size() ? tables[i + 1].line() : lines);
      tables[i].ignore_rest();
      found.push_back(std::move(entry));
    }
  }
  for (std::size_t i = 0; i < found.size(); ++i) {
    for (std::size_t k = 0; k < i; ++k) {
      if (found[k].id != found[i].id) continue;
      faults.push_back({.code = ErrorCode::conflict,
                        .where = {.file = shown_as, .line = found[i].line, .column = 0, .field = "id"},
                        .found = "the id \"" + found[i].id + "\" twice",
                        .expected = "ids that differ",
                        .hint = "Give one of them another id"});
    }
  }
  if (const auto sound = document->finish(); !sound) return fail(sound.error());
  for (Entry& entry : found) {
    const auto old = std::ranges::find_if(
        catalog.entries, [&](const Entry& one) { return one.kind == entry.kind && one.id == entry.id; });
    if (old == catalog.entries.end()) {
      catalog.entries.push_back(std::move(entry));
    } else {
      *old = std::move(entry);
    }
  }
  return {};
}

Result<Catalog> built_in() {
  Catalog catalog;
  // Doubts first: they are defaults of everything that is read after them.
  for (const bool classes : {true, false}) {
    for (const embedded::File& file : embedded::files()) {
      if ((file.name == "source-classes.toml") != classes) continue;
      const std::string name(file.name);
      if (const auto added = add_file(catalog, name, file.text, "catalog/" + name, false); !added) {
        return fail(added.error());
      }
    }
  }
  complete_losses(catalog.diagnosis, catalog.losses);
  return catalog;
}

Result<Catalog> with_shop_folder(const std::string& folder) {
  auto catalog = built_in();
  if (!catalog) return fail(catalog.error());
  namespace fs = std::filesystem;
  std::error_code error;
  const auto wrong = [](ErrorCode code, const std::string& path, std::string found, std::string expected) {
    return Error{.code = code,
                 .where = {.file = path, .line = 0, .column = 0, .field = {}},
                 .found = std::move(found),
                 .expected = std::move(expected),
                 .hint = "Check the name and its permissions"};
  };
  if (!fs::is_directory(folder, error)) {
    return fail(wrong(ErrorCode::not_found, folder, "no such folder", "a catalog folder of the shop"));
  }
  std::vector<fs::path> paths;
  for (fs::recursive_directory_iterator at(folder, error), end; !error && at != end; at.increment(error)) {
    if (at->is_regular_file(error) && at->path().extension() == ".toml") paths.push_back(at->path());
  }
  if (error) return fail(wrong(ErrorCode::io, folder, "a folder that cannot be read", "a readable folder"));
  std::ranges::sort(paths, [](const fs::path& a, const fs::path& b) {
    const bool classes_a = a.filename() == "source-classes.toml";
    const bool classes_b = b.filename() == "source-classes.toml";
    return classes_a != classes_b ? classes_a : a < b;
  });
  std::vector<Error> faults;
  for (const fs::path& path : paths) {
    const auto size = fs::file_size(path, error);
    if (!error && size > largest_document_bytes) {
      faults.push_back(wrong(ErrorCode::too_large, path.string(), fmt::format("{} bytes", size),
                             fmt::format("at most {} bytes", largest_document_bytes)));
      continue;
    }
    std::ifstream file(path, std::ios::binary);
    std::ostringstream text;
    text << file.rdbuf();
    if (!file || !text) {
      faults.push_back(wrong(ErrorCode::io, path.string(), "a file that cannot be read", "a readable file"));
      continue;
    }
    const std::string name = path.lexically_relative(folder).generic_string();
    if (const auto added = add_file(*catalog, name, text.str(), path.string(), true); !added) {
      faults.insert(faults.end(), added.error().begin(), added.error().end());
    }
  }
  if (!faults.empty()) return fail(Errors(std::move(faults)));
  complete_losses(catalog->diagnosis, catalog->losses);
  return catalog;
}

}  // namespace fw::catalog
