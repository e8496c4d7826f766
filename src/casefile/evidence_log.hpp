// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "base/result.hpp"

/// The evidence log of a case: numbered entries that are never changed, each carrying the hash of the one before.
/// Format: docs/reference/evidence-log.md.
namespace fw::casefile {

/// One entry; every text as typed, empty where it does not apply.
struct EvidenceEntry {
  int number = 0;               ///< from 1
  std::string previous;         ///< SHA-256 of the entry before, as a file; 64 zeros for the first
  std::optional<int> corrects;  ///< a correction: the number of the entry it corrects
  std::string title;            ///< what it is
  std::string zone;             ///< place of the debris map, for the photo index
  std::string place;            ///< where it was taken
  std::string time;             ///< when, "2026-05-04 10:20"
  std::string person;           ///< by whom
  std::string instrument;       ///< with what
  std::string compared;         ///< when the instrument was last compared
  std::string value;            ///< what it showed, with its unit
  std::string file;             ///< in the case folder: photo, clip, report
  std::string file_sha256;      ///< of that file, made by the log
  std::string container;        ///< a sample: what it is kept in
  std::string seal;             ///< number of its seal
  std::string duplicate;        ///< where the duplicate is
  std::string handed_to;        ///< to whom it went
  std::string handed_on;        ///< when
  std::string note;
  std::string sha256;  ///< of this entry's own file
};

/// Keys that add_evidence takes, in the order of the file.
[[nodiscard]] const std::vector<std::string>& evidence_keys();

/// Sets the text of a key. Errors: not_found with the nearest key; invalid_input for a number that is none.
[[nodiscard]] Result<void> set_evidence(EvidenceEntry& entry, const std::string& key, const std::string& value);

/// All entries of FOLDER/evidence, checked: numbers without a gap, each carrying the hash of the one before, files that
/// still have their hash. An absent folder is an empty log. Errors: those of the documents; conflict for each broken
/// link and each changed file; not_found for a missing file; all at once.
[[nodiscard]] Result<std::vector<EvidenceEntry>> read_evidence(const std::string& folder);

/// Appends an entry: number, previous and file_sha256 are made here. Nothing is written over. Errors: those of
/// read_evidence (nothing is appended to a broken log); invalid_input for an entry without title, time or person, or a
/// correction of an entry that is not there; not_found for its file; io; conflict when somebody else appended first.
[[nodiscard]] Result<EvidenceEntry> add_evidence(const std::string& folder, EvidenceEntry entry);

/// Copies entries and their files to `target`, which must not exist, with SHA256SUMS for `sha256sum -c` and INDEX.txt:
/// the entries in order, corrections beside what they correct, photos by zone, and the hash of the last entry, which is
/// what has to be written down elsewhere: without it, taking entries from the end goes unseen.
/// Errors: those of read_evidence; invalid_input for an empty log; conflict for a target that exists; io.
[[nodiscard]] Result<void> export_evidence(const std::string& folder, const std::string& target);

/// The index as text. Precondition: entries as read.
[[nodiscard]] std::string evidence_index(const std::vector<EvidenceEntry>& entries);

}  // namespace fw::casefile
