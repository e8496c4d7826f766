// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <vector>

#include "assess/assess.hpp"
#include "report/document.hpp"
#include "report/papers.hpp"
#include "supply/judge.hpp"

/// Words and lists that several papers share.
namespace fw::report {

/// An empty answer to one question, under its title.
[[nodiscard]] Document answer_page(std::string title, const PaperOptions& options);

/// Precondition: check(document) succeeded.
[[nodiscard]] bool is_one_page(const Document& document);

[[nodiscard]] Signal signal_of(assess::Signal signal);

/// How much a paper of one page leaves out so that it stays one page.
inline constexpr int full_page = 0;
inline constexpr int barest_page = 6;

/// Composes a paper at ever higher bareness until it takes one page; the barest as it is. Errors: those of `compose`.
template <class Compose>  // a template so that composers may be lambdas
[[nodiscard]] Result<Document> on_one_page(const Compose& compose, int barest = barest_page) {
  for (int bareness = full_page;; ++bareness) {
    Result<Document> document = compose(bareness);
    if (!document || bareness == barest || is_one_page(*document)) return document;
  }
}

/// "No", "One" to "Twelve", then digits.
[[nodiscard]] std::string spelled(std::size_t count);

[[nodiscard]] std::size_t count(const supply::SheetJudgement& sheet, supply::Outcome outcome);

/// The inputs that stand in for what nobody stated, in the order of the sheet.
[[nodiscard]] std::vector<const Stated*> stand_ins(const supply::SheetJudgement& sheet);

/// Name of a file without its folder: papers do not tell where a case lies.
[[nodiscard]] std::string file_name(const std::string& path);

/// "Case 2031, inline six, 88,000 km, opened 2026-05-04".
[[nodiscard]] std::string case_line(const assess::Assessment& assessment);

}  // namespace fw::report
