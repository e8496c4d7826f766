// SPDX-License-Identifier: Apache-2.0
#include "casefile/evidence_log.hpp"

#include <algorithm>
#include <array>
#include <cerrno>
#include <charconv>
#include <cstdio>
#include <filesystem>
#include <fstream>
#include <map>
#include <set>

#include <fmt/format.h>

#include "casefile/case.hpp"
#include "casefile/sha256.hpp"
#include "catalog/document.hpp"

namespace fw::casefile {

namespace {

namespace fs = std::filesystem;

struct Field {
  const char* key;
  std::string EvidenceEntry::* text;
};
/// Texts of an entry in the order of its file; file_sha256 is made by the log.
constexpr std::array<Field, 15> fields{{{"title", &EvidenceEntry::title},
                                        {"zone", &EvidenceEntry::zone},
                                        {"place", &EvidenceEntry::place},
                                        {"time", &EvidenceEntry::time},
                                        {"person", &EvidenceEntry::person},
                                        {"instrument", &EvidenceEntry::instrument},
                                        {"compared", &EvidenceEntry::compared},
                                        {"value", &EvidenceEntry::value},
                                        {"file", &EvidenceEntry::file},
                                        {"container", &EvidenceEntry::container},
                                        {"seal", &EvidenceEntry::seal},
                                        {"duplicate", &EvidenceEntry::duplicate},
                                        {"handed_to", &EvidenceEntry::handed_to},
                                        {"handed_on", &EvidenceEntry::handed_on},
                                        {"note", &EvidenceEntry::note}}};

std::string toml_text(std::string_view text) {
  std::string out = "\"";
  for (const char c : text) {
    const auto byte = static_cast<unsigned char>(c);
    if (c == '"' || c == '\\') {
      out += '\\';
      out += c;
    } else if (byte < 0x20 || byte == 0x7F) {
      out += fmt::format("\\u{:04X}", static_cast<unsigned>(byte));
    } else {
      out += c;
    }
  }
  return out + "\"";
}

std::string entry_name(int number) { return fmt::format("{:04d}.toml", number); }

std::string entry_text(const EvidenceEntry& entry) {
  std::string text = fmt::format("format = 1\nnumber = {}\nprevious = {}\n", entry.number, toml_text(entry.previous));
  if (entry.corrects) text += fmt::format("corrects = {}\n", *entry.corrects);
  for (const Field& field : fields) {
    if (!(entry.*field.text).empty()) text += fmt::format("{} = {}\n", field.key, toml_text(entry.*field.text));
  }
  if (!entry.file_sha256.empty()) text += fmt::format("file_sha256 = {}\n", toml_text(entry.file_sha256));
  return text;
}

Error trouble(ErrorCode code, const std::string& file, std::string found, std::string expected, std::string hint) {
  return {code, {.file = file}, std::move(found), std::move(expected), std::move(hint)};
}

/// Hash of a file of any size.
Result<std::string> file_hash(const fs::path& path) {
  std::error_code error;
  if (!fs::is_regular_file(path, error)) {
    return fail(trouble(ErrorCode::not_found, path.string(), "no such file", "the file of the entry", "Put it back"));
  }
  std::ifstream file(path, std::ios::binary);
  Sha256 hash;
  std::array<char, 65536> piece{};
  while (file.read(piece.data(), piece.size()) || file.gcount() > 0) {
    hash.add({piece.data(), static_cast<std::size_t>(file.gcount())});
  }
  if (file.bad() || !file.eof()) {
    return fail(trouble(ErrorCode::io, path.string(), "a file that cannot be read", "a readable file",
                        "Check its permissions"));
  }
  return hash.hex();
}

bool inside(const std::string& name) {
  return !name.empty() && name.front() != '/' && name.find("..") == std::string::npos;
}

Result<EvidenceEntry> read_entry(const std::string& path, const std::string& text) {
  auto document = catalog::Document::parse(text, path, {});
  if (!document) return fail(document.error());
  document->demand_format();
  catalog::Table top = document->root();
  EvidenceEntry entry;
  entry.number = top.whole("number", 1, 9999).value_or(0);
  entry.previous = top.required_text("previous", "the hash of the entry before");
  entry.corrects = top.whole("corrects", 1, 9999);
  for (const Field& field : fields) entry.*field.text = top.text(field.key).value_or(std::string());
  entry.file_sha256 = top.text("file_sha256").value_or(std::string());
  if (!entry.file.empty() && !inside(entry.file)) {
    top.fault("file", "\"" + entry.file + "\"", "a file inside the case folder", "Copy it into the folder");
  }
  if (const auto sound = document->finish(); !sound) return fail(sound.error());
  entry.sha256 = sha256_hex(text);
  return entry;
}

Result<void> write_whole(const fs::path& path, const std::string& text) {
  // "x": never over a file that is there.
  std::FILE* file = std::fopen(path.c_str(), "wbx");
  if (file == nullptr) {
    const bool there = errno == EEXIST;
    return fail(trouble(there ? ErrorCode::conflict : ErrorCode::io, path.string(),
                        there ? "a file that is there already" : "a file that cannot be written",
                        there ? "a new file" : "a folder that can be written", "Try again"));
  }
  const bool written = std::fwrite(text.data(), 1, text.size(), file) == text.size();
  const bool closed = std::fclose(file) == 0;
  if (written && closed) return {};
  std::error_code error;
  fs::remove(path, error);
  return fail(trouble(ErrorCode::io, path.string(), "a write that failed", "room on the disk", "Make room"));
}

}  // namespace

const std::vector<std::string>& evidence_keys() {
  static const std::vector<std::string> keys = [] {
    std::vector<std::string> all{"corrects"};
    for (const Field& field : fields) all.emplace_back(field.key);
    return all;
  }();
  return keys;
}

Result<void> set_evidence(EvidenceEntry& entry, const std::string& key, const std::string& value) {
  if (key == "corrects") {
    int number = 0;
    const auto [end, fault] = std::from_chars(value.data(), value.data() + value.size(), number);
    if (fault != std::errc{} || end != value.data() + value.size() || number < 1) {
      return invalid("corrects", "\"" + value + "\"", "the number of an entry", "Write for example corrects=3.");
    }
    entry.corrects = number;
    return {};
  }
  for (const Field& field : fields) {
    if (key == field.key) {
      entry.*field.text = value;
      return {};
    }
  }
  const std::string near = catalog::nearest(key, evidence_keys());
  return fail(Error{ErrorCode::not_found,
                    {.field = key},
                    "an unknown key",
                    near.empty() ? fmt::format("one of {}", fmt::join(evidence_keys(), ", ")) : near,
                    "Write KEY=VALUE."});
}

Result<std::vector<EvidenceEntry>> read_evidence(const std::string& folder) {
  std::error_code error;
  if (!fs::is_directory(folder, error)) {
    return fail(trouble(ErrorCode::not_found, folder, "no such folder", "a case folder", "Check the name"));
  }
  const fs::path log = fs::path(folder) / "evidence";
  std::vector<fs::path> paths;
  if (fs::is_directory(log, error)) {
    for (fs::directory_iterator at(log, error), end; !error && at != end; at.increment(error)) {
      if (at->path().extension() == ".toml") paths.push_back(at->path());
    }
    if (error) {
      return fail(trouble(ErrorCode::io, log.string(), "a folder that cannot be read", "a readable folder",
                          "Check its permissions"));
    }
  }
  std::sort(paths.begin(), paths.end());
  std::vector<EvidenceEntry> entries;
  std::vector<Error> faults;
  std::string before(64, '0');
  for (std::size_t i = 0; i < paths.size(); ++i) {
    const std::string path = paths[i].string();
    const int number = static_cast<int>(i) + 1;
    if (paths[i].filename() != entry_name(number)) {
      faults.push_back(trouble(ErrorCode::conflict, path, "entry " + paths[i].filename().string(), entry_name(number),
                               "An entry is missing or was renamed: put it back"));
      break;
    }
    const auto text = read_file(path);
    auto entry = text ? read_entry(path, *text) : Result<EvidenceEntry>(tl::unexpect, text.error());
    if (!entry) {
      for (const Error& one : entry.error()) faults.push_back(one);
      break;
    }
    if (entry->number != number) {
      faults.push_back(trouble(ErrorCode::conflict, path, fmt::format("number {}", entry->number),
                               fmt::format("{}", number), "The entry was changed after it was made"));
    }
    if (entry->previous != before) {
      faults.push_back(trouble(ErrorCode::conflict, path, "previous = " + entry->previous.substr(0, 12) + "...",
                               before.substr(0, 12) + "...",
                               "The entry before was changed after this one was made, or this one was"));
    }
    if (!entry->file.empty()) {
      const auto hash = file_hash(fs::path(folder) / entry->file);
      if (!hash) {
        for (const Error& one : hash.error()) faults.push_back(one);
      } else if (*hash != entry->file_sha256) {
        faults.push_back(trouble(ErrorCode::conflict, (fs::path(folder) / entry->file).string(),
                                 "SHA-256 " + hash->substr(0, 12) + "...", entry->file_sha256.substr(0, 12) + "...",
                                 "The file was changed after it was logged: put the first one back"));
      }
    }
    before = entry->sha256;
    entries.push_back(std::move(*entry));
  }
  if (!faults.empty()) return fail(Errors(std::move(faults)));
  return entries;
}

Result<EvidenceEntry> add_evidence(const std::string& folder, EvidenceEntry entry) {
  const auto entries = read_evidence(folder);
  if (!entries) return fail(entries.error());
  for (const auto& [text, key] :
       {std::pair{&entry.title, "title"}, std::pair{&entry.time, "time"}, std::pair{&entry.person, "person"}}) {
    if (text->empty()) return invalid(key, "nothing", "what, when and by whom", fmt::format("Write {}=...", key));
  }
  if (entry.corrects && *entry.corrects > static_cast<int>(entries->size())) {
    return invalid("corrects", fmt::format("{}", *entry.corrects), fmt::format("1 to {}", entries->size()),
                   "Name the entry that is corrected.");
  }
  entry.number = static_cast<int>(entries->size()) + 1;
  if (entry.number > 9999) {
    return fail(trouble(ErrorCode::too_large, folder, "9999 entries", "fewer", "Open a second case"));
  }
  entry.previous = entries->empty() ? std::string(64, '0') : entries->back().sha256;
  if (!entry.file.empty()) {
    if (!inside(entry.file)) return invalid("file", "\"" + entry.file + "\"", "a file inside the case folder");
    const auto hash = file_hash(fs::path(folder) / entry.file);
    if (!hash) return fail(hash.error());
    entry.file_sha256 = *hash;
  }
  const fs::path log = fs::path(folder) / "evidence";
  std::error_code error;
  fs::create_directories(log, error);
  if (error) {
    return fail(trouble(ErrorCode::io, log.string(), "a folder that cannot be made", "a folder that can be written",
                        "Check its permissions"));
  }
  const std::string text = entry_text(entry);
  if (const auto read = read_entry(entry_name(entry.number), text); !read) return fail(read.error());
  if (const auto written = write_whole(log / entry_name(entry.number), text); !written) return fail(written.error());
  entry.sha256 = sha256_hex(text);
  return entry;
}

std::string evidence_index(const std::vector<EvidenceEntry>& entries) {
  std::string text = "Evidence log\n\n";
  std::map<std::string, std::vector<const EvidenceEntry*>> by_zone;
  for (const EvidenceEntry& entry : entries) {
    text += fmt::format("{:4d}  {}", entry.number, entry.title);
    if (entry.corrects) text += fmt::format(" (corrects {})", *entry.corrects);
    for (const EvidenceEntry& later : entries) {
      if (later.corrects == entry.number) text += fmt::format(" (corrected by {})", later.number);
    }
    text += fmt::format("\n      {}, {}", entry.time, entry.person);
    if (!entry.place.empty()) text += ", " + entry.place;
    text += "\n";
    const auto line = [&](const char* what, const std::string& value) {
      if (!value.empty()) text += fmt::format("      {}: {}\n", what, value);
    };
    line("shows", entry.value);
    line("instrument", entry.compared.empty() ? entry.instrument : entry.instrument + ", compared " + entry.compared);
    line("container", entry.container);
    line("seal", entry.seal);
    line("duplicate", entry.duplicate);
    line("handed to", entry.handed_on.empty() ? entry.handed_to : entry.handed_to + ", " + entry.handed_on);
    line("file", entry.file);
    line("SHA-256 of the file", entry.file_sha256);
    line("note", entry.note);
    if (!entry.file.empty()) by_zone[entry.zone].push_back(&entry);
  }
  text += "\nPhotos and files by zone\n";
  for (const auto& [zone, list] : by_zone) {
    text += fmt::format("  {}\n", zone.empty() ? "no zone" : zone);
    for (const EvidenceEntry* entry : list) {
      text += fmt::format("    {:4d}  {}  {}\n", entry->number, entry->file, entry->title);
    }
  }
  if (!entries.empty()) {
    text += fmt::format(
        "\nSHA-256 of the last entry, number {}:\n  {}\nWrite it down outside the case: without it, entries taken "
        "from the end go unseen.\n",
        entries.back().number, entries.back().sha256);
  }
  return text;
}

Result<void> export_evidence(const std::string& folder, const std::string& target) {
  const auto entries = read_evidence(folder);
  if (!entries) return fail(entries.error());
  if (entries->empty()) {
    return fail(trouble(ErrorCode::invalid_input, folder, "an empty log", "at least one entry", "Add an entry first"));
  }
  std::error_code error;
  if (fs::exists(target, error)) {
    return fail(trouble(ErrorCode::conflict, target, "a file or folder that is there", "a new name",
                        "Nothing is written over: name another"));
  }
  const auto copy = [&](const fs::path& relative) -> Result<void> {
    std::error_code fault;
    fs::create_directories((fs::path(target) / relative).parent_path(), fault);
    if (!fault) fs::copy_file(fs::path(folder) / relative, fs::path(target) / relative, fault);
    if (fault) {
      return fail(trouble(ErrorCode::io, (fs::path(target) / relative).string(), fault.message(),
                          "a place that can be written", "Check room and permissions"));
    }
    return {};
  };
  std::string sums;
  std::set<std::string> copied;
  for (const EvidenceEntry& entry : *entries) {
    const std::string name = "evidence/" + entry_name(entry.number);
    if (const auto done = copy(name); !done) return done;
    sums += fmt::format("{}  {}\n", entry.sha256, name);
    if (entry.file.empty() || !copied.insert(entry.file).second) continue;
    if (const auto done = copy(entry.file); !done) return done;
    sums += fmt::format("{}  {}\n", entry.file_sha256, entry.file);
  }
  const std::string index = evidence_index(*entries);
  if (const auto done = write_whole(fs::path(target) / "INDEX.txt", index); !done) return done;
  sums += fmt::format("{}  INDEX.txt\n", sha256_hex(index));
  return write_whole(fs::path(target) / "SHA256SUMS", sums);
}

}  // namespace fw::casefile
