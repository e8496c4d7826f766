// SPDX-License-Identifier: Apache-2.0
#include "diagnosis/model.hpp"

#include <algorithm>
#include <cmath>
#include <map>

#include <fmt/format.h>

#include "base/contract.hpp"
#include "numerics/draw.hpp"
#include "numerics/normal.hpp"
#include "numerics/stream.hpp"

namespace fw::diagnosis {

namespace {

/// 90 % factor in odds (or of a ratio minus 1) that a stated number's spread stands for.
double odds_factor(const Stated& stated) {
  switch (stated.spread.kind) {
    case SpreadKind::exact: return 1.0;
    case SpreadKind::lognormal: return stated.spread.factor;
    default: break;
  }
  const numerics::Band band = numerics::band_90(stated);
  if (!(band.low > 0.0) || !(band.high > band.low)) return 1.0;
  return std::sqrt(band.high / band.low);
}

class Builder {
 public:
  Builder(const Tables& tables, const std::optional<TableDraw>& draw) : tables_(tables), draw_(draw) {}

  Model build() {
    causes();
    mechanisms();
    for (const FindingRow& row : tables_.findings) finding(row);
    return std::move(model_);
  }

 private:
  /// exp(z ln factor / 1.645) with z of this id in this sample; 1 without a draw.
  double factor_at(double factor_90, const std::string& id) const {
    if (!draw_ || factor_90 <= 1.0) return 1.0;
    const double u =
        numerics::uniform(draw_->seed, numerics::key_of("diagnosis." + id), numerics::Purpose::input, draw_->sample);
    return std::exp(numerics::standard_normal_quantile(u) * std::log(factor_90) / numerics::normal_95);
  }
  double rate(const Stated& stated, const std::string& id) const {
    const double factor = factor_at(odds_factor(stated), id);
    const double odds = stated.value / (1.0 - stated.value) * factor;
    return odds / (1.0 + odds);
  }
  /// Numbers with the ratios and the absent rate of this finding's mark drawn.
  Numbers numbers_of(const std::string& finding, const std::string& target) const {
    Numbers numbers = tables_.numbers;
    if (!draw_) return numbers;
    numbers.absent_rate.value = rate(numbers.absent_rate, finding + ".absent_rate");
    for (Stated* ratio : {&numbers.weak, &numbers.moderate, &numbers.strong}) {
      const double factor = factor_at(odds_factor(*ratio), fmt::format("{}.{}", finding, target));
      ratio->value = 1.0 + (ratio->value - 1.0) * factor;
      // LR l0 < 1 must hold; a strong ratio stops short of it.
      ratio->value = std::min(ratio->value, 0.98 / numbers.absent_rate.value);
    }
    return numbers;
  }

  std::size_t add(Node node, const std::string& id) {
    model_.network.nodes.push_back(std::move(node));
    place_[id] = model_.network.nodes.size() - 1;
    return model_.network.nodes.size() - 1;
  }

  void causes() {
    const std::vector<double> priors = calibrated_priors(tables_);
    NoisyOr all{.leak = 0.0, .links = {}, .inhibitors = {}};
    for (std::size_t i = 0; i < tables_.causes.size(); ++i) {
      const std::string& id = tables_.causes[i].id;
      model_.causes.push_back(add({.name = id,
                                   .states = {"present", "absent"},
                                   .parents = {},
                                   .table = {priors[i], 1.0 - priors[i]},
                                   .noisy_or = {}},
                                  id));
      all.links.push_back(1.0);
    }
    model_.complaint = add({.name = "complaint",
                            .states = {"present", "absent"},
                            .parents = model_.causes,
                            .table = {},
                            .noisy_or = std::move(all)},
                           "complaint");
  }

  void mechanisms() {
    for (const MechanismRow& row : tables_.mechanisms) {
      Node node{.name = row.id, .states = {"present", "absent"}, .parents = {}, .table = {}, .noisy_or = {}};
      NoisyOr either{.leak = rate(row.absent_rate, row.id + ".absent_rate"), .links = {}, .inhibitors = {}};
      for (const auto& [from, link] : row.links) {
        node.parents.push_back(place_.at(from));
        either.links.push_back(rate(link, row.id + "." + from));
      }
      node.noisy_or = std::move(either);
      model_.mechanisms.push_back(add(std::move(node), row.id));
    }
  }

