// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <utility>
#include <vector>

#include <fmt/format.h>

#include "report/check_words.hpp"
#include "report/figure_schematic.hpp"
#include "report/input_words.hpp"
#include "report/paper_parts.hpp"
#include "report/papers.hpp"
#include "report/supply_figures.hpp"

namespace fw::report {

namespace {

using supply::Check;
using supply::Outcome;
using supply::SheetJudgement;

/// "63.6 kPa (9.2 psi) of vacuum" for what lies below the pressure of the air.
std::string pressure_words(const std::optional<Amount>& amount, units::System system) {
  if (!amount || amount->dimension != units::Dimension::gauge_pressure || amount->si >= 0.0) {
    return words_in_both(amount, system);
  }
  return words_in_both(Amount{.si = -amount->si, .dimension = amount->dimension}, system) + " of vacuum";
}

/// A failing check in the words of somebody who does not work on fuel systems.
/// `was`: "was" of what came in, "is" of what was built.
std::string plain_failure(const Check& check, units::System system, bool explained, const char* was) {
  const std::string value = pressure_words(value_of(check), system);
  const std::string limit = pressure_words(limit_of(check), system);
  // A check may fail for another reason than its value (wax): then its own sentence tells it.
  const auto margin = margin_of(check);
  if (value_of(check) && limit_of(check) && margin && margin->si < 0.0) {
    if (check.id == "inlet-low") {
      return fmt::format(
          "The high-pressure pump {} likely fed too little: at the worst {}, where at least {} is asked for.", was,
          value, limit);
    }
    if (check.id == "inlet-high") {
      return fmt::format(
          "The inlet of the high-pressure pump {} likely pressed too hard: at the worst {}, where at most {} is asked "
          "for.",
          was, value, limit);
    }
    if (check.id.starts_with("suction-")) {
      return fmt::format("At the {} the fuel {} likely sucked too hard: {}, where {} is as far as it should go.{}",
                         with_minus(check.place), was, value, limit,
                         explained ? " Fuel sucked hard gives off air, and air does not lubricate." : "");
    }
  }
  std::string text = with_minus(check.title) + ": " + lower_first(check.sentence);
  if (value_of(check) && limit_of(check)) text += fmt::format(" At the worst {}, limit {}.", value, limit);
  return text;
}

const SheetJudgement* sheet_named(const assess::Assessment& assessment, std::string_view name) {
  const auto found = std::ranges::find(assessment.sheets, name, &SheetJudgement::name);
  return found == assessment.sheets.end() ? nullptr : &*found;
}

bool all_of_practice(const SheetJudgement& sheet) {
  return std::ranges::none_of(sheet.checks,
                              [](const Check& check) { return check.limit.origin == supply::LimitOrigin::maker; });
}

/// The failing checks, as many as there is room for.
Bullets failures(const SheetJudgement& sheet, units::System system, int bareness, const char* was) {
  Bullets bullets;
  const std::size_t most = bareness < 2 ? 6 : bareness == 2 ? 3 : bareness == 3 ? 2 : 1;
  for (const Check& check : sheet.checks) {
    if (check.outcome != Outcome::fails || bullets.items.size() == most) continue;
    bullets.items.push_back(plain(plain_failure(check, system, bareness == full_page, was)));
  }
  if (const std::size_t failing = count(sheet, Outcome::fails); failing > bullets.items.size()) {
    const std::size_t more = failing - bullets.items.size();
    bullets.items.push_back(plain(
        fmt::format("{} more {}; the technical report lists them.", more, more == 1 ? "check fails" : "checks fail")));
  }
  return bullets;
}

void add_undecided(const SheetJudgement& sheet, Document& document) {
  if (const std::size_t open = count(sheet, Outcome::not_known); open > 0) {
    document.blocks.emplace_back(Paragraph{
        .spans =
            plain(fmt::format("{} of {} checks could not be decided: a fact is missing.", open, sheet.checks.size()))});
  }
}

void add_before(const SheetJudgement& sheet, units::System system, int bareness, Document& document) {
  document.blocks.emplace_back(
      Heading{.level = 1, .number = {}, .text = "The fuel supply " + sheet.name, .id = "before"});
  const Bullets bullets = failures(sheet, system, bareness, "was");
  if (bullets.items.empty()) {
    document.blocks.emplace_back(
        Paragraph{.spans = plain("No check of the fuel supply fails for the system as it was found.")});
  } else {
    document.blocks.emplace_back(bullets);
  }
  add_undecided(sheet, document);
}

void add_after(const SheetJudgement& sheet, units::System system, int bareness, Document& document) {
  document.blocks.emplace_back(
      Heading{.level = 1, .number = {}, .text = "The fuel supply " + sheet.name, .id = "after"});
  const std::size_t failing = count(sheet, Outcome::fails);
  const std::size_t narrow = count(sheet, Outcome::narrow);
  std::string text;
  if (failing == 0) {
    text = fmt::format(
        "No check fails over {} running conditions, from starting in the cold to full power on warm fuel with "
        "filters at the end of their life.",
        sheet.points);
  } else {
    text = fmt::format("{} of {} checks still {}.", failing, sheet.checks.size(), failing == 1 ? "fails" : "fail");
  }
  if (narrow > 0 && bareness < 3) {
    text += narrow == 1 ? " One has little to spare:" : fmt::format(" {} have little to spare:", spelled(narrow));
    std::string names;
    const std::size_t named = narrow > 4 ? 3 : narrow;
    std::size_t so_far = 0;
    for (const Check& check : sheet.checks) {
      if (check.outcome != Outcome::narrow || so_far++ >= named) continue;
      names += (names.empty() ? " " : "; ") + lower_first(with_minus(check.title));
    }
    text += names + (narrow > named ? fmt::format("; and {} more.", narrow - named) : ".");
  }
  const Amount inlet{.si = sheet.line.over_ambient_Pa.back(), .dimension = units::Dimension::gauge_pressure};
  text +=
      fmt::format(" At full power the high-pressure pump is most likely fed with {}.", words_in_both(inlet, system));
  if (!sheet.line.band_Pa.empty()) {
    const auto end = [&](double si) { return words_of(Amount{.si = si, .dimension = inlet.dimension}, system); };
    text += fmt::format(" In nine jobs in ten it lies between {} and {}.", end(sheet.line.band_Pa.back().low),
                        end(sheet.line.band_Pa.back().high));
  }
  document.blocks.emplace_back(Paragraph{.spans = plain(text)});
  if (failing > 0) document.blocks.emplace_back(failures(sheet, system, bareness, "is"));
  add_undecided(sheet, document);
  // Pumps whose loss does the same stand in one sentence.
  std::vector<std::pair<std::string, std::string>> losses;
  for (const supply::DeadPump& pump : sheet.dead_pumps) {
    const std::string what = pump.engine_fed_at_rated && pump.low_at_rated()
                                 ? "fuel still comes, but with less pressure than the high-pressure pump needs: the "
                                   "engine may lose power or stall, or run on while the pump wears"
                             : pump.engine_fed_at_rated
                                 ? (pump.fed_points == pump.points && pump.wax_points == 0
                                        ? "the engine likely keeps running, with less pressure than it should have"
                                        : "the engine likely keeps running in mild weather, not in every state it must "
                                          "run in")
                             : pump.engine_fed_at_idle ? "the engine likely idles but starves under load"
                                                       : "the engine likely stops";
    const auto same = std::ranges::find(losses, what, &std::pair<std::string, std::string>::first);
    if (same == losses.end()) {
      losses.emplace_back(what, "the " + with_minus(pump.named()));
    } else {
      same->second += " or the " + with_minus(pump.named());
    }
  }
  std::string dead;
  for (const auto& [what, pumps] : losses) {
    dead += fmt::format("{}If {} stops, {}.", dead.empty() ? "" : " ", pumps, what);
  }
  if (!dead.empty()) document.blocks.emplace_back(Paragraph{.spans = plain(dead)});
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

/// The page at one bareness: 1 without explanations and caption, 2 with a smaller drawing, the worst three checks alone
/// and no lines to sign, 3 with a still smaller drawing, the worst two checks and none that are narrow, 4 with the
/// worst check alone, 5 with the smallest drawing, 6 without.
Result<Document> compose(const assess::Assessment& assessment, const std::vector<system::LineSheet>& sheets,
                         const PaperOptions& options, int bareness, bool drawn) {
  Document document;
  document.title = assessment.title;
  document.subtitle = case_line(assessment);
  document.subject = "Fuel supply, for the owner";
  document.created = options.created;
  document.size = options.size;
  document.close_set = true;
  document.header = assessment.title + ", for the owner";
  document.footer = "For the owner. About the fuel supply only; pressures are over that of the air.";

  const SheetJudgement& last = assessment.sheets.back();
  const SheetJudgement* found = sheet_named(assessment, "as found");
  const std::size_t failed_before = found == nullptr ? 0 : count(*found, Outcome::fails);
  std::string lead;
  if (found != nullptr && found != &last) {
    lead = failed_before > 0
               ? "As it came in, the vehicle's fuel supply likely did not feed the high-pressure pump well. "
               : "As the vehicle came in, no check of its fuel supply fails. ";
  }
  lead += count(last, Outcome::fails) == 0 ? fmt::format("The system {} likely does.", last.name)
                                           : fmt::format("The system {} does not yet pass every check.", last.name);
  document.blocks.emplace_back(Lead{.spans = plain(lead)});
  if (found != nullptr && found != &last) add_before(*found, options.system, bareness, document);
  add_after(last, options.system, bareness, document);

  if (drawn) {
    FigureOptions drawing{.system = options.system, .size = {}};
    drawing.size.text_size = bareness < 2 ? 6.6 : bareness == 2 ? 6.0 : bareness < 5 ? 5.2 : 4.8;
    const system::LineSheet* base = sheets.size() > 1 ? &sheets.front() : nullptr;
    const auto figure = schematic_figure(schematic_of(sheets.back(), base, drawing, SchematicDetail::essential));
    if (!figure) return fail(figure.error());
    Spans caption;
    if (bareness == 0) {
      caption = plain(fmt::format(
          "Where the fuel goes, {}: from the tank to the injectors; what is not burned runs back below.", last.name));
    }
    document.blocks.emplace_back(FigureBlock{.figure = *figure, .caption = std::move(caption)});
  }
  add_steps(sheets.back(), assessment, document);

  std::string basis = last.samples > 0
                          ? fmt::format("Computed with {} draws of what is not known exactly.", last.samples)
                          : std::string(
                                "Computed from the most likely values of the parts; how far the answers may spread is "
                                "not computed here.");
  basis += fmt::format(" {} of {} numbers were not stated; usual values stand in.", stand_ins(last).size(),
                       last.inputs.size());
  basis +=
      all_of_practice(last)
          ? " The limits are common practice or assumed, not those of the maker: they can justify advice, never fault."
          : " A limit that is not the maker's can justify advice, never fault.";
  basis +=
      " Metal in the system proves that the pump came apart, not why. The maker's service information, local codes "
      "and a licensed person decide; this paper advises, it does not certify.";
  document.blocks.emplace_back(Paragraph{.spans = plain(basis), .small = true});
  if (bareness < 2) document.blocks.emplace_back(SignatureLines{.labels = {"owner, date", "shop, date"}});
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
  // A drawing that does not fit at its smallest goes, and the words come back.
  constexpr int ways = 6;
  return on_one_page(
      [&](int bareness) { return compose(assessment, sheets, options, bareness % ways, bareness < ways); },
      2 * ways - 1);
}

}  // namespace fw::report
