// SPDX-License-Identifier: Apache-2.0
#include "assess/extent_losses.hpp"

#include <algorithm>
#include <array>
#include <bit>
#include <cmath>
#include <functional>
#include <numeric>

#include <fmt/format.h>
#include <fmt/ranges.h>

#include "assess/kept_sections.hpp"
#include "assess/metal_way.hpp"
#include "base/contract.hpp"
#include "numerics/draw.hpp"
#include "numerics/stream.hpp"

namespace fw::assess {

namespace {

using debris::Place;
using extent::OptionKind;

constexpr double hour_s = 3600.0;
constexpr std::string_view decision_id = "extent";
constexpr std::string_view no_pump_id = "no-pump";
constexpr std::string_view shed_id = "shed";

bool without_pump(OptionKind kind) { return kind == OptionKind::supply_side; }

/// The table's option that speaks of the same work; nullptr: none.
const diagnosis::Option* row_of(const diagnosis::Decision* rows, std::string_view id) {
  if (rows == nullptr) return nullptr;
  const auto found = std::ranges::find(rows->options, id, &diagnosis::Option::id);
  return found == rows->options.end() ? nullptr : &*found;
}

std::string_view row_id(OptionKind kind) {
  return kind == OptionKind::pump_and_high_side ? std::string_view("high-side") : extent::id(kind);
}

/// An odds of a chance, drawn with the factor of its spread.
double drawn_chance(const Stated& chance, std::uint64_t seed, std::uint32_t sample) {
  const numerics::Band band = numerics::band_90(chance);
  const bool spread = chance.spread.kind != SpreadKind::exact && band.low > 0.0 && band.high > band.low;
  if (!spread) return chance.value;
  const double factor =
      chance.spread.kind == SpreadKind::lognormal ? chance.spread.factor : std::sqrt(band.high / band.low);
  const Stated odds{.value = chance.value / (1.0 - chance.value),
                    .spread = {.kind = SpreadKind::lognormal, .factor = factor},
                    .id = chance.id};
  const double drawn = numerics::draw(odds, seed, sample);
  return drawn / (1.0 + drawn);
}

/// One option of the decision, with a loss for each truth in each draw, and further misses of single causes.
struct Column {
  diagnosis::Option option;
  std::vector<std::vector<double>> by_truth_s;  ///< by draw, 2^m
  std::vector<std::pair<std::string, std::vector<double>>> causes_s;
};

double mean(const std::vector<double>& values) {
  return std::accumulate(values.begin(), values.end(), 0.0) / static_cast<double>(values.size());
}

/// Works the columns out of the options.
class Losing {
 public:
  Losing(const extent::Decision& decision, const extent::DecisionInput& input, const diagnosis::Losses& table,
         std::uint64_t seed)
      : decision_(decision), input_(input), table_(table), seed_(seed), stretches_(stretches(input.story.origin)) {
    const auto found = std::ranges::find(table.decisions, decision_id, &diagnosis::Decision::id);
    if (found != table.decisions.end()) rows_ = &*found;
  }

  /// Why the table has to stand in; "" it has not.
  [[nodiscard]] std::string why_not() const {
    if (input_.findings.empty()) return "nobody has looked for metal yet";
    if (!input_.prices) return "metal.toml has no prices";
    if (input_.prices->labour_per_hour.minor <= 0) return "the labour rate is 0";
    if (decision_.verdict != extent::Verdict::recommended) return "no metal was found so far";
    if (!table_.verify_s.given()) return "the catalog has no hours of testing what a partial repair leaves";
    for (const extent::OptionResult& one : decision_.options) {
      if (counts(one) && !one.likely_cost) {
        return fmt::format("no price of {}", fmt::join(one.missing_prices, ", "));
      }
    }
    const bool pump = std::ranges::any_of(
        decision_.options, [&](const extent::OptionResult& one) { return counts(one) && !without_pump(one.kind); });
    return pump ? std::string() : std::string("the shop's policy bars every option with a pump");
  }

