// SPDX-License-Identifier: Apache-2.0
#include "diagnosis/readings.hpp"

#include <algorithm>
#include <array>
#include <bit>
#include <cmath>
#include <limits>
#include <map>
#include <numbers>

#include <fmt/format.h>
#include <Eigen/Dense>

#include "base/contract.hpp"
#include "diagnosis/foretold.hpp"
#include "diagnosis/inference.hpp"
#include "diagnosis/model.hpp"
#include "numerics/normal.hpp"
#include "numerics/stream.hpp"

namespace fw::diagnosis {

namespace {

constexpr std::array<std::string_view, 9> measure_names{"pressure",        "return flow",         "volts",
                                                        "current",         "rail while cranking", "leak-down",
                                                        "injector return", "relief return",       "rail at rest"};
constexpr std::size_t first_draws = 128;
constexpr std::size_t growth = 2;
constexpr std::size_t most_targets = 10;  // the table of a node over them has 2^n rows
// Steps of two low-discrepancy sequences: the golden ratio, and that of x^3 = x + 1.
constexpr double golden = 0.6180339887498949;
constexpr double plastic = 0.7548776662466927;

bool shares_discrepancy(Measure measure) {
  return measure != Measure::volts && measure != Measure::current && measure != Measure::rail_at_rest;
}

constexpr double prior_share = 0.2;      // of a further round's draws are drawn as in the first one
constexpr double widest_move = 0.15;     // half-width of a further draw's severity about a good one, in probability
constexpr double narrowest_move = 0.02;  // and where many good draws lie close together
// Shares of that half-width, one in three draws each: a sharp reading leaves little room about a good draw.
constexpr std::array<double, 3> move_scales{1.0, 0.25, 0.0625};
constexpr double tempered_share = 0.125;  // of the draws, effective, that a further round starts from
constexpr double lonely_below = 10.0;     // effective draws under which a mean says little of its hypothesis
constexpr double climbs_from = 0.25;      // of the gap to the best, gained in one round
constexpr double leans_from = 3.0;        // standard errors from which a reading hangs on a nuisance
// Of the draws about a good one, those that keep their own nuisances: under a strong fault the readings hang on other
// nuisances than in a healthy supply, where the fit is made.
constexpr double own_share = 0.5;
constexpr std::size_t most_anchors = 64;
constexpr std::size_t fewest_to_fit = 32;  // healthy draws from which the nuisances are fitted

/// How the targets of a hypothesis show: by target the place in its ways, -1 for nothing, and the severity.
struct Shows {
  std::vector<int> ways;
  std::vector<double> severity;
};

/// How the readings hang on the nuisances, fitted to the healthy draws: y = y0 + slopes z, z normal scores.
struct Linear {
  std::vector<std::size_t> leading;    ///< nuisances that a reading hangs on
  Eigen::MatrixXd slopes;              ///< counted readings by leading nuisances
  Eigen::MatrixXd gain;                ///< of a reading's residual on the nuisances' means
  Eigen::MatrixXd root;                ///< Cholesky root of the nuisances' covariance given the readings
  double log_root = 0.0;               ///< ln of its determinant
  Eigen::LLT<Eigen::MatrixXd> spread;  ///< covariance of a reading's residual, nuisances free
};

/// Good draws that show the same way, as a proposal: severities about theirs, nuisances as the readings then have them.
struct Component {
  double weight = 0.0;  ///< of all components, sum 1
  std::vector<int> ways;
  std::vector<std::vector<double>> anchors;  ///< severities
  std::vector<double> anchor_weights;        ///< sum 1
  std::vector<double> move;                  ///< half-width by target
  std::vector<Eigen::VectorXd> means;        ///< by anchor, of the leading nuisances, in units of Linear::root
};

/// A round of draws: from the prior, or most of them from the components.
struct Round {
  std::size_t count = 0;
  std::vector<Component> components;
};

/// A set of present targets and its draws.
struct Hypothesis {
  std::vector<std::size_t> targets;
  std::string key;  ///< names its draws
  std::vector<Shows> shows;
  std::vector<std::vector<double>> scores;  ///< normal scores of the nuisances, by draw; made for a second round
  std::vector<Foretold> draws;
  std::vector<double> log_likelihood;
  std::vector<Round> rounds;
  // Of the draws so far:
  std::vector<double> log_weighted;  ///< likelihood times prior over proposal
  double log_mean = -std::numeric_limits<double>::infinity();
  double peak = -std::numeric_limits<double>::infinity();         ///< ln likelihood of the best draw
  double peak_before = -std::numeric_limits<double>::infinity();  ///< and before the last round
  double log_prior = 0.0;
  double effective = 0.0;
  std::size_t unsolved = 0;
};

/// ln of the likelihood of one draw, and its squared distance.
struct Fit {
  double log_likelihood = 0.0;
  double distance2 = 0.0;
};

class Weighing {
 public:
  Weighing(const Tables& tables, const std::vector<Reading>& readings, Foreteller& teller, std::uint64_t seed,
           const Run& run)
      : tables_(tables), readings_(readings), teller_(teller), seed_(seed), run_(run) {
    discrepancy_ = tables.readings.discrepancy.value / numerics::normal_95;
    for (const std::string& id : teller.nuisances()) nuisances_.push_back(numerics::key_of(id));
  }

