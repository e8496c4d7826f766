// SPDX-License-Identifier: Apache-2.0
#include "assess/water_section.hpp"

#include <algorithm>
#include <array>
#include <cmath>

#include <fmt/format.h>

#include "assess/assumed.hpp"
#include "base/contract.hpp"
#include "fuel/fuel.hpp"
#include "numerics/draw.hpp"
#include "numerics/quantile.hpp"
#include "numerics/stream.hpp"
#include "supply/fuel_way.hpp"
#include "system/supply_model.hpp"
#include "water/condensation.hpp"
#include "water/drops.hpp"
#include "water/liquid_water.hpp"

namespace fw::assess {

namespace {

using system::Leg;
using system::LineSheet;
using system::Part;
using water::Sensor;
using water::StageKind;

constexpr double litre_per_hour = 1e-3 / 3600.0;
constexpr double celsius(double t) { return t + 273.15; }
constexpr double run_s = 4 * 3600.0;
constexpr double step_share = 0.2;
constexpr double half = 0.5;

/// Fuel and air of a working day by climate word: assumed, no source.
struct ClimateDay {
  double night_C, warm_C, air_C, humidity;
};
constexpr std::array<ClimateDay, 5> climate_days{
    {{-30, 10, -10, 0.8}, {-10, 25, 5, 0.8}, {8, 35, 18, 0.75}, {20, 50, 35, 0.4}, {24, 50, 32, 0.8}}};

/// What is only known by order of magnitude. One set of assumptions holds for all parts and all sheets.
struct Assumed {
  Stated coarse = assumed_between("water.coarse", SpreadKind::uniform, 0.85, 0.98);
  Stated fine = assumed_between("water.fine", SpreadKind::uniform, 0.3, 0.9);
  Stated dissipation = assumed_between("water.dissipation", SpreadKind::log_uniform, 1e4, 1e6);
  Stated tension = assumed_between("water.tension", SpreadKind::uniform, 7e-3, 40e-3);
  Stated stirred = assumed_between("water.stirred", SpreadKind::log_uniform, 0.01, 0.3);
  Stated haze = assumed_between("water.haze", SpreadKind::log_uniform, 5e-6, 20e-6);
  Stated threshold = assumed_between("water.threshold", SpreadKind::log_uniform, 20e3, 500e3);
  Stated damaging = assumed_between("water.damaging", SpreadKind::log_uniform, 20e-3, 1.0);
};
/// What differs from story to story.
struct Stories {
  Stated slug = assumed_between("water.slug", SpreadKind::log_uniform, 50e-6, 500e-6);  // m3
  Stated every = assumed_between("water.every", SpreadKind::log_uniform, 1.0, 60.0);    // days
  Stated conductivity = assumed_between("water.conductivity", SpreadKind::log_uniform, 1e-4, 0.5);
  Stated reaction = assumed_between("water.reaction", SpreadKind::log_uniform, 300.0, 8 * 3600.0);
  Stated total = assumed_between("water.total", SpreadKind::uniform, 50e-6, 200e-6);
};

const char* const assumption_texts[] = {
    "Work: 4 h a day at cruise; fuel and air of night and day by the climate word.",
    "Water in delivered fuel 50 to 200 mg/kg unless a fuel report says it; poured in 50 to 500 mL (typical), once or "
    "again every 1 to 60 days.",
    "An element stops 85 to 98 in 100 of coarse drops and 30 to 90 in 100 of drops of 10 um, aged or in ester.",
    "A pump dissipates 10 to 1,000 kW/kg where it is worst; water on fuel 7 to 40 mN/m.",
    "Each start, fill and hour stirs up 1 to 30 in 100 of the layer; cooling makes drops of 5 to 20 um.",
    "Bowl 200 mL (60 to 350), electrodes reached at 40 mL (20 to 120), typical, where the line sheet does not say.",
    "A sensor warns below 20 to 500 kOhm; water that comes in conducts 0.1 to 500 mS/m.",
    "20 g to 1 kg of undissolved water through the inlet within an hour does damage: no amount is published; 20 g lies "
    "above what fuel at the limit of EN 590 carries at 100 L/h.",
    "From the lamp to the engine off: 5 min to 8 h of running; amounts are those of a driver who does nothing.",
};

/// Probability position of a Stated of a sheet or of ours at a sample.
double drawn(const Stated& stated, std::uint64_t seed, std::size_t sample) {
  return numerics::draw(stated, seed, static_cast<std::uint32_t>(sample));
}

WaterBand band_of(std::vector<double> values) {
  std::ranges::sort(values);
  return {.low = numerics::quantile_of_sorted(values, 0.05),
          .median = numerics::quantile_of_sorted(values, 0.5),
          .high = numerics::quantile_of_sorted(values, 0.95)};
}
Interval interval_of(std::vector<double> values) {
  const numerics::Band band = numerics::band_90_in_place(values);
  return {.low = band.low, .high = band.high};
}

/// A stage of the sheet with what the sheet says of it.
struct SheetStage {
  const Part* part;
  StageKind kind;
  Stated bowl, probe;
  Sensor sensor;
};

/// The sheet as the water room needs it.
struct Prepared {
  const LineSheet* sheet = nullptr;
  fuel::Fuel fuel;
  std::vector<SheetStage> stages;
  std::vector<water::Path> paths;
  Stated volume, height, pickup;
  WaterSheet result;
};

bool separates(const Part& part) {
  if (!part.medium || part.bypassed) return false;
  return part.kind == system::PartKind::separator ||
         (part.kind == system::PartKind::filter && part.medium->sensor == system::WaterSensor::wired);
}

bool known(const std::optional<Stated>& stated) { return stated && stated->given() && !stated->unknown; }

class WayFinder {
 public:
  WayFinder(const LineSheet& sheet, std::vector<double> flows) : sheet_(sheet), flows_(std::move(flows)) {}