  ExtentLosses losses() {
    prepare();
    std::vector<Column> columns;
    if (const diagnosis::Option* row = row_of(rows_, no_pump_id);
        row != nullptr && input_.story.origin == debris::MetalOrigin::high_pressure_pump) {
      columns.push_back(no_pump(*row));
    }
    for (const extent::OptionResult* one : options_) columns.push_back(column(*one));
    ExtentLosses result;
    diagnosis::Losses& losses = result.losses;
    losses = table_;
    losses.source = diagnosis::LossSource::extent;
    losses.why.clear();
    losses.draws.assign(draws_, {});
    std::erase_if(losses.decisions, [](const diagnosis::Decision& one) { return one.id == decision_id; });
    if (columns.size() > 1) {
      diagnosis::Decision decision{.id = std::string(decision_id),
                                   .title = rows_ == nullptr ? "how much is replaced" : rows_->title,
                                   .options = {}};
      for (Column& one : columns) decision.options.push_back(settle(std::move(one), losses.draws, result.misfit_s));
      losses.decisions.insert(losses.decisions.begin(), std::move(decision));
    }
    const std::size_t others = columns.size() > 1 ? 1 : 0;
    for (std::size_t i = others; i < losses.decisions.size(); ++i) leave_or_treat(losses.decisions[i], losses.draws);
    return result;
  }

 private:
  [[nodiscard]] bool counts(const extent::OptionResult& one) const {
    if (one.kind == OptionKind::whole_and_upgrade || one.standing == extent::Standing::not_offered) return false;
    return !extent::is_partial(one.kind) || !decision_.whole_by_magnet;
  }

  void prepare() {
    for (const extent::OptionResult& one : decision_.options) {
      if (counts(one)) options_.push_back(&one);
    }
    FW_EXPECTS(!options_.empty());
    draws_ = options_.front()->cost_draws_minor.size();
    for (const extent::OptionResult* one : options_) {
      draws_ = std::min({draws_, one->cost_draws_minor.size(), one->dose_by_place.size()});
    }
    FW_EXPECTS(draws_ > 0);
    per_s_ = static_cast<double>(input_.prices->labour_per_hour.minor) / hour_s;
    const extent::PriceBand& band = input_.prices->comeback_loss;
    const auto low = static_cast<double>(band.low.minor);
    const auto high = static_cast<double>(band.high.minor);
    const Stated loss{
        .value = 0.5 * (low + high),
        .spread = high > low ? Spread{.kind = SpreadKind::triangular, .low = low, .high = high} : Spread{},
        .id = "extent.comeback_loss"};
    for (std::size_t d = 0; d < draws_; ++d) {
      const auto sample = static_cast<std::uint32_t>(d);
      comeback_s_.push_back(numerics::draw(loss, seed_, sample) / per_s_);
      chance_.push_back(extent::draw_comeback(input_.prior, seed_, sample));
    }
    // What a repair costs that is done because the first had no pump: the best one under each truth.
    const std::size_t truths = std::size_t{1} << stretches_.size();
    std::vector<std::vector<std::vector<double>>> with_pump;
    for (const extent::OptionResult* one : options_) {
      if (!without_pump(one->kind)) with_pump.push_back(own_losses(*one));
    }
    FW_EXPECTS(!with_pump.empty());
    again_s_.assign(draws_, std::vector<double>(truths, 0.0));
    for (std::size_t truth = 0; truth < truths; ++truth) {
      const auto expected = [&](const std::vector<std::vector<double>>& option) {
        double sum_s = 0.0;
        for (const std::vector<double>& draw : option) sum_s += draw[truth];
        return sum_s;
      };
      const auto best = std::ranges::min_element(with_pump, {}, expected);
      for (std::size_t d = 0; d < draws_; ++d) again_s_[d][truth] = (*best)[d][truth];
    }
  }

  /// C + K p(S) of an option, by draw and truth.
  [[nodiscard]] std::vector<std::vector<double>> metal_losses(const extent::OptionResult& one) const {
    const std::size_t truths = std::size_t{1} << stretches_.size();
    std::vector<std::vector<double>> all(draws_, std::vector<double>(truths, 0.0));
    for (std::size_t d = 0; d < draws_; ++d) {
      const auto& dose = one.dose_by_place[d];
      std::vector<double> of_stretch(stretches_.size(), 0.0);
      double rest = std::accumulate(dose.begin(), dose.end(), 0.0);
      for (std::size_t i = 0; i < stretches_.size(); ++i) {
        for (const Place place : stretches_[i].places) of_stretch[i] += dose[static_cast<std::size_t>(place)];
        rest -= of_stretch[i];
      }
      for (std::size_t truth = 0; truth < truths; ++truth) {
        double n14 = std::max(0.0, rest);
        for (std::size_t i = 0; i < stretches_.size(); ++i) n14 += ((truth >> i) & 1U) != 0U ? of_stretch[i] : 0.0;
        all[d][truth] = one.cost_draws_minor[d] / per_s_ + comeback_s_[d] * extent::comeback(chance_[d], n14).value();
      }
    }
    return all;
  }

