// SPDX-License-Identifier: Apache-2.0
#include "app/evidence_questions.hpp"

#include <fmt/format.h>

#include "casefile/evidence_log.hpp"

namespace fw::app {

Result<std::string> evidence_text(const std::string& folder) {
  const auto entries = casefile::read_evidence(folder);
  if (!entries) return fail(entries.error());
  return casefile::evidence_index(*entries);
}

Result<std::string> add_evidence_text(const std::string& folder, const std::vector<std::string>& entry) {
  casefile::EvidenceEntry made;
  for (const std::string& text : entry) {
    const std::size_t sign = text.find('=');
    if (sign == std::string::npos) {
      return fail(Error{.code = ErrorCode::invalid_input,
                        .where = {.file = {}, .line = 0, .column = 0, .field = "--add"},
                        .found = "\"" + text + "\"",
                        .expected = "KEY=VALUE",
                        .hint = "Write for example \"title=jar from the separator\""});
    }
    if (const auto set = casefile::set_evidence(made, text.substr(0, sign), text.substr(sign + 1)); !set) {
      return fail(set.error());
    }
  }
  const auto added = casefile::add_evidence(folder, made);
  if (!added) return fail(added.error());
  return fmt::format("Entry {} written, SHA-256 {}\n", added->number, added->sha256);
}

Result<std::string> export_evidence_text(const std::string& folder, const std::string& to) {
  if (const auto done = casefile::export_evidence(folder, to); !done) return fail(done.error());
  return fmt::format("Exported to {}; verify there with: sha256sum -c SHA256SUMS\n", to);
}

}  // namespace fw::app