  Result<WeighedReadings> weigh(Side side, const std::vector<std::size_t>& mine) {
    WeighedReadings result;
    result.side = side;
    result.assumed = teller_.assumed();
    for (const std::size_t i : mine) {
      const InstrumentRow* instrument = tables_.instrument(readings_[i].instrument);
      if (instrument == nullptr) {
        return fail(reading_fault(readings_[i], ErrorCode::not_found, "reading.instrument",
                                  "\"" + readings_[i].instrument + "\"", "an instrument of the tables"));
      }
      sigma_.push_back(error_of(*instrument, readings_[i]) / numerics::normal_95);
      shared_.push_back(shares_discrepancy(readings_[i].measure));
      value_.push_back(readings_[i].value);
      result.readings.push_back({.reading = i, .tags = teller_.tags(i)});
      const system::EnginePoint at = readings_[i].engine;
      result.readings.back().under_load =
          at != system::EnginePoint::stopped && at != system::EnginePoint::crank && at != system::EnginePoint::idle;
      in_model_.push_back(teller_.known(i));
    }
    make_hypotheses();
    if (auto weighed = weigh_sets(); !weighed) return fail(weighed.error());
    for (const TargetFaults& one : teller_.targets()) result.targets.push_back(one.target);
    std::vector<std::size_t> all(hypotheses_.size());
    for (std::size_t h = 0; h < all.size(); ++h) all[h] = h;
    if (auto drawn = draw(all, first_draws, mine); !drawn) return fail(drawn.error());
    judge_each(result);
    if (std::none_of(counted_.begin(), counted_.end(), [](bool one) { return one; })) {
      result.standing = ReadingStanding::none;
      return result;
    }
    score();
    fit_nuisances();
    for (std::size_t count = first_draws * growth; count <= most_draws; count *= growth) {
      const std::vector<std::size_t> poor = poor_ones(count == first_draws * growth);
      if (poor.empty()) break;
      for (const std::size_t h : poor) hypotheses_[h].peak_before = hypotheses_[h].peak;
      if (auto drawn = draw(poor, count, mine); !drawn) return fail(drawn.error());
      score();
    }
    conclude(result);
    return result;
  }

 private:
  void make_hypotheses() {
    const auto& targets = teller_.targets();
    const auto add = [&](std::vector<std::size_t> present, std::string key) {
      Hypothesis one;
      one.targets = std::move(present);
      one.key = std::move(key);
      hypotheses_.push_back(std::move(one));
    };
    add({}, "reading.healthy");
    for (std::size_t a = 0; a < targets.size(); ++a) {
      add({a}, "reading." + targets[a].target);
    }
    for (std::size_t a = 0; a < targets.size(); ++a) {
      for (std::size_t b = a + 1; b < targets.size(); ++b) {
        add({a, b}, "reading." + targets[a].target + "+" + targets[b].target);
      }
    }
  }

  /// Chance of each set as the tables have it with the complaint alone, targets taken one by one: what the sets' draws
  /// count for in the effective size.
  Result<void> weigh_sets() {
    const auto model = build_model(tables_);
    if (!model) return fail(model.error());
    std::vector<std::size_t> wanted;
    for (const TargetFaults& one : teller_.targets()) {
      const auto node = model->network.find(one.target);
      if (!node) {
        return fail(Error{.code = ErrorCode::not_found,
                          .where = {.field = "planted.target"},
                          .found = "\"" + one.target + "\"",
                          .expected = "a cause or mechanism of the tables",
                          .hint = "See catalog/diagnosis/readings.toml."});
      }
      wanted.push_back(*node);
    }
    const auto known =
        infer(model->network, {.observed = {{model->complaint, 0}}, .likelihoods = {}, .soft = {}}, wanted);
    if (!known) return fail(known.error());
    for (Hypothesis& one : hypotheses_) {
      one.log_prior = 0.0;
      for (std::size_t t = 0; t < wanted.size(); ++t) {
        const bool present = std::find(one.targets.begin(), one.targets.end(), t) != one.targets.end();
        one.log_prior += std::log(known->marginals[wanted[t]][present ? 0 : 1]);
      }
    }
    return {};
  }

  /// Which way a target shows at a probability; -1: as nothing.
  static int way_at(const TargetFaults& target, double u) {
    double sum = 0.0;
    for (std::size_t w = 0; w < target.ways.size(); ++w) {
      sum += target.chances[w];
      if (u < sum) return static_cast<int>(w);
    }
    return -1;
  }

  /// From the prior. The sequence is the same for all counts of draws, so that further draws add to those before.
  Shows from_prior(const Hypothesis& one, std::size_t sample) const {
    const numerics::InputKey key = numerics::key_of(one.key);
    Shows shows;
    for (std::size_t k = 0; k < one.targets.size(); ++k) {
      const TargetFaults& target = teller_.targets()[one.targets[k]];
      const double start = numerics::uniform(seed_, key, numerics::Purpose::resample, static_cast<std::uint32_t>(k));
      const double at = start + static_cast<double>(sample) * (k == 0 ? golden : plastic);
      shows.ways.push_back(way_at(target, at - std::floor(at)));
      const PlantedAt* way =
          shows.ways.back() < 0 ? nullptr : &target.ways[static_cast<std::size_t>(shows.ways.back())];
      const std::string id =
          way == nullptr ? std::string("reading.nothing")
                         : fmt::format("reading.{}.{}.{}", tables_.planted[way->row].fault, target.target, way->part);
      shows.severity.push_back(
          numerics::uniform(seed_, numerics::key_of(id), numerics::Purpose::input, static_cast<std::uint32_t>(sample)));
    }
    return shows;
  }