  /// Truths of an option without a pump: the statement "shed" is the highest bit.
  [[nodiscard]] std::vector<double> without(double cost_s, const std::vector<double>& own_s, std::size_t d) const {
    const std::size_t truths = again_s_[d].size();
    std::vector<double> all(2 * truths, 0.0);
    for (std::size_t truth = 0; truth < all.size(); ++truth) {
      const std::size_t metal = truth % truths;
      all[truth] = truth >= truths ? cost_s + comeback_s_[d] + again_s_[d][metal] : own_s[metal];
    }
    return all;
  }

  Column no_pump(const diagnosis::Option& row) const {
    Column column{.option = row, .by_truth_s = {}, .causes_s = {}};
    const std::vector<double> hours_s = drawn(row.cost_s, row.cost_spread, "losses.extent.no-pump");
    const std::size_t truths = std::size_t{1} << stretches_.size();
    for (std::size_t d = 0; d < draws_; ++d) {
      const std::vector<double> own_s(truths, hours_s[d] + comeback_s_[d] * chance_[d].base);
      column.by_truth_s.push_back(without(hours_s[d], own_s, d));
    }
    column.option.labour_s = row.cost_s;
    wrong_by_cause(row, true, column);
    return column;
  }

  Column column(const extent::OptionResult& one) const {
    Column column;
    column.option.id = extent::id(one.kind);
    column.option.title = extent::name(one.kind);
    column.option.labour_s = 0.5 * (one.labour.low + one.labour.high) * hour_s;
    if (asks_first(one)) {
      column.option.title += ", its places tested first";
      *column.option.labour_s += table_.verify_s.value;
    }
    column.by_truth_s = own_losses(one);
    if (without_pump(one.kind)) {
      for (std::size_t d = 0; d < draws_; ++d) {
        column.by_truth_s[d] = without(one.cost_draws_minor[d] / per_s_, column.by_truth_s[d], d);
      }
    }
    if (const diagnosis::Option* row = row_of(rows_, row_id(one.kind)); row != nullptr) {
      wrong_by_cause(*row, false, column);
    }
    return column;
  }

  /// Whether the places it leaves have to be tested before it may be done.
  [[nodiscard]] static bool asks_first(const extent::OptionResult& one) {
    return extent::is_partial(one.kind) && one.standing == extent::Standing::not_on_this_evidence;
  }

  /// As metal_losses(); where it asks first the places are opened and tested, and what is not clean makes it the whole
  /// system.
  [[nodiscard]] std::vector<std::vector<double>> own_losses(const extent::OptionResult& one) const {
    std::vector<std::vector<double>> own_s = metal_losses(one);
    const auto whole = std::ranges::find(options_, OptionKind::whole_system, &extent::OptionResult::kind);
    if (!asks_first(one) || whole == options_.end()) return own_s;
    const std::vector<std::vector<double>> whole_s = metal_losses(**whole);
    const std::vector<double> tests_s = drawn(table_.verify_s.value, table_.verify_s.spread, "losses.verify");
    for (std::size_t d = 0; d < draws_; ++d) {
      for (std::size_t truth = 1; truth < own_s[d].size(); ++truth) own_s[d][truth] = whole_s[d][truth];
      for (double& loss_s : own_s[d]) loss_s += tests_s[d];
    }
    return own_s;
  }

  /// Causes that the table names for this option: it comes back, and gets the pump that it did not get.
  void wrong_by_cause(const diagnosis::Option& row, bool needs_pump, Column& column) const {
    for (const auto& [id, loss_s] : row.miss_s) {
      if (id == shed_id || std::ranges::find(stretches_, id, &Stretch::mechanism) != stretches_.end()) continue;
      std::vector<double> all_s;
      for (std::size_t d = 0; d < draws_; ++d) all_s.push_back(comeback_s_[d] + (needs_pump ? again_s_[d][0] : 0.0));
      column.causes_s.emplace_back(id, std::move(all_s));
    }
  }

