// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <initializer_list>
#include <string>
#include <type_traits>
#include <utility>
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

/// Width of a figure that fills the frame of a page, points.
inline constexpr double figure_width = 466.0;

/// Composes a paper at its barest and grants one wish after another, in their order, as long as it stays one page.
/// Errors: those of `compose`.
template <class Compose, class Fill>  // a template so that composers may be lambdas
[[nodiscard]] Result<Document> fill_one_page(const Compose& compose, Fill fill,
                                             std::initializer_list<void (*)(std::type_identity_t<Fill>&)> wishes) {
  Result<Document> best = compose(fill);
  if (!best) return best;
  for (const auto wish : wishes) {
    Fill more = fill;
    wish(more);
    Result<Document> fuller = compose(more);
    if (!fuller) return fuller;
    if (!is_one_page(*fuller)) continue;
    best = std::move(fuller);
    fill = more;
  }
  return best;
}

/// "No", "One" to "Twelve", then digits.
[[nodiscard]] std::string spelled(std::size_t count);

[[nodiscard]] std::size_t count(const supply::SheetJudgement& sheet, supply::Outcome outcome);

/// The inputs that stand in for what nobody stated, in the order of the sheet.
[[nodiscard]] std::vector<const Stated*> stand_ins(const supply::SheetJudgement& sheet);

/// Name of a file without its folder: papers do not tell where a case lies.
[[nodiscard]] std::string file_name(const std::string& path);

/// A paper of a case, still empty: title, vehicle, metadata, page size.
[[nodiscard]] Document case_paper(const assess::Assessment& assessment, const PaperOptions& options,
                                  std::string subject);

void heading(Document& document, int level, std::string number, std::string text, std::string id = {});
void paragraph(Document& document, std::string text, bool small = false);

/// One small paragraph for each section that could not be worked out, with the reason; nothing where all could.
void add_not_computed(const assess::Assessment& assessment, Document& document);

/// "Case 2031, inline six, 88,000 km, opened 2026-05-04".
[[nodiscard]] std::string case_line(const assess::Assessment& assessment);

}  // namespace fw::report
