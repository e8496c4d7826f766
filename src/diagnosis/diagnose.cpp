// SPDX-License-Identifier: Apache-2.0
#include "diagnosis/diagnose.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <map>
#include <numeric>

#include <fmt/format.h>

#include "base/contract.hpp"
#include "numerics/quantile.hpp"

namespace fw::diagnosis {

namespace {

constexpr std::array<std::string_view, 4> seen_names{"present", "absent", "not looked", "could not tell"};

std::vector<std::size_t> wanted_nodes(const Model& model) {
  std::vector<std::size_t> wanted = model.causes;
  wanted.insert(wanted.end(), model.mechanisms.begin(), model.mechanisms.end());
  return wanted;
}

double log_odds(double p) {
  constexpr double smallest = 1e-300;
  return std::log(std::max(p, smallest)) - std::log(std::max(1.0 - p, smallest));
}

Error unknown_cause(std::string_view cause) {
  return {.code = ErrorCode::not_found,
          .where = {.field = "cause"},
          .found = "\"" + std::string(cause) + "\"",
          .expected = "a cause of the tables, C00 to C27",
          .hint = "See diagnose for their ids."};
}

Error cancelled_error() {
  return {
      .code = ErrorCode::cancelled, .where = {}, .found = "a stop", .expected = "the end of the diagnosis", .hint = {}};
}

}  // namespace

std::string_view name(Seen seen) { return seen_names.at(static_cast<std::size_t>(seen)); }

std::optional<Seen> seen_named(std::string_view text) {
  const auto found = std::find(seen_names.begin(), seen_names.end(), text);
  if (found == seen_names.end()) return std::nullopt;
  return static_cast<Seen>(found - seen_names.begin());
}

bool held_back(const Tables& tables, const Facts& facts, std::string_view cause) {
  if (!facts.others_work_released.empty()) return false;
  const CauseRow* row = tables.cause(cause);
  if (row == nullptr) return false;
  return std::any_of(tables.groups.begin(), tables.groups.end(),
                     [&](const GroupRow& group) { return group.id == row->group && group.others_work; });
}

std::string_view word_for(double probability, const Numbers& numbers) {
  if (probability >= numbers.near_certain.value) return "near certain";
  if (probability >= 0.5) return "likely";
  if (probability >= 0.2) return "possible";
  if (probability >= 0.05) return "less likely";
  return "unlikely";
}

Result<Model> case_model(const Tables& tables, const Facts& facts, const std::optional<TableDraw>& draw) {
  Result<Model> model = build_model(tables, draw);
  if (!model) return model;
  for (const WeighedReadings& weighed : facts.weighed) {
    if (weighed.standing != ReadingStanding::counted) continue;
    const std::size_t count = weighed.targets.size();
    FW_EXPECTS(weighed.weights.size() == std::size_t{1} << count);
    Node node{.name = fmt::format("readings, {}", name(weighed.side)),
              .states = {"as read", "otherwise"},
              .parents = {},
              .table = {},
              .noisy_or = {}};
    for (const std::string& target : weighed.targets) {
      const auto place = model->network.find(target);
      if (!place) {
        return fail(Error{.code = ErrorCode::not_found,
                          .where = {.field = "planted.target"},
                          .found = "\"" + target + "\"",
                          .expected = "a cause or mechanism of the tables",
                          .hint = "Weigh the readings with the same tables."});
      }
      node.parents.push_back(*place);
    }
    // A node of the network stands after its parents, whose order is free; rows run over their states, present first.
    for (std::size_t row = 0; row < weighed.weights.size(); ++row) {
      std::size_t set = 0;
      for (std::size_t i = 0; i < count; ++i) {
        if (((row >> (count - 1 - i)) & 1U) == 0U) set |= std::size_t{1} << i;
      }
      node.table.push_back(weighed.weights[set]);
      node.table.push_back(1.0 - weighed.weights[set]);
    }
    model->network.nodes.push_back(std::move(node));
    model->readings.push_back(model->network.nodes.size() - 1);
  }
  return model;
}

Result<CountedEvidence> counted_evidence(const Tables& tables, const Model& model, const Facts& facts) {
  CountedEvidence counted;
  counted.evidence.observed.push_back({model.complaint, 0});
  std::vector<Error> faults;
  std::map<std::string, const Statement*> stated;
  bool sensor_missing = facts.water_sensor == WaterSensor::none;
  for (const Statement& one : facts.statements) {
    const FindingRow* row = tables.finding(one.finding);
    sensor_missing = sensor_missing || (row != nullptr && row->shows_no_sensor && one.seen == Seen::present);
  }
  for (const Statement& one : facts.statements) {
    const FindingRow* row = tables.finding(one.finding);
    const std::string field = "finding " + one.finding;
    if (row == nullptr) {
      faults.push_back({ErrorCode::invalid_input,
                        {.field = field},
                        "\"" + one.finding + "\"",
                        "a finding of the tables",
                        "See catalog/diagnosis/findings.toml for their ids."});
      continue;
    }
    const auto [at, fresh] = stated.emplace(one.finding, &one);
    if (!fresh) {
      if (at->second->seen != one.seen || at->second->grade != one.grade) {
        faults.push_back({ErrorCode::conflict,
                          {.field = field},
                          "the finding stated twice, differently",
                          "one statement",
                          "Strike the one that does not hold."});
      }
      continue;
    }
    if (one.seen != Seen::present && one.seen != Seen::absent) continue;
    const auto place = static_cast<std::size_t>(row - tables.findings.data());
    std::size_t state = one.seen == Seen::present ? 0 : 1;
    if (!row->grades.empty()) {
      state = row->grades.size();
      if (one.seen == Seen::present) {
        const auto grade = std::find_if(row->grades.begin(), row->grades.end(),
                                        [&](const Grade& each) { return each.title == one.grade; });
        if (grade == row->grades.end()) {
          std::vector<std::string> titles;
          for (const Grade& each : row->grades) titles.push_back("\"" + each.title + "\"");
          faults.push_back({ErrorCode::invalid_input,
                            {.field = field + ".grade"},
                            "\"" + one.grade + "\"",
                            fmt::format("{}", fmt::join(titles, ", ")),
                            "Say how much was found."});
          continue;
        }
        state = static_cast<std::size_t>(grade - row->grades.begin());
      }
    } else if (!one.grade.empty()) {
      faults.push_back({ErrorCode::invalid_input,
                        {.field = field + ".grade"},
                        "\"" + one.grade + "\"",
                        "no grade: this finding is there or not",
                        "Strike the grade."});
      continue;
    }
    if (row->needs_water_sensor && one.seen == Seen::absent && sensor_missing) {
      counted.discounted.push_back({row->id, "no water sensor in the flow, so a silent lamp says nothing", row->title});
      continue;
    }
    if (replaced_by_reading(*row, facts.weighed)) {
      counted.discounted.push_back({row->id, "replaced by reading", row->title});
      continue;
    }
    counted.evidence.observed.push_back({model.findings[place], state});
    counted.rows.push_back(place);
  }
  for (const std::size_t node : model.readings) counted.evidence.observed.push_back({node, 0});
  if (!faults.empty()) return fail(Errors(std::move(faults)));
  return counted;
}

Result<Diagnosis> diagnose(const Tables& tables, const Facts& facts, const Draws& draws, const Run& run) {
  const Result<Model> model = case_model(tables, facts);
  if (!model) return fail(model.error());
  const Result<CountedEvidence> counted = counted_evidence(tables, *model, facts);
  if (!counted) return fail(counted.error());
  const std::vector<std::size_t> wanted = wanted_nodes(*model);
  const Result<Posterior> middle = infer(model->network, counted->evidence, wanted);
  if (!middle) return fail(middle.error());
  Diagnosis result;
  result.counted = counted->rows.size();
  result.discounted = counted->discounted;
  result.draws = draws.count;
  result.readings = facts.readings;
  result.weighed = facts.weighed;
  if (counted->rows.empty() && model->readings.empty()) {
    result.conflict_bits = 0.0;
  } else {
    const Result<double> conflict = conflict_bits(model->network, counted->evidence);
    if (!conflict) return fail(conflict.error());
    result.conflict_bits = *conflict;
  }

  std::vector<std::vector<double>> drawn(wanted.size());
  std::optional<CliqueTree> ordered;  // its order of elimination serves all draws
  for (std::size_t sample = 0; sample < draws.count; ++sample) {
    if (run.stop.stop_requested()) return fail(cancelled_error());
    const Result<Model> other =
        case_model(tables, facts, TableDraw{.seed = draws.seed, .sample = static_cast<std::uint32_t>(sample)});
    if (!other) return fail(other.error());
    Result<CliqueTree> tree = CliqueTree::cut(other->network, counted->evidence, wanted, CliqueTree::Purpose::sums,
                                              ordered ? &*ordered : nullptr);
    if (!tree) return fail(tree.error());
    const CliqueTree::Run sums = tree->run();
    if (!sums.possible) continue;
    std::vector<double> present(other->network.nodes.size(), 0.0);
    for (std::size_t k = 0; k < tree->variables().size(); ++k) {
      if (tree->variables()[k] < present.size()) present[tree->variables()[k]] = sums.marginals[k][0];
    }
    for (std::size_t i = 0; i < wanted.size(); ++i) drawn[i].push_back(present[wanted[i]]);
    if (!ordered) ordered = std::move(*tree);
  }
  const auto belief = [&](std::size_t i, const std::string& id, const std::string& title, const std::string& group) {
    Belief one{.id = id,
               .title = title,
               .group = group,
               .probability = middle->marginals[wanted[i]][0],
               .low = 0.0,
               .high = 0.0,
               .held_back = false};
    one.low = one.high = one.probability;
    if (!drawn[i].empty()) {
      std::sort(drawn[i].begin(), drawn[i].end());
      one.low = numerics::quantile_of_sorted(drawn[i], 0.05);
      one.high = numerics::quantile_of_sorted(drawn[i], 0.95);
    }
    return one;
  };
  for (std::size_t i = 0; i < tables.causes.size(); ++i) {
    result.causes.push_back(belief(i, tables.causes[i].id, tables.causes[i].title, tables.causes[i].group));
    result.causes.back().held_back = held_back(tables, facts, tables.causes[i].id);
  }
  for (std::size_t i = 0; i < tables.mechanisms.size(); ++i) {
    const MechanismRow& row = tables.mechanisms[i];
    (row.state ? result.state : result.mechanisms).push_back(belief(tables.causes.size() + i, row.id, row.title, ""));
  }
  std::stable_sort(result.causes.begin(), result.causes.end(),
                   [](const Belief& a, const Belief& b) { return a.probability > b.probability; });
  const Belief& first = result.causes[0];
  const Belief& second = result.causes[1];
  const Numbers& n = tables.numbers;
  if (first.low < n.leading.value) {
    result.why_not =
        fmt::format("the most probable cause could be as low as {:.0f} in 100; {:.0f} in 100 are asked for",
                    100.0 * first.low, 100.0 * n.leading.value);
  } else if (first.probability < n.times_next.value * second.probability) {
    result.why_not =
        fmt::format("the most probable cause is not {:.0f} times as probable as the next", n.times_next.value);
  } else if (first.id == not_listed_id) {
    result.why_not = "the most probable cause is one that is not in the tables";
  } else {
    result.determined = true;
  }
  return result;
}

Outlook::Outlook(const Model& model, Evidence evidence, CliqueTree tree)
    : model_(&model), evidence_(std::move(evidence)), tree_(std::move(tree)) {}

void Outlook::take(const CliqueTree& tree, const CliqueTree::Run& run, std::vector<double>& causes,
                   std::vector<double>& mechanisms) const {
  std::vector<double> present(model_->network.nodes.size(), 0.0);
  for (const Observed& one : evidence_.observed) present[one.node] = one.state == 0 ? 1.0 : 0.0;
  for (std::size_t k = 0; k < tree.variables().size(); ++k) {
    if (tree.variables()[k] < present.size()) present[tree.variables()[k]] = run.marginals[k][0];
  }
  causes.clear();
  mechanisms.clear();
  for (const std::size_t node : model_->causes) causes.push_back(present[node]);
  for (const std::size_t node : model_->mechanisms) mechanisms.push_back(present[node]);
}

Result<Outlook> Outlook::of(const Model& model, const Evidence& evidence, const Outlook* like) {
  Result<CliqueTree> tree = CliqueTree::cut(model.network, evidence, wanted_nodes(model), CliqueTree::Purpose::sums,
                                            like == nullptr ? nullptr : &like->tree_);
  if (!tree) return fail(tree.error());
  Outlook outlook(model, evidence, std::move(*tree));
  const CliqueTree::Run run = outlook.tree_.run();
  if (!run.possible) return fail(infer(model.network, evidence, wanted_nodes(model)).error());
  outlook.log_evidence_ = run.log_evidence;
  outlook.take(outlook.tree_, run, outlook.causes_, outlook.mechanisms_);
  return outlook;
}

Result<std::vector<Outcome>> Outlook::outcomes(std::size_t finding) const {
  const std::size_t at = model_->findings.at(finding);
  const Node& node = model_->network.nodes[at];
  std::vector<Outcome> all;
  if (node.noisy_or && node.noisy_or->inhibitors.empty()) {
    // P(absent | parents) is a product, so "absent" weighs each parent; "present" is what remains.
    std::vector<Likelihood> weights;
    for (std::size_t i = 0; i < node.parents.size(); ++i) {
      weights.push_back({node.parents[i], {1.0 - node.noisy_or->links[i], 1.0}});
    }
    const CliqueTree::Run run = tree_.run(weights);
    Outcome absent{.state = 1, .chance = 0.0, .causes = causes_, .mechanisms = mechanisms_};
    Outcome present{.state = 0, .chance = 1.0, .causes = causes_, .mechanisms = mechanisms_};
    if (run.possible) {
      absent.chance = std::min(1.0, (1.0 - node.noisy_or->leak) * std::exp(run.log_evidence - log_evidence_));
      present.chance = 1.0 - absent.chance;
      take(tree_, run, absent.causes, absent.mechanisms);
      const auto rest = [&](const std::vector<double>& before, const std::vector<double>& without,
                            std::vector<double>& into) {
        for (std::size_t i = 0; i < before.size(); ++i) {
          const double share = (before[i] - absent.chance * without[i]) / present.chance;
          into[i] = std::clamp(share, 0.0, 1.0);
        }
      };
      if (present.chance > 0.0) {
        rest(causes_, absent.causes, present.causes);
        rest(mechanisms_, absent.mechanisms, present.mechanisms);
      }
    }
    if (present.chance > 0.0) all.push_back(std::move(present));
    if (absent.chance > 0.0) all.push_back(std::move(absent));
    return all;
  }
  for (std::size_t state = 0; state < node.states.size(); ++state) {
    Evidence with = evidence_;
    with.observed.push_back({at, state});
    const Result<CliqueTree> tree = CliqueTree::cut(model_->network, with, wanted_nodes(*model_));
    if (!tree) return fail(tree.error());
    const CliqueTree::Run run = tree->run();
    if (!run.possible) continue;
    Outcome one{.state = state, .chance = std::exp(run.log_evidence - log_evidence_), .causes = {}, .mechanisms = {}};
    take(*tree, run, one.causes, one.mechanisms);
    all.push_back(std::move(one));
  }
  return all;
}

Result<Explanation> explain(const Tables& tables, const Facts& facts, std::string_view cause, const Draws& draws,
                            const Run& run) {
  const std::vector<std::string> causes{std::string(cause)};
  if (tables.cause(cause) == nullptr) return fail(unknown_cause(cause));
  const Result<Diagnosis> diagnosis = diagnose(tables, facts, draws, run);
  if (!diagnosis) return fail(diagnosis.error());
  Result<std::vector<Explanation>> all = explain(tables, facts, *diagnosis, causes, run);
  if (!all) return fail(all.error());
  return std::move(all->front());
}

Result<std::vector<Explanation>> explain(const Tables& tables, const Facts& facts, const Diagnosis& diagnosis,
                                         std::span<const std::string> causes, const Run& run) {
  const Result<Model> model = case_model(tables, facts);
  if (!model) return fail(model.error());
  const Result<CountedEvidence> counted = counted_evidence(tables, *model, facts);
  if (!counted) return fail(counted.error());
  const Result<Outlook> outlook = Outlook::of(*model, counted->evidence);
  if (!outlook) return fail(outlook.error());

  std::vector<Explanation> all;
  std::vector<std::size_t> places;
  for (const std::string& cause : causes) {
    const CauseRow* row = tables.cause(cause);
    if (row == nullptr) return fail(unknown_cause(cause));
    places.push_back(static_cast<std::size_t>(row - tables.causes.data()));
    Explanation one;
    one.conflict_bits = diagnosis.conflict_bits;
    one.cause = *std::find_if(diagnosis.causes.begin(), diagnosis.causes.end(),
                              [&](const Belief& belief) { return belief.id == row->id; });
    all.push_back(std::move(one));
  }

  // Adds the weight of what `without` leaves out to every explanation.
  const auto weigh = [&](const Evidence& without, const Weight& weight) -> Result<void> {
    const Result<Outlook> left = Outlook::of(*model, without, &*outlook);
    if (!left) return fail(left.error());
    for (std::size_t i = 0; i < all.size(); ++i) {
      Weight one = weight;
      one.log_odds = log_odds(outlook->causes()[places[i]]) - log_odds(left->causes()[places[i]]);
      all[i].weights.push_back(std::move(one));
    }
    return {};
  };
  for (std::size_t i = 0; i < counted->rows.size(); ++i) {
    if (run.stop.stop_requested()) return fail(cancelled_error());
    Evidence without = counted->evidence;
    without.observed.erase(without.observed.begin() + static_cast<std::ptrdiff_t>(i + 1));
    const FindingRow& finding = tables.findings[counted->rows[i]];
    const std::size_t absent_state = finding.grades.empty() ? 1 : finding.grades.size();
    const bool absent = counted->evidence.observed[i + 1].state == absent_state;
    const auto done =
        weigh(without, {.finding = finding.id, .title = finding.title, .seen = absent ? Seen::absent : Seen::present});
    if (!done) return fail(done.error());
  }
  std::size_t side = 0;
  for (const WeighedReadings& weighed : facts.weighed) {
    if (weighed.standing != ReadingStanding::counted) continue;
    Evidence without = counted->evidence;
    std::erase(without.observed, Observed{model->readings[side++], 0});
    const auto done =
        weigh(without, {.finding = "readings", .title = std::string(name(weighed.side)), .seen = Seen::present});
    if (!done) return fail(done.error());
    for (Explanation& one : all) {
      one.effective_draws = std::min(one.effective_draws.value_or(weighed.effective), weighed.effective);
    }
  }
  for (Explanation& one : all) {
    std::stable_sort(one.weights.begin(), one.weights.end(),
                     [](const Weight& a, const Weight& b) { return std::abs(a.log_odds) > std::abs(b.log_odds); });
  }

  const auto leader = [](const std::vector<double>& of) {
    return static_cast<std::size_t>(std::max_element(of.begin(), of.end()) - of.begin());
  };
  const std::size_t leads = leader(outlook->causes());
  for (std::size_t finding = 0; finding < tables.findings.size(); ++finding) {
    if (std::find(counted->rows.begin(), counted->rows.end(), finding) != counted->rows.end()) continue;
    if (replaced_by_reading(tables.findings[finding], facts.weighed)) continue;
    if (run.stop.stop_requested()) return fail(cancelled_error());
    const auto outcomes = outlook->outcomes(finding);
    if (!outcomes) return fail(outcomes.error());
    for (const Outcome& one : *outcomes) {
      const std::size_t next = leader(one.causes);
      for (std::size_t i = 0; i < all.size(); ++i) {
        if ((next == places[i]) == (leads == places[i])) continue;
        const Node& finding_node = model->network.nodes[model->findings[finding]];
        all[i].overturns.push_back({.finding = tables.findings[finding].id,
                                    .title = tables.findings[finding].title,
                                    .outcome = finding_node.states[one.state],
                                    .new_leader = tables.causes[next].id,
                                    .new_leader_held_back = held_back(tables, facts, tables.causes[next].id),
                                    .chance = one.chance,
                                    .probability = one.causes[places[i]]});
      }
    }
  }
  for (Explanation& one : all) {
    std::stable_sort(one.overturns.begin(), one.overturns.end(),
                     [](const Overturn& a, const Overturn& b) { return a.chance > b.chance; });
  }
  return all;
}

}  // namespace fw::diagnosis
