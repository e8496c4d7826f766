// SPDX-License-Identifier: Apache-2.0
#include "app/evidence_questions.hpp"

#include "cli/commands.hpp"
#include "cli/terminal.hpp"

namespace fw::cli {

int run_evidence(const CommandLine& line) {
  const auto text = !line.evidence.empty() ? app::add_evidence_text(line.target, line.evidence)
                    : line.out             ? app::export_evidence_text(line.target, *line.out)
                                           : app::evidence_text(line.target);
  if (!text) return report_errors(text.error());
  print(*text);
  return computed;
}

}  // namespace fw::cli