  /// Means as the option's numbers, draws behind those of the decisions before it.
  diagnosis::Option settle(Column column, std::vector<std::vector<double>>& draws, double& misfit_s) const {
    diagnosis::Option option = std::move(column.option);
    option.miss_s.clear();
    option.cost_spread = {};
    option.miss_spreads.clear();
    const std::size_t truths = column.by_truth_s.front().size();
    std::vector<double> expected_s(truths, 0.0);
    for (std::size_t d = 0; d < draws_; ++d) {
      for (std::size_t truth = 0; truth < truths; ++truth) {
        expected_s[truth] += column.by_truth_s[d][truth] / static_cast<double>(draws_);
      }
      draws[d].push_back(column.by_truth_s[d][0]);
      for (const double loss_s : shared_among(column.by_truth_s[d])) draws[d].push_back(std::max(0.0, loss_s));
      for (const auto& [id, all_s] : column.causes_s) draws[d].push_back(all_s[d]);
    }
    option.cost_s = expected_s[0];
    const std::vector<double> shares_s = shared_among(expected_s);
    for (std::size_t i = 0; i < shares_s.size(); ++i) {
      const std::string_view id = i < stretches_.size() ? stretches_[i].mechanism : shed_id;
      option.miss_s.emplace_back(id, std::max(0.0, shares_s[i]));
    }
    for (const auto& [id, all_s] : column.causes_s) option.miss_s.emplace_back(id, mean(all_s));
    for (std::size_t truth = 0; truth < truths; ++truth) {
      double sum_s = expected_s[0];
      for (std::size_t i = 0; i < shares_s.size(); ++i) sum_s += ((truth >> i) & 1U) != 0U ? shares_s[i] : 0.0;
      misfit_s = std::max(misfit_s, std::abs(sum_s - expected_s[truth]));
    }
    return option;
  }

  /// A decision to treat a cause or leave it; others of the table stay as they are.
  void leave_or_treat(diagnosis::Decision& decision, std::vector<std::vector<double>>& draws) const {
    const OptionKind first = decision_.first.value_or(OptionKind::whole_system);
    const auto repair = std::ranges::find(decision_.options, first, &extent::OptionResult::kind);
    for (diagnosis::Option& option : decision.options) {
      const std::string id = (decision.from_treatment ? std::string("treatment") : decision.id) + "." + option.id;
      const std::vector<double> cost_s = drawn(option.cost_s, option.cost_spread, "losses." + id);
      for (std::size_t d = 0; d < draws_; ++d) draws[d].push_back(cost_s[d]);
      for (std::size_t i = 0; i < option.miss_s.size(); ++i) {
        std::vector<double> all_s;
        if (decision.from_treatment && repair->likely_cost && table_.again.given()) {
          for (std::size_t d = 0; d < draws_; ++d) {
            const double again = drawn_chance(table_.again, seed_, static_cast<std::uint32_t>(d));
            all_s.push_back(again * (repair->cost_draws_minor[d] / per_s_ + comeback_s_[d]));
          }
          option.miss_s[i].second = mean(all_s);
          if (!option.miss_spreads.empty()) option.miss_spreads[i] = {};
        } else {
          const Spread spread = option.miss_spreads.empty() ? Spread{} : option.miss_spreads[i];
          all_s = drawn(option.miss_s[i].second, spread, "losses." + id + "." + option.miss_s[i].first);
        }
        for (std::size_t d = 0; d < draws_; ++d) draws[d].push_back(all_s[d]);
      }
    }
  }

  [[nodiscard]] std::vector<double> drawn(double value, const Spread& spread, std::string id) const {
    const Stated stated{.value = value, .spread = spread, .id = std::move(id)};
    std::vector<double> all;
    for (std::size_t d = 0; d < draws_; ++d) {
      all.push_back(std::max(0.0, numerics::draw(stated, seed_, static_cast<std::uint32_t>(d))));
    }
    return all;
  }