  /// Whether the severity of a way is a number at all.
  bool has_amount(const TargetFaults& target, int way) const {
    return way >= 0 && tables_.planted[target.ways[static_cast<std::size_t>(way)].row].amount.has_value();
  }

  /// Own random number of a draw of a further round.
  double uniform(const Hypothesis& one, const std::string& what, std::size_t sample) const {
    return numerics::uniform(seed_, numerics::key_of(one.key + what), numerics::Purpose::resample,
                             static_cast<std::uint32_t>(sample));
  }

  /// Normal scores of the nuisances that a sample has by itself.
  std::vector<double> own_scores(std::size_t sample) const {
    std::vector<double> scores;
    for (const numerics::InputKey key : nuisances_) {
      scores.push_back(numerics::standard_normal_quantile(
          numerics::uniform(seed_, key, numerics::Purpose::input, static_cast<std::uint32_t>(sample))));
    }
    return scores;
  }

  /// The component a draw of a further round comes from; none: from the prior.
  const Component* component_of(const Hypothesis& one, const Round& round, std::size_t sample) const {
    if (round.components.empty()) return nullptr;
    double u = uniform(one, ".component", sample);
    if (u < prior_share) return nullptr;
    u = (u - prior_share) / (1.0 - prior_share);
    std::size_t c = 0;
    for (double sum = round.components[0].weight; c + 1 < round.components.size() && u >= sum;
         sum += round.components[c].weight) {
      ++c;
    }
    return &round.components[c];
  }

  std::size_t anchor_of(const Hypothesis& one, const Component& component, std::size_t sample) const {
    const double u = uniform(one, ".anchor", sample);
    std::size_t a = 0;
    for (double sum = component.anchor_weights[0]; a + 1 < component.anchors.size() && u >= sum;
         sum += component.anchor_weights[a]) {
      ++a;
    }
    return a;
  }

  Shows from_component(const Hypothesis& one, const Component& component, std::size_t a, std::size_t sample) const {
    Shows shows{.ways = component.ways, .severity = {}};
    for (std::size_t k = 0; k < one.targets.size(); ++k) {
      const double at = uniform(one, fmt::format(".move.{}", k), sample);
      double severity = at;
      if (has_amount(teller_.targets()[one.targets[k]], component.ways[k])) {
        const double which = uniform(one, fmt::format(".scale.{}", k), sample) * double{move_scales.size()};
        const double half =
            component.move[k] * move_scales[std::min(move_scales.size() - 1, static_cast<std::size_t>(which))];
        severity = component.anchors[a][k] + half * (2.0 * at - 1.0);
        severity -= std::floor(severity);
      }
      // The ends themselves are no probabilities of a distribution.
      shows.severity.push_back(std::clamp(severity, 1e-12, 1.0 - 1e-12));
    }
    return shows;
  }

  Eigen::VectorXd leading_scores(const Hypothesis& one, std::size_t draw) const {
    Eigen::VectorXd z(static_cast<Eigen::Index>(linear_.leading.size()));
    for (std::size_t n = 0; n < linear_.leading.size(); ++n) {
      z[static_cast<Eigen::Index>(n)] = one.scores[draw][linear_.leading[n]];
    }
    return z;
  }

  /// Residual of the counted readings from a draw as it would be with all leading nuisances at their medians.
  Eigen::VectorXd residual(const Hypothesis& one, std::size_t draw) const {
    Eigen::VectorXd off(linear_.slopes.rows());
    Eigen::Index row = 0;
    for (std::size_t i = 0; i < value_.size(); ++i) {
      if (counted_[i]) off[row++] = value_[i] - one.draws[draw][i];
    }
    if (!linear_.leading.empty()) off += linear_.slopes * leading_scores(one, draw);
    return off;
  }

  /// Scores of the leading nuisances in units of Linear::root. Without any: Eigen's solvers want one unknown at least.
  [[nodiscard]] Eigen::VectorXd whitened(const Eigen::VectorXd& scores) const {
    if (scores.size() == 0) return scores;
    return linear_.root.triangularView<Eigen::Lower>().solve(scores);
  }

