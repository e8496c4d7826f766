// SPDX-License-Identifier: Apache-2.0
#include "report/diagnosis_answers.hpp"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include "base/chance_words.hpp"
#include "numerics/quantile.hpp"
#include "report/reading_words.hpp"
#include "report/text.hpp"

namespace fw::report {

namespace {

using diagnosis::Belief;
using diagnosis::Look;

/// The band as a strip of 20 places: . outside, - within, | the probability.
std::string strip(const Belief& one) {
  const auto place = [](double p) { return static_cast<std::size_t>(std::clamp(p * 20.0, 0.0, 19.0)); };
  std::string line(20, '.');
  for (std::size_t i = place(one.low); i <= place(one.high); ++i) line[i] = '-';
  line[place(one.probability)] = '|';
  return line;
}

std::string belief_line(const Belief& one) {
  return fmt::format("  {}  {:>7} in 100 ({} to {})  {}{}\n", strip(one), hundredths(one.probability),
                     hundredths(one.low), hundredths(one.high), one.id.starts_with('C') ? one.id + " " : std::string(),
                     one.title);
}

double minutes(double seconds) { return seconds / 60.0; }

Json look_json(const Look& look, const diagnosis::Tables& tables) {
  const diagnosis::FindingRow& row = tables.findings[look.finding];
  Json json{{"finding", row.id},
            {"title", row.title},
            {"how", row.how},
            {"tool", row.tool},
            {"step", std::string(name(row.step))},
            {"invasive", row.invasive},
            {"time_s", look.minutes_s},
            {"value_s", look.value_s},
            {"value_low_s", look.value_low_s},
            {"value_high_s", look.value_high_s},
            {"value_per_time", look.per_minute},
            {"two_step_value_per_time", look.two_step_per_minute},
            {"opens_way_to", look.opens_way_to ? Json(tables.findings[*look.opens_way_to].id) : Json(nullptr)},
            {"blocked", look.blocked}};
  if (row.wait_s) json["wait_s"] = row.wait_s->value;
  if (row.fee_s) json["fee_s"] = row.fee_s->value;
  return json;
}

/// 5 % and 95 % points of a number of the losses, by its place in each draw.
std::pair<double, double> band_at(const diagnosis::Losses& losses, std::size_t at, double written) {
  if (losses.draws.empty()) return {written, written};
  std::vector<double> values;
  for (const std::vector<double>& draw : losses.draws) values.push_back(draw.at(at));
  std::ranges::sort(values);
  return {numerics::quantile_of_sorted(values, 0.05), numerics::quantile_of_sorted(values, 0.95)};
}

/// Every decision with what its options cost and what being wrong costs more, with bands.
Json losses_json(const diagnosis::NextLooks& next, const diagnosis::Losses& losses) {
  Json decisions = Json::array();
  std::size_t at = 0;
  const auto number = [&](double written) {
    const auto [low, high] = band_at(losses, at++, written);
    return Json{{"time_s", written}, {"low_s", low}, {"high_s", high}};
  };
  for (const diagnosis::Decision& decision : losses.decisions) {
    Json options = Json::array();
    for (const diagnosis::Option& option : decision.options) {
      Json one = number(option.cost_s);
      one["option"] = option.id;
      one["best"] = std::ranges::count(next.best, std::pair{decision.id, option.id}) > 0;
      one["wrong_if"] = Json::array();
      for (const auto& [id, loss_s] : option.miss_s) {
        Json miss = number(loss_s);
        miss["present"] = id;
        one["wrong_if"].push_back(std::move(miss));
      }
      options.push_back(std::move(one));
    }
    decisions.push_back({{"decision", decision.id}, {"options", std::move(options)}});
  }
  return {{"from", std::string(name(next.losses_from))},
          {"why", next.losses_why},
          {"draws", next.draws},
          {"decisions", std::move(decisions)}};
}

/// What a look takes beyond touch time: a fee, waiting.
std::string waiting(const diagnosis::FindingRow& row) {
  std::string text;
  if (row.fee_s) text += fmt::format(", fee worth {:.1f} h", row.fee_s->value / 3600.0);
  if (!row.wait_s) return text;
  const double hours = row.wait_s->value / 3600.0;
  return text + (hours >= 48.0 ? fmt::format(", answer after {:.0f} days", hours / 24.0)
                               : fmt::format(", answer after {:.0f} h", hours));
}

/// Looks that may be done and are worth something.
std::vector<const Look*> open_looks(const diagnosis::NextLooks& next, std::size_t most) {
  std::vector<const Look*> list;
  for (const Look& look : next.looks) {
    if (list.size() < most && look.blocked.empty() && std::max(look.value_s, look.two_step_per_minute) > 1e-6) {
      list.push_back(&look);
    }
  }
  return list;
}

std::string sources_line(const diagnosis::Diagnosis& found) {
  return fmt::format("{} findings counted; bands from {} draws of the tables (catalog/diagnosis, judgement).\n",
                     found.counted, found.draws);
}

}  // namespace

Json belief_json(const Belief& one) {
  if (one.held_back) {
    return {{"id", one.id},       {"title", std::string(held_back_words)},
            {"group", one.group}, {"probability", nullptr},
            {"low", nullptr},     {"high", nullptr}};
  }
  return {{"id", one.id},
          {"title", one.title},
          {"group", one.group},
          {"probability", number_json(one.probability)},
          {"low", number_json(one.low)},
          {"high", number_json(one.high)}};
}

std::string released_sentence(const diagnosis::Diagnosis& found, const std::string& sentence) {
  const std::size_t named = found.determined ? 1 : 2;
  for (std::size_t i = 0; i < std::min(named, found.causes.size()); ++i) {
    if (found.causes[i].held_back) return std::string(held_back_words);
  }
  return sentence;
}

std::string diagnosis_text(const DiagnosisPage& page, const diagnosis::Losses& losses, const diagnosis::Tables& tables,
                           int width, units::System system) {
  const diagnosis::Diagnosis& found = page.found;
  const diagnosis::NextLooks& next = page.next;
  std::string text;
  text += "What happened (the state)\n";
  for (const Belief& one : found.state) text += belief_line(one);
  text += "\nWhy (the cause)\n  " + hung(page.said.cause, width, 2, 2) + "\n";
  std::size_t shown = 0;
  for (const Belief& one : found.causes) {
    if (shown < 3 || (one.probability >= 0.05 && shown < 8)) {
      text += belief_line(one);
      if (one.held_back) {
        text += std::string(24, ' ') + "stays in the house until released\n";
      }
      ++shown;
    }
  }
  if (found.conflict_bits > 0.0) {
    text += "  " +
            hung(fmt::format("The findings disagree among themselves ({:.1f} bit): look at them again, or "
                             "something is at work that the tables do not know.",
                             found.conflict_bits),
                 width, 2, 2) +
            "\n";
  }
  for (const ReadingWords& side : reading_words(found.readings, found.weighed, tables, system)) {
    text += fmt::format("\nReadings: {}\n", side.side);
    for (const std::string& line : side.lines) text += "  - " + hung(line, width, 4, 4) + "\n";
  }
  if (!found.discounted.empty() && !found.weighed.empty()) text += "\n";
  for (const diagnosis::Discounted& one : found.discounted) {
    text += fmt::format("  {} not counted: {}\n", one.finding, one.why);
  }
  text += "\nWhat not to do\n";
  for (const std::string& line : page.not_to_do) text += "  - " + hung(line, width, 4, 4) + "\n";
  text += "\nNext looks\n";
  const auto looks = open_looks(next, 3);
  for (const Look* look : looks) {
    const diagnosis::FindingRow& row = tables.findings[look->finding];
    text += "  - " +
            hung(fmt::format("{} {} ({}): {:.0f} min{}", row.id, row.title, row.how, minutes(look->minutes_s),
                             waiting(row)),
                 width, 4, 4) +
            "\n";
  }
  if (next.stop) text += "  No further look saves more than it takes.\n";
  for (const diagnosis::Decision& decision : losses.decisions) {
    if (decision.from_treatment) continue;
    const bool of_case = losses.source == diagnosis::LossSource::extent && decision.id == "extent";
    text += fmt::format("\nOptions: {} (typical hours{})\n", decision.title,
                        of_case ? "; all cost with comebacks as hours" : "");
    for (const diagnosis::Option& option : decision.options) {
      const bool best =
          std::find(next.best.begin(), next.best.end(), std::pair{decision.id, option.id}) != next.best.end();
      const double hours = option.labour_s.value_or(option.cost_s) / 3600.0;
      text += fmt::format("  {:>5.1f} h  {}{}{}\n", hours,
                          of_case ? fmt::format("{:>4.0f} h  ", option.cost_s / 3600.0) : std::string(), option.title,
                          best ? "  (least expected loss as things stand)" : "");
    }
  }
  text += "\n" + hung(losses_words(next), width, 0, 0) + "\n";
  if (page.layout_not_known) {
    text += "\n" +
            hung(
                "The layout is not known, and layouts differ in the water sensor, without which a lamp that "
                "stayed off says nothing: the bands hold both. Find out the layout.",
                width, 0, 0) +
            "\n";
  }
  text += "\n" + sources_line(found);

  return text;
}

std::string diagnosis_json(const DiagnosisPage& page, const diagnosis::Losses& losses,
                           const diagnosis::Tables& tables) {
  const diagnosis::Diagnosis& found = page.found;
  Json json{{"schema", "fuelwright.diagnosis/2.1"},
            {"case", page.title},
            {"seed", page.seed},
            {"draws", found.draws},
            {"counted", found.counted}};
  json["state"] = Json::array();
  for (const Belief& one : found.state) json["state"].push_back(belief_json(one));
  json["mechanisms"] = Json::array();
  for (const Belief& one : found.mechanisms) json["mechanisms"].push_back(belief_json(one));
  json["causes"] = Json::array();
  for (const Belief& one : found.causes) json["causes"].push_back(belief_json(one));
  json["determined"] = found.determined;
  json["why_not"] = found.why_not;
  json["sentence"] = released_sentence(found, page.said.cause);
  json["conflict_bits"] = found.conflict_bits;
  json["discounted"] = Json::array();
  for (const auto& one : found.discounted) json["discounted"].push_back({{"finding", one.finding}, {"why", one.why}});
  json["readings"] = reading_json(found.readings, found.weighed);
  json["not_to_do"] = page.not_to_do;
  json["next"] = Json::array();
  for (const Look* look : open_looks(page.next, 3)) json["next"].push_back(look_json(*look, tables));
  json["losses_from"] = std::string(name(page.next.losses_from));
  json["losses_why"] = page.next.losses_why;
  json["options"] = Json::array();
  for (const diagnosis::Decision& decision : losses.decisions) {
    if (decision.from_treatment) continue;
    for (const diagnosis::Option& option : decision.options) {
      const bool best = std::ranges::count(page.next.best, std::pair{decision.id, option.id}) > 0;
      json["options"].push_back(
          {{"decision", decision.id}, {"option", option.id}, {"time_s", option.cost_s}, {"best", best}});
    }
  }
  return json.dump(2) + "\n";
}

std::string in_hundred_words(const Belief& one, std::size_t draws) {
  std::string text = in_100(one.probability);
  if (draws > 0) text += fmt::format(" ({} to {})", hundredths(one.low), hundredths(one.high));
  return text;
}

std::string weight_name(const diagnosis::Weight& one) {
  if (one.finding == "readings") return "readings, " + one.title;
  return fmt::format("{} {}: {}", one.finding, name(one.seen), one.title);
}

std::string odds_words(double log_odds) {
  return fmt::format("odds {} {:.2g}", log_odds > 0.0 ? "times" : "over", std::exp(std::abs(log_odds)));
}

std::string conflict_words(double bits) {
  return fmt::format("The findings {} (conflict {:.1f} bit; above 0 they would speak against each other)",
                     bits > 0.0 ? "disagree more than the tables expect" : "agree", bits);
}

std::string effective_words(double draws) {
  return fmt::format("The readings rest on {:.0f} effective draws or more", draws);
}

std::string explanation_text(const diagnosis::Explanation& why, int width) {
  std::string text;
  text += belief_line(why.cause);
  for (const bool side : {true, false}) {
    text += side ? "\nFor it\n" : "\nAgainst it\n";
    bool any = false;
    for (const diagnosis::Weight& one : why.weights) {
      if ((one.log_odds > 0.0) != side || std::abs(one.log_odds) < 0.01) continue;
      any = true;
      const auto marks = static_cast<std::size_t>(std::clamp(std::ceil(2.0 * std::abs(one.log_odds)), 1.0, 10.0));
      text += fmt::format("  {:<10}  {:<16}  {}\n", std::string(marks, side ? '+' : '-'), odds_words(one.log_odds),
                          weight_name(one));
    }
    if (!any) text += "  nothing\n";
  }
  text += "\nWhat single result would put another cause in front\n";
  std::size_t shown = 0;
  for (const diagnosis::Overturn& one : why.overturns) {
    if (shown++ == 8) break;
    text += "  " +
            hung(fmt::format("{} {} ({}): {} leads then; happens {} times", one.finding, one.outcome, one.title,
                             one.new_leader, in_100(one.chance)),
                 width, 2, 4) +
            "\n";
  }
  if (why.overturns.empty()) text += "  none of the looks that are left\n";
  text += "\n" + conflict_words(why.conflict_bits) + "\n";
  if (why.effective_draws) text += effective_words(*why.effective_draws) + "\n";
  if (why.cause.held_back) {
    text += "This stays in the house until released (findings: [release_others_work]).\n";
  }
  return text;
}

std::string explanation_json(const diagnosis::Explanation& why) {
  Json weights = Json::array();
  Json overturns = Json::array();
  if (!why.cause.held_back) {
    for (const diagnosis::Weight& one : why.weights) {
      weights.push_back({{"finding", one.finding},
                         {"title", one.title},
                         {"seen", std::string(name(one.seen))},
                         {"log_odds", one.log_odds}});
    }
    for (const diagnosis::Overturn& one : why.overturns) {
      overturns.push_back({{"finding", one.finding},
                           {"outcome", one.outcome},
                           {"new_leader", one.new_leader_held_back ? std::string(held_back_words) : one.new_leader},
                           {"chance", one.chance},
                           {"probability_then", one.probability}});
    }
  }
  const Json json{{"schema", "fuelwright.explanation/2.1"}, {"cause", belief_json(why.cause)},
                  {"weights", std::move(weights)},          {"overturns", std::move(overturns)},
                  {"conflict_bits", why.conflict_bits},     {"effective_draws", number_json(why.effective_draws)}};
  return json.dump(2) + "\n";
}

std::string losses_words(const diagnosis::NextLooks& next) {
  if (next.losses_from == diagnosis::LossSource::extent) {
    return "Losses of a wrong extent or a missed cause: from this case's metal and prices.";
  }
  return fmt::format("Losses of a wrong extent or a missed cause: assumed, from the catalog{}{}.",
                     next.losses_why.empty() ? "" : "; ", next.losses_why);
}

std::string looks_text(const std::string& title, const diagnosis::NextLooks& next, const diagnosis::Tables& tables,
                       int width) {
  std::string text;
  text += fmt::format("Inspection sheet: {}\n", title);
  std::string brackets = "Minutes of shop time saved per minute of looking, fees as minutes, stand in brackets";
  if (next.draws > 0) brackets += fmt::format(", with nine of ten of {} draws of the losses", next.draws);
  text += hung(brackets + ".", width, 0, 0) + "\n" + hung(losses_words(next), width, 0, 0) + "\n\n";
  std::size_t number = 1;
  for (const Look* look : open_looks(next, 10)) {
    const diagnosis::FindingRow& row = tables.findings[look->finding];
    text += fmt::format("{:>2}. {} ", number++, row.id);
    text += hung(row.title, width, 9, 4) + "\n    ";
    // A credit of two looks has no band of its own.
    const bool alone = next.draws > 0 && look->per_minute >= look->two_step_per_minute;
    text += hung(fmt::format("{}. {:.0f} min{} [{:.1f}{}]", row.how, minutes(look->minutes_s), waiting(row),
                             std::max(look->per_minute, look->two_step_per_minute),
                             alone ? fmt::format(", {:.1f} to {:.1f}", look->value_low_s / look->cost_s,
                                                 look->value_high_s / look->cost_s)
                                   : std::string()),
                 width, 4, 4) +
            "\n";
    if (!row.tool.empty()) text += "    Tool: " + row.tool + "\n";
    if (row.crank) text += "    CAUTION: one crank of at most 10 s; keep hands off the high-pressure side.\n";
    if (row.step == diagnosis::Step::sample) {
      text += "    CAUTION: no flame; bond the containers; number the sample and keep a sealed duplicate.\n";
    }
    if (look->opens_way_to) {
      text += fmt::format("    Opens the way to {}\n", tables.findings[*look->opens_way_to].id);
    }
    if (row.grades.empty()) {
      text += "    [ ] present  [ ] absent  [ ] could not tell";
    } else {
      text += "   ";
      for (const diagnosis::Grade& grade : row.grades) text += fmt::format(" [ ] {} ", grade.title);
      text += " [ ] absent  [ ] could not tell";
    }
    text += "\n    Evidence no. ______  Person ____________  Time ________  Photo ________\n";
  }
  if (number == 1) text += "No look that may be done changes a decision.\n";
  if (next.stop) text += "\nStop: no look that may be done saves more than it takes.\n";
  std::size_t shown = 0;
  for (const Look& look : next.looks) {
    if (look.blocked.empty() || !(look.value_s > look.cost_s) || shown >= 5) continue;
    if (shown++ == 0) text += "\nWorth it, but not yet:\n";
    const diagnosis::FindingRow& row = tables.findings[look.finding];
    text += "  " + hung(fmt::format("{} {}: {}", row.id, row.title, fmt::join(look.blocked, "; ")), width, 2, 4) + "\n";
  }
  return text;
}

std::string looks_json(const std::string& title, const diagnosis::NextLooks& next, const diagnosis::Losses& losses,
                       const diagnosis::Tables& tables) {
  Json json{{"schema", "fuelwright.looks/1.2"},
            {"case", title},
            {"expected_loss_s", next.expected_loss_s},
            {"expected_loss_low_s", next.expected_loss_low_s},
            {"expected_loss_high_s", next.expected_loss_high_s},
            {"stop", next.stop},
            {"losses", losses_json(next, losses)}};
  json["looks"] = Json::array();
  for (const Look& look : next.looks) json["looks"].push_back(look_json(look, tables));
  return json.dump(2) + "\n";
}

}  // namespace fw::report
