// SPDX-License-Identifier: Apache-2.0
#include "app/diagnosis_questions.hpp"

#include "cli/commands.hpp"
#include "cli/long_work.hpp"
#include "cli/terminal.hpp"

namespace fw::cli {

namespace {

using Question = Result<app::TextAndJson> (*)(const app::DiagnosisQuestion&, const app::Request&, const Run&);

int answer(const CommandLine& line, Question ask) {
  const auto text = in_long_work([&](const Run& run) {
    return ask({.folder = line.target,
                .facts = line.six_facts,
                .two_steps = line.two_steps,
                .opening = line.opening,
                .cause = line.cause},
               request_of(line), run);
  });
  if (!text) return report_errors(text.error());
  print(line.json ? text->json : text->text);
  return computed;
}

}  // namespace

int run_diagnose(const CommandLine& line) { return answer(line, app::diagnosis_text); }
int run_explain(const CommandLine& line) { return answer(line, app::explanation_text); }
int run_next(const CommandLine& line) { return answer(line, app::next_text); }

}  // namespace fw::cli
