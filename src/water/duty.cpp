// SPDX-License-Identifier: Apache-2.0
#include "water/duty.hpp"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "base/input_check.hpp"
#include "fuel/water_solubility.hpp"
#include "water/drops.hpp"
#include "water/liquid_water.hpp"

namespace fw::water {

namespace {

constexpr double warming_s = 1.5 * 3600.0;
constexpr double full_level = 0.95;
constexpr double low_level = 0.30;
constexpr double body_drop_m = 2e-3;  // a body of water drawn from the floor meets a separator as such drops
constexpr double bowl_ice_kg = 5e-3;  // 5 mL
constexpr double wet = 1e-6;          // 1 mg/kg
constexpr std::size_t most_steps = 2'000'000;

Result<void> check_input(const Way& way, const Duty& duty, const WaterIn& in, const DutyOptions& options) {
  InputCheck check;
  check.positive(way.tank.volume_m3, "tank.volume_m3")
      .positive(way.tank.floor_area_m2, "tank.floor_area_m2")
      .non_negative(way.tank.pickup_height_m, "tank.pickup_height_m")
      .that(duty.days >= 1 && duty.days <= 3660, "duty.days", fmt::format("{}", duty.days), "1 to 3660")
      .positive(duty.run_s, "duty.run_s")
      .within(duty.run_s, {.low = 0.0, .high = 86400.0}, "duty.run_s")
      .positive(duty.feed_m3_per_s, "duty.feed_m3_per_s")
      .non_negative(duty.burn_m3_per_s, "duty.burn_m3_per_s")
      .positive(duty.night_K, "duty.night_K")
      .positive(duty.warm_K, "duty.warm_K")
      .within(duty.start_level, {.low = low_level, .high = full_level}, "duty.start_level")
      .non_negative(in.fuel_total, "in.fuel_total")
      .non_negative(in.slug_kg, "in.slug_kg")
      .positive(in.conductivity_S_per_m, "in.conductivity_S_per_m")
      .positive(in.threshold_ohm, "in.threshold_ohm")
      .positive(in.interfacial_tension_N_per_m, "in.interfacial_tension_N_per_m")
      .within(in.stirred_share, {.low = 0.0, .high = 1.0}, "in.stirred_share")
      .positive(in.haze_drop_m, "in.haze_drop_m")
      .positive(options.step_share, "options.step_share")
      .within(options.step_share, {.low = 0.0, .high = 0.5}, "options.step_share");
  if (duty.drain_every_s) check.positive(*duty.drain_every_s, "duty.drain_every_s");
  if (check.failed()) return check.fault();
  check
      .that(duty.burn_m3_per_s <= duty.feed_m3_per_s, "duty.burn_m3_per_s", fmt::format("{:.4g}", duty.burn_m3_per_s),
            "at most the feed")
      .that(duty.warm_K >= duty.night_K, "duty.warm_K", fmt::format("{:.1f} C", duty.warm_K - 273.15),
            "at least the night's")
      .that(!std::isnan(in.damaging_kg) && in.damaging_kg > 0.0, "in.damaging_kg", fmt::format("{}", in.damaging_kg),
            "more than 0")
      .that(!in.slug_every_days || *in.slug_every_days >= 1, "in.slug_every_days",
            fmt::format("{}", in.slug_every_days.value_or(0)), "1 or more")
      .that(!way.paths.empty(), "way.paths", "none", "at least one way from tank to engine");
  double sum = 0.0;
  for (const Path& path : way.paths) {
    check.within(path.share, {.low = 0.0, .high = 1.0}, "path.share");
    sum += path.share;
    for (const std::size_t stage : path.stages) {
      check.that(stage < way.stages.size(), "path.stages", fmt::format("{}", stage), "the index of a stage");
    }
  }
  for (const Stage& stage : way.stages) {
    if (stage.kind == StageKind::pump) {
      check.positive(stage.dissipation_W_per_kg, stage.id + ".dissipation_W_per_kg");
      continue;
    }
    check.positive(stage.bowl_m3, stage.id + ".bowl_m3");
    if (stage.sensor == Sensor::working) check.non_negative(stage.probe_m3, stage.id + ".probe_m3");
  }
  if (!check.failed()) {
    check.that(std::abs(sum - 1.0) < 1e-6, "path.share", fmt::format("a sum of {:.6g}", sum), "1");
  }
  if (check.failed()) return check.fault();
  return {};
}

/// What a stage does with water of the three drop sizes that come from a tank, by path: pumps before it have broken
/// the drops.
struct Passed {
  std::size_t stage;          ///< of the way
  double haze, coarse, body;  ///< efficiency
};

class Days {
 public:
  Days(const Way& way, const fuel::Fuel& fuel, const Duty& duty, const WaterIn& in, const DutyOptions& options)
      : way_(way), fuel_(fuel), duty_(duty), in_(in), options_(options) {}

