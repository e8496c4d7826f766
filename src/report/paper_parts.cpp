// SPDX-License-Identifier: Apache-2.0
#include "report/paper_parts.hpp"

#include <algorithm>
#include <array>
#include <string_view>

#include <fmt/format.h>

#include "report/pdf_layout.hpp"

namespace fw::report {

using supply::Check;
using supply::Outcome;
using supply::SheetJudgement;

Document answer_page(std::string title, const PaperOptions& options) {
  Document document;
  document.title = std::move(title);
  document.created = options.created;
  document.size = options.size;
  return document;
}

bool is_one_page(const Document& document) {
  const auto laid = lay_out_pages(document);
  return laid && laid->pages.size() == 1;
}

Signal signal_of(assess::Signal signal) {
  switch (signal) {
    case assess::Signal::danger: return Signal::danger;
    case assess::Signal::warning: return Signal::warning;
    case assess::Signal::caution: return Signal::caution;
    case assess::Signal::notice: return Signal::notice;
  }
  return Signal::warning;
}

std::string spelled(std::size_t count) {
  static constexpr std::array<std::string_view, 13> small{"No",    "One",   "Two",  "Three", "Four",   "Five",  "Six",
                                                          "Seven", "Eight", "Nine", "Ten",   "Eleven", "Twelve"};
  return count < small.size() ? std::string(small[count]) : fmt::format("{}", count);
}

std::size_t count(const SheetJudgement& sheet, Outcome outcome) {
  return static_cast<std::size_t>(std::ranges::count(sheet.checks, outcome, &Check::outcome));
}

std::vector<const Stated*> stand_ins(const SheetJudgement& sheet) {
  std::vector<const Stated*> all;
  for (const Stated& input : sheet.inputs) {
    if (input.origin.as_typed.empty() || input.unknown) all.push_back(&input);
  }
  return all;
}

std::string file_name(const std::string& path) {
  const std::size_t slash = path.rfind('/');
  return slash == std::string::npos ? path : path.substr(slash + 1);
}

Document case_paper(const assess::Assessment& assessment, const PaperOptions& options, std::string subject) {
  Document document = answer_page(assessment.title, options);
  document.subtitle = case_line(assessment);
  document.subject = std::move(subject);
  return document;
}

void heading(Document& document, int level, std::string number, std::string text, std::string id) {
  document.blocks.emplace_back(
      Heading{.level = level, .number = std::move(number), .text = std::move(text), .id = std::move(id)});
}

void paragraph(Document& document, std::string text, bool small) {
  document.blocks.emplace_back(Paragraph{.spans = plain(std::move(text)), .small = small});
}

void add_not_computed(const assess::Assessment& assessment, Document& document) {
  for (const assess::NotComputed& missing : assessment.not_computed) {
    const Error& why = missing.why.front();
    std::string text = fmt::format("Not worked out: {}", assess::name(missing.section));
    if (!missing.sheet.empty()) text += ", system " + missing.sheet;
    text += why.where.field.empty() ? ". " : fmt::format(". {}: ", why.where.field);
    text += fmt::format("found {}; expected {}.", why.found, why.expected);
    if (!why.hint.empty()) text += " " + why.hint + ".";
    document.blocks.emplace_back(Paragraph{.spans = plain(std::move(text)), .small = true});
  }
}

std::string case_line(const assess::Assessment& assessment) {
  std::string text = "Case " + assessment.case_id;
  for (const std::string* part : {&assessment.vehicle, &assessment.odometer}) {
    if (!part->empty()) text += ", " + *part;
  }
  if (!assessment.opened.empty()) text += ", opened " + assessment.opened;
  return text;
}

}  // namespace fw::report
