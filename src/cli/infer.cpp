// SPDX-License-Identifier: Apache-2.0
#include "app/network_question.hpp"
#include "cli/commands.hpp"
#include "cli/terminal.hpp"

namespace fw::cli {

int run_infer(const CommandLine& line) {
  const auto answer = app::ask_network({.file = line.target,
                                        .network = line.network,
                                        .given = line.given,
                                        .likelihoods = line.likelihoods,
                                        .soft = line.soft});
  if (!answer) return report_errors(answer.error());
  print(line.json ? answer->json : answer->text);
  return computed;
}

}  // namespace fw::cli