  void finding(const FindingRow& row) {
    Node node{.name = row.id, .states = {"present", "absent"}, .parents = {}, .table = {}, .noisy_or = {}};
    if (!row.grades_of.empty()) return graded(row, std::move(node));
    NoisyOr either{.leak = numbers_of(row.id, "").absent_rate.value, .links = {}, .inhibitors = {}};
    // The one mark with a number for absence sets how often the finding stands without a cause.
    for (const Mark& mark : row.marks) {
      if (mark.present > 0 && mark.absent < 0) either.leak = rates(mark, row).absent;
    }
    for (const Mark& mark : row.marks) {
      node.parents.push_back(place_.at(mark.target));
      if (mark.present < 0) {
        either.links.push_back(0.0);
        either.inhibitors.push_back(1.0 - 1.0 / ratio_of(numbers_of(row.id, mark.target), -mark.present));
      } else {
        double present = rates(mark, row).present;
        if (mark.absent == 0) {
          present = std::min(0.98, ratio_of(numbers_of(row.id, mark.target), mark.present) * either.leak);
        }
        either.links.push_back(1.0 - (1.0 - present) / (1.0 - either.leak));
        either.inhibitors.push_back(0.0);
      }
    }
    const auto none = [](double inhibitor) { return inhibitor == 0.0; };
    if (std::all_of(either.inhibitors.begin(), either.inhibitors.end(), none)) either.inhibitors.clear();
    node.noisy_or = std::move(either);
    model_.findings.push_back(add(std::move(node), row.id));
  }

  Rates rates(const Mark& mark, const FindingRow& row) const {
    const Result<Rates> both = rates_of(mark, numbers_of(row.id, mark.target));
    FW_EXPECTS(both.has_value());
    return *both;
  }

  /// States: the grades, weakest first, then absent. Without the cause the absent rate is shared among the grades.
  void graded(const FindingRow& row, Node node) {
    const Numbers numbers = numbers_of(row.id, row.grades_of);
    const double each = numbers.absent_rate.value / static_cast<double>(row.grades.size());
    node.states.clear();
    double sum_present = 0.0;
    std::vector<double> present;
    std::vector<double> absent;
    for (const Grade& grade : row.grades) {
      node.states.push_back(grade.title);
      present.push_back(ratio_of(numbers, grade.mark) * each);
      absent.push_back(each);
      sum_present += present.back();
    }
    node.states.emplace_back("absent");
    present.push_back(1.0 - sum_present);
    absent.push_back(1.0 - numbers.absent_rate.value);
    node.parents = {place_.at(row.grades_of)};
    node.table = std::move(present);
    node.table.insert(node.table.end(), absent.begin(), absent.end());
    model_.findings.push_back(add(std::move(node), row.id));
  }

  const Tables& tables_;
  const std::optional<TableDraw>& draw_;
  Model model_;
  std::map<std::string, std::size_t, std::less<>> place_;
};

}  // namespace

std::vector<double> calibrated_priors(const Tables& tables) {
  const double complaint = tables.numbers.complaint_rate.value;
  const double not_listed = tables.numbers.not_listed.value * complaint;
  const double group =
      1.0 - std::pow((1.0 - complaint) / (1.0 - not_listed), 1.0 / static_cast<double>(tables.groups.size()));
  std::vector<double> priors;
  for (const CauseRow& row : tables.causes) {
    if (row.id == not_listed_id) {
      priors.push_back(not_listed);
      continue;
    }
    const auto size = std::count_if(tables.causes.begin(), tables.causes.end(),
                                    [&](const CauseRow& other) { return other.group == row.group; });
    priors.push_back(1.0 - std::pow(1.0 - group, 1.0 / static_cast<double>(size)));
  }
  return priors;
}

Result<Model> build_model(const Tables& tables, const std::optional<TableDraw>& draw) {
  if (const auto sound = check(tables); !sound) return fail(sound.error());
  return Builder(tables, draw).build();
}

}  // namespace fw::diagnosis