  Result<DutyResult> run();

 private:
  Result<void> prepare();
  Result<double> saturation(double temperature_K);
  Result<void> night();
  void stir();
  Result<void> step(double time_in_day_s, double step_s);
  void refuel();
  /// Water [kg] of one drop size on all ways; returns what reaches the inlet.
  double through(double water_kg, double Passed::* efficiency);
  void settle_bowls();

  const Way& way_;
  const fuel::Fuel& fuel_;
  const Duty& duty_;
  const WaterIn& in_;
  const DutyOptions& options_;

  double density_ = 0.0;
  double under_kg_ = 0.0;     ///< layer below the mouth
  double haze_fall_ = 0.0;    ///< m/s at the night's temperature
  double coarse_fall_ = 0.0;  ///< m/s at the warm temperature
  std::vector<std::vector<Passed>> passed_;
  std::vector<std::size_t> bowl_of_;  ///< by stage

  double volume_ = 0.0;  ///< fuel in the tank
  double water_ = 0.0;   ///< in that fuel, dissolved and dispersed
  double layer_ = 0.0;
  double drained_s_ = 0.0;
  double running_s_ = 0.0;
  double wet_s_ = 0.0;
  double hour_kg_ = 0.0;  ///< undissolved through the inlet in the running hour
  double hour_began_s_ = 0.0;
  bool seen_water_ = false;  ///< water the sensor would see reached no probe yet
  DutyResult out_;
};

Result<double> Days::saturation(double temperature_K) {
  const auto held = fuel::water_solubility(fuel_, temperature_K);
  if (!held) return fail(held.error());
  out_.range = widest(out_.range, held->range);
  return held->value;
}

Result<void> Days::prepare() {
  const auto cold = fuel::liquid_at(fuel_, duty_.night_K, fuel::standard_pressure_Pa);
  if (!cold) return fail(cold.error());
  const auto warm = fuel::liquid_at(fuel_, duty_.warm_K, fuel::standard_pressure_Pa);
  if (!warm) return fail(warm.error());
  density_ = warm->density_kg_per_m3;
  const auto haze = drop_fall(in_.haze_drop_m, *cold);
  if (!haze) return fail(haze.error());
  const auto coarse = drop_fall(coarse_drop_m, *warm);
  if (!coarse) return fail(coarse.error());
  haze_fall_ = haze->velocity_m_per_s;
  coarse_fall_ = coarse->velocity_m_per_s;
  under_kg_ = way_.tank.floor_area_m2 * way_.tank.pickup_height_m * water_density_kg_per_m3;

  bowl_of_.assign(way_.stages.size(), 0);
  for (std::size_t i = 0; i < way_.stages.size(); ++i) {
    if (way_.stages[i].kind != StageKind::separator) continue;
    bowl_of_[i] = out_.bowls.size();
    out_.bowls.push_back({.id = way_.stages[i].id});
  }
  for (const Path& path : way_.paths) {
    double largest_m = std::numeric_limits<double>::infinity();
    std::vector<Passed> row;
    for (const std::size_t at : path.stages) {
      const Stage& stage = way_.stages[at];
      if (stage.kind == StageKind::pump) {
        const auto drop = largest_drop_m({.interfacial_tension_N_per_m = in_.interfacial_tension_N_per_m,
                                          .dissipation_W_per_kg = stage.dissipation_W_per_kg,
                                          .fuel_density_kg_per_m3 = density_});
        if (!drop) return fail(drop.error());
        largest_m = std::min(largest_m, *drop);
        continue;
      }
      const auto of = [&](double drop_m) { return efficiency_at(stage.separator, std::min(drop_m, largest_m)); };
      const auto haze_E = of(in_.haze_drop_m);
      if (!haze_E) return fail(haze_E.error().in_field(stage.id));
      row.push_back({.stage = at, .haze = *haze_E, .coarse = *of(coarse_drop_m), .body = *of(body_drop_m)});
    }
    passed_.push_back(std::move(row));
  }
  return {};
}

double Days::through(double water_kg, double Passed::* efficiency) {
  double reached = 0.0;
  for (std::size_t p = 0; p < way_.paths.size(); ++p) {
    double left = water_kg * way_.paths[p].share;
    for (const Passed& at : passed_[p]) {
      BowlEnd& bowl = out_.bowls[bowl_of_[at.stage]];
      const double room = way_.stages[at.stage].bowl_m3 * water_density_kg_per_m3 - bowl.held_kg;
      const double caught = std::min(left * (at.*efficiency), std::max(0.0, room));
      bowl.held_kg += caught;
      left -= caught;
    }
    reached += left;
  }
  return reached;
}

void Days::settle_bowls() {
  const double ohm = 100.0 / in_.conductivity_S_per_m;
  for (std::size_t i = 0; i < way_.stages.size(); ++i) {
    const Stage& stage = way_.stages[i];
    if (stage.kind != StageKind::separator) continue;
    BowlEnd& bowl = out_.bowls[bowl_of_[i]];
    if (!bowl.full_s && bowl.held_kg >= (1.0 - 1e-9) * stage.bowl_m3 * water_density_kg_per_m3) {
      bowl.full_s = running_s_;
    }
    if (stage.sensor != Sensor::working || bowl.held_kg < stage.probe_m3 * water_density_kg_per_m3) continue;
    seen_water_ = true;
    if (ohm <= in_.threshold_ohm && !out_.warned_s) out_.warned_s = running_s_;
  }
  if (duty_.drain_every_s && running_s_ - drained_s_ >= *duty_.drain_every_s) {
    drained_s_ = running_s_;
    for (BowlEnd& bowl : out_.bowls) {
      bowl.drained_kg += bowl.held_kg;
      bowl.held_kg = 0.0;
    }
  }
}

void Days::refuel() {
  const double added = full_level * way_.tank.volume_m3 - volume_;
  volume_ += added;
  water_ += added * density_ * in_.fuel_total;
  out_.in_kg += added * density_ * in_.fuel_total;
  stir();
}

/// Drops of 200 um fall through the fuel's height in minutes; on average they are drawn for half that time.
void Days::stir() {
  const double stirred = in_.stirred_share * layer_;
  if (stirred <= 0.0) return;
  const double height = volume_ / way_.tank.floor_area_m2;
  const double drawn = stirred * std::min(1.0, 0.5 * duty_.feed_m3_per_s * height / (coarse_fall_ * volume_));
  layer_ -= drawn;
  const double reached = through(drawn, &Passed::coarse);
  out_.free_through_inlet_kg += reached;
  hour_kg_ += reached;
  const double burned = reached * duty_.burn_m3_per_s / duty_.feed_m3_per_s;
  out_.burned_kg += burned;
  water_ += reached - burned;
}

Result<void> Days::night() {
  const auto sat = saturation(duty_.night_K);
  if (!sat) return fail(sat.error());
  const double free = std::max(0.0, water_ - volume_ * density_ * *sat);
  const double rest_s = 86400.0 - duty_.run_s;
  const double settled = free * std::min(1.0, haze_fall_ * rest_s * way_.tank.floor_area_m2 / volume_);
  water_ -= settled;
  layer_ += settled;
  const auto dew = condense({.ullage_m3 = std::max(0.0, way_.tank.volume_m3 - volume_),
                             .warm = duty_.day_air,
                             .cold_K = std::min(duty_.night_K, duty_.day_air.temperature_K)});
  if (!dew) return fail(dew.error());
  layer_ += dew->vented_kg;
  out_.condensed_kg += dew->vented_kg;
  out_.in_kg += dew->vented_kg;
  const bool in_bowl = std::ranges::any_of(out_.bowls, [](const BowlEnd& bowl) { return bowl.held_kg > bowl_ice_kg; });
  if (duty_.night_K <= freezing_point_K && (in_bowl || layer_ > under_kg_)) ++out_.frozen_starts;
  return {};
}

Result<void> Days::step(double time_in_day_s, double step_s) {
  if (volume_ < low_level * way_.tank.volume_m3) refuel();
  const double temperature =
      duty_.night_K + (duty_.warm_K - duty_.night_K) * (1.0 - std::exp(-time_in_day_s / warming_s));
  const auto sat = saturation(temperature);
  if (!sat) return fail(sat.error());
  const double drawn_share = 1.0 - std::exp(-duty_.feed_m3_per_s * step_s / volume_);
  const double undissolved = std::max(0.0, water_ - volume_ * density_ * *sat);
  const double haze = drawn_share * undissolved;
  const double dissolved = drawn_share * (water_ - undissolved);
  const double body =
      std::min(std::max(0.0, layer_ - under_kg_), duty_.feed_m3_per_s * step_s * water_density_kg_per_m3);
  if (body > 0.0 && !out_.first_draw_s) out_.first_draw_s = running_s_;
  water_ -= haze + dissolved;
  layer_ -= body;
  const double slug = through(body, &Passed::body);
  const double free = through(haze, &Passed::haze) + slug;
  out_.free_through_inlet_kg += free;
  hour_kg_ += free;
  out_.slug_through_inlet_kg += slug;
  const double share = free / (duty_.feed_m3_per_s * step_s * density_);
  out_.worst_undissolved = std::max(out_.worst_undissolved, share);
  const double burned = (dissolved + free) * duty_.burn_m3_per_s / duty_.feed_m3_per_s;
  out_.burned_kg += burned;
  water_ += dissolved + free - burned;
  volume_ -= duty_.burn_m3_per_s * step_s;
  running_s_ += step_s;
  if (share > wet) wet_s_ += step_s;
  if (!out_.damaged_s && hour_kg_ >= in_.damaging_kg) out_.damaged_s = running_s_;
  if (running_s_ - hour_began_s_ >= 3600.0) {
    hour_began_s_ = running_s_;
    hour_kg_ = 0.0;
    stir();
  }
  settle_bowls();
  return {};
}

Result<DutyResult> Days::run() {
  if (const auto good = prepare(); !good) return fail(good.error());
  const double longest_s = options_.step_share * low_level * way_.tank.volume_m3 / duty_.feed_m3_per_s;
  const double steps = std::ceil(duty_.run_s / longest_s);
  if (steps * duty_.days > static_cast<double>(most_steps)) {
    return fail(Error{.code = ErrorCode::too_large,
                      .where = {.field = "options.step_share"},
                      .found = fmt::format("{:.3g} steps", steps * duty_.days),
                      .expected = fmt::format("at most {}", most_steps),
                      .hint = "Take fewer days or longer steps"});
  }
  const double step_s = duty_.run_s / steps;
  volume_ = duty_.start_level * way_.tank.volume_m3;
  water_ = volume_ * density_ * in_.fuel_total;
  layer_ = in_.slug_kg;
  out_.in_kg = water_ + layer_;
  for (int day = 0; day < duty_.days; ++day) {
    if (day > 0) {
      if (const auto good = night(); !good) return fail(good.error());
      if (in_.slug_every_days && day % *in_.slug_every_days == 0) {
        layer_ += in_.slug_kg;
        out_.in_kg += in_.slug_kg;
      }
    }
    stir();
    for (double i = 0.0; i < steps; i += 1.0) {
      if (const auto good = step((i + 0.5) * step_s, step_s); !good) return fail(good.error());
    }
  }
  out_.wet_share = wet_s_ / running_s_;
  out_.layer_kg = layer_;
  out_.in_fuel_kg = water_;
  double accounted = water_ + layer_ + out_.burned_kg;
  for (const BowlEnd& bowl : out_.bowls) accounted += bowl.held_kg + bowl.drained_kg;
  out_.balance_error = out_.in_kg > 0.0 ? (out_.in_kg - accounted) / out_.in_kg : 0.0;

  const auto has = [&](Sensor sensor) {
    return std::ranges::any_of(way_.stages,
                               [&](const Stage& s) { return s.kind == StageKind::separator && s.sensor == sensor; });
  };
  if (out_.warned_s) {
    out_.blindness = Blindness::sees;
  } else if (!has(Sensor::working)) {
    out_.blindness = has(Sensor::dead) ? Blindness::disconnected : Blindness::none_fitted;
  } else if (seen_water_) {
    out_.blindness = Blindness::too_pure;
  } else {
    double caught = 0.0;
    for (const BowlEnd& bowl : out_.bowls) caught += bowl.held_kg + bowl.drained_kg;
    out_.blindness = out_.free_through_inlet_kg > caught ? Blindness::dispersed : Blindness::below_probe;
  }
  return out_;
}

}  // namespace

Result<double> water_under_pickup_m3(const Tank& tank) {
  InputCheck check;
  check.positive(tank.floor_area_m2, "tank.floor_area_m2").non_negative(tank.pickup_height_m, "tank.pickup_height_m");
  if (check.failed()) return check.fault();
  return tank.floor_area_m2 * tank.pickup_height_m;
}

Result<DutyResult> run_days(const Way& way, const fuel::Fuel& fuel, const Duty& duty, const WaterIn& in,
                            const DutyOptions& options) {
  if (const auto good = check_input(way, duty, in, options); !good) return fail(good.error());
  return Days(way, fuel, duty, in, options).run();
}

}  // namespace fw::water
