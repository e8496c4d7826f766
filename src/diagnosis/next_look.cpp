// SPDX-License-Identifier: Apache-2.0
#include "diagnosis/next_look.hpp"

#include <algorithm>
#include <cmath>
#include <map>

#include <fmt/format.h>

namespace fw::diagnosis {

namespace {

/// Losses with ids turned into places: causes first, then mechanisms.
class LossSum {
 public:
  LossSum(const Losses& losses, const Tables& tables) {
    std::map<std::string, std::size_t, std::less<>> place;
    for (std::size_t i = 0; i < tables.causes.size(); ++i) place[tables.causes[i].id] = i;
    causes_ = tables.causes.size();
    for (std::size_t i = 0; i < tables.mechanisms.size(); ++i) place[tables.mechanisms[i].id] = causes_ + i;
    for (const Decision& decision : losses.decisions) {
      std::vector<Line> lines;
      for (const Option& option : decision.options) {
        Line line{.cost_s = option.cost_s, .misses = {}};
        for (const auto& [id, loss_s] : option.miss_s) line.misses.emplace_back(place.at(id), loss_s);
        lines.push_back(std::move(line));
      }
      decisions_.push_back(std::move(lines));
    }
  }

  /// Least expected loss; `chosen` takes the option of each decision.
  double least_s(const std::vector<double>& causes, const std::vector<double>& mechanisms,
                 std::vector<std::size_t>* chosen = nullptr) const {
    double total_s = 0.0;
    for (const std::vector<Line>& lines : decisions_) {
      double best_s = 0.0;
      std::size_t best = 0;
      for (std::size_t o = 0; o < lines.size(); ++o) {
        double loss_s = lines[o].cost_s;
        for (const auto& [at, miss_s] : lines[o].misses) {
          loss_s += miss_s * (at < causes_ ? causes[at] : mechanisms[at - causes_]);
        }
        if (o == 0 || loss_s < best_s) {
          best_s = loss_s;
          best = o;
        }
      }
      total_s += best_s;
      if (chosen != nullptr) chosen->push_back(best);
    }
    return total_s;
  }

 private:
  struct Line {
    double cost_s = 0.0;
    std::vector<std::pair<std::size_t, double>> misses;
  };
  std::size_t causes_ = 0;
  std::vector<std::vector<Line>> decisions_;
};

/// What has been done, as the order of work sees it.
class OrderOfWork {
 public:
  OrderOfWork(const Tables& tables, const Facts& facts, const Outlook& outlook) : tables_(tables), facts_(facts) {
    for (const Statement& one : facts.statements) {
      const FindingRow* row = tables.finding(one.finding);
      if (row == nullptr || one.seen == Seen::not_looked) continue;
      answered_.push_back(row->id);
      if (row->gives != Gives::nothing) given_.push_back(row->gives);
    }
    for (std::size_t i = 0; i < tables.causes.size(); ++i) {
      if (tables.causes[i].wrong_fluid) wrong_fluid_ += outlook.causes()[i];
    }
    for (std::size_t i = 0; i < tables.mechanisms.size(); ++i) {
      if (tables.mechanisms[i].id == "shed") shed_ = outlook.mechanisms()[i];
    }
    for (const FindingRow& row : tables.findings) {
      if (row.step == Step::ask && !answered(row.id)) ++unasked_;
    }
  }

