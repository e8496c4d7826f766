// SPDX-License-Identifier: Apache-2.0
#include "app/supply_questions.hpp"

#include "app/threads.hpp"
#include "cli/commands.hpp"
#include "cli/terminal.hpp"

namespace fw::cli {

namespace {

app::Request request_of(const CommandLine& line) {
  return {.system = line.system,
          .seed = line.seed,
          .depth = line.depth,
          .out = {},
          .width = terminal_columns(),
          .catalog_folder = line.catalog_folder,
          .created = creation_time()};
}

int answer(const Result<std::string>& text) {
  if (!text) return report_errors(text.error());
  print(*text);
  return computed;
}

}  // namespace

int run_gaugebook(const CommandLine& line) {
  app::ThreadExecutor executor(app::hardware_threads());
  SilentProgress progress;
  return answer(
      app::gauge_book_text({.sheet = line.target, .faults = line.faults}, request_of(line), {executor, progress, {}}));
}

int run_faults(const CommandLine& line) {
  app::ThreadExecutor executor(app::hardware_threads());
  SilentProgress progress;
  return answer(
      app::faults_text({.sheet = line.target, .faults = line.faults}, request_of(line), {executor, progress, {}}));
}

int run_compare(const CommandLine& line) {
  app::ThreadExecutor executor(app::hardware_threads());
  SilentProgress progress;
  return answer(app::comparison_text(line.target, request_of(line), {executor, progress, {}}));
}

int run_size(const CommandLine& line) {
  app::ThreadExecutor executor(app::hardware_threads());
  SilentProgress progress;
  return answer(app::sizes_text(line.target, line.part, line.climate, request_of(line), {executor, progress, {}}));
}

}  // namespace fw::cli
