// SPDX-License-Identifier: Apache-2.0
#include "diagnosis/next_look.hpp"

#include <algorithm>
#include <cmath>
#include <map>
#include <tuple>

#include <fmt/format.h>

#include "numerics/quantile.hpp"
#include "numerics/stream.hpp"

namespace fw::diagnosis {

namespace {

/// Losses with ids turned into places: causes first, then mechanisms.
class LossSum {
 public:
  /// `numbers`: one list of Losses::draws in place of the numbers as written.
  LossSum(const Losses& losses, const Tables& tables, const std::vector<double>* numbers = nullptr) {
    std::size_t at = 0;
    const auto number = [&](double written) { return numbers == nullptr ? written : numbers->at(at++); };
    std::map<std::string, std::size_t, std::less<>> place;
    for (std::size_t i = 0; i < tables.causes.size(); ++i) place[tables.causes[i].id] = i;
    causes_ = tables.causes.size();
    for (std::size_t i = 0; i < tables.mechanisms.size(); ++i) place[tables.mechanisms[i].id] = causes_ + i;
    for (const Decision& decision : losses.decisions) {
      std::vector<Line> lines;
      for (const Option& option : decision.options) {
        Line line{.cost_s = number(option.cost_s), .misses = {}};
        for (const auto& [id, loss_s] : option.miss_s) line.misses.emplace_back(place.at(id), number(loss_s));
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

  /// Why a look may not be done yet, and what would open the way.
  struct Bar {
    std::vector<std::string> why;
    std::vector<std::vector<Gives>> needs;  ///< one of each list must be given
    bool questions = false;                 ///< all questions must be asked
    bool by_looks = true;                   ///< looks alone open the way
  };

  Bar bar(const FindingRow& row) const {
    Bar bar;
    const auto add = [&](std::string words, bool by_looks) {
      bar.why.push_back(std::move(words));
      bar.by_looks = bar.by_looks && by_looks;
    };
    const bool pump_runs = row.key_on || row.crank || row.running;
    if (pump_runs && wrong_fluid_ >= tables_.numbers.wrong_fluid_suspected.value && !has(Gives::low_point_sample)) {
      add("a wrong fluid is suspected: nothing is switched on before a sample from the lowest point", true);
      bar.needs.push_back({Gives::low_point_sample});
    }
    if (row.after_sample && !has(Gives::low_point_sample) && !has(Gives::clean_sample)) {
      add("fuel is sampled before this", true);
      bar.needs.push_back({Gives::low_point_sample, Gives::clean_sample});
    }
    if (row.crank || row.running) {
      std::vector<std::string> missing;
      for (const auto& [what, words] : {std::pair{Gives::jar, "jar"}, std::pair{Gives::magnet, "magnet"},
                                        std::pair{Gives::fluid_look, "look whether it is diesel"}}) {
        if (has(what)) continue;
        missing.emplace_back(words);
        bar.needs.push_back({what});
      }
      if (!missing.empty()) add(fmt::format("before any crank: {}", fmt::join(missing, ", ")), true);
    }
    if (row.running && shed_ >= tables_.numbers.shed_likely.value) {
      add(row.gives == Gives::clean_sample
              ? "metal is likely: do not run the engine, take the sample with the supply pump alone"
              : "metal is likely: the engine is not run",
          false);
    }
    if (row.opens == Opens::filter && !has(Gives::clean_sample)) {
      add("the clean-side sample comes before the filter is opened", true);
      bar.needs.push_back({Gives::clean_sample});
    }
    if (row.opens == Opens::tank && !has(Gives::low_point_sample) && !has(Gives::clean_sample)) {
      add("fuel is sampled before the tank is drained or opened", true);
      bar.needs.push_back({Gives::low_point_sample, Gives::clean_sample});
    }
    if (row.step == Step::open && unasked_ > 0) {
      add(fmt::format("ask and look before opening: {} questions are open", unasked_), true);
      bar.questions = true;
    }
    if (row.opens == Opens::pump && !facts_.agreement.complete()) {
      std::vector<std::string> who;
      if (!facts_.agreement.owner) who.emplace_back("owner");
      if (!facts_.agreement.payer) who.emplace_back("payer");
      if (!facts_.agreement.maker) who.emplace_back("maker");
      add(fmt::format("opening a failed pump may void core and claim and destroys evidence: first record the agreement "
                      "of {}",
                      fmt::join(who, ", ")),
          false);
    }
    for (const std::string& tool : facts_.tools_away) {
      if (!tool.empty() && row.tool.find(tool) != std::string::npos) add(tool + " is not at hand", false);
    }
    return bar;
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

/// EVSI from the outcomes of a finding.
double value_of(const std::vector<Outcome>& outcomes, const LossSum& sum, double now_s) {
  double after_s = 0.0;
  for (const Outcome& one : outcomes) after_s += one.chance * sum.least_s(one.causes, one.mechanisms);
  // Rounding may leave a worthless look a hair below 0.
  return std::max(0.0, now_s - after_s);
}

/// 5 % and 95 % points.
std::pair<double, double> band(std::vector<double> values) {
  std::ranges::sort(values);
  return {numerics::quantile_of_sorted(values, 0.05), numerics::quantile_of_sorted(values, 0.95)};
}

/// Credits looks that may be done with the barred ones they open the way to.
void credit_openers(std::vector<Look>& looks, const Tables& tables, const OrderOfWork& order) {
  const auto row = [&](const Look& look) -> const FindingRow& { return tables.findings[look.finding]; };
  for (const Look& barred : looks) {
    if (barred.blocked.empty() || !(barred.value_s > 0.0)) continue;
    const OrderOfWork::Bar bar = order.bar(row(barred));
    if (!bar.by_looks) continue;
    std::vector<Look*> way;
    const auto join = [&](Look* look) {
      if (std::find(way.begin(), way.end(), look) == way.end()) way.push_back(look);
    };
    bool open = true;
    for (const std::vector<Gives>& need : bar.needs) {
      Look* cheapest = nullptr;
      for (Look& one : looks) {
        if (!one.blocked.empty() || std::find(need.begin(), need.end(), row(one).gives) == need.end()) continue;
        if (cheapest == nullptr || one.cost_s < cheapest->cost_s) cheapest = &one;
      }
      open = open && cheapest != nullptr;
      if (cheapest != nullptr) join(cheapest);
    }
    if (bar.questions) {
      for (Look& one : looks) {
        if (row(one).step == Step::ask) join(&one);
      }
    }
    if (!open || way.empty()) continue;
    double together_s = barred.cost_s;
    for (const Look* one : way) together_s += one->cost_s;
    for (Look* one : way) {
      const double credit = barred.value_s / together_s;
      if (credit > std::max(one->per_minute, one->two_step_per_minute)) {
        one->two_step_per_minute = credit;
        one->opens_way_to = barred.finding;
      }
    }
  }
}

}  // namespace

std::string_view name(LossSource source) { return source == LossSource::extent ? "extent" : "catalog"; }

Losses with_draws(Losses losses, std::uint64_t seed, std::uint32_t count) {
  losses.draws.clear();
  for (std::uint32_t sample = 0; sample < count; ++sample) {
    std::vector<double>& numbers = losses.draws.emplace_back();
    const auto add = [&](double value, const Spread& spread, std::string id) {
      const Stated stated{.value = value, .spread = spread, .id = "losses." + std::move(id)};
      numbers.push_back(std::max(0.0, numerics::draw(stated, seed, sample)));
    };
    for (const Decision& decision : losses.decisions) {
      for (const Option& option : decision.options) {
        // One number of the table stands behind every cause that is treated, and so does one draw.
        const std::string id = (decision.from_treatment ? std::string("treatment") : decision.id) + "." + option.id;
        add(option.cost_s, option.cost_spread, id);
        for (std::size_t i = 0; i < option.miss_s.size(); ++i) {
          const Spread spread = option.miss_spreads.empty() ? Spread{} : option.miss_spreads.at(i);
          add(option.miss_s[i].second, spread,
              id + "." + (decision.from_treatment ? "missed" : option.miss_s[i].first));
        }
      }
    }
  }
  return losses;
}

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
      if (!option.miss_spreads.empty() && option.miss_spreads.size() != option.miss_s.size()) {
        add(field + ".miss", fmt::format("{} spreads", option.miss_spreads.size()),
            fmt::format("one for each of {} misses", option.miss_s.size()));
      }
      for (const auto& [id, loss_s] : option.miss_s) {
        if (tables.cause(id) == nullptr && tables.mechanism(id) == nullptr) {
          add(field + ".miss", "\"" + id + "\"", "a cause or mechanism of the tables");
        }
        if (!std::isfinite(loss_s) || loss_s < 0.0) add(field + ".miss." + id, "no loss", "a time of 0 or more");
      }
    }
  }
  std::size_t numbers = 0;
  for (const Decision& decision : losses.decisions) {
    for (const Option& option : decision.options) numbers += 1 + option.miss_s.size();
  }
  for (const std::vector<double>& draw : losses.draws) {
    const bool sound = draw.size() == numbers &&
                       std::ranges::all_of(draw, [](double loss_s) { return std::isfinite(loss_s) && loss_s >= 0.0; });
    if (sound) continue;
    add("draws", fmt::format("{} numbers, or one below 0", draw.size()), fmt::format("{} of 0 or more", numbers));
    break;
  }
  if (!faults.empty()) return fail(Errors(std::move(faults)));
  return {};
}

Result<NextLooks> next_looks(const Tables& tables, const Facts& facts, const Losses& losses, const LookAhead& ahead,
                             const Run& run) {
  const Result<Model> model = case_model(tables, facts);
  if (!model) return fail(model.error());
  if (const auto sound = check(losses, tables); !sound) return fail(sound.error());
  const Result<CountedEvidence> counted = counted_evidence(tables, *model, facts);
  if (!counted) return fail(counted.error());
  const Result<Outlook> outlook = Outlook::of(*model, counted->evidence);
  if (!outlook) return fail(outlook.error());
  const LossSum sum(losses, tables);
  NextLooks result;
  std::vector<std::size_t> chosen;
  result.expected_loss_s = sum.least_s(outlook->causes(), outlook->mechanisms(), &chosen);
  for (std::size_t d = 0; d < chosen.size(); ++d) {
    result.best.emplace_back(losses.decisions[d].id, losses.decisions[d].options[chosen[d]].id);
  }
  std::vector<LossSum> drawn;
  std::vector<double> now_s;
  for (const std::vector<double>& numbers : losses.draws) {
    drawn.emplace_back(losses, tables, &numbers);
    now_s.push_back(drawn.back().least_s(outlook->causes(), outlook->mechanisms()));
  }
  result.draws = drawn.size();
  result.losses_from = losses.source;
  result.losses_why = losses.why;
  result.expected_loss_low_s = result.expected_loss_high_s = result.expected_loss_s;
  if (!drawn.empty()) std::tie(result.expected_loss_low_s, result.expected_loss_high_s) = band(now_s);
  const OrderOfWork order(tables, facts, *outlook);
  for (std::size_t finding = 0; finding < tables.findings.size(); ++finding) {
    const FindingRow& row = tables.findings[finding];
    if (order.answered(row.id) || replaced_by_reading(row, facts.weighed)) continue;
    if (run.stop.stop_requested()) {
      return fail(Error{
          .code = ErrorCode::cancelled, .where = {}, .found = "a stop", .expected = "the next looks", .hint = {}});
    }
    const Result<std::vector<Outcome>> outcomes = outlook->outcomes(finding);
    if (!outcomes) return fail(outcomes.error());
    Look look{.finding = finding,
              .value_s = value_of(*outcomes, sum, result.expected_loss_s),
              .minutes_s = row.minutes_s.value};
    look.cost_s = look.minutes_s + (row.fee_s ? row.fee_s->value : 0.0);
    look.value_low_s = look.value_high_s = look.value_s;
    if (!drawn.empty()) {
      std::vector<double> values_s;
      for (std::size_t d = 0; d < drawn.size(); ++d) values_s.push_back(value_of(*outcomes, drawn[d], now_s[d]));
      std::tie(look.value_low_s, look.value_high_s) = band(values_s);
    }
    look.per_minute = look.value_s / look.cost_s;
    look.blocked = order.bar(row).why;
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
    const Result<std::vector<Outcome>> outcomes = outlook->outcomes(first.finding);
    if (!outcomes) return fail(outcomes.error());
    double value_both_s = first.value_s;
    double cost_both_s = first.cost_s;
    for (const Outcome& one : *outcomes) {
      Evidence with = counted->evidence;
      with.observed.push_back({model->findings[first.finding], one.state});
      const Result<Outlook> then = Outlook::of(*model, with);
      if (!then) return fail(then.error());
      const double then_s = sum.least_s(then->causes(), then->mechanisms());
      double best_s = 0.0;
      double best_cost_s = 0.0;
      for (const Look& second : result.looks) {
        if (second.finding == first.finding || !second.blocked.empty()) continue;
        if (run.stop.stop_requested()) {
          return fail(Error{
              .code = ErrorCode::cancelled, .where = {}, .found = "a stop", .expected = "the next looks", .hint = {}});
        }
        const Result<std::vector<Outcome>> after = then->outcomes(second.finding);
        if (!after) return fail(after.error());
        const double second_s = value_of(*after, sum, then_s);
        // The second look is done only where it saves more than it takes.
        if (second_s - second.cost_s > best_s - best_cost_s) {
          best_s = second_s;
          best_cost_s = second.cost_s;
        }
      }
      value_both_s += one.chance * best_s;
      cost_both_s += one.chance * best_cost_s;
    }
    first.two_step_per_minute = value_both_s / cost_both_s;
  }
  credit_openers(result.looks, tables, order);
  std::stable_sort(result.looks.begin(), result.looks.end(), better);
  result.stop = std::none_of(result.looks.begin(), result.looks.end(), [](const Look& look) {
    return look.blocked.empty() && std::max(look.per_minute, look.two_step_per_minute) > 1.0;
  });
  return result;
}

}  // namespace fw::diagnosis