  /// Fits the readings to the nuisances over the healthy draws.
  void fit_nuisances() {
    const Hypothesis& healthy = hypotheses_.front();
    std::vector<std::size_t> solved;
    for (std::size_t s = 0; s < healthy.draws.size(); ++s) {
      if (std::isfinite(healthy.log_likelihood[s])) solved.push_back(s);
    }
    std::vector<std::size_t> rows;
    for (std::size_t i = 0; i < value_.size(); ++i) {
      if (counted_[i]) rows.push_back(i);
    }
    const auto m = static_cast<Eigen::Index>(rows.size());
    const auto count = static_cast<double>(solved.size());
    const auto all = static_cast<Eigen::Index>(nuisances_.size());
    Eigen::MatrixXd y = Eigen::MatrixXd::Zero(m, static_cast<Eigen::Index>(solved.size()));
    Eigen::MatrixXd z = Eigen::MatrixXd::Zero(all, static_cast<Eigen::Index>(solved.size()));
    for (std::size_t c = 0; c < solved.size(); ++c) {
      const std::vector<double> own = own_scores(solved[c]);
      for (Eigen::Index n = 0; n < all; ++n) z(n, static_cast<Eigen::Index>(c)) = own[static_cast<std::size_t>(n)];
      for (Eigen::Index i = 0; i < m; ++i) {
        y(i, static_cast<Eigen::Index>(c)) = healthy.draws[solved[c]][rows[static_cast<std::size_t>(i)]];
      }
    }
    Eigen::MatrixXd slopes = Eigen::MatrixXd::Zero(m, all);
    if (solved.size() > fewest_to_fit) {
      y.colwise() -= y.rowwise().mean().eval();
      for (Eigen::Index i = 0; i < m; ++i) {
        const double deviation = std::sqrt(y.row(i).squaredNorm() / count);
        for (Eigen::Index n = 0; n < all; ++n) {
          const double slope = y.row(i).dot(z.row(n)) / z.row(n).squaredNorm();
          if (std::abs(slope) > leans_from * deviation / std::sqrt(count)) slopes(i, n) = slope;
        }
      }
    }
    linear_.leading.clear();
    for (Eigen::Index n = 0; n < all; ++n) {
      if (slopes.col(n).any()) linear_.leading.push_back(static_cast<std::size_t>(n));
    }
    const auto k = static_cast<Eigen::Index>(linear_.leading.size());
    linear_.slopes.resize(m, k);
    Eigen::MatrixXd rest = y;
    for (Eigen::Index n = 0; n < k; ++n) {
      const auto from = static_cast<Eigen::Index>(linear_.leading[static_cast<std::size_t>(n)]);
      linear_.slopes.col(n) = slopes.col(from);
      rest -= slopes.col(from) * z.row(from);
    }
    // What is left: the instruments, the common discrepancy at what was read, and what the fit does not tell.
    Eigen::MatrixXd left = Eigen::MatrixXd::Zero(m, m);
    Eigen::VectorXd common = Eigen::VectorXd::Zero(m);
    for (Eigen::Index i = 0; i < m; ++i) {
      const std::size_t row = rows[static_cast<std::size_t>(i)];
      left(i, i) = sigma_[row] * sigma_[row] + (count > 0.0 ? rest.row(i).squaredNorm() / count : 0.0);
      if (shared_[row]) common[i] = discrepancy_ * value_[row];
    }
    left += common * common.transpose();
    if (k > 0) left += linear_.slopes * linear_.slopes.transpose();
    linear_.spread.compute(left);
    linear_.gain = Eigen::MatrixXd::Zero(k, m);
    linear_.root = Eigen::MatrixXd::Zero(k, k);
    linear_.log_root = 0.0;
    if (k == 0) return;
    linear_.gain = linear_.spread.solve(linear_.slopes).transpose();
    const Eigen::MatrixXd given = Eigen::MatrixXd::Identity(k, k) - linear_.gain * linear_.slopes;
    const Eigen::LLT<Eigen::MatrixXd> root(given);
    linear_.root = root.matrixL();
    linear_.log_root = linear_.root.diagonal().array().log().sum();
  }

  /// Density of a component over that of the prior's severities and nuisances, at a draw that shows its way.
  double density(const Hypothesis& one, const Component& component, std::size_t draw) const {
    const Shows& shows = one.shows[draw];
    const Eigen::VectorXd z = leading_scores(one, draw);
    const Eigen::VectorXd white = whitened(z);
    const double plain = z.squaredNorm();
    double sum = 0.0;
    for (std::size_t a = 0; a < component.anchors.size(); ++a) {
      double kept = component.anchor_weights[a];
      for (std::size_t k = 0; k < one.targets.size(); ++k) {
        if (!has_amount(teller_.targets()[one.targets[k]], component.ways[k])) continue;
        const double off = std::abs(shows.severity[k] - component.anchors[a][k]);
        const double apart = std::min(off, 1.0 - off);
        double kernel = 0.0;
        for (const double scale : move_scales) {
          const double half = scale * component.move[k];
          if (apart <= half) kernel += 0.5 / half / double{move_scales.size()};
        }
        kept *= kernel;
      }
      if (kept > 0.0) {
        // Normal of this anchor over the standard normal.
        const double own = (white - component.means[a]).squaredNorm();
        const double fitted = std::exp(std::clamp(0.5 * (plain - own) - linear_.log_root, -700.0, 700.0));
        kept *= own_share + (1.0 - own_share) * fitted;
      }
      sum += kept;
    }
    return sum;
  }

