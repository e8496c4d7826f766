// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <utility>
#include <vector>

#include <fmt/format.h>

#include "report/check_words.hpp"
#include "report/metal_words.hpp"
#include "report/paper_metal.hpp"
#include "report/paper_parts.hpp"
#include "report/papers.hpp"
#include "report/typeset.hpp"

namespace fw::report {

namespace {

using debris::PlaceState;
using extent::Decision;
using extent::OptionResult;
using extent::Standing;

void add_found(Document& document, const debris::DebrisMap& map) {
  KeyValues found;
  const auto row = [&](const char* key, const std::vector<std::string>& names, const char* none) {
    found.pairs.push_back({.key = key, .value = plain(names.empty() ? std::string(none) : listed(names))});
  };
  row("metal seen", places_in(map, PlaceState::seen), "nowhere so far");
  row("verified clean", places_in(map, PlaceState::verified_clean), "nothing by cloth, patch or count");
  row("metal inferred", places_in(map, PlaceState::inferred), "nowhere");
  row("not inspected", places_in(map, PlaceState::not_inspected), "nothing");
  document.blocks.emplace_back(std::move(found));
  paragraph(document,
            "Not inspected is not clean. A look by eye or a clean magnet proves nothing: the eye sees 30 to 40 um, "
            "and aluminium, bronze and many stainless chips do not stick.",
            true);
}

void add_what_decides(Document& document, const Decision& decision) {
  const OptionResult& small = smallest_repair(decision);
  if (!small.break_even) {
    paragraph(document, "Without prices nothing here says which option costs least in the end.");
    return;
  }
  paragraph(document, fmt::format("The smallest repair ({}) against the whole system. {}", extent::name(small.kind),
                                  break_even_words(small)));
  if (std::string why = beyond_money_words(decision); !why.empty()) paragraph(document, std::move(why));
  const std::vector<std::string> flips = flip_words(decision);
  if (flips.empty()) {
    paragraph(document, "No assumption alone turns the order within its range; all others at their middles.");
  } else {
    paragraph(document,
              fmt::format("What alone would turn the order, all others at their middles: {}.", listed(flips)));
  }
  paragraph(document,
            "How often a repair comes back after a given amount of metal is published nowhere. The chance is a wide "
            "assumption of this shop, not a measurement; the amounts that reach the parts are computed.",
            true);
}

void add_limits(Document& document) {
  Bullets bullets;
  for (const char* text :
       {"Why the pump came apart. Metal proves that it did, not why.",
        "Work that turns out to be needed on the way: it is photographed, priced and agreed anew before it is done.",
        "Who pays. What an insurer or a warranty desk decides is theirs; their approval to pay is not the owner's "
        "permission to do the work.",
        "Parts that are kept and fail for a reason that has nothing to do with this metal.",
        "Tax, towing, storage, laboratory, fuel and its disposal, unless the prices above hold them; days of waiting "
        "for parts."}) {
    bullets.items.push_back(plain(text));
  }
  document.blocks.emplace_back(std::move(bullets));
}

/// What is told before somebody opens anything: the warnings, in one block under the signal word of the worst.
void add_warnings(Document& document, const assess::Assessment& assessment) {
  std::string title, text;
  assess::Signal worst = assess::Signal::warning;
  for (const assess::Caution& caution : assessment.cautions) {
    if (caution.signal != assess::Signal::danger && caution.signal != assess::Signal::warning) continue;
    if (caution.signal == assess::Signal::danger) worst = assess::Signal::danger;
    title += (title.empty() ? "" : ", ") + (title.empty() ? caution.title : lower_first(caution.title));
    text += (text.empty() ? "" : " ") + caution.shortly;
  }
  if (title.empty()) return;
  document.blocks.emplace_back(Caution{.signal = signal_of(worst), .title = title, .spans = plain(text)});
}

CheckBoxes boxes(std::vector<std::string> texts) {
  CheckBoxes out;
  for (std::string& text : texts) out.boxes.push_back({.spans = plain(std::move(text))});
  return out;
}

void add_teardown(Document& document, const assess::Assessment& assessment, const Decision& decision) {
  heading(document, 1, "5", "Permission to take apart and look");
  paragraph(document,
            "Permission to look is not permission to repair. This one stands alone and may be given alone. Until it "
            "is given nothing is opened, and the engine is not cranked again. The maker's service information, local "
            "codes and a licensed person decide how it is done.");
  add_warnings(document, assessment);
  std::vector<std::string> looks;
  for (const debris::Place place : decision.look_next) {
    looks.push_back(fmt::format("Open and test by cloth, patch or count: {}", debris::name(place)));
  }
  looks.emplace_back("Open the high-pressure pump; a pump that is opened may lose its core value and its claim");
  looks.emplace_back("Keep samples, the old filters and photographs as evidence");
  document.blocks.emplace_back(boxes(std::move(looks)));
  document.blocks.emplace_back(SignatureLines{.labels = {"up to this amount", "put together again, if declined"}});
  document.blocks.emplace_back(SignatureLines{.labels = {"owner, date and time", "by phone: number, name", "shop"}});
}

void add_repair(Document& document, const Decision& decision) {
  heading(document, 1, "6", "Permission to repair");
  paragraph(document, "Tick one option. What is ticked and signed here is what was agreed.");
  std::vector<std::string> choices;
  for (const OptionResult& option : decision.options) {
    if (option.standing == Standing::not_offered) continue;
    std::string text =
        fmt::format("{}: likely {}, nine in ten cost less than {}", upper_first(std::string(extent::name(option.kind))),
                    cost_words(option.likely_cost), cost_words(option.unlucky_cost));
    if (option.standing == Standing::not_on_this_evidence) {
      text += ". Not recommended on this evidence: I have read what is not covered and take that risk";
    }
    choices.push_back(std::move(text));
  }
  document.blocks.emplace_back(boxes(std::move(choices)));
  document.blocks.emplace_back(
      boxes({"Keep the old parts for me", "The shop may test it on the road",
             "Remanufactured or tested used parts may be fitted; not ticked: new parts only"}));
  document.blocks.emplace_back(SignatureLines{.labels = {"owner, date and time", "by phone: number, name", "shop"}});
  document.blocks.emplace_back(
      SignatureLines{.labels = {"extra work, price", "agreed by, date and time", "by phone: number"}});
}

}  // namespace

Result<Document> authorisation_paper(const assess::Assessment& assessment, const PaperOptions& options) {
  for (const assess::NotComputed& missing : assessment.not_computed) {
    if (missing.section == assess::Section::debris || missing.section == assess::Section::extent) {
      return fail(missing.why);
    }
  }
  if (!assessment.metal || !assessment.metal->decision) {
    return fail(Error{.code = ErrorCode::not_found,
                      .where = {.field = "extent"},
                      .found = "a case whose extent is not worked out",
                      .expected = "a case with a metal.toml",
                      .hint = "Write down where metal was looked for (docs/reference/case-folder.md)"});
  }
  const Decision& decision = *assessment.metal->decision;
  Document document = case_paper(assessment, options, "Options and permission");
  document.header = assessment.title + ", options and permission";
  document.footer = "Options and permission. Sums rounded; this paper advises, it certifies nothing.";
  document.blocks.emplace_back(Lead{.spans = plain(verdict_words(decision))});
  heading(document, 1, "1", "What was found");
  add_found(document, assessment.metal->map);
  heading(document, 1, "2", "The options side by side");
  document.blocks.emplace_back(options_table(decision));
  paragraph(
      document,
      "Likely: the middle of hours and prices. Back within a year: how many of a hundred such jobs, with the range "
      "of the assumptions under it. A clean system has 2 to 12 in 100.",
      true);
  for (const OptionResult& option : decision.options) {
    heading(document, 3, {}, upper_first(std::string(extent::name(option.kind))));
    document.blocks.emplace_back(option_words(option));
  }
  heading(document, 1, "3", "What decides");
  add_what_decides(document, decision);
  heading(document, 1, "4", "What this paper does not cover");
  add_limits(document);
  document.blocks.emplace_back(PageBreak{});
  add_teardown(document, assessment, decision);
  add_repair(document, decision);
  heading(document, 1, "7", "What the numbers stand on");
  document.blocks.emplace_back(assumptions_table());
  document = typeset(std::move(document));
  if (const auto sound = check(document); !sound) return fail(sound.error());
  return document;
}

}  // namespace fw::report