  /// Stages and ways from a tank; the stages of a leg are shared by all ways through it.
  void follow(Prepared& out, std::string_view end, double share, std::vector<std::size_t> stages,
              std::vector<const Leg*> seen) {
    if (end == system::engine_end) {
      out.paths.push_back({.share = share, .stages = std::move(stages)});
      return;
    }
    double sum = 0.0;
    for (const Leg* leg : onward(end, seen)) sum += flow_of(*leg);
    for (const Leg* leg : onward(end, seen)) {
      if (!(flow_of(*leg) > 1e-6 * sum)) continue;
      std::vector<std::size_t> more = stages;
      for (const Part& part : leg->parts) {
        if (const auto stage = stage_of(out, part)) more.push_back(*stage);
      }
      std::vector<const Leg*> been = seen;
      been.push_back(leg);
      follow(out, leg->to, share * flow_of(*leg) / sum, std::move(more), std::move(been));
    }
  }

  [[nodiscard]] double outflow(std::string_view tank) const {
    double sum = 0.0;
    for (const Leg* leg : onward(tank, {})) sum += flow_of(*leg);
    return sum;
  }

 private:
  [[nodiscard]] bool leads_to_engine(std::string_view end, std::vector<const Leg*> seen) const {
    if (end == system::engine_end) return true;
    for (const Leg& leg : sheet_.legs) {
      if (leg.from != end || std::ranges::count(seen, &leg) > 0) continue;
      seen.push_back(&leg);
      if (leads_to_engine(leg.to, seen)) return true;
    }
    return false;
  }
  [[nodiscard]] std::vector<const Leg*> onward(std::string_view end, const std::vector<const Leg*>& seen) const {
    std::vector<const Leg*> legs;
    for (const Leg& leg : sheet_.legs) {
      if (leg.from != end || std::ranges::count(seen, &leg) > 0) continue;
      if (sheet_.find_tank(leg.to) == nullptr && leads_to_engine(leg.to, {&leg})) legs.push_back(&leg);
    }
    return legs;
  }
  [[nodiscard]] double flow_of(const Leg& leg) const {
    return std::max(0.0, flows_[static_cast<std::size_t>(&leg - sheet_.legs.data())]);
  }
  static std::optional<std::size_t> stage_of(Prepared& out, const Part& part) {
    const bool bowl = separates(part);
    if (!bowl && !supply::turns(part)) return std::nullopt;
    const auto found = std::ranges::find(out.stages, &part, &SheetStage::part);
    if (found != out.stages.end()) return static_cast<std::size_t>(found - out.stages.begin());
    SheetStage stage{.part = &part,
                     .kind = bowl ? StageKind::separator : StageKind::pump,
                     .bowl = {},
                     .probe = {},
                     .sensor = Sensor::none};
    if (bowl) {
      stage.bowl =
          known(part.medium->bowl_m3) ? *part.medium->bowl_m3 : typical_of(part.id + ".bowl", 60e-6, 200e-6, 350e-6);
      stage.probe = known(part.medium->sensor_at_m3) ? *part.medium->sensor_at_m3
                                                     : typical_of(part.id + ".probe_at", 20e-6, 40e-6, 120e-6);
      if (part.medium->sensor == system::WaterSensor::wired) stage.sensor = Sensor::working;
      if (part.medium->sensor == system::WaterSensor::unplugged) stage.sensor = Sensor::dead;
    }
    out.stages.push_back(std::move(stage));
    return out.stages.size() - 1;
  }