  std::vector<std::string> blocked(const FindingRow& row) const {
    std::vector<std::string> why;
    const bool pump_runs = row.key_on || row.crank || row.running;
    if (pump_runs && wrong_fluid_ >= tables_.numbers.wrong_fluid_suspected.value && !has(Gives::low_point_sample)) {
      why.emplace_back("a wrong fluid is suspected: nothing is switched on before a sample from the lowest point");
    }
    if (row.crank || row.running) {
      std::vector<std::string> missing;
      if (!has(Gives::jar)) missing.emplace_back("jar");
      if (!has(Gives::magnet)) missing.emplace_back("magnet");
      if (!has(Gives::fluid_look)) missing.emplace_back("look whether it is diesel");
      if (!missing.empty()) why.push_back(fmt::format("before any crank: {}", fmt::join(missing, ", ")));
    }
    if (row.running && shed_ >= tables_.numbers.shed_likely.value) {
      why.push_back(row.gives == Gives::clean_sample
                        ? "metal is likely: do not run the engine, take the sample with the supply pump alone"
                        : "metal is likely: the engine is not run");
    }
    if (row.opens == Opens::filter && !has(Gives::clean_sample)) {
      why.emplace_back("the clean-side sample comes before the filter is opened");
    }
    if (row.opens == Opens::tank && !has(Gives::low_point_sample) && !has(Gives::clean_sample)) {
      why.emplace_back("fuel is sampled before the tank is drained or opened");
    }
    if (row.step == Step::open && unasked_ > 0) {
      why.push_back(fmt::format("ask and look before opening: {} questions are open", unasked_));
    }
    if (row.opens == Opens::pump && !facts_.agreement.complete()) {
      std::vector<std::string> who;
      if (!facts_.agreement.owner) who.emplace_back("owner");
      if (!facts_.agreement.payer) who.emplace_back("payer");
      if (!facts_.agreement.maker) who.emplace_back("maker");
      why.push_back(fmt::format(
          "opening a failed pump may void core and claim and destroys evidence: first record the agreement of {}",
          fmt::join(who, ", ")));
    }
    for (const std::string& tool : facts_.tools_away) {
      if (!tool.empty() && row.tool.find(tool) != std::string::npos) why.push_back(tool + " is not at hand");
    }
    return why;
  }

  bool answered(const std::string& id) const {
    return std::find(answered_.begin(), answered_.end(), id) != answered_.end();
  }

 private:
  bool has(Gives what) const { return std::find(given_.begin(), given_.end(), what) != given_.end(); }

