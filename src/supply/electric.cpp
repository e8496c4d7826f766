// SPDX-License-Identifier: Apache-2.0
#include "supply/electric.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <numbers>

#include "supply/limits.hpp"

namespace fw::supply {

namespace {

using system::Part;
using system::PointState;
using system::RunningPoint;
using units::Dimension;
using Slots = std::span<const double>;

constexpr double nothing = std::numeric_limits<double>::quiet_NaN();
constexpr double engine_space_share = 0.85;
constexpr double wire_drop_V = 0.5;
constexpr double fuse_over_current = 1.25;
constexpr double fuse_from_battery_m = 0.178;
constexpr double alarm_share = 0.7;

struct Ampacity {
  int gauge;
  double current_A;
};
constexpr std::array<Ampacity, 7> table{
    {{18, 20.0}, {16, 25.0}, {14, 35.0}, {12, 45.0}, {10, 60.0}, {8, 80.0}, {6, 120.0}}};

/// Section of a gauge (ASTM B258).
double area_of(int gauge) {
  const double diameter_m = 0.127e-3 * std::pow(92.0, (36.0 - gauge) / 39.0);
  return 0.25 * std::numbers::pi * diameter_m * diameter_m;
}

bool is_electric(const Part& part) {
  return part.pump && !part.bypassed && part.pump->drive == system::Drive::electric;
}

bool current_known(const Part& part) { return part.pump->current_A || part.pump->motor_constant_V_s; }

const system::PumpAnswer* answer_of(const PointState& state, const std::string& part) {
  const auto found = std::ranges::find(state.pumps, part, &system::PumpAnswer::part);
  return found == state.pumps.end() || !found->turning || !(found->current_A > 0.0) ? nullptr : &*found;
}

Criterion start(const Part& part, const char* id, const char* title, Dimension dimension) {
  Criterion c;
  c.check.id = std::string(id) + "-" + part.id;
  c.check.title = std::string(title) + " of the " + title_of(part);
  c.check.dimension = dimension;
  c.check.place = title_of(part);
  c.check.place_part = part.id;
  c.counts = [](const RunningPoint& point) { return point.engine != system::EnginePoint::stopped; };
  c.when_not_known = "The current is not known";
  return c;
}

Check fact(const Part& part, const char* id, const char* title, std::string source) {
  Check check;
  check.id = std::string(id) + "-" + part.id;
  check.title = std::string(title) + " of the " + title_of(part);
  check.dimension = Dimension::ratio;
  check.limit = {.fails = nothing, .narrow = {}, .origin = LimitOrigin::practice, .source = std::move(source)};
  check.place = title_of(part);
  check.place_part = part.id;
  return check;
}

Check not_stated(Check check, const Part& part, const char* what) {
  check.outcome = Outcome::not_known;
  check.sentence = std::string(what) + " is not stated for the " + title_of(part) + ".";
  return check;
}

Check cut_off(const Part& part) {
  Check check =
      fact(part, "cut-off", "Cut-off", "stops with the key and with the engine or in a crash, common practice");
  if (!part.pump->cut_off) return not_stated(std::move(check), part, "What cuts the current");
  const system::CutOff& cut = *part.pump->cut_off;
  const std::string end = ending(check.limit);
  if (!cut.key) {
    check.outcome = Outcome::fails;
    check.sentence = "The pump goes on with the key off" + end;
  } else if (!cut.crash && !cut.stall) {
    check.outcome = Outcome::fails;
    check.sentence = "The pump goes on after a crash or a stall: from a torn line it feeds a fire" + end;
  } else if (!cut.crash) {
    check.outcome = Outcome::narrow;
    check.sentence = "The pump stops with the engine but not by a crash alone" + end;
  } else {
    check.outcome = Outcome::holds;
    check.sentence = "The pump stops with the key and in a crash.";
  }
  return check;
}

}  // namespace

std::optional<double> ampacity_A(double area_m2, bool engine_space) {
  std::optional<double> current_A;
  for (const Ampacity& row : table) {
    if (area_m2 >= area_of(row.gauge) * (1.0 - 1e-6)) current_A = row.current_A;
  }
  if (current_A && engine_space) *current_A *= engine_space_share;
  return current_A;
}

std::vector<Criterion> electric_criteria(const system::SupplyModel& /*model*/, const Part& part) {
  std::vector<Criterion> all;
  if (!is_electric(part) || !current_known(part)) return all;
  const auto with_current = [id = part.id](auto read) {
    return [id, read](const RunningPoint&, const PointState& state, Slots) {
      const system::PumpAnswer* pump = answer_of(state, id);
      return pump == nullptr ? nothing : read(*pump);
    };
  };
  if (part.pump->wiring || part.pump->harness_resistance_ohm) {
    Criterion drop = start(part, "wire-drop", "Voltage lost on the wire", Dimension::voltage);
    drop.check.limit = {.fails = wire_drop_V,
                        .narrow = {},
                        .origin = LimitOrigin::practice,
                        .source = "0.5 V out and back together, trade guides"};
    drop.value = with_current([](const system::PumpAnswer& pump) { return pump.supply_V - pump.connector_V; });
    drop.when_fails = "Too much voltage is lost on the wire: the pump runs slow";
    drop.when_narrow = "Nearly as much voltage is lost on the wire as may be";
    drop.when_holds = "Little voltage is lost on the wire";
    all.push_back(std::move(drop));
  }
  if (!part.pump->wiring) return all;
  const system::Wiring& wiring = *part.pump->wiring;
  if (const auto carried = ampacity_A(wiring.area_m2.value, wiring.engine_space.value_or(false))) {
    Criterion load = start(part, "ampacity", "Current in the wire", Dimension::current);
    load.check.limit = {.fails = *carried,
                        .narrow = 0.8 * *carried,
                        .origin = LimitOrigin::practice,
                        .source = "ABYC E-11, 105 C insulation, from memory; narrow from eight tenths, assumed"};
    load.value = with_current([](const system::PumpAnswer& pump) { return pump.current_A; });
    load.when_fails = "The wire carries more current than it is good for: it gets hot";
    load.when_narrow = "The wire carries nearly all the current that it may";
    load.when_holds = "The wire carries the current with ease";
    all.push_back(std::move(load));
  }
  if (wiring.fuse_A) {
    Criterion fuse = start(part, "fuse-load", "Fuse against the current", Dimension::ratio);
    fuse.check.low = true;
    fuse.check.limit = {.fails = 1.0,
                        .narrow = fuse_over_current,
                        .origin = LimitOrigin::practice,
                        .source = "fuse of 1.25 to 1.5 times the running current, common practice"};
    fuse.value = with_current(
        [rating = wiring.fuse_A->value](const system::PumpAnswer& pump) { return rating / pump.current_A; });
    fuse.when_fails = "The fuse is smaller than the running current: it blows on the road";
    fuse.when_narrow = "The fuse is hardly larger than the running current: it ages and blows";
    fuse.when_holds = "The fuse carries the running current";
    all.push_back(std::move(fuse));
  }
  return all;
}

std::vector<Check> electric_facts(const std::vector<WayPart>& way) {
  std::vector<Check> checks;
  for (const WayPart& at : way) {
    const Part& part = *at.part;
    if (!is_electric(part)) continue;
    checks.push_back(cut_off(part));
    Check rating =
        fact(part, "fuse-wire", "Fuse against the wire", "fuse at most what the wire carries, ABYC E-11 from memory");
    Check place = fact(part, "fuse-place", "Place of the fuse", "within 178 mm of the battery, trade guides");
    place.dimension = Dimension::length;
    if (!part.pump->wiring) {
      // One missing fact, one line.
      checks.push_back(not_stated(std::move(rating), part, "The size of the wire"));
      continue;
    }
    const system::Wiring& wiring = *part.pump->wiring;
    if (!current_known(part)) {
      checks.push_back(
          not_stated(fact(part, "wire-drop", "Voltage lost on the wire", "0.5 V out and back together, trade guides"),
                     part, "The current"));
    }
    const auto carried = ampacity_A(wiring.area_m2.value, wiring.engine_space.value_or(false));
    if (!wiring.fuse_A) {
      checks.push_back(not_stated(std::move(rating), part, "The rating of the fuse"));
    } else if (!carried) {
      rating.outcome = Outcome::not_known;
      rating.sentence = "The wire is thinner than any in the table of what wires carry.";
      checks.push_back(std::move(rating));
    } else {
      rating.value = wiring.fuse_A->value / *carried;
      rating.limit.fails = 1.0;
      rating.margin = 1.0 - *rating.value;
      rating.outcome = against(*rating.value, rating.limit, false);
      rating.sentence = rating.outcome == Outcome::holds
                            ? "The fuse blows before the wire burns."
                            : "The wire burns before the fuse blows" + ending(rating.limit);
      checks.push_back(std::move(rating));
    }
    if (!wiring.fuse_from_battery_m) {
      checks.push_back(not_stated(std::move(place), part, "The place of the fuse"));
    } else {
      place.value = wiring.fuse_from_battery_m->value;
      place.limit.fails = fuse_from_battery_m;
      place.margin = fuse_from_battery_m - *place.value;
      place.outcome = against(*place.value, place.limit, false);
      place.sentence = place.outcome == Outcome::holds
                           ? "The fuse sits close to the battery."
                           : "The fuse sits far from the battery: the wire before it burns when it chafes through" +
                                 ending(place.limit);
      checks.push_back(std::move(place));
    }
  }
  return checks;
}

Check watch_check(const Watched& watched) {
  Check check;
  check.id = "watch-" + watched.part;
  check.title = "Warning when the " + watched.title + " dies";
  check.dimension = Dimension::gauge_pressure;
  check.limit = {.fails = nothing,
                 .narrow = {},
                 .origin = LimitOrigin::practice,
                 .source = "a gauge or an alarm, common practice; alarm at the design value less 30 %, judgement"};
  check.low = true;
  check.place = "outlet of the " + watched.title;
  check.place_part = watched.part;
  if (watched.lowest_outlet_Pa && *watched.lowest_outlet_Pa > 0.0) {
    check.proposed = alarm_share * *watched.lowest_outlet_Pa;
  }
  if (watched.engine_stops) {
    check.outcome = Outcome::holds;
    check.sentence = "The engine does not pull without it: the driver notices.";
  } else if (watched.watch == system::Watch::gauge || watched.watch == system::Watch::alarm) {
    check.outcome = Outcome::holds;
    check.sentence =
        watched.watch == system::Watch::gauge ? "A gauge shows it to who looks at it." : "An alarm tells it.";
  } else if (watched.watch == system::Watch::none) {
    check.outcome = Outcome::fails;
    check.sentence = "The engine runs on without it and nobody is told" + ending(check.limit);
  } else {
    check.outcome = Outcome::not_known;
    check.sentence = "Whether a gauge or an alarm watches the " + watched.title + " is not stated.";
  }
  return check;
}

}  // namespace fw::supply