  const LineSheet& sheet_;
  std::vector<double> flows_;  ///< by leg
};

/// A sump on the way from a tank before any pump that turns: what lies in it is drawn first.
bool draws_from_sump(const LineSheet& sheet, std::string_view end, std::vector<const Leg*> seen = {}) {
  for (const Leg& leg : sheet.legs) {
    if (leg.from != end || std::ranges::count(seen, &leg) > 0) continue;
    bool pumped = false;
    for (const Part& part : leg.parts) {
      if (part.bypassed) continue;
      if (part.kind == system::PartKind::sump && !pumped) return true;
      pumped = pumped || supply::turns(part);
    }
    std::vector<const Leg*> been = seen;
    been.push_back(&leg);
    if (!pumped && sheet.find_tank(leg.to) == nullptr && draws_from_sump(sheet, leg.to, std::move(been))) return true;
  }
  return false;
}

/// Flow of each leg, feed and burn at cruise; empty where the point has no solution.
struct Flows {
  std::vector<double> by_leg;
  double feed = 100 * litre_per_hour;
  double burn = 10 * litre_per_hour;
  bool known = false;
};

Result<Flows> flows_of(const LineSheet& sheet, const Run& run) {
  const auto model = system::SupplyModel::build(sheet, system::branches(sheet).front(), system::default_laws());
  if (!model) return fail(model.error());
  const std::vector<double> slots = model->nominal();
  const std::vector<system::SupplyModel::Case> cases{
      {.point = {.engine = system::EnginePoint::cruise, .fuel_temperature_K = celsius(20)}, .slots = slots}};
  const auto states = model->solve(cases, run);
  if (!states) return fail(states.error());
  const system::PointState& state = states->front();
  Flows flows;
  flows.by_leg.assign(sheet.legs.size(), 1.0);
  if (state.status != hydraulics::SolveStatus::converged || !(state.taken_m3_per_s > 0.0)) return flows;
  flows.known = true;
  flows.feed = state.taken_m3_per_s;
  flows.burn = std::min(state.burned_m3_per_s, state.taken_m3_per_s);
  // Only the place behind a part that loses pressure carries a flow; all of a leg carry the same.
  flows.by_leg.assign(sheet.legs.size(), 0.0);
  for (std::size_t i = 0; i < model->places().size(); ++i) {
    for (std::size_t leg = 0; leg < sheet.legs.size(); ++leg) {
      const double flow = state.place_flow_m3_per_s[i];
      if (sheet.legs[leg].id == model->places()[i].leg && std::abs(flow) > std::abs(flows.by_leg[leg])) {
        flows.by_leg[leg] = flow;
      }
    }
  }
  return flows;
}

Result<Prepared> prepare(const LineSheet& sheet, const Run& run) {
  Prepared out;
  out.sheet = &sheet;
  auto fuel = system::fuel_of_sheet(sheet);
  if (!fuel) return fail(fuel.error());
  out.fuel = std::move(*fuel);
  const auto flows = flows_of(sheet, run);
  if (!flows) return fail(flows.error());
  WayFinder ways(sheet, flows->by_leg);
  const system::Tank* tank = &sheet.tanks.front();
  for (const system::Tank& one : sheet.tanks) {
    if (ways.outflow(one.id) > ways.outflow(tank->id)) tank = &one;
  }
  ways.follow(out, tank->id, 1.0, {}, {});
  if (out.paths.empty()) {
    return fail(Error{.code = ErrorCode::outside_model,
                      .where = {.field = "leg"},
                      .found = "no flow from a tank to the engine at cruise",
                      .expected = "a way on which fuel moves",
                      .hint = "Look at the answer of fuelwright supply first"});
  }
  WaterSheet& result = out.result;
  result.name = sheet.name;
  result.file = sheet.file;
  result.tank = tank->title.empty() ? tank->id : tank->title;
  result.sump = draws_from_sump(sheet, tank->id);
  result.pickup_stated = result.sump || tank->pickup_height_m.given();
  result.volume_stated = tank->volume_m3 && tank->volume_m3->given();
  result.flows_known = flows->known;
  result.feed_m3_per_s = flows->feed;
  result.burn_m3_per_s = flows->burn;
  out.volume = result.volume_stated ? *tank->volume_m3 : typical_of(tank->id + ".volume", 0.06, 0.125, 0.35);
  out.height = tank->height_m.given() ? tank->height_m : typical_of(tank->id + ".height", 0.18, 0.25, 0.6);
  out.pickup = result.sump                     ? exactly(0.0)
               : tank->pickup_height_m.given() ? tank->pickup_height_m
                                               : typical_of(tank->id + ".pickup_height", 0.010, 0.025, 0.040);
  result.pickup_height_m = out.pickup.value;
  result.volume_m3 = out.volume.value;
  result.under_pickup_m3 = std::max(0.0, out.pickup.value) * out.volume.value / out.height.value;

  for (std::size_t i = 0; i < out.stages.size(); ++i) {
    const SheetStage& stage = out.stages[i];
    WaterStage shown{.id = stage.part->id, .title = supply::title_of(*stage.part), .kind = stage.kind, .share = 0.0};
    shown.sensor = stage.sensor;
    if (stage.kind == StageKind::separator) {
      result.bowl_in_flow = true;
      shown.sensor_stated = stage.part->medium->sensor != system::WaterSensor::not_stated;
      shown.bowl_stated = known(stage.part->medium->bowl_m3);
      shown.probe_stated = known(stage.part->medium->sensor_at_m3);
    }
    for (const water::Path& path : out.paths) {
      const auto at = std::ranges::find(path.stages, i);
      if (at == path.stages.end()) continue;
      shown.share += path.share;
      for (auto before = path.stages.begin(); before != at; ++before) {
        if (out.stages[*before].kind == StageKind::pump) shown.behind_pump = true;
      }
    }
    result.stages.push_back(std::move(shown));
  }
  return out;
}

/// One set of assumptions applied to a sheet.
water::Way way_of(const Prepared& sheet, const Assumed& assumed, std::uint64_t seed, std::size_t set) {
  const double volume = drawn(sheet.volume, seed, set);
  const double pickup = drawn(sheet.pickup, seed, set);
  water::Way way{.tank = {.volume_m3 = volume,
                          .floor_area_m2 = volume / drawn(sheet.height, seed, set),
                          .pickup_height_m = std::max(0.0, pickup)},
                 .stages = {},
                 .paths = sheet.paths};
  const double coarse = drawn(assumed.coarse, seed, set);
  const double fine = std::min(coarse, drawn(assumed.fine, seed, set));
  for (const SheetStage& stage : sheet.stages) {
    water::Stage one{.id = stage.part->id, .kind = stage.kind};
    if (stage.kind == StageKind::pump) {
      one.dissipation_W_per_kg = drawn(assumed.dissipation, seed, set);
    } else {
      one.separator = {.coarse = coarse, .fine = fine};
      one.bowl_m3 = drawn(stage.bowl, seed, set);
      one.probe_m3 = drawn(stage.probe, seed, set);
      // Electrodes stand inside the bowl: of the two, the one that nobody stated gives way.
      constexpr double highest_share = 0.8;
      if (!known(stage.part->medium->sensor_at_m3)) {
        one.probe_m3 = std::min(one.probe_m3, highest_share * one.bowl_m3);
      } else if (!known(stage.part->medium->bowl_m3)) {
        one.bowl_m3 = std::max(one.bowl_m3, one.probe_m3 / highest_share);
      } else {
        one.probe_m3 = std::min(one.probe_m3, one.bowl_m3);
      }
      one.sensor = stage.sensor;
    }
    way.stages.push_back(std::move(one));
  }
  return way;
}

/// What the draws of one set gave.
struct SetResult {
  std::vector<water::DutyResult> ordinary, slug;
  std::vector<water::WarningRun> as_it_is, with_sensor;
  double frozen_share = 0.0;
  std::vector<double> drop_m;            ///< by stage: pump leaves, separator receives; infinite: whole
  std::vector<double> efficiency, fine;  ///< by stage
  std::vector<double> drain_s;           ///< by bowl; infinite: nothing caught
};

class Draws {
 public:
  Draws(const Prepared& sheet, const WaterFacts& facts) : sheet_(sheet), facts_(facts) {
    if (facts.fuel_water) stories_.total = *facts.fuel_water;
    const ClimateDay& day = climate_days.at(static_cast<std::size_t>(facts.climate));
    duty_ = {.days = facts.days,
             .run_s = run_s,
             .feed_m3_per_s = sheet.result.feed_m3_per_s,
             .burn_m3_per_s = sheet.result.burn_m3_per_s,
             .night_K = celsius(day.night_C),
             .warm_K = celsius(day.warm_C),
             .day_air = {.temperature_K = celsius(day.air_C), .humidity = day.humidity}};
  }