  /// Prior over the mixture of all rounds' proposals.
  double weight_of(const Hypothesis& one, std::size_t draw) const {
    if (one.rounds.size() == 1) return 1.0;
    double prior = 1.0;
    for (std::size_t k = 0; k < one.targets.size(); ++k) {
      const TargetFaults& target = teller_.targets()[one.targets[k]];
      double chance = 1.0;
      if (one.shows[draw].ways[k] >= 0) {
        chance = target.chances[static_cast<std::size_t>(one.shows[draw].ways[k])];
      } else {
        for (const double each : target.chances) chance -= each;
      }
      prior *= chance;
    }
    double proposal = 0.0;
    for (const Round& round : one.rounds) {
      double mine = prior;
      if (!round.components.empty()) {
        mine *= prior_share;
        for (const Component& component : round.components) {
          if (component.ways != one.shows[draw].ways) continue;
          mine += (1.0 - prior_share) * component.weight * density(one, component, draw);
        }
      }
      proposal += static_cast<double>(round.count) / static_cast<double>(one.draws.size()) * mine;
    }
    return prior / proposal;
  }

  /// Half-width in which a further severity lies about an anchor: Silverman's rule on the good draws' spread on the
  /// circle of probability, wide while few draws are behind it.
  static double move_of(const Component& component, std::size_t target) {
    double squares = 0.0;
    double cosine = 0.0;
    double sine = 0.0;
    for (std::size_t a = 0; a < component.anchors.size(); ++a) {
      const double angle = 2.0 * std::numbers::pi * component.anchors[a][target];
      cosine += component.anchor_weights[a] * std::cos(angle);
      sine += component.anchor_weights[a] * std::sin(angle);
      squares += component.anchor_weights[a] * component.anchor_weights[a];
    }
    const double effective = 1.0 / squares;
    if (effective < 4.0) return widest_move;
    const double length = std::min(1.0 - 1e-12, std::hypot(cosine, sine));
    const double deviation = std::sqrt(-2.0 * std::log(length)) / (2.0 * std::numbers::pi);
    // Half-width of a uniform of the same variance as Silverman's normal.
    const double width = 1.06 * std::sqrt(3.0) * deviation * std::pow(effective, -0.2);
    return std::clamp(width, narrowest_move, widest_move);
  }

  /// The power of the weights at which enough draws are left to start a round from: 1 where they are as they stand,
  /// less where one draw outweighs all others.
  static double temper(const std::vector<double>& log_weighted, double best) {
    const double wanted = tempered_share * static_cast<double>(log_weighted.size());
    const auto effective = [&](double power) {
      double sum = 0.0;
      double squares = 0.0;
      for (const double l : log_weighted) {
        if (!std::isfinite(l)) continue;
        const double share = std::exp(std::max(power * (l - best), -700.0));
        sum += share;
        squares += share * share;
      }
      return sum * sum / squares;
    };
    if (effective(1.0) >= wanted) return 1.0;
    double low = 0.0;
    double high = 1.0;
    for (int i = 0; i < 40; ++i) {
      const double middle = 0.5 * (low + high);
      (effective(middle) >= wanted ? low : high) = middle;
    }
    return low;
  }

  /// A further round: about the draws that hold most of the likelihood.
  Round next_round(Hypothesis& one) const {
    Round round;
    if (one.rounds.empty() || !std::isfinite(one.log_mean)) return round;
    for (std::size_t s = one.scores.size(); s < one.draws.size(); ++s) one.scores.push_back(own_scores(s));
    // How well a draw's faults fit with the nuisances left free.
    std::vector<double> fits(one.draws.size(), -std::numeric_limits<double>::infinity());
    std::vector<Eigen::VectorXd> residuals(one.draws.size());
    for (std::size_t s = 0; s < fits.size(); ++s) {
      if (!std::isfinite(one.log_likelihood[s])) continue;
      residuals[s] = residual(one, s);
      const double distance2 = linear_.spread.matrixL().solve(residuals[s]).squaredNorm();
      fits[s] = one.log_weighted[s] - one.log_likelihood[s] - 0.5 * distance2;
    }
    std::vector<std::size_t> order(one.draws.size());
    for (std::size_t s = 0; s < order.size(); ++s) order[s] = s;
    std::stable_sort(order.begin(), order.end(), [&](std::size_t a, std::size_t b) { return fits[a] > fits[b]; });
    const double best = fits[order.front()];
    if (!std::isfinite(best)) return round;
    const double power = temper(fits, best);
    std::map<std::vector<int>, Component> by_ways;
    double sum = 0.0;
    std::size_t anchors = 0;
    for (const std::size_t s : order) {
      const double share = std::exp(std::max(power * (fits[s] - best), -700.0));
      if (!(share > 1e-6) || anchors++ == most_anchors) break;
      Component& component = by_ways[one.shows[s].ways];
      component.weight += share;
      sum += share;
      component.anchors.push_back(one.shows[s].severity);
      component.anchor_weights.push_back(share);
      component.means.push_back(linear_.leading.empty() ? Eigen::VectorXd() : whitened(linear_.gain * residuals[s]));
    }
    for (auto& [ways, component] : by_ways) {
      component.ways = ways;
      for (double& weight : component.anchor_weights) weight /= component.weight;
      for (std::size_t k = 0; k < one.targets.size(); ++k) component.move.push_back(move_of(component, k));
      component.weight /= sum;
      round.components.push_back(std::move(component));
    }
    return round;
  }

