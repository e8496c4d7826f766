// SPDX-License-Identifier: Apache-2.0
#include "casefile/evidence_log.hpp"

#include "cli/commands.hpp"
#include "cli/terminal.hpp"

namespace fw::cli {

int run_evidence(const CommandLine& line) {
  if (!line.evidence.empty()) {
    casefile::EvidenceEntry entry;
    for (const std::string& text : line.evidence) {
      const std::size_t sign = text.find('=');
      if (sign == std::string::npos) {
        return report_errors(Error{.code = ErrorCode::invalid_input,
                                   .where = {.field = "--add"},
                                   .found = "\"" + text + "\"",
                                   .expected = "KEY=VALUE",
                                   .hint = "Write for example \"title=jar from the separator\""});
      }
      if (const auto set = casefile::set_evidence(entry, text.substr(0, sign), text.substr(sign + 1)); !set) {
        return report_errors(set.error());
      }
    }
    const auto added = casefile::add_evidence(line.target, entry);
    if (!added) return report_errors(added.error());
    print("Entry " + std::to_string(added->number) + " written, SHA-256 " + added->sha256 + "\n");
    return computed;
  }
  if (line.out) {
    if (const auto done = casefile::export_evidence(line.target, *line.out); !done) return report_errors(done.error());
    print("Exported to " + *line.out + "; verify there with: sha256sum -c SHA256SUMS\n");
    return computed;
  }
  const auto entries = casefile::read_evidence(line.target);
  if (!entries) return report_errors(entries.error());
  print(casefile::evidence_index(*entries));
  return computed;
}

}  // namespace fw::cli