  Result<SetResult> set(std::size_t set) const {
    SetResult out;
    const std::uint64_t seed = facts_.seed;
    const water::Way way = way_of(sheet_, assumed_, seed, set);
    water::Way sensed = way;
    for (water::Stage& stage : sensed.stages) {
      if (stage.kind == StageKind::separator) stage.sensor = Sensor::working;
    }
    water::WaterIn in{.fuel_total = required,
                      .conductivity_S_per_m = required,
                      .threshold_ohm = drawn(assumed_.threshold, seed, set),
                      .interfacial_tension_N_per_m = drawn(assumed_.tension, seed, set),
                      .stirred_share = drawn(assumed_.stirred, seed, set),
                      .haze_drop_m = drawn(assumed_.haze, seed, set),
                      .damaging_kg = drawn(assumed_.damaging, seed, set)};
    for (std::size_t k = 0; k < facts_.stories; ++k) {
      const std::size_t sample = set * facts_.stories + k;
      in.fuel_total = drawn(stories_.total, seed, sample);
      in.conductivity_S_per_m = drawn(stories_.conductivity, seed, sample);
      in.slug_kg = 0.0;
      in.slug_every_days.reset();
      auto ordinary = water::run_days(way, sheet_.fuel, duty_, in, {.step_share = step_share});
      if (!ordinary) return fail(ordinary.error());
      out.ordinary.push_back(std::move(*ordinary));
      in.slug_kg = drawn(stories_.slug, seed, sample) * water::water_density_kg_per_m3;
      in.slug_every_days = static_cast<int>(std::ceil(drawn(stories_.every, seed, sample)));
      auto slug = water::run_days(way, sheet_.fuel, duty_, in, {.step_share = step_share});
      if (!slug) return fail(slug.error());
      const auto seen = water::run_days(sensed, sheet_.fuel, duty_, in, {.step_share = step_share});
      if (!seen) return fail(seen.error());
      const double reaction = drawn(stories_.reaction, seed, sample);
      out.as_it_is.push_back({.warned_s = slug->warned_s, .damaged_s = slug->damaged_s, .reaction_s = reaction});
      out.with_sensor.push_back({.warned_s = seen->warned_s, .damaged_s = seen->damaged_s, .reaction_s = reaction});
      out.slug.push_back(std::move(*slug));
    }
    if (const auto good = ice(way, in, out); !good) return fail(good.error());
    if (const auto good = stages(way, in, out); !good) return fail(good.error());
    return out;
  }