  Result<void> draw(const std::vector<std::size_t>& which, std::size_t count, const std::vector<std::size_t>& mine) {
    std::vector<Ask> asks;
    for (const std::size_t h : which) {
      Hypothesis& one = hypotheses_[h];
      Round round = next_round(one);
      round.count = count - one.draws.size();
      for (std::size_t s = one.draws.size(); s < count; ++s) {
        const Component* component = component_of(one, round, s);
        const std::size_t anchor = component == nullptr ? 0 : anchor_of(one, *component, s);
        Shows shows = component == nullptr ? from_prior(one, s) : from_component(one, *component, anchor, s);
        Ask ask{.faults = {}, .severity = {}, .sample = static_cast<std::uint32_t>(s), .moved = {}};
        if (!round.components.empty()) one.scores.push_back(own_scores(s));
        if (component != nullptr && !linear_.leading.empty() && uniform(one, ".nuisances", s) >= own_share) {
          const Eigen::VectorXd z = linear_.root * (component->means[anchor] + leading_scores(one, s));
          for (std::size_t n = 0; n < linear_.leading.size(); ++n) {
            const double score = z[static_cast<Eigen::Index>(n)];
            one.scores[s][linear_.leading[n]] = score;
            const double u = 0.5 * std::erfc(-score / std::numbers::sqrt2);
            ask.moved.push_back({.nuisance = linear_.leading[n], .probability = std::clamp(u, 1e-12, 1.0 - 1e-12)});
          }
        }
        for (std::size_t k = 0; k < one.targets.size(); ++k) {
          if (shows.ways[k] < 0) continue;
          ask.faults.push_back(teller_.targets()[one.targets[k]].ways[static_cast<std::size_t>(shows.ways[k])]);
          ask.severity.push_back(shows.severity[k]);
        }
        asks.push_back(std::move(ask));
        one.shows.push_back(std::move(shows));
      }
      one.rounds.push_back(std::move(round));
    }
    auto told = teller_.foretell(asks, run_);
    if (!told) return fail(told.error());
    std::size_t next = 0;
    for (const std::size_t h : which) {
      Hypothesis& one = hypotheses_[h];
      while (one.draws.size() < count) {
        Foretold& whole = (*told)[next++];
        Foretold kept;
        for (const std::size_t i : mine) {
          if (!whole.empty()) kept.push_back(whole[i]);
        }
        one.draws.push_back(std::move(kept));
      }
    }
    return {};
  }

  double sigma_at(std::size_t i, double foretold) const {
    return shared_[i] ? std::hypot(sigma_[i], discrepancy_ * foretold) : sigma_[i];
  }

  /// Takes out what the sheet does not foretell and what fits nothing.
  void judge_each(WeighedReadings& result) {
    for (std::size_t i = 0; i < value_.size(); ++i) {
      ReadingFate& fate = result.readings[i];
      double nearest = std::numeric_limits<double>::infinity();
      for (const Hypothesis& one : hypotheses_) {
        for (const Foretold& draw : one.draws) {
          if (draw.empty() || !std::isfinite(draw[i])) continue;
          nearest = std::min(nearest, std::abs(value_[i] - draw[i]) / sigma_at(i, draw[i]));
        }
      }
      double sum = 0.0;
      std::size_t count = 0;
      for (const Foretold& draw : hypotheses_.front().draws) {
        if (draw.empty() || !std::isfinite(draw[i])) continue;
        sum += draw[i];
        ++count;
      }
      if (count > 0) fate.foretold = sum / static_cast<double>(count);
      if (!in_model_[i] || !std::isfinite(nearest)) {
        fate.fate = Fate::not_foretold;
      } else {
        fate.nearest = nearest;
        fate.fate = nearest > fits_within ? Fate::fits_nothing : Fate::counted;
      }
      counted_.push_back(fate.fate == Fate::counted);
    }
  }

  /// Gaussian with a common share of what was foretold: Sherman-Morrison for diag(s^2) + d^2 y y'.
  Fit fit_of(const Foretold& draw) const {
    double log_det = 0.0;
    double squares = 0.0;
    double along = 0.0;
    double common = 0.0;
    for (std::size_t i = 0; i < value_.size(); ++i) {
      if (!counted_[i]) continue;
      const double variance = sigma_[i] * sigma_[i];
      const double off = value_[i] - draw[i];
      log_det += std::log(variance);
      squares += off * off / variance;
      if (!shared_[i]) continue;
      const double share = discrepancy_ * draw[i];
      along += share * off / variance;
      common += share * share / variance;
    }
    const double distance2 = std::max(0.0, squares - along * along / (1.0 + common));
    return {.log_likelihood = -0.5 * (log_det + std::log1p(common) + distance2), .distance2 = distance2};
  }

