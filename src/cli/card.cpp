// SPDX-License-Identifier: Apache-2.0
#include "app/card_questions.hpp"
#include "cli/commands.hpp"
#include "cli/long_work.hpp"
#include "cli/terminal.hpp"

namespace fw::cli {

int run_card(const CommandLine& line) {
  app::Request request = request_of(line);
  if (line.command == Command::card_print) {
    const auto path = app::print_card(request);
    if (!path) return report_errors(path.error());
    print("Card written: " + *path + ". Print it at 100 % and measure its line.\n");
    return computed;
  }
  const auto text = app::read_card_text({.photo = line.target,
                                         .keep_in = line.keep_in,
                                         .zone = line.zone,
                                         .person = line.person,
                                         .time = line.time,
                                         .json = line.json},
                                        request);
  return answer(text, line);
}

}  // namespace fw::cli