 private:
  /// A month of the climate's coldest starts.
  Result<void> ice(const water::Way& way, const water::WaterIn& in, SetResult& out) const {
    if (sheet_.result.coldest_K > water::freezing_point_K) return {};
    water::Duty cold = duty_;
    cold.night_K = sheet_.result.coldest_K;
    cold.warm_K = std::max(cold.night_K, std::min(duty_.warm_K, cold.night_K + 20.0));
    cold.day_air = {.temperature_K = cold.night_K + 5.0, .humidity = 0.8};
    const auto run = water::run_days(way, sheet_.fuel, cold, in, {.step_share = step_share});
    if (!run) return fail(run.error());
    if (facts_.days > 1) out.frozen_share = run->frozen_starts / (facts_.days - 1.0);
    return {};
  }

  Result<void> stages(const water::Way& way, const water::WaterIn& in, SetResult& out) const {
    const auto density = fuel::density_kg_per_m3(sheet_.fuel, duty_.warm_K);
    if (!density) return fail(density.error());
    for (std::size_t i = 0; i < way.stages.size(); ++i) {
      const water::Stage& stage = way.stages[i];
      double drop = std::numeric_limits<double>::infinity();
      for (const water::Path& path : way.paths) {
        const auto at = std::ranges::find(path.stages, i);
        if (at == path.stages.end()) continue;
        const auto end = stage.kind == StageKind::pump ? at + 1 : at;
        for (auto before = path.stages.begin(); before != end; ++before) {
          if (way.stages[*before].kind != StageKind::pump) continue;
          const auto broken = water::largest_drop_m({.interfacial_tension_N_per_m = in.interfacial_tension_N_per_m,
                                                     .dissipation_W_per_kg = way.stages[*before].dissipation_W_per_kg,
                                                     .fuel_density_kg_per_m3 = density->value});
          if (!broken) return fail(broken.error());
          drop = std::min(drop, *broken);
        }
      }
      out.drop_m.push_back(drop);
      if (stage.kind == StageKind::pump) {
        out.efficiency.push_back(0.0);
        out.fine.push_back(0.0);
        continue;
      }
      const auto coarse = water::efficiency_at(stage.separator, std::min(drop, water::coarse_drop_m));
      const auto fine = water::efficiency_at(stage.separator, std::min(drop, in.haze_drop_m));
      if (!coarse) return fail(coarse.error());
      if (!fine) return fail(fine.error());
      out.efficiency.push_back(*coarse);
      out.fine.push_back(*fine);
    }
    const double ran_s = run_s * facts_.days;
    std::size_t bowl = 0;
    for (const water::Stage& stage : way.stages) {
      if (stage.kind != StageKind::separator) continue;
      const water::BowlEnd& end = out.ordinary.front().bowls.at(bowl++);
      const double capacity = stage.bowl_m3 * water::water_density_kg_per_m3;
      out.drain_s.push_back(end.full_s          ? half * *end.full_s
                            : end.held_kg > 0.0 ? half * capacity / end.held_kg * ran_s
                                                : std::numeric_limits<double>::infinity());
    }
    return {};
  }

