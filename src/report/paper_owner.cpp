// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <utility>
#include <vector>

#include <fmt/format.h>

#include "report/check_words.hpp"
#include "report/debris_marks.hpp"
#include "report/figure_schematic.hpp"
#include "report/metal_words.hpp"
#include "report/owner_words.hpp"
#include "report/paper_parts.hpp"
#include "report/papers.hpp"
#include "report/supply_figures.hpp"
#include "report/typeset.hpp"

namespace fw::report {

namespace {

using supply::Check;
using supply::Outcome;
using supply::SheetJudgement;

/// What the page has room for, from the barest up.
struct Fill {
  std::size_t failures = 1;
  std::size_t narrow = 0;
  bool losses = false;  ///< what happens when a pump stops
  bool explained = false;
  bool sums = false;       ///< of the question about the pump: what options cost
  double text_size = 0.0;  ///< of the drawing; 0: none
  bool outline = true;     ///< tanks that feed one place drawn as one
  bool caption = false;
  bool signature = false;
  bool basis = false;  ///< how often it was computed, and how much stands in for facts
  bool close_set = true;
};

const SheetJudgement* sheet_named(const assess::Assessment& assessment, std::string_view name) {
  const auto found = std::ranges::find(assessment.sheets, name, &SheetJudgement::name);
  return found == assessment.sheets.end() ? nullptr : &*found;
}

bool all_of_practice(const SheetJudgement& sheet) {
  return std::ranges::none_of(sheet.checks,
                              [](const Check& check) { return check.limit.origin == supply::LimitOrigin::maker; });
}

/// One sheet and what was judged of it.
struct Told {
  const SheetJudgement* judged = nullptr;
  const system::LineSheet* sheet = nullptr;
};

/// The failing checks, as many as there is room for.
Bullets failures(const Told& told, units::System system, const Fill& fill, Tense tense) {
  Bullets bullets;
  std::size_t shown = 0;
  for (const Check& check : told.judged->checks) {
    if (check.outcome != Outcome::fails || shown == fill.failures) continue;
    ++shown;
    std::string words = owner_failure(check, *told.sheet, system, tense, fill.explained);
    const bool twice = std::ranges::any_of(bullets.items, [&](const Spans& item) { return text_of(item) == words; });
    if (!twice) bullets.items.push_back(plain(std::move(words)));
  }
  if (const std::size_t failing = count(*told.judged, Outcome::fails); failing > shown) {
    const std::size_t more = failing - shown;
    bullets.items.push_back(plain(
        fmt::format("{} more {}; the technical report lists them.", more, more == 1 ? "check fails" : "checks fail")));
  }
  return bullets;
}

/// "Three of 32 checks fail": all by name as bullets, or the worst in the same breath where there is no room.
void add_failing(const Told& told, const char* still, Tense tense, units::System system, const Fill& fill,
                 Document& document) {
  const SheetJudgement& sheet = *told.judged;
  const std::size_t failing = count(sheet, Outcome::fails);
  const std::string fail = fmt::format("{} of {} checks {}{}", spelled(failing), sheet.checks.size(), still,
                                       failing == 1 ? "fails" : "fail");
  if (fill.failures > 1) {
    document.blocks.emplace_back(Paragraph{.spans = plain(fail + ":"), .with_next = true});
    document.blocks.emplace_back(failures(told, system, fill, tense));
    return;
  }
  const auto worst = std::ranges::find(sheet.checks, Outcome::fails, &Check::outcome);
  const std::string words = lower_first(owner_failure(*worst, *told.sheet, system, tense, fill.explained));
  paragraph(document, failing == 1 ? fmt::format("{}: {}", fail, words)
                                   : fmt::format("{}; the technical report lists them. The worst: {}", fail, words));
}

/// " Two checks could not be decided, ..."; nothing where all could.
std::string undecided_words(const SheetJudgement& sheet) {
  const std::size_t open = count(sheet, Outcome::not_known);
  if (open == 0) return {};
  return fmt::format(" {} could not be decided, because a fact about the vehicle is missing.",
                     open == 1 ? std::string("One check") : spelled(open) + " checks");
}

void add_before(const Told& told, units::System system, const Fill& fill, Document& document) {
  const SheetJudgement& sheet = *told.judged;
  document.blocks.emplace_back(
      Heading{.level = 1, .number = {}, .text = "The fuel supply " + sheet.name, .id = "before"});
  const std::size_t failing = count(sheet, Outcome::fails);
  if (failing == 0) {
    paragraph(document, fmt::format("None of {} checks fails.", sheet.checks.size()));
  } else {
    add_failing(told, "", Tense::was, system, fill, document);
  }
}

/// "what is fed at full power", and how far it may lie off.
std::string fed_words(const SheetJudgement& sheet, units::System system) {
  const Amount inlet{.si = sheet.line.over_ambient_Pa.back(), .dimension = units::Dimension::gauge_pressure};
  std::string text =
      fmt::format("At full power the high-pressure pump is most likely fed with {}", words_in_both(inlet, system));
  if (sheet.line.band_Pa.empty()) return text + ".";
  const auto end = [&](double si) { return words_of(Amount{.si = si, .dimension = inlet.dimension}, system); };
  return text + fmt::format("; in nine jobs in ten it lies between {} and {}.", end(sheet.line.band_Pa.back().low),
                            end(sheet.line.band_Pa.back().high));
}

void add_after(const Told& told, units::System system, const Fill& fill, Document& document) {
  const SheetJudgement& sheet = *told.judged;
  document.blocks.emplace_back(
      Heading{.level = 1, .number = {}, .text = "The fuel supply " + sheet.name, .id = "after"});
  const std::size_t failing = count(sheet, Outcome::fails);
  if (failing > 0) add_failing(told, "still ", Tense::is, system, fill, document);
  std::string text;
  if (failing == 0) {
    text = fmt::format(
        "None of {} checks fails in {} running conditions, from starting in the cold to full power on warm fuel with "
        "filters at the end of their life. ",
        sheet.checks.size(), sheet.points);
  }
  text += fed_words(sheet, system);
  if (const std::size_t narrow = count(sheet, Outcome::narrow); narrow > 0 && fill.narrow > 0) {
    std::vector<std::string> names;
    for (const Check& check : sheet.checks) {
      if (check.outcome != Outcome::narrow) continue;
      std::string name = owner_narrow(check, *told.sheet);
      if (std::ranges::find(names, name) == names.end()) names.push_back(std::move(name));
    }
    const std::size_t named = std::min(fill.narrow, names.size());
    text += narrow == 1 ? " One check has little to spare:" : fmt::format(" {} have little to spare:", spelled(narrow));
    for (std::size_t i = 0; i < named; ++i) text += (i == 0 ? " " : "; ") + names[i];
    text += named < names.size() ? fmt::format("; and {} more.", names.size() - named) : std::string(".");
  }
  paragraph(document, text + undecided_words(sheet));
  if (std::string losses = owner_losses(sheet.dead_pumps); fill.losses && !losses.empty()) {
    document.blocks.emplace_back(Paragraph{.spans = plain(std::move(losses))});
  }
}

/// "Can you just change the pump?", answered from the debris map and the options.
void add_pump_question(const assess::MetalAnswer& metal, const Fill& fill, Document& document) {
  document.blocks.emplace_back(
      Heading{.level = 1, .number = {}, .text = "Can you just change the pump?", .id = "just-the-pump"});
  document.blocks.emplace_back(Paragraph{.spans = plain(pump_question(metal.map, *metal.decision))});
  if (const std::string sums = pump_question_sums(*metal.decision); fill.sums && !sums.empty()) {
    document.blocks.emplace_back(Paragraph{.spans = plain(sums)});
  }
}

/// Metal, or a place that was tested and found clean.
bool anything_seen(const debris::DebrisMap& map) {
  return std::ranges::any_of(map.places, [](const debris::PlaceOfMap& place) {
    return place.state == debris::PlaceState::seen || place.state == debris::PlaceState::verified_clean;
  });
}

/// What the owner can do, each step after its caution.
void add_steps(const system::LineSheet& sheet, const assess::Assessment& assessment, Document& document) {
  bool sensed = false;
  bool drained = false;
  for (const system::Leg& leg : sheet.legs) {
    for (const system::Part& part : leg.parts) {
      if (part.bypassed || !part.medium) continue;
      sensed = sensed || part.medium->sensor == system::WaterSensor::wired;
      drained = drained || part.kind == system::PartKind::separator;
    }
  }
  document.blocks.emplace_back(Heading{.level = 1, .number = {}, .text = "What you can do", .id = "do"});
  if (!assessment.cautions.empty()) {
    const assess::Caution& caution = assessment.cautions.front();
    document.blocks.emplace_back(
        Caution{.signal = signal_of(caution.signal), .title = caution.title, .spans = plain(caution.shortly)});
  }
  int number = 0;
  const auto step = [&](const char* words) {
    document.blocks.emplace_back(Step{.number = fmt::format("{}", ++number), .spans = plain(words)});
  };
  step("Stop at once if the engine loses power or knocks, and have it looked at before the next start.");
  if (sensed) step("If the water lamp lights, stop and have the bowl drained and the fuel looked at.");
  if (drained && !sensed) step("Have the water bowl drained at every service: no lamp tells when it is full.");
  step("Keep to the filter changes of the shop: the checks count on them.");
}

/// How the vehicle came in and how it stands, in two sentences.
std::string lead_of(const SheetJudgement* found, const SheetJudgement& last) {
  std::string lead;
  if (found != nullptr && found != &last) {
    const bool short_of_fuel = std::ranges::any_of(
        found->checks, [](const Check& check) { return check.outcome == Outcome::fails && starves(check); });
    lead = short_of_fuel ? "As it came in, the vehicle's fuel supply likely did not feed the high-pressure pump well. "
           : count(*found, Outcome::fails) > 0
               ? "As it came in, the vehicle's fuel supply had faults, but likely fed the high-pressure pump. "
               : "As the vehicle came in, no check of its fuel supply fails. ";
  }
  if (count(last, Outcome::fails) > 0) {
    return lead + fmt::format("The system {} does not yet pass every check.", last.name);
  }
  lead += fmt::format("The system {} likely feeds it as it should", last.name);
  return lead + (count(last, Outcome::not_known) == 0 ? "." : ", as far as the facts are known.");
}

Result<Document> compose(const assess::Assessment& assessment, const std::vector<system::LineSheet>& sheets,
                         const PaperOptions& options, const Fill& fill) {
  Document document = case_paper(assessment, options, "Fuel supply, for the owner");
  document.close_set = fill.close_set;
  document.header = assessment.title + ", for the owner";
  document.footer = "For the owner. About the fuel supply only; pressures are over that of the air.";
  if (assessment.metal) document.footer = "For the owner. Pressures are over that of the air.";

  const SheetJudgement& last = assessment.sheets.back();
  const SheetJudgement* found = sheet_named(assessment, "as found");
  document.blocks.emplace_back(Lead{.spans = plain(lead_of(found, last))});
  const bool metal = assessment.metal && assessment.metal->decision;
  if (metal) add_pump_question(*assessment.metal, fill, document);
  if (found != nullptr && found != &last) {
    const auto place = static_cast<std::size_t>(found - assessment.sheets.data());
    add_before({.judged = found, .sheet = &sheets[place]}, options.system, fill, document);
  }
  add_after({.judged = &last, .sheet = &sheets.back()}, options.system, fill, document);

  if (fill.text_size > 0.0) {
    FigureOptions drawing{.system = options.system, .size = {.width = figure_width, .text_size = fill.text_size}};
    // Where metal is asked about, the drawing is of the system that it was found in.
    const bool marked = metal && found != nullptr && anything_seen(assessment.metal->map);
    const system::LineSheet& shown =
        marked ? sheets[static_cast<std::size_t>(found - assessment.sheets.data())] : sheets.back();
    const system::LineSheet* base = &shown != &sheets.front() ? &sheets.front() : nullptr;
    SchematicData data =
        schematic_of(shown, base, drawing, fill.outline ? SchematicDetail::outline : SchematicDetail::essential);
    if (marked) mark_metal(data, shown, assessment.metal->map, MarkedPlaces::looked_at);
    const auto figure = schematic_figure(data);
    if (!figure) return fail(figure.error());
    Spans caption;
    if (marked) {
      caption =
          plain("What was found as the vehicle came in. What bears no mark was not tested by cloth, patch or count.");
    } else if (fill.caption) {
      caption = plain(fmt::format(
          "Where the fuel goes, {}, simplified: from the tank to the injectors; what is not burned runs back below.",
          last.name));
    }
    document.blocks.emplace_back(FigureBlock{.figure = *figure, .caption = std::move(caption)});
  }
  add_steps(sheets.back(), assessment, document);

  std::string basis;
  if (fill.basis) {
    basis = last.samples > 0
                ? fmt::format("Computed {} times over, each time with other values of what is not known exactly.",
                              grouped(last.samples))
                : std::string(
                      "Computed from the most likely values of the parts; how far the answers may spread is not "
                      "computed here.");
    basis += fmt::format(" {} of {} numbers were not stated; usual values stand in. ", stand_ins(last).size(),
                         last.inputs.size());
  }
  basis += all_of_practice(last) ? "The limits are common practice or assumed, not the maker's: advice, never fault."
                                 : "A limit that is not the maker's can justify advice, never fault.";
  basis +=
      " Metal in the system proves that the pump came apart, not why. The maker's service information, local codes "
      "and a licensed person decide; this paper advises, it does not certify.";
  document.blocks.emplace_back(Paragraph{.spans = plain(basis), .small = true});
  if (fill.signature) document.blocks.emplace_back(SignatureLines{.labels = {"owner, date", "shop, date"}});
  document = typeset(std::move(document));
  if (const auto sound = check(document); !sound) return fail(sound.error());
  return document;
}

}  // namespace

Result<Document> owner_paper(const assess::Assessment& assessment, const std::vector<system::LineSheet>& sheets,
                             const PaperOptions& options) {
  if (sheets.empty() || sheets.size() != assessment.sheets.size()) {
    return invalid("sheets", fmt::format("{}", sheets.size()),
                   fmt::format("{}, one or more", assessment.sheets.size()));
  }
  const auto composed = [&](const Fill& fill) { return compose(assessment, sheets, options, fill); };
  // What matters most to the owner comes first.
  return fill_one_page(composed, Fill{},
                       {[](Fill& fill) { fill.text_size = 5.0; }, [](Fill& fill) { fill.sums = true; },
                        [](Fill& fill) { fill.losses = true; }, [](Fill& fill) { fill.basis = true; },
                        [](Fill& fill) { fill.text_size = 5.6; }, [](Fill& fill) { fill.failures = 2; },
                        [](Fill& fill) { fill.narrow = 1; }, [](Fill& fill) { fill.signature = true; },
                        [](Fill& fill) { fill.failures = 3; }, [](Fill& fill) { fill.text_size = 6.2; },
                        [](Fill& fill) { fill.narrow = 3; }, [](Fill& fill) { fill.outline = false; },
                        [](Fill& fill) { fill.caption = true; }, [](Fill& fill) { fill.explained = true; },
                        [](Fill& fill) { fill.failures = 4; }, [](Fill& fill) { fill.text_size = 6.8; },
                        [](Fill& fill) { fill.failures = 6; }, [](Fill& fill) { fill.text_size = 7.4; },
                        [](Fill& fill) { fill.close_set = false; }});
}

}  // namespace fw::report
