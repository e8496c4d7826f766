// SPDX-License-Identifier: Apache-2.0
#include "app/metal_questions.hpp"
#include "cli/commands.hpp"
#include "cli/long_work.hpp"
#include "cli/terminal.hpp"

namespace fw::cli {

namespace {

using Question = Result<app::TextAndJson> (*)(const std::string&, const app::Request&, const Run&);

int answer(const CommandLine& line, Question ask) {
  const auto text = in_long_work([&](const Run& run) {
    return ask(line.target,
               {.system = line.system,
                .seed = line.seed,
                .depth = line.depth,
                .out = {},
                .width = terminal_columns(),
                .catalog_folder = line.catalog_folder,
                .created = creation_time()},
               run);
  });
  if (!text) return report_errors(text.error());
  print(line.json ? text->json : text->text);
  return computed;
}

}  // namespace

int run_debris(const CommandLine& line) { return answer(line, app::debris_text); }
int run_extent(const CommandLine& line) { return answer(line, app::extent_text); }

}  // namespace fw::cli