  const extent::Decision& decision_;
  const extent::DecisionInput& input_;
  const diagnosis::Losses& table_;
  std::uint64_t seed_;
  std::vector<Stretch> stretches_;
  const diagnosis::Decision* rows_ = nullptr;
  std::vector<const extent::OptionResult*> options_;
  std::size_t draws_ = 0;
  double per_s_ = 0.0;
  std::vector<double> comeback_s_;            ///< K by draw
  std::vector<extent::ComebackDraw> chance_;  ///< by draw
  std::vector<std::vector<double>> again_s_;  ///< best repair with a pump, by draw and truth
};

}  // namespace

std::vector<Stretch> stretches(debris::MetalOrigin origin) {
  std::vector<Stretch> all{{.mechanism = "debris-rail", .places = {Place::pipes, Place::rail}},
                           {.mechanism = "debris-injectors", .places = {Place::injectors, Place::leak_off}},
                           {.mechanism = "debris-return", .places = {Place::return_line, Place::cooler}},
                           {.mechanism = "debris-tank", .places = {Place::tank}}};
  // Metal of the high-pressure pump comes to the supply line by way of the tank.
  if (origin == debris::MetalOrigin::high_pressure_pump) {
    for (const Place place : {Place::pickup_screen, Place::suction_line, Place::primary_filter, Place::assist_pump,
                              Place::pressure_line, Place::final_filter, Place::final_clean_side}) {
      all.back().places.push_back(place);
    }
  }
  return all;
}

std::vector<double> shared_among(std::span<const double> by_truth) {
  FW_EXPECTS(std::has_single_bit(by_truth.size()) && by_truth.size() <= 1024);
  const auto m = static_cast<std::size_t>(std::countr_zero(by_truth.size()));
  std::vector<double> factorial{1.0};
  for (std::size_t i = 1; i <= m; ++i) factorial.push_back(factorial.back() * static_cast<double>(i));
  std::vector<double> shares(m, 0.0);
  for (std::size_t set = 0; set < by_truth.size(); ++set) {
    const auto size = static_cast<std::size_t>(std::popcount(set));
    for (std::size_t i = 0; i < m; ++i) {
      const std::size_t bit = std::size_t{1} << i;
      if ((set & bit) != 0) continue;
      shares[i] += factorial[size] * factorial[m - size - 1] / factorial[m] * (by_truth[set | bit] - by_truth[set]);
    }
  }
  return shares;
}

diagnosis::Losses losses_of_table(const diagnosis::Losses& table, std::uint64_t seed, std::string why) {
  diagnosis::Losses losses = diagnosis::with_draws(table, seed, loss_draws);
  losses.source = diagnosis::LossSource::catalog;
  losses.why = std::move(why);
  return losses;
}

ExtentLosses losses_of_extent(const extent::Decision& decision, const extent::DecisionInput& input,
                              const diagnosis::Losses& table, std::uint64_t seed) {
  Losing losing(decision, input, table, seed);
  if (std::string why = losing.why_not(); !why.empty()) {
    return {.losses = losses_of_table(table, seed, std::move(why)), .misfit_s = 0.0};
  }
  return losing.losses();
}

Result<diagnosis::Losses> losses_of_case(const casefile::Case& job, const diagnosis::Losses& table, std::uint64_t seed,
                                         const Run& run, SectionStore& store) {
  if (!job.metal) return losses_of_table(table, seed, "the case has no metal.toml");
  const extent::DecisionInput& stated = job.metal->input;
  if (stated.findings.empty() || !stated.prices) return losses_of_extent({}, stated, table, seed).losses;
  const auto failed = [&](const Errors& errors) -> Result<diagnosis::Losses> {
    if (errors.front().code == ErrorCode::cancelled) return fail(errors);
    return losses_of_table(table, seed, "the extent of the case cannot be worked out (see extent)");
  };
  const auto joined = metal_input(*job.metal, job.sheets, job.as_found, run);
  if (!joined) return failed(joined.error());
  const auto map = kept_debris(joined->input, seed, run, store);
  if (!map) return failed(map.error());
  const auto decision = kept_extent(*map, joined->input, seed, run, store);
  if (!decision) return failed(decision.error());
  return losses_of_extent(*decision, joined->input, table, seed).losses;
}

}  // namespace fw::assess