  void score() {
    for (Hypothesis& one : hypotheses_) {
      for (std::size_t s = one.log_likelihood.size(); s < one.draws.size(); ++s) {
        const Foretold& draw = one.draws[s];
        bool known = !draw.empty();
        for (std::size_t i = 0; known && i < value_.size(); ++i) known = !counted_[i] || std::isfinite(draw[i]);
        if (!known) {
          ++one.unsolved;
          one.log_likelihood.push_back(-std::numeric_limits<double>::infinity());
          continue;
        }
        const Fit fit = fit_of(draw);
        nearest2_ = std::min(nearest2_, fit.distance2);
        one.peak = std::max(one.peak, fit.log_likelihood);
        one.log_likelihood.push_back(fit.log_likelihood);
      }
      const std::size_t solved = one.draws.size() - one.unsolved;
      one.log_weighted.assign(one.draws.size(), -std::numeric_limits<double>::infinity());
      double top = -std::numeric_limits<double>::infinity();
      for (std::size_t d = 0; d < one.draws.size(); ++d) {
        if (!std::isfinite(one.log_likelihood[d])) continue;
        one.log_weighted[d] = one.log_likelihood[d] + std::log(weight_of(one, d));
        top = std::max(top, one.log_weighted[d]);
      }
      one.log_mean = top;
      one.effective = 0.0;
      if (solved == 0 || !std::isfinite(top)) continue;
      double sum = 0.0;
      double squares = 0.0;
      for (const double l : one.log_weighted) {
        if (!std::isfinite(l)) continue;
        const double share = std::exp(std::max(l - top, -700.0));
        sum += share;
        squares += share * share;
      }
      one.log_mean = top + std::log(sum / static_cast<double>(solved));
      one.effective = sum * sum / squares;
    }
  }

  double top() const {
    double best = -std::numeric_limits<double>::infinity();
    for (const Hypothesis& one : hypotheses_) best = std::max(best, one.log_mean);
    return best;
  }
  double relative(const Hypothesis& one, double best) const {
    return std::isfinite(one.log_mean) ? std::exp(std::max(one.log_mean - best, -700.0)) : 0.0;
  }

  /// Share of each set in prior times mean likelihood.
  std::vector<double> shares() const {
    double best = -std::numeric_limits<double>::infinity();
    for (const Hypothesis& one : hypotheses_) best = std::max(best, one.log_prior + one.log_mean);
    std::vector<double> list;
    double sum = 0.0;
    for (const Hypothesis& one : hypotheses_) {
      const double off = one.log_prior + one.log_mean - best;
      list.push_back(std::isfinite(one.log_mean) ? std::exp(std::max(off, -700.0)) : 0.0);
      sum += list.back();
    }
    for (double& one : list) one /= sum;
    return list;
  }

  /// Effective size of the sum over all sets and draws of prior times likelihood.
  double effective_of_all() const {
    const std::vector<double> share = shares();
    double inverse = 0.0;
    for (std::size_t h = 0; h < share.size(); ++h) {
      if (share[h] > 0.0) inverse += share[h] * share[h] / hypotheses_[h].effective;
    }
    return inverse > 0.0 ? 1.0 / inverse : 0.0;
  }

  /// Those to draw again: too few effective draws where it matters, or so few that the mean may be far off: one whose
  /// best draw is good enough, or whose draws still climb towards the readings.
  std::vector<std::size_t> poor_ones(bool first_round) const {
    const std::vector<double> share = shares();
    double best = -std::numeric_limits<double>::infinity();
    for (const Hypothesis& one : hypotheses_) best = std::max(best, one.log_prior + one.log_mean);
    std::vector<std::size_t> list;
    for (std::size_t h = 0; h < hypotheses_.size(); ++h) {
      const Hypothesis& one = hypotheses_[h];
      if (one.effective >= resampled_below || !std::isfinite(one.peak)) continue;
      const bool good_draw = one.log_prior + one.peak >= best + std::log(matters_from);
      const double gap = best - one.log_prior - one.peak_before;
      const bool climbs = one.targets.size() < 2 && (first_round || one.peak - one.peak_before > climbs_from * gap);
      if (share[h] >= matters_from || (one.effective < lonely_below && (good_draw || climbs))) list.push_back(h);
    }
    return list;
  }

  void conclude(WeighedReadings& result) const {
    const double best = top();
    std::size_t count = 0;
    for (const bool one : counted_) count += one ? 1 : 0;
    result.nearest = std::isfinite(nearest2_) ? std::sqrt(nearest2_) : std::numeric_limits<double>::max();
    result.effective = effective_of_all();
    for (const Hypothesis& one : hypotheses_) {
      Score score{.targets = {},
                  .likelihood = relative(one, best),
                  .effective = one.effective,
                  .draws = one.draws.size(),
                  .unsolved = one.unsolved};
      for (const std::size_t t : one.targets) score.targets.push_back(result.targets[t]);
      result.scores.push_back(std::move(score));
    }
    std::stable_sort(result.scores.begin(), result.scores.end(),
                     [](const Score& a, const Score& b) { return a.likelihood > b.likelihood; });
    // Wilson and Hilferty's cube of a normal: chi-square at 99.9 %.
    const double n = static_cast<double>(count);
    const double cube = 1.0 - 2.0 / (9.0 * n) + 3.0902323 * std::sqrt(2.0 / (9.0 * n));
    if (!(nearest2_ <= n * cube * cube * cube)) {
      result.standing = ReadingStanding::fit_nothing;
      return;
    }
    if (result.effective < not_known_below) {
      result.standing = ReadingStanding::few_effective;
      return;
    }
    result.standing = ReadingStanding::counted;
    result.weights = weights(best);
  }

