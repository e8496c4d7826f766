// SPDX-License-Identifier: Apache-2.0
#include "report/layout_answers.hpp"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include "base/chance_words.hpp"
#include "report/check_words.hpp"
#include "report/input_words.hpp"
#include "report/json_parts.hpp"
#include "report/paper_parts.hpp"
#include "units/print.hpp"

namespace fw::report {

namespace {

using supply::Outcome;
using units::Dimension;

Cell cell(std::string text) { return {.spans = plain(std::move(text))}; }

void say(Document& document, std::string text, bool small = false) {
  document.blocks.emplace_back(Paragraph{.spans = plain(std::move(text)), .small = small});
}

void head(Document& document, std::string text) {
  document.blocks.emplace_back(Heading{.level = 2, .number = "", .text = std::move(text), .id = ""});
}

std::string listed(const std::vector<std::string>& words) {
  std::string text;
  for (std::size_t i = 0; i < words.size(); ++i) {
    text += (i == 0 ? "" : i + 1 == words.size() ? " and " : ", ") + words[i];
  }
  return text;
}

/// "57.2 kPa (nine in ten 24.1 kPa to 66.0 kPa)"
std::string range_words(const assess::OverLayouts& over, Dimension dimension, units::System system) {
  if (!over.low) return "-";
  std::string text = fmt::format("{} ({}) to {} ({})", units::print(*over.low, dimension, system), over.lowest,
                                 units::print(*over.high, dimension, system), over.highest);
  if (over.band) {
    text +=
        fmt::format("; nine in ten draws of any layout lie between {} and {}",
                    units::print(over.band->low, dimension, system), units::print(over.band->high, dimension, system));
  }
  return text;
}

/// "fails in a and c-low; holds in b"
std::string outcomes_words(const assess::LayoutsAnswer& answer, const assess::CheckOverLayouts& check) {
  std::string text;
  for (const Outcome outcome : {Outcome::fails, Outcome::not_known, Outcome::narrow, Outcome::holds}) {
    std::vector<std::string> ids;
    for (std::size_t i = 0; i < check.outcome.size(); ++i) {
      if (check.outcome[i] == outcome) ids.push_back(answer.layouts[i].id);
    }
    if (ids.empty()) continue;
    text += fmt::format("{}{} in {}", text.empty() ? "" : "; ", supply::name(outcome), listed(ids));
  }
  return text;
}

std::size_t count(const supply::SheetJudgement& sheet, Outcome outcome) {
  return static_cast<std::size_t>(std::ranges::count(sheet.checks, outcome, &supply::Check::outcome));
}

const supply::Check* inlet_low(const supply::SheetJudgement& sheet) {
  const auto found = std::ranges::find(sheet.checks, "inlet-low", &supply::Check::id);
  return found == sheet.checks.end() ? nullptr : &*found;
}

void first_to_find_out(Document& document, const assess::LayoutsAnswer& answer, const PaperOptions& options) {
  head(document, "What to find out first");
  int number = 1;
  for (const assess::ToFindOut& one : answer.first) {
    std::string text;
    if (one.input == "layout") {
      text = "The layout, by its drawing (fuelwright catalog lists them).";
      if (answer.width_Pa) {
        text += fmt::format(
            " It is behind {} of the doubt about the lowest pump inlet pressure; known, the range of nine in ten draws "
            "narrows from {} to {} on average.",
            in_100(one.share.value_or(0.0)), units::print(*answer.width_Pa, Dimension::pressure_drop, options.system),
            units::print(*answer.width_layout_known_Pa, Dimension::pressure_drop, options.system));
      }
    } else {
      text = fmt::format("{}: behind {} of it.", input_words(one.input, nullptr), in_100(one.share.value_or(0.0)));
    }
    document.blocks.emplace_back(Step{.number = fmt::format("{}", number++), .spans = plain(text)});
  }
  if (!answer.width_Pa) say(document, "Not sampled: ask for --depth quick to rank what else to measure.", true);
}

void side_by_side(Document& document, const assess::LayoutsAnswer& answer, const PaperOptions& options) {
  head(document, "The layouts side by side");
  Table table{.caption = "",
              .columns = {{.title = "Layout"},
                          {.title = "Inlet, rated", .kind = ColumnKind::number},
                          {.title = "Lowest inlet", .kind = ColumnKind::number},
                          {.title = "Limit", .kind = ColumnKind::number},
                          {.title = "Fail", .kind = ColumnKind::number},
                          {.title = "Not known", .kind = ColumnKind::number}},
              .rows = {}};
  for (const assess::LayoutJudged& layout : answer.layouts) {
    const supply::Check* low = inlet_low(layout.judgement);
    table.rows.push_back(
        {cell(layout.id),
         cell(units::print(layout.judgement.branches.front().line_inlet_Pa, Dimension::gauge_pressure, options.system)),
         cell(low == nullptr ? "-" : words_of(value_of(*low), options.system)),
         cell(low == nullptr ? "-" : words_of(limit_of(*low), options.system)),
         cell(fmt::format("{}", count(layout.judgement, Outcome::fails))),
         cell(fmt::format("{}", count(layout.judgement, Outcome::not_known)))});
  }
  document.blocks.emplace_back(std::move(table));
  Bullets titles;
  for (const assess::LayoutJudged& layout : answer.layouts) {
    titles.items.push_back(plain(fmt::format("{}: {}", layout.id, layout.title)));
  }
  document.blocks.emplace_back(std::move(titles));
}

}  // namespace

Document layouts_page(const assess::LayoutsAnswer& answer, const PaperOptions& options) {
  Document document = answer_page("Supply from what was told, layout not known", options);
  std::size_t differ = 0;
  for (const assess::CheckOverLayouts& check : answer.checks) differ += check.differs ? 1 : 0;
  document.blocks.emplace_back(Lead{
      .spans =
          plain(fmt::format("{} of the {} layouts of the catalog fit what was told; {} checks hang on "
                            "which one it is. Find out the layout{}.",
                            answer.layouts.size(), answer.layouts.size() + answer.left_out.size(), differ,
                            !answer.first.empty() && answer.first.front().input == "layout" ? " first" : " too"))});
  say(document,
      fmt::format("{} over the running points of a {} climate, each layout taken alike. Pressures over ambient.",
                  answer.samples == 0 ? std::string("Most likely values")
                                      : fmt::format("Judged with {} draws of each layout", answer.samples),
                  supply::name(answer.climate)),
      true);
  say(document, fmt::format("Pump inlet at rated power (fuel 20 C, clean filters), any layout: {}.",
                            range_words(answer.inlet, Dimension::gauge_pressure, options.system)));
  first_to_find_out(document, answer, options);
  side_by_side(document, answer, options);

  head(document, "What hangs on the layout");
  Bullets hangs;
  Bullets same;
  for (const assess::CheckOverLayouts& check : answer.checks) {
    if (check.differs) {
      hangs.items.push_back(plain(fmt::format("{}: {}.", check.title, outcomes_words(answer, check))));
    } else {
      const auto first = std::ranges::find_if(check.outcome, [](const auto& one) { return one.has_value(); });
      if (**first == Outcome::fails) {
        same.items.push_back(plain(fmt::format("{}: {}.", check.title, outcomes_words(answer, check))));
      }
    }
  }
  if (hangs.items.empty()) {
    say(document, "Nothing: every check comes out alike in all of them.");
  } else {
    document.blocks.emplace_back(std::move(hangs));
  }
  if (!same.items.empty()) {
    head(document, "What fails in every layout that has it");
    document.blocks.emplace_back(std::move(same));
  }
  if (!answer.left_out.empty()) {
    head(document, "What it cannot be");
    Bullets out;
    for (const assess::LayoutLeftOut& layout : answer.left_out) {
      const Error& why = layout.why.front();
      out.items.push_back(plain(fmt::format("{}, {}: {} ({}).", layout.id, layout.title, why.found, why.expected)));
    }
    document.blocks.emplace_back(std::move(out));
  }
  head(document, "What stands in for facts not told");
  Bullets taken;
  taken.items.push_back(plain("The layout is not known: every layout of the catalog stands in, each taken alike."));
  for (const std::string& sentence : answer.taken) taken.items.push_back(plain(sentence));
  document.blocks.emplace_back(std::move(taken));
  return document;
}

namespace {

Json over_json(const assess::OverLayouts& over, Dimension dimension) {
  Json json{{key_of("low", dimension), number_json(over.low)},
            {key_of("high", dimension), number_json(over.high)},
            {"lowest", over.lowest},
            {"highest", over.highest}};
  if (over.band) {
    json[key_of("band_low", dimension)] = number_json(over.band->low);
    json[key_of("band_high", dimension)] = number_json(over.band->high);
  }
  return json;
}

}  // namespace

std::string layouts_json(const assess::LayoutsAnswer& answer) {
  Json json{{"schema", "fuelwright.layouts/1.0"},
            {"climate", std::string(supply::name(answer.climate))},
            {"seed", answer.seed},
            {"samples", answer.samples},
            {"inlet_at_rated", over_json(answer.inlet, Dimension::gauge_pressure)}};
  if (answer.width_Pa) {
    json["width_Pa"] = number_json(*answer.width_Pa);
    json["width_layout_known_Pa"] = number_json(*answer.width_layout_known_Pa);
  }
  json["find_out_first"] = Json::array();
  for (const assess::ToFindOut& one : answer.first) {
    json["find_out_first"].push_back({{"input", one.input}, {"share", number_json(one.share)}});
  }
  json["layouts"] = Json::array();
  for (const assess::LayoutJudged& layout : answer.layouts) {
    Json checks = Json::array();
    for (const supply::Check& check : layout.judgement.checks) {
      Json one{{"id", check.id}, {"outcome", std::string(supply::name(check.outcome))}};
      if (check.value) one[key_of("value", check.dimension)] = number_json(*check.value);
      if (check.sampled) {
        one[key_of("low", check.dimension)] = number_json(check.sampled->band.low);
        one[key_of("high", check.dimension)] = number_json(check.sampled->band.high);
      }
      checks.push_back(std::move(one));
    }
    json["layouts"].push_back({{"id", layout.id},
                               {"title", layout.title},
                               {"inlet_at_rated_Pa", number_json(layout.judgement.branches.front().line_inlet_Pa)},
                               {"checks", std::move(checks)}});
  }
  json["checks"] = Json::array();
  for (const assess::CheckOverLayouts& check : answer.checks) {
    json["checks"].push_back({{"id", check.id},
                              {"title", check.title},
                              {"differs", check.differs},
                              {"worst", over_json(check.value, check.dimension)}});
  }
  json["left_out"] = Json::array();
  for (const assess::LayoutLeftOut& layout : answer.left_out) {
    const Error& why = layout.why.front();
    json["left_out"].push_back(
        {{"id", layout.id}, {"title", layout.title}, {"fact", why.where.field}, {"found", why.found}});
  }
  json["taken"] = answer.taken;
  return json.dump(2) + "\n";
}

}  // namespace fw::report
