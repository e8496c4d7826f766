// SPDX-License-Identifier: Apache-2.0
#include "debris/debris_map.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <numeric>

#include <fmt/format.h>

#include "base/contract.hpp"
#include "base/input_check.hpp"
#include "debris/dirt.hpp"
#include "numerics/distribution.hpp"
#include "numerics/stream.hpp"

namespace fw::debris {
namespace {

constexpr double crank_s = 10.0;
constexpr double piece_s = 1800.0;
constexpr std::uint32_t block_size = 64;
constexpr double steel_kg_per_m3 = 7850.0;
/// First bin of particles >= 14 um(c).
constexpr std::size_t coarse_bin = 6;

constexpr std::array<std::string_view, 4> grades{"none", "few-specks", "film", "paste"};
constexpr std::array<std::string_view, 5> looks{"eye", "magnet", "cloth", "patch", "count"};
constexpr std::array<std::string_view, 5> reaches{"not-keyed", "keyed", "cranked", "ran", "driven"};

template <class Enum, std::size_t n>
std::optional<Enum> named(const std::array<std::string_view, n>& ids, std::string_view text) {
  const auto* const found = std::ranges::find(ids, text);
  if (found == ids.end()) return std::nullopt;
  return static_cast<Enum>(found - ids.begin());
}

/// Chance that a log-normal blur of a mass falls below a limit, as a logarithm that stays finite.
double log_below(double limit_kg, double mass_kg, double factor) {
  const double z = (std::log(limit_kg) - std::log(mass_kg + 1e-15)) / std::log(factor);
  return std::log(std::max(numerics::standard_normal_cdf(z), 1e-300));
}

double grade_log_likelihood(Grade grade, double mass_kg) {
  constexpr std::array<double, 3> limits_kg{0.1e-6, 3e-6, 100e-6};
  const auto index = static_cast<std::size_t>(grade);
  const auto below = [&](std::size_t i) {
    return numerics::standard_normal_cdf((std::log(limits_kg[i]) - std::log(mass_kg + 1e-15)) / std::log(3.0));
  };
  const double upper = index < limits_kg.size() ? below(index) : 1.0;
  const double lower = index > 0 ? below(index - 1) : 0.0;
  return std::log(std::max(upper - lower, 1e-300));
}

bool is_clean(const Finding& finding) {
  return !std::isfinite(finding.area_m2) ? finding.grade == Grade::none : finding.area_m2 <= 0.0;
}

bool verifies(const Finding& finding) {
  return is_clean(finding) && (finding.by == Look::cloth || finding.by == Look::patch || finding.by == Look::count);
}

struct Prepared {
  std::vector<TransportEvent> events;
  double active_s = 0.0;
};

Prepared prepare(const FuelWay& way, const Story& story) {
  Prepared out;
  const bool ran = story.reach == Reach::ran || story.reach == Reach::driven;
  double volume_m3 = story.tank_share * way.tank_m3;
  const double least_m3 = 0.1 * way.tank_m3;
  const auto run = [&](double duration_s) {
    const double burnt_m3 = burn_m3_per_s(way) * duration_s;
    if (volume_m3 - burnt_m3 < least_m3) {
      const double fill_m3 = 0.95 * way.tank_m3 - volume_m3;
      out.events.push_back({.kind = EventKind::refuel, .volume_m3 = fill_m3});
      volume_m3 += fill_m3;
    }
    out.events.push_back({.kind = EventKind::start});
    out.events.push_back({.kind = EventKind::run, .duration_s = duration_s});
    volume_m3 -= burnt_m3;
    out.active_s += duration_s;
  };
  if (ran && story.ran_s > 0.0) {
    const double pieces = std::ceil(story.ran_s / piece_s);
    for (double i = 0.0; i < pieces; i += 1.0) run(story.ran_s / pieces);
  }
  if (story.reach == Reach::keyed) run(crank_s);
  if (story.reach >= Reach::cranked) {
    for (int i = 0; i < story.cranks; ++i) run(crank_s);
  }
  return out;
}

Quantiles quantiles(std::vector<std::pair<double, double>>& weighted) {
  std::ranges::sort(weighted);
  const auto at = [&](double u) {
    double sum = 0.0;
    for (const auto& [value, weight] : weighted) {
      sum += weight;
      if (sum >= u) return value;
    }
    return weighted.back().first;
  };
  return {.low = at(0.05), .median = at(0.5), .high = at(0.95)};
}

double sum_of(const Bins& bins, std::size_t from = 0) {
  return std::accumulate(bins.begin() + static_cast<std::ptrdiff_t>(from), bins.end(), 0.0);
}

}  // namespace

std::string_view id(Grade grade) { return grades[static_cast<std::size_t>(grade)]; }
std::optional<Grade> grade_of_id(std::string_view text) { return named<Grade>(grades, text); }
std::string_view id(Look look) { return looks[static_cast<std::size_t>(look)]; }
std::optional<Look> look_of_id(std::string_view text) { return named<Look>(looks, text); }
std::string_view id(Reach reach) { return reaches[static_cast<std::size_t>(reach)]; }
std::optional<Reach> reach_of_id(std::string_view text) { return named<Reach>(reaches, text); }

std::string_view name(PlaceState state) {
  switch (state) {
    case PlaceState::not_inspected: return "not inspected";
    case PlaceState::inferred: return "inferred";
    case PlaceState::seen: return "seen";
    case PlaceState::verified_clean: break;
  }
  return "verified clean";
}

Result<double> drive_time_s(double distance_m, double speed_m_per_s) {
  InputCheck check;
  check.non_negative(distance_m, "distance_m").positive(speed_m_per_s, "speed_m_per_s");
  if (check.failed()) return check.fault();
  return distance_m / speed_m_per_s;
}

double log_likelihood(const Finding& finding, double mass_kg) {
  if (std::isfinite(finding.area_m2) && finding.area_m2 > 0.0) {
    const double low_kg = 5e-6 * finding.area_m2 * 1e4;
    const double high_kg = 100e-6 * finding.area_m2 * 1e4;
    const double ln_mass = std::log(mass_kg + 1e-15);
    const double upper = numerics::standard_normal_cdf((std::log(high_kg) - ln_mass) / std::log(2.0));
    const double lower = numerics::standard_normal_cdf((std::log(low_kg) - ln_mass) / std::log(2.0));
    return std::log(std::max((upper - lower) / std::log(20.0), 1e-300));
  }
  if (is_clean(finding)) {
    switch (finding.by) {
      case Look::cloth: return log_below(0.3e-6, mass_kg, 3.0);
      case Look::patch:
      case Look::count: return log_below(0.1e-6, mass_kg, 3.0);
      case Look::magnet: return std::log(0.5 + 0.5 * std::exp(grade_log_likelihood(Grade::none, mass_kg)));
      case Look::eye: break;
    }
  }
  return grade_log_likelihood(finding.grade, mass_kg);
}

Result<void> check_findings(std::span<const Finding> findings) {
  for (std::size_t i = 0; i < findings.size(); ++i) {
    const Finding& finding = findings[i];
    const std::string field = fmt::format("findings[{}]", i);
    if (!std::isnan(finding.area_m2)) {
      if (!std::isfinite(finding.area_m2) || finding.area_m2 < 0.0) {
        return invalid(field + ".area", fmt::format("{:.4g} cm2", 1e4 * finding.area_m2), "an area of 0 or more");
      }
      if (finding.by != Look::magnet && finding.by != Look::patch) {
        return invalid(field + ".area", fmt::format("an area by {}", id(finding.by)), "an area by magnet or patch",
                       "Give a grade instead.");
      }
    }
    for (std::size_t j = 0; j < i; ++j) {
      if (findings[j].place != finding.place) continue;
      if ((verifies(finding) && !is_clean(findings[j])) || (verifies(findings[j]) && !is_clean(finding))) {
        return fail({.code = ErrorCode::conflict,
                     .where = {.field = field},
                     .found = fmt::format("{}: clean and with metal", name(finding.place)),
                     .expected = "what is true at the time of the decision",
                     .hint = "Keep the finding after cleaning, or the one before it."});
      }
    }
  }
  return {};
}

Result<DebrisMap> infer(const FuelWay& way, const Story& story, std::span<const Finding> findings,
                        const MapOptions& options, const Run& run) {
  if (const auto good = check_findings(findings); !good) return fail(good.error());
  InputCheck check;
  check.non_negative(story.ran_s, "story.ran_s")
      .within(story.tank_share, {.low = 0.1, .high = 1.0}, "story.tank_share")
      .that(story.cranks >= 0, "story.cranks", fmt::format("{}", story.cranks), "0 or more")
      .that(story.ran_s <= 5000.0 * 3600.0, "story.ran_s", fmt::format("{:.4g} h", story.ran_s / 3600.0),
            "at most 5000 h");
  if (check.failed()) return check.fault();
  FW_EXPECTS(options.samples >= 2 && options.histories >= 1);

  const Prepared prepared = prepare(way, story);
  const bool turned = story.reach >= Reach::cranked;
  const bool flowed = story.reach >= Reach::keyed;
  const bool sheds = prepared.active_s > 0.0 && (story.origin == MetalOrigin::high_pressure_pump ? turned : flowed);
  // The model of the first sample stands for all: draws differ in values that are sound by construction.
  {
    const auto model = transport_of(way, draw_way(options.seed, 0), {});
    if (!model) return fail(model.error());
    const auto good = check_events(*model, prepared.events, story.tank_share * way.tank_m3);
    if (!good) return fail(good.error().in_field("story"));
  }

  std::vector<History> all(options.samples);
  std::vector<double> shed_kg(options.samples);
  std::vector<double> log_weight(options.samples);
  const std::size_t blocks = (options.samples + block_size - 1) / block_size;
  run.executor.for_each_block(blocks, [&](std::size_t block) {
    if (run.stop.stop_requested()) return;
    TransportWorkspace workspace;
    TransportTally tally;
    TransportState state;
    const auto first = static_cast<std::uint32_t>(block) * block_size;
    for (std::uint32_t sample = first; sample < std::min(options.samples, first + block_size); ++sample) {
      const WayDraw draw = draw_way(options.seed, sample);
      const Dirt metal{.shape = LogNormal{.mass_median_m = draw.mass_median_m, .geometric_sd = draw.geometric_sd},
                       .density_kg_per_m3 = steel_kg_per_m3};
      const std::vector<BinContent> contents = bin_contents(metal, standard_edges_m()).value();
      const bool from_tank = story.origin == MetalOrigin::tank;
      Shedding shedding{.origin = story.origin,
                        .rate_kg_per_s = sheds && !from_tank ? draw.shed_kg / prepared.active_s : 0.0};
      History& history = all[sample];
      history.sample = sample;
      for (std::size_t bin = 0; bin < bin_count; ++bin) {
        shedding.mass_share[bin] = contents[bin].mass_share;
        history.number_per_kg[bin] =
            contents[bin].mass_share > 0.0 ? contents[bin].number_per_kg / contents[bin].mass_share : 0.0;
      }
      const TransportModel model = transport_of(way, draw, shedding).value();
      state = {.volume_m3 = story.tank_share * way.tank_m3};
      state.lodged.assign(model.places.size(), Bins{});
      if (from_tank) {
        for (std::size_t bin = 0; bin < bin_count; ++bin) {
          state.settled[bin] = draw.shed_kg * contents[bin].mass_share;
        }
      }
      carry(model, prepared.events, {}, state, tally, workspace);
      shed_kg[sample] = sheds || from_tank ? draw.shed_kg : 0.0;
      for (std::size_t at = 0; at < model.places.size(); ++at) history.mass_kg[at] = state.lodged[at];
      for (std::size_t bin = 0; bin < bin_count; ++bin) {
        history.mass_kg[place_count - 1][bin] = state.suspended[bin] + state.dead[bin] + state.settled[bin];
      }
      double sum = 0.0;
      for (const Finding& finding : findings) {
        sum += log_likelihood(finding, sum_of(history.mass_kg[static_cast<std::size_t>(finding.place)]));
      }
      log_weight[sample] = sum;
    }
  });
  if (run.stop.stop_requested()) return fail({.code = ErrorCode::cancelled, .found = "a stop", .expected = "the end"});

  const double most = *std::ranges::max_element(log_weight);
  double sum = 0.0;
  double squares = 0.0;
  std::vector<double> weight(options.samples);
  for (std::size_t i = 0; i < weight.size(); ++i) {
    // Below -700 the exponential would underflow; such a history has no weight.
    weight[i] = log_weight[i] - most < -700.0 ? 0.0 : std::exp(log_weight[i] - most);
    sum += weight[i];
    squares += weight[i] * weight[i];
  }
  DebrisMap map{.samples = options.samples, .effective_samples = sum * sum / squares};
  if (map.effective_samples < 2.0 || most < -600.0) {
    return outside("findings", fmt::format("{:.1f} of {} histories explain them", map.effective_samples, weight.size()),
                   "findings that one story can explain",
                   "Look again at origin, how far it got, and the findings that disagree.");
  }
  for (double& w : weight) w /= sum;

  std::vector<std::pair<double, double>> column(weight.size());
  for (std::size_t i = 0; i < weight.size(); ++i) column[i] = {shed_kg[i], weight[i]};
  map.shed_kg = quantiles(column);
  for (const Place place : all_places()) {
    const auto at = static_cast<std::size_t>(place);
    PlaceOfMap out{.place = place};
    for (std::size_t i = 0; i < weight.size(); ++i) column[i] = {sum_of(all[i].mass_kg[at]), weight[i]};
    out.mass_kg = quantiles(column);
    out.reached = 0.0;
    for (std::size_t i = 0; i < weight.size(); ++i) {
      double coarse = 0.0;
      for (std::size_t bin = coarse_bin; bin < bin_count; ++bin) {
        coarse += all[i].mass_kg[at][bin] * all[i].number_per_kg[bin];
      }
      column[i] = {coarse, weight[i]};
      if (coarse >= reached_by) out.reached += weight[i];
    }
    out.coarse = quantiles(column);
    bool looked = false;
    for (const Finding& finding : findings) {
      if (finding.place != place) continue;
      looked = true;
      if (!is_clean(finding)) out.state = PlaceState::seen;
      if (verifies(finding)) {
        out.state = PlaceState::verified_clean;
        out.verified_by = finding.by;
      }
    }
    if (out.state == PlaceState::not_inspected && (looked || out.reached >= 0.5)) out.state = PlaceState::inferred;
    map.places.push_back(out);
  }

  // Systematic resampling: one addressed number, equal steps.
  const double step = 1.0 / static_cast<double>(options.histories);
  double mark = step * numerics::uniform(options.seed, numerics::key_of("debris.map"), numerics::Purpose::resample, 0);
  double reached = 0.0;
  for (std::size_t i = 0; i < weight.size(); ++i) {
    reached += weight[i];
    while (mark < reached && map.histories.size() < options.histories) {
      map.histories.push_back(all[i]);
      mark += step;
    }
  }
  while (map.histories.size() < options.histories) map.histories.push_back(all[weight.size() - 1]);
  return map;
}

bool whole_system_by_magnet(std::span<const Finding> findings) {
  return std::ranges::any_of(findings, [](const Finding& finding) {
    return finding.by == Look::magnet && std::isfinite(finding.area_m2) && finding.area_m2 > 1e-4 * (1.0 + 1e-12);
  });
}

}  // namespace fw::debris
