// SPDX-License-Identifier: Apache-2.0
#include "app/catalog_answer.hpp"
#include "cli/commands.hpp"
#include "cli/terminal.hpp"

namespace fw::cli {

int run_catalog(const CommandLine& line) {
  const auto answer = app::catalog_answer(line.target, line.catalog_folder);
  if (!answer) return report_errors(answer.error());
  print(line.json ? answer->json : answer->text);
  return computed;
}

}  // namespace fw::cli
