// SPDX-License-Identifier: Apache-2.0
#include "diagnosis/readings.hpp"

#include <algorithm>
#include <array>
#include <bit>
#include <cmath>
#include <limits>

#include <fmt/format.h>

#include "base/contract.hpp"
#include "diagnosis/foretold.hpp"
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

constexpr double prior_share = 0.5;  // chance of each target of a further draw to be drawn as in the first ones
constexpr double move = 0.15;        // half-width of a further draw's severity about a good one, in probability
constexpr std::size_t most_anchors = 64;

/// How the targets of a hypothesis show: by target the place in its ways, -1 for nothing, and the severity.
struct Shows {
  std::vector<int> ways;
  std::vector<double> severity;
};

/// A round of draws: from the prior, or half of them about good draws of the rounds before.
struct Round {
  std::size_t count = 0;
  std::vector<Shows> anchors;
  std::vector<double> weights;  ///< of the anchors, sum 1
};

/// A set of present targets and its draws.
struct Hypothesis {
  std::vector<std::size_t> targets;
  std::string key;  ///< names its draws
  std::vector<Shows> shows;
  std::vector<Foretold> draws;
  std::vector<double> log_likelihood;
  std::vector<Round> rounds;
  // Of the draws so far:
  std::vector<double> log_weighted;  ///< likelihood times prior over proposal
  double log_mean = -std::numeric_limits<double>::infinity();
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
  Weighing(const Tables& tables, const std::vector<Reading>& readings, const Foreteller& teller, std::uint64_t seed,
           const Run& run)
      : tables_(tables), readings_(readings), teller_(teller), seed_(seed), run_(run) {
    discrepancy_ = tables.readings.discrepancy.value / numerics::normal_95;
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
    for (std::size_t count = first_draws * growth; count <= most_draws; count *= growth) {
      std::vector<std::size_t> poor;
      for (const std::size_t h : mattering()) {
        if (hypotheses_[h].effective < resampled_below) poor.push_back(h);
      }
      if (poor.empty()) break;
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

  Shows from_round(const Hypothesis& one, const Round& round, std::size_t sample) const {
    Shows shows = from_prior(one, sample);
    if (round.anchors.empty()) return shows;
    const auto u = [&](const std::string& what) {
      return numerics::uniform(seed_, numerics::key_of(one.key + what), numerics::Purpose::resample,
                               static_cast<std::uint32_t>(sample));
    };
    const double at = u(".anchor");
    std::size_t a = 0;
    for (double sum = round.weights[0]; a + 1 < round.anchors.size() && at >= sum; sum += round.weights[a]) ++a;
    for (std::size_t k = 0; k < one.targets.size(); ++k) {
      if (u(fmt::format(".keep.{}", k)) < prior_share) continue;
      shows.ways[k] = round.anchors[a].ways[k];
      if (!has_amount(teller_.targets()[one.targets[k]], shows.ways[k])) continue;
      double severity = round.anchors[a].severity[k] + move * (2.0 * u(fmt::format(".move.{}", k)) - 1.0);
      severity -= std::floor(severity);
      // The ends themselves are no probabilities of a distribution.
      shows.severity[k] = std::clamp(severity, 1e-12, 1.0 - 1e-12);
    }
    return shows;
  }

  /// Prior over the mixture of all rounds' proposals.
  double weight_of(const Hypothesis& one, const Shows& shows) const {
    if (one.rounds.size() == 1) return 1.0;
    std::vector<double> chances;
    double prior = 1.0;
    for (std::size_t k = 0; k < one.targets.size(); ++k) {
      const TargetFaults& target = teller_.targets()[one.targets[k]];
      double chance = 1.0;
      if (shows.ways[k] >= 0) {
        chance = target.chances[static_cast<std::size_t>(shows.ways[k])];
      } else {
        for (const double each : target.chances) chance -= each;
      }
      chances.push_back(chance);
      prior *= chance;
    }
    double proposal = 0.0;
    for (const Round& round : one.rounds) {
      double mine = round.anchors.empty() ? prior : 0.0;
      for (std::size_t a = 0; a < round.anchors.size(); ++a) {
        double density = round.weights[a];
        for (std::size_t k = 0; k < chances.size(); ++k) {
          double kept = 0.0;
          if (round.anchors[a].ways[k] == shows.ways[k]) {
            kept = 1.0;
            if (has_amount(teller_.targets()[one.targets[k]], shows.ways[k])) {
              const double apart = std::abs(shows.severity[k] - round.anchors[a].severity[k]);
              kept = std::min(apart, 1.0 - apart) <= move ? 0.5 / move : 0.0;
            }
          }
          density *= prior_share * chances[k] + (1.0 - prior_share) * kept;
        }
        mine += density;
      }
      proposal += static_cast<double>(round.count) / static_cast<double>(one.draws.size()) * mine;
    }
    return prior / proposal;
  }

  /// A further round: about the draws that hold most of the likelihood.
  Round next_round(const Hypothesis& one) const {
    Round round;
    if (one.rounds.empty() || one.targets.empty() || !std::isfinite(one.log_mean)) return round;
    std::vector<std::size_t> order(one.draws.size());
    for (std::size_t s = 0; s < order.size(); ++s) order[s] = s;
    std::stable_sort(order.begin(), order.end(),
                     [&](std::size_t a, std::size_t b) { return one.log_weighted[a] > one.log_weighted[b]; });
    const double best = one.log_weighted[order.front()];
    double sum = 0.0;
    for (std::size_t i = 0; i < std::min(most_anchors, order.size()); ++i) {
      const double share = std::exp(std::max(one.log_weighted[order[i]] - best, -700.0));
      if (!(share > 1e-6)) break;
      round.anchors.push_back(one.shows[order[i]]);
      round.weights.push_back(share);
      sum += share;
    }
    for (double& weight : round.weights) weight /= sum;
    return round;
  }

  Result<void> draw(const std::vector<std::size_t>& which, std::size_t count, const std::vector<std::size_t>& mine) {
    std::vector<Ask> asks;
    for (const std::size_t h : which) {
      Hypothesis& one = hypotheses_[h];
      Round round = next_round(one);
      round.count = count - one.draws.size();
      for (std::size_t s = one.draws.size(); s < count; ++s) {
        Shows shows = from_round(one, round, s);
        Ask ask{.faults = {}, .severity = {}, .sample = static_cast<std::uint32_t>(s)};
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
        one.log_likelihood.push_back(fit.log_likelihood);
      }
      const std::size_t solved = one.draws.size() - one.unsolved;
      one.log_weighted.assign(one.draws.size(), -std::numeric_limits<double>::infinity());
      double top = -std::numeric_limits<double>::infinity();
      for (std::size_t d = 0; d < one.draws.size(); ++d) {
        if (!std::isfinite(one.log_likelihood[d])) continue;
        one.log_weighted[d] = one.log_likelihood[d] + std::log(weight_of(one, one.shows[d]));
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

  std::vector<std::size_t> mattering() const {
    const double best = top();
    double sum = 0.0;
    for (const Hypothesis& one : hypotheses_) sum += relative(one, best);
    std::vector<std::size_t> list;
    for (std::size_t h = 0; h < hypotheses_.size(); ++h) {
      if (relative(hypotheses_[h], best) >= matters_from * sum) list.push_back(h);
    }
    return list;
  }

  void conclude(WeighedReadings& result) const {
    const double best = top();
    std::size_t count = 0;
    for (const bool one : counted_) count += one ? 1 : 0;
    result.nearest = std::isfinite(nearest2_) ? std::sqrt(nearest2_) : std::numeric_limits<double>::max();
    result.effective = std::numeric_limits<double>::max();
    for (const std::size_t h : mattering()) result.effective = std::min(result.effective, hypotheses_[h].effective);
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
  const Foreteller& teller_;
  std::uint64_t seed_;
  const Run& run_;
  double discrepancy_ = 0.0;
  std::vector<double> value_;
  std::vector<double> sigma_;
  std::vector<bool> shared_;
  std::vector<bool> in_model_;
  std::vector<bool> counted_;
  std::vector<Hypothesis> hypotheses_;
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