  const Tables& tables_;
  const Facts& facts_;
  std::vector<std::string> answered_;
  std::vector<Gives> given_;
  double wrong_fluid_ = 0.0;
  double shed_ = 0.0;
  int unasked_ = 0;
};

/// EVSI of a finding at an outlook, and its outcomes.
Result<double> value_of(const Outlook& outlook, const LossSum& sum, double now_s, std::size_t finding,
                        std::vector<Outcome>* kept = nullptr) {
  Result<std::vector<Outcome>> outcomes = outlook.outcomes(finding);
  if (!outcomes) return fail(outcomes.error());
  double after_s = 0.0;
  for (const Outcome& one : *outcomes) after_s += one.chance * sum.least_s(one.causes, one.mechanisms);
  if (kept != nullptr) *kept = std::move(*outcomes);
  // Rounding may leave a worthless look a hair below 0.
  return std::max(0.0, now_s - after_s);
}

}  // namespace

Result<void> check(const Losses& losses, const Tables& tables) {
  std::vector<Error> faults;
  const auto add = [&](std::string field, std::string found, std::string expected) {
    faults.push_back({ErrorCode::invalid_input,
                      {.field = std::move(field)},
                      std::move(found),
                      std::move(expected),
                      "See catalog/diagnosis/losses.toml."});
  };
  if (losses.decisions.empty()) add("decision", "none", "at least one decision");
  for (const Decision& decision : losses.decisions) {
    if (decision.options.size() < 2) add("decision " + decision.id, "fewer than two options", "two options or more");
    for (const Option& option : decision.options) {
      const std::string field = fmt::format("decision {}.{}", decision.id, option.id);
      if (!std::isfinite(option.cost_s) || option.cost_s < 0.0) add(field, "no cost", "a time of 0 or more");
      for (const auto& [id, loss_s] : option.miss_s) {
        if (tables.cause(id) == nullptr && tables.mechanism(id) == nullptr) {
          add(field + ".miss", "\"" + id + "\"", "a cause or mechanism of the tables");
        }
        if (!std::isfinite(loss_s) || loss_s < 0.0) add(field + ".miss." + id, "no loss", "a time of 0 or more");
      }
    }
  }
  if (!faults.empty()) return fail(Errors(std::move(faults)));
  return {};
}

Result<NextLooks> next_looks(const Tables& tables, const Facts& facts, const Losses& losses, const LookAhead& ahead,
                             const Run& run) {
  const Result<Model> model = build_model(tables);
  if (!model) return fail(model.error());
  if (const auto sound = check(losses, tables); !sound) return fail(sound.error());
  const Result<CountedEvidence> counted = counted_evidence(tables, *model, facts);
  if (!counted) return fail(counted.error());
  const Result<Outlook> outlook = Outlook::of(tables, *model, counted->evidence);
  if (!outlook) return fail(outlook.error());
  const LossSum sum(losses, tables);
  NextLooks result;
  std::vector<std::size_t> chosen;
  result.expected_loss_s = sum.least_s(outlook->causes(), outlook->mechanisms(), &chosen);
  for (std::size_t d = 0; d < chosen.size(); ++d) {
    result.best.emplace_back(losses.decisions[d].id, losses.decisions[d].options[chosen[d]].id);
  }
  const OrderOfWork order(tables, facts, *outlook);
  for (std::size_t finding = 0; finding < tables.findings.size(); ++finding) {
    const FindingRow& row = tables.findings[finding];
    if (order.answered(row.id)) continue;
    if (run.stop.stop_requested()) {
      return fail(Error{
          .code = ErrorCode::cancelled, .where = {}, .found = "a stop", .expected = "the next looks", .hint = {}});
    }
    const Result<double> value_s = value_of(*outlook, sum, result.expected_loss_s, finding);
    if (!value_s) return fail(value_s.error());
    Look look{.finding = finding, .value_s = *value_s, .minutes_s = row.minutes_s.value};
    look.per_minute = look.value_s / look.minutes_s;
    look.blocked = order.blocked(row);
    result.looks.push_back(std::move(look));
  }
  const auto better = [](const Look& a, const Look& b) {
    if (a.blocked.empty() != b.blocked.empty()) return a.blocked.empty();
    return std::max(a.per_minute, a.two_step_per_minute) > std::max(b.per_minute, b.two_step_per_minute);
  };
  std::stable_sort(result.looks.begin(), result.looks.end(), better);
  const std::size_t firsts = std::min(ahead.firsts, result.looks.size());
  for (std::size_t i = 0; i < firsts; ++i) {
    Look& first = result.looks[i];
    std::vector<Outcome> outcomes;
    const Result<double> value_s = value_of(*outlook, sum, result.expected_loss_s, first.finding, &outcomes);
    if (!value_s) return fail(value_s.error());
    double value_both_s = *value_s;
    double minutes_both_s = first.minutes_s;
    for (const Outcome& one : outcomes) {
      Evidence with = counted->evidence;
      with.observed.push_back({model->findings[first.finding], one.state});
      const Result<Outlook> then = Outlook::of(tables, *model, with);
      if (!then) return fail(then.error());
      const double then_s = sum.least_s(then->causes(), then->mechanisms());
      double best_s = 0.0;
      double best_minutes_s = 0.0;
      for (const Look& second : result.looks) {
        if (second.finding == first.finding || !second.blocked.empty()) continue;
        if (run.stop.stop_requested()) {
          return fail(Error{
              .code = ErrorCode::cancelled, .where = {}, .found = "a stop", .expected = "the next looks", .hint = {}});
        }
        const Result<double> second_s = value_of(*then, sum, then_s, second.finding);
        if (!second_s) return fail(second_s.error());
        // The second look is done only where it saves more than it takes.
        if (*second_s - second.minutes_s > best_s - best_minutes_s) {
          best_s = *second_s;
          best_minutes_s = second.minutes_s;
        }
      }
      value_both_s += one.chance * best_s;
      minutes_both_s += one.chance * best_minutes_s;
    }
    first.two_step_per_minute = value_both_s / minutes_both_s;
  }
  std::stable_sort(result.looks.begin(), result.looks.end(), better);
  result.stop = std::none_of(result.looks.begin(), result.looks.end(), [](const Look& look) {
    return look.blocked.empty() && std::max(look.per_minute, look.two_step_per_minute) > 1.0;
  });
  return result;
}

}  // namespace fw::diagnosis
