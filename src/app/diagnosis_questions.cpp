// SPDX-License-Identifier: Apache-2.0
#include "app/diagnosis_questions.hpp"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include "app/catalog_answer.hpp"
#include "assess/diagnosis_section.hpp"
#include "assess/layouts.hpp"
#include "diagnosis/next_look.hpp"
#include "report/opening_sheet.hpp"
#include "report/reading_words.hpp"

namespace fw::app {

namespace {

using Json = nlohmann::ordered_json;
using diagnosis::Belief;
using diagnosis::Look;

struct Known {
  catalog::Catalog catalog;
  diagnosis::Facts facts;
  std::string title;
  std::vector<diagnosis::WaterSensor> sensors;  ///< what the layouts say where none was told and a lamp was; else empty
};

Result<Known> known(const DiagnosisQuestion& question, const Request& request, const Run& run) {
  auto catalog = open_catalog(request.catalog_folder);
  if (!catalog) return fail(catalog.error());
  if (question.folder.empty()) {
    auto facts = casefile::findings_from_facts(question.facts, *catalog);
    if (!facts) return fail(facts.error());
    const casefile::SixFacts told = casefile::only_told(question.facts);
    std::vector<diagnosis::WaterSensor> sensors;
    if (told.layout.empty() && !told.lamp.empty()) {
      auto all = casefile::sensors_of_layouts(told, *catalog);
      if (!all) return fail(all.error());
      if (all->size() > 1) sensors = std::move(*all);
    }
    return Known{std::move(*catalog), std::move(*facts), "six facts", std::move(sensors)};
  }
  auto job = casefile::read_case(question.folder, *catalog);
  if (!job) return fail(job.error());
  if (!job->findings) {
    return fail(Error{ErrorCode::not_found,
                      {.file = question.folder + "/case.toml", .field = "findings"},
                      "a case without findings",
                      "findings = \"findings.toml\"",
                      "Write what was found (docs/reference/findings.md), or tell six facts: diagnose --help"});
  }
  auto facts = assess::facts_of_case(*job, *catalog, request.seed, run);
  if (!facts) return fail(facts.error());
  return Known{std::move(*catalog), std::move(*facts), job->title, {}};
}

/// Text broken at blanks, each line after `indent` blanks.
std::string wrapped(const std::string& text, int width, int first, int indent) {
  std::string out;
  int column = first;
  std::size_t at = 0;
  while (at < text.size()) {
    const std::size_t end = std::min(text.find(' ', at), text.size());
    const int length = static_cast<int>(end - at);
    if (column > indent && column + length > width) {
      out += "\n" + std::string(static_cast<std::size_t>(indent), ' ');
      column = indent;
    }
    out += text.substr(at, end - at);
    column += length;
    if (end < text.size()) {
      out += ' ';
      ++column;
    }
    at = end + 1;
  }
  const auto blanks = out.find(" \n");
  for (std::size_t found = blanks; found != std::string::npos; found = out.find(" \n")) out.erase(found, 1);
  return out;
}

std::string hundred(double p) {
  if (p > 0.99 && p < 1.0) return ">99";
  if (p > 0.0 && p < 0.01) return "<1";
  return fmt::format("{:.0f}", 100.0 * p);
}

/// The band as a strip of 20 places: . outside, - within, | the probability.
std::string strip(const Belief& one) {
  const auto place = [](double p) { return static_cast<std::size_t>(std::clamp(p * 20.0, 0.0, 19.0)); };
  std::string line(20, '.');
  for (std::size_t i = place(one.low); i <= place(one.high); ++i) line[i] = '-';
  line[place(one.probability)] = '|';
  return line;
}

std::string belief_line(const Belief& one) {
  return fmt::format("  {}  {:>3} in 100 ({} to {})  {}{}\n", strip(one), hundred(one.probability), hundred(one.low),
                     hundred(one.high), one.id.starts_with('C') ? one.id + " " : std::string(), one.title);
}

/// What leaves the house as JSON: of a cause that speaks of other people's work only that it is held back.
Json belief_json(const Belief& one, const Known& known) {
  if (diagnosis::held_back(known.catalog.diagnosis, known.facts, one.id)) {
    return {{"id", one.id},       {"title", std::string(report::held_back_words)},
            {"group", one.group}, {"probability", nullptr},
            {"low", nullptr},     {"high", nullptr}};
  }
  return {{"id", one.id},   {"title", one.title}, {"group", one.group}, {"probability", one.probability},
          {"low", one.low}, {"high", one.high}};
}

/// Whether a sentence on the cause names one that is held back.
bool names_held_back(const diagnosis::Diagnosis& found, const Known& known) {
  const std::size_t named = found.determined ? 1 : 2;
  for (std::size_t i = 0; i < std::min(named, found.causes.size()); ++i) {
    if (diagnosis::held_back(known.catalog.diagnosis, known.facts, found.causes[i].id)) return true;
  }
  return false;
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
            {"value_per_time", look.per_minute},
            {"two_step_value_per_time", look.two_step_per_minute},
            {"opens_way_to", look.opens_way_to ? Json(tables.findings[*look.opens_way_to].id) : Json(nullptr)},
            {"blocked", look.blocked}};
  if (row.wait_s) json["wait_s"] = row.wait_s->value;
  return json;
}

std::string waiting(const diagnosis::FindingRow& row) {
  if (!row.wait_s) return {};
  const double hours = row.wait_s->value / 3600.0;
  return hours >= 48.0 ? fmt::format(", answer after {:.0f} days", hours / 24.0)
                       : fmt::format(", answer after {:.0f} h", hours);
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

Result<TextAndJson> diagnosis_text(const DiagnosisQuestion& question, const Request& request, const Run& run) {
  const auto facts = known(question, request, run);
  if (!facts) return fail(facts.error());
  const diagnosis::Tables& tables = facts->catalog.diagnosis;
  assess::NoStore nowhere;
  const auto found = assess::diagnosis_over(facts->sensors, tables, facts->facts,
                                            {.seed = request.seed, .count = assess::table_draws(request.depth)}, run,
                                            request.store == nullptr ? nowhere : *request.store);
  if (!found) return fail(found.error());
  const auto next = diagnosis::next_looks(tables, facts->facts, facts->catalog.losses, {}, run);
  if (!next) return fail(next.error());
  const assess::DiagnosisSentences said = assess::sentences(*found, tables);
  const std::vector<std::string> warned = assess::not_to_do(*found, facts->facts, tables);

  TextAndJson answer;
  std::string& text = answer.text;
  text += "What happened (the state)\n";
  for (const Belief& one : found->state) text += belief_line(one);
  text += "\nWhy (the cause)\n  " + wrapped(said.cause, request.width, 2, 2) + "\n";
  std::size_t shown = 0;
  for (const Belief& one : found->causes) {
    if (shown < 3 || (one.probability >= 0.05 && shown < 8)) {
      text += belief_line(one);
      if (diagnosis::held_back(tables, facts->facts, one.id)) {
        text += std::string(24, ' ') + "stays in the house until released\n";
      }
      ++shown;
    }
  }
  if (found->conflict_bits > 0.0) {
    text += "  " +
            wrapped(fmt::format("The findings disagree among themselves ({:.1f} bit): look at them again, or "
                                "something is at work that the tables do not know.",
                                found->conflict_bits),
                    request.width, 2, 2) +
            "\n";
  }
  for (const report::ReadingWords& side :
       report::reading_words(facts->facts.readings, facts->facts.weighed, tables, request.system)) {
    text += fmt::format("\nReadings: {}\n", side.side);
    for (const std::string& line : side.lines) text += "  - " + wrapped(line, request.width, 4, 4) + "\n";
  }
  if (!found->discounted.empty() && !facts->facts.weighed.empty()) text += "\n";
  for (const diagnosis::Discounted& one : found->discounted) {
    text += fmt::format("  {} not counted: {}\n", one.finding, one.why);
  }
  text += "\nWhat not to do\n";
  for (const std::string& line : warned) text += "  - " + wrapped(line, request.width, 4, 4) + "\n";
  text += "\nNext looks\n";
  const auto looks = open_looks(*next, 3);
  for (const Look* look : looks) {
    const diagnosis::FindingRow& row = tables.findings[look->finding];
    text += "  - " +
            wrapped(fmt::format("{} {} ({}): {:.0f} min{}", row.id, row.title, row.how, minutes(look->minutes_s),
                                waiting(row)),
                    request.width, 4, 4) +
            "\n";
  }
  if (next->stop) text += "  No further look saves more than it takes.\n";
  Json options = Json::array();
  for (const diagnosis::Decision& decision : facts->catalog.losses.decisions) {
    if (decision.from_treatment) continue;
    text += fmt::format("\nOptions: {} (typical hours)\n", decision.title);
    for (const diagnosis::Option& option : decision.options) {
      const bool best =
          std::find(next->best.begin(), next->best.end(), std::pair{decision.id, option.id}) != next->best.end();
      text += fmt::format("  {:>5.1f} h  {}{}\n", option.cost_s / 3600.0, option.title,
                          best ? "  (least expected loss as things stand)" : "");
      options.push_back({{"decision", decision.id}, {"option", option.id}, {"time_s", option.cost_s}, {"best", best}});
    }
  }
  if (!facts->sensors.empty()) {
    text += "\n" +
            wrapped(
                "The layout is not known, and layouts differ in the water sensor, without which a lamp that "
                "stayed off says nothing: the bands hold both. Find out the layout.",
                request.width, 0, 0) +
            "\n";
  }
  text += "\n" + sources_line(*found);

  Json json{{"schema", "fuelwright.diagnosis/2.0"},
            {"case", facts->title},
            {"seed", request.seed},
            {"draws", found->draws},
            {"counted", found->counted}};
  json["state"] = Json::array();
  for (const Belief& one : found->state) json["state"].push_back(belief_json(one, *facts));
  json["mechanisms"] = Json::array();
  for (const Belief& one : found->mechanisms) json["mechanisms"].push_back(belief_json(one, *facts));
  json["causes"] = Json::array();
  for (const Belief& one : found->causes) json["causes"].push_back(belief_json(one, *facts));
  json["determined"] = found->determined;
  json["why_not"] = found->why_not;
  json["sentence"] = names_held_back(*found, *facts) ? std::string(report::held_back_words) : said.cause;
  json["conflict_bits"] = found->conflict_bits;
  json["discounted"] = Json::array();
  for (const auto& one : found->discounted) json["discounted"].push_back({{"finding", one.finding}, {"why", one.why}});
  json["readings"] = report::reading_json(facts->facts.readings, facts->facts.weighed);
  json["not_to_do"] = warned;
  json["next"] = Json::array();
  for (const Look* look : looks) json["next"].push_back(look_json(*look, tables));
  json["options"] = std::move(options);
  answer.json = json.dump(2) + "\n";
  return answer;
}

Result<TextAndJson> explanation_text(const DiagnosisQuestion& question, const Request& request, const Run& run) {
  const auto facts = known(question, request, run);
  if (!facts) return fail(facts.error());
  const diagnosis::Tables& tables = facts->catalog.diagnosis;
  const auto why = diagnosis::explain(tables, facts->facts, question.cause,
                                      {.seed = request.seed, .count = assess::table_draws(request.depth)}, run);
  if (!why) return fail(why.error());
  TextAndJson answer;
  std::string& text = answer.text;
  text += belief_line(why->cause);
  Json weights = Json::array();
  for (const bool side : {true, false}) {
    text += side ? "\nFor it\n" : "\nAgainst it\n";
    bool any = false;
    for (const diagnosis::Weight& one : why->weights) {
      if ((one.log_odds > 0.0) != side || std::abs(one.log_odds) < 0.01) continue;
      any = true;
      const double factor = std::exp(std::abs(one.log_odds));
      const auto marks = static_cast<std::size_t>(std::clamp(std::ceil(2.0 * std::abs(one.log_odds)), 1.0, 10.0));
      text += fmt::format("  {:<10}  odds {} {:<5.3g}  {} {}: {}\n", std::string(marks, side ? '+' : '-'),
                          side ? "times" : "over ", factor, one.finding, name(one.seen), one.title);
    }
    if (!any) text += "  nothing\n";
  }
  for (const diagnosis::Weight& one : why->weights) {
    weights.push_back({{"finding", one.finding},
                       {"title", one.title},
                       {"seen", std::string(name(one.seen))},
                       {"log_odds", one.log_odds}});
  }
  text += "\nWhat single result would put another cause in front\n";
  Json overturns = Json::array();
  std::size_t shown = 0;
  for (const diagnosis::Overturn& one : why->overturns) {
    if (shown++ < 8) {
      text += "  " +
              wrapped(fmt::format("{} {} ({}): {} leads then; happens {} in 100 times", one.finding, one.outcome,
                                  one.title, one.new_leader, hundred(one.chance)),
                      request.width, 2, 4) +
              "\n";
    }
    overturns.push_back({{"finding", one.finding},
                         {"outcome", one.outcome},
                         {"new_leader", diagnosis::held_back(tables, facts->facts, one.new_leader)
                                            ? std::string(report::held_back_words)
                                            : one.new_leader},
                         {"chance", one.chance},
                         {"probability_then", one.probability}});
  }
  if (why->overturns.empty()) text += "  none of the looks that are left\n";
  text += fmt::format("\nConflict of the findings: {:.1f} bit ({})\n", why->conflict_bits,
                      why->conflict_bits > 0.0 ? "they disagree more than the tables expect" : "they agree");
  if (diagnosis::held_back(tables, facts->facts, why->cause.id)) {
    text += "This stays in the house until released (findings: [release_others_work]).\n";
    weights = Json::array();
    overturns = Json::array();
  }
  const Json json{{"schema", "fuelwright.explanation/2.0"},
                  {"cause", belief_json(why->cause, *facts)},
                  {"weights", std::move(weights)},
                  {"overturns", std::move(overturns)},
                  {"conflict_bits", why->conflict_bits}};
  answer.json = json.dump(2) + "\n";
  return answer;
}

Result<TextAndJson> next_text(const DiagnosisQuestion& question, const Request& request, const Run& run) {
  const auto facts = known(question, request, run);
  if (!facts) return fail(facts.error());
  const diagnosis::Tables& tables = facts->catalog.diagnosis;
  const auto next = diagnosis::next_looks(tables, facts->facts, facts->catalog.losses,
                                          {.firsts = question.two_steps ? std::size_t{6} : std::size_t{0}}, run);
  if (!next) return fail(next.error());
  TextAndJson answer;
  std::string& text = answer.text;
  if (question.opening) {
    text = report::opening_sheet(facts->title, facts->facts, tables, request.width);
    answer.json = report::opening_json(facts->title, facts->facts, tables);
    return answer;
  }
  text += fmt::format("Inspection sheet: {}\n", facts->title);
  text += "Minutes of shop time saved per minute of looking stand in brackets.\n\n";
  std::size_t number = 1;
  for (const Look* look : open_looks(*next, 10)) {
    const diagnosis::FindingRow& row = tables.findings[look->finding];
    text += fmt::format("{:>2}. {} ", number++, row.id);
    text += wrapped(row.title, request.width, 9, 4) + "\n    ";
    text += wrapped(fmt::format("{}. {:.0f} min{} [{:.1f}]", row.how, minutes(look->minutes_s), waiting(row),
                                std::max(look->per_minute, look->two_step_per_minute)),
                    request.width, 4, 4) +
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
  if (next->stop) text += "\nStop: no look that may be done saves more than it takes.\n";
  std::size_t shown = 0;
  for (const Look& look : next->looks) {
    if (look.blocked.empty() || !(look.value_s > look.minutes_s) || shown >= 5) continue;
    if (shown++ == 0) text += "\nWorth it, but not yet:\n";
    const diagnosis::FindingRow& row = tables.findings[look.finding];
    text += "  " +
            wrapped(fmt::format("{} {}: {}", row.id, row.title, fmt::join(look.blocked, "; ")), request.width, 2, 4) +
            "\n";
  }
  Json json{{"schema", "fuelwright.looks/1.1"},
            {"case", facts->title},
            {"expected_loss_s", next->expected_loss_s},
            {"stop", next->stop}};
  json["looks"] = Json::array();
  for (const Look& look : next->looks) json["looks"].push_back(look_json(look, tables));
  answer.json = json.dump(2) + "\n";
  return answer;
}

}  // namespace fw::app