  const Prepared& sheet_;
  const WaterFacts& facts_;
  Assumed assumed_;
  Stories stories_;
  water::Duty duty_;
};

WaterStory story_of(const std::vector<SetResult>& sets, std::vector<water::DutyResult> SetResult::* which) {
  std::vector<double> free, worst, wet;
  WaterStory story;
  double drawn_runs = 0.0, full_runs = 0.0;
  for (const SetResult& set : sets) {
    for (const water::DutyResult& run : set.*which) {
      free.push_back(run.free_through_inlet_kg);
      worst.push_back(run.worst_undissolved);
      wet.push_back(run.wet_share);
      if (run.first_draw_s) drawn_runs += 1.0;
      if (std::ranges::any_of(run.bowls, [](const water::BowlEnd& bowl) { return bowl.full_s.has_value(); }))
        full_runs += 1.0;
    }
  }
  const auto runs = static_cast<double>(free.size());
  story.body_drawn = drawn_runs / runs;
  story.bowl_full = full_runs / runs;
  story.free_kg = band_of(std::move(free));
  story.worst = band_of(std::move(worst));
  story.wet_share = band_of(std::move(wet));
  return story;
}

Result<void> gather(WaterSheet& sheet, const std::vector<SetResult>& sets) {
  sheet.ordinary = story_of(sets, &SetResult::ordinary);
  sheet.slug = story_of(sets, &SetResult::slug);
  std::vector<std::vector<water::WarningRun>> as_it_is, with_sensor;
  sheet.silent.assign(6, 0);
  sheet.frozen_share = 0.0;
  for (const SetResult& set : sets) {
    as_it_is.push_back(set.as_it_is);
    with_sensor.push_back(set.with_sensor);
    sheet.frozen_share += set.frozen_share / static_cast<double>(sets.size());
    for (const water::DutyResult& run : set.slug) {
      sheet.slug_free_kg.push_back(run.free_through_inlet_kg);
      ++sheet.silent.at(static_cast<std::size_t>(run.blindness));
    }
  }
  const auto now = water::chance_of_warning_first(as_it_is);
  if (!now) return fail(now.error());
  const auto then = water::chance_of_warning_first(with_sensor);
  if (!then) return fail(then.error());
  sheet.as_it_is = *now;
  sheet.with_sensor = *then;
  std::size_t bowl = 0;
  for (std::size_t i = 0; i < sheet.stages.size(); ++i) {
    WaterStage& stage = sheet.stages[i];
    std::vector<double> drops, efficiency, fine, drain;
    for (const SetResult& set : sets) {
      if (std::isfinite(set.drop_m[i])) drops.push_back(set.drop_m[i]);
      efficiency.push_back(set.efficiency[i]);
      fine.push_back(set.fine[i]);
      if (stage.kind == StageKind::separator && std::isfinite(set.drain_s[bowl])) drain.push_back(set.drain_s[bowl]);
    }
    if (!drops.empty()) stage.largest_drop_m = interval_of(std::move(drops));
    if (stage.kind != StageKind::separator) continue;
    stage.efficiency = interval_of(std::move(efficiency));
    stage.fine_efficiency = interval_of(std::move(fine));
    if (2 * drain.size() > sets.size()) stage.drain_s = interval_of(std::move(drain));
    ++bowl;
  }
  return {};
}

/// What changed from one sheet to the next; "not determined" where the band of the difference holds 0.
std::vector<std::string> compare(const WaterSheet& a, const WaterSheet& b) {
  std::vector<std::string> out;
  if (a.sump != b.sump) {
    out.push_back(
        b.sump ? fmt::format("{} draws from a sump: water on the floor comes first, and it is what freezes.", b.name)
               : fmt::format("{} no longer draws from a sump.", b.name));
  }
  out.push_back(water_difference(a, b));
  return out;
}

Result<WaterSheet> judge_sheet(const LineSheet& sheet, const WaterFacts& facts, double coldest_K, const Run& run) {
  auto prepared = prepare(sheet, run);
  if (!prepared) return fail(prepared.error().in_file(sheet.file));
  prepared->result.coldest_K = coldest_K;
  prepared->result.freezes = coldest_K <= water::freezing_point_K;
  const Draws draws(*prepared, facts);
  std::vector<Result<SetResult>> sets(facts.sets, Result<SetResult>(SetResult{}));
  run.executor.for_each_block(facts.sets, [&](std::size_t set) {
    if (!run.stop.stop_requested()) sets[set] = draws.set(set);
  });
  if (run.stop.stop_requested()) {
    return fail(Error{.code = ErrorCode::cancelled, .where = {}, .found = "a stop", .expected = "", .hint = ""});
  }
  std::vector<SetResult> good;
  for (auto& set : sets) {
    if (!set) return fail(set.error().in_file(sheet.file));
    good.push_back(std::move(*set));
  }
  if (const auto done = gather(prepared->result, good); !done) return fail(done.error().in_file(sheet.file));
  return std::move(prepared->result);
}

}  // namespace

std::string water_difference(const WaterSheet& first, const WaterSheet& second) {
  FW_EXPECTS(first.slug_free_kg.size() == second.slug_free_kg.size());
  std::vector<double> more;
  for (std::size_t i = 0; i < first.slug_free_kg.size(); ++i) {
    more.push_back(second.slug_free_kg[i] - first.slug_free_kg[i]);
  }
  const WaterBand band = band_of(std::move(more));
  const std::string what = "undissolved water through the inlet after water was poured in";
  const auto volume = [](double kg) {
    const double mL = 1e6 * kg / water::water_density_kg_per_m3;
    return std::abs(mL) < 999.5 ? fmt::format("{:.0f} mL", mL) : fmt::format("{:.1f} L", 1e-3 * mL);
  };
  if (band.low > 0.0 || band.high < 0.0) {
    return fmt::format("{} lets {} {} than {}: by {}, nine in ten {} to {}.", second.name,
                       band.low > 0.0 ? "more" : "less", what, first.name, volume(std::abs(band.median)),
                       volume(std::min(std::abs(band.low), std::abs(band.high))),
                       volume(std::max(std::abs(band.low), std::abs(band.high))));
  }
  return fmt::format("Whether {} or {} lets more {}: not determined (difference {} to {}).", first.name, second.name,
                     what, volume(band.low), volume(band.high));
}

WaterFacts water_facts(const casefile::Case& job, std::uint64_t seed) {
  return {.climate = job.climate, .fuel_water = job.fuel_water, .seed = seed};
}

Result<WaterSection> water_section(std::span<const system::LineSheet> sheets, const WaterFacts& facts, const Run& run) {
  if (sheets.empty()) return invalid("sheets", "none", "at least one line sheet");
  InputCheck check;
  check
      .that(facts.sets >= 1 && facts.stories >= 1 && facts.sets * facts.stories <= 100000, "facts.sets",
            fmt::format("{} times {}", facts.sets, facts.stories), "1 to 100000 draws in all")
      .that(facts.days >= 1 && facts.days <= 366, "facts.days", fmt::format("{}", facts.days), "1 to 366");
  if (facts.fuel_water) {
    check.within(facts.fuel_water->value, {.low = 0.0, .high = 0.1}, "facts.fuel_water");
  }
  if (check.failed()) return check.fault();
  WaterSection section{.seed = facts.seed, .draws = facts.sets * facts.stories, .days = facts.days};
  double coldest_K = std::numeric_limits<double>::infinity();
  for (const system::RunningPoint& point : supply::envelope(facts.climate)) {
    coldest_K = std::min(coldest_K, point.fuel_temperature_K);
  }
  std::optional<Errors> refused;
  for (std::size_t s = 0; s < sheets.size(); ++s) {
    run.progress.at("sheets", s, sheets.size());
    auto judged = judge_sheet(sheets[s], facts, coldest_K, run);
    if (judged) {
      section.sheets.push_back(std::move(*judged));
      continue;
    }
    if (judged.error().front().code != ErrorCode::outside_model) return fail(judged.error());
    section.not_judged.push_back({.name = sheets[s].name, .why = to_text(judged.error().front())});
    if (!refused) refused = judged.error();
  }
  if (section.sheets.empty()) return fail(*refused);
  const ClimateDay& day = climate_days.at(static_cast<std::size_t>(facts.climate));
  const auto dew = water::condense({.ullage_m3 = half * section.sheets.front().volume_m3,
                                    .warm = {.temperature_K = celsius(day.air_C), .humidity = day.humidity},
                                    .cold_K = celsius(std::min(day.night_C, day.air_C))});
  if (!dew) return fail(dew.error());
  section.night_kg = dew->vented_kg;
  for (std::size_t s = 1; s < section.sheets.size(); ++s) {
    for (std::string& one : compare(section.sheets[s - 1], section.sheets[s]))
      section.sentences.push_back(std::move(one));
  }
  for (const char* text : assumption_texts) section.assumptions.emplace_back(text);
  return section;
}

}  // namespace fw::assess