  /// By set of present targets.
  std::vector<double> weights(double best) const {
    const std::size_t targets = teller_.targets().size();
    const double lapse = tables_.readings.lapse.value;
    double mean = 0.0;
    for (const Hypothesis& one : hypotheses_) mean += relative(one, best);
    mean /= static_cast<double>(hypotheses_.size());
    const auto at = [&](std::size_t set) {
      double sum = 0.0;
      std::size_t count = 0;
      for (const Hypothesis& one : hypotheses_) {
        std::size_t mine = 0;
        for (const std::size_t t : one.targets) mine |= std::size_t{1} << t;
        const bool counts = std::popcount(set) <= 2 ? mine == set : (one.targets.size() == 2 && (mine & ~set) == 0);
        if (!counts) continue;
        sum += relative(one, best);
        ++count;
      }
      return (1.0 - lapse) * sum / static_cast<double>(count) + lapse * mean;
    };
    std::vector<double> list;
    for (std::size_t set = 0; set < (std::size_t{1} << targets); ++set) list.push_back(at(set));
    const double most = *std::max_element(list.begin(), list.end());
    for (double& one : list) one /= most;
    return list;
  }

  const Tables& tables_;
  const std::vector<Reading>& readings_;
  Foreteller& teller_;
  std::uint64_t seed_;
  const Run& run_;
  double discrepancy_ = 0.0;
  std::vector<numerics::InputKey> nuisances_;
  std::vector<double> value_;
  std::vector<double> sigma_;
  std::vector<bool> shared_;
  std::vector<bool> in_model_;
  std::vector<bool> counted_;
  std::vector<Hypothesis> hypotheses_;
  Linear linear_;
  double nearest2_ = std::numeric_limits<double>::infinity();
};

}  // namespace

std::string_view name(Measure measure) { return measure_names.at(static_cast<std::size_t>(measure)); }

std::optional<Measure> measure_named(std::string_view text) {
  const auto found = std::find(measure_names.begin(), measure_names.end(), text);
  if (found == measure_names.end()) return std::nullopt;
  return static_cast<Measure>(found - measure_names.begin());
}

units::Dimension dimension_of(Measure measure) {
  switch (measure) {
    case Measure::pressure:
    case Measure::rail_crank:
    case Measure::rail_at_rest: return units::Dimension::gauge_pressure;
    case Measure::volts: return units::Dimension::voltage;
    case Measure::current: return units::Dimension::current;
    case Measure::leak_down: return units::Dimension::time;
    case Measure::return_flow:
    case Measure::injector_return:
    case Measure::relief_return: break;
  }
  return units::Dimension::volume_flow;
}

Side side_of(Measure measure) { return measure >= Measure::rail_crank ? Side::high_side : Side::supply; }

double error_of(const InstrumentRow& instrument, const Reading& reading) {
  const double size = std::abs(reading.value);
  double full_scale = reading.full_scale;
  if (!std::isfinite(full_scale)) {
    full_scale = size <= 200e3 ? 200e3 : size <= 600e3 ? 600e3 : 1600e3;
    if (reading.value < 0.0 || instrument.id == "vacuum gauge") full_scale = 100e3;
  }
  return instrument.of_full_scale * full_scale + instrument.of_reading * size + instrument.plus;
}

Error reading_fault(const Reading& reading, ErrorCode code, std::string field, std::string found,
                    std::string expected) {
  return {.code = code,
          .where = {.file = {}, .line = reading.line, .column = 0, .field = std::move(field)},
          .found = std::move(found),
          .expected = std::move(expected),
          .hint = "See docs/reference/findings.md, Readings."};
}

Result<std::vector<WeighedReadings>> weigh_readings(const Tables& tables, const std::vector<Reading>& readings,
                                                    const system::LineSheet& sheet, std::uint64_t seed,
                                                    const Run& run) {
  std::vector<WeighedReadings> all;
  if (readings.empty()) return all;
  if (const auto sound = check(tables); !sound) return fail(sound.error());
  for (const Side side : {Side::supply, Side::high_side}) {
    std::vector<std::size_t> mine;
    for (std::size_t i = 0; i < readings.size(); ++i) {
      if (side_of(readings[i].measure) == side) mine.push_back(i);
    }
    if (mine.empty()) continue;
    auto teller = side == Side::supply ? supply_foreteller(tables, readings, sheet, seed)
                                       : high_side_foreteller(tables, readings, sheet, seed);
    if (!teller) return fail(teller.error());
    const std::size_t targets = (*teller)->targets().size();
    if (targets > most_targets) {
      return invalid("planted", fmt::format("{} targets on the {} side", targets, name(side)),
                     fmt::format("at most {}", most_targets), "Plant faults for fewer causes.");
    }
    auto weighed = Weighing(tables, readings, **teller, seed, run).weigh(side, mine);
    if (!weighed) return fail(weighed.error());
    all.push_back(std::move(*weighed));
  }
  return all;
}

bool replaced_by_reading(const FindingRow& row, const std::vector<WeighedReadings>& weighed) {
  if (row.reading.empty()) return false;
  for (const WeighedReadings& one : weighed) {
    if (one.standing != ReadingStanding::counted) continue;
    for (const ReadingFate& fate : one.readings) {
      if (fate.fate != Fate::counted || (row.reading_load && !fate.under_load)) continue;
      if (std::find(fate.tags.begin(), fate.tags.end(), row.reading) != fate.tags.end()) return true;
    }
  }
  return false;
}

}  // namespace fw::diagnosis
