// SPDX-License-Identifier: Apache-2.0
#include "supply/criteria.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>
#include <optional>

#include "supply/electric.hpp"
#include "supply/fuel_way.hpp"
#include "supply/limits.hpp"

namespace fw::supply {

namespace {

using system::EnginePoint;
using system::Part;
using system::PointState;
using system::RunningPoint;
using system::SupplyModel;
using units::Dimension;
using Slots = std::span<const double>;

constexpr double kPa = 1e3;
constexpr double nothing = std::numeric_limits<double>::quiet_NaN();
constexpr double injector_viscosity_m2_per_s = 1.4e-6;
constexpr double whole_return_Pa = 50 * kPa;
constexpr double gas_narrow = 0.02, gas_fails = 0.05;
constexpr double regulating_share = 0.9;  // of the set, assumed
constexpr double new_filter_share = 0.5;  // of the life's drop that a new element may take, assumed
constexpr double suction_m_per_s = 1.2, return_m_per_s = 2.0, pressure_m_per_s = 4.5;

bool always(const RunningPoint&) { return true; }
bool turning(const RunningPoint& point) {
  return point.engine != EnginePoint::stopped && point.engine != EnginePoint::crank;
}
bool loaded(const RunningPoint& point) { return turning(point) && point.filter_loading <= 0.0; }
bool clean(const RunningPoint& point) { return point.filter_loading <= 0.0; }

/// Index of an input by its id, if the model uses it.
std::optional<std::size_t> slot_of(const SupplyModel& model, const Stated& stated) {
  for (std::size_t i = 0; i < model.inputs().size(); ++i) {
    if (model.inputs()[i].id == stated.id) return i;
  }
  return std::nullopt;
}

/// Value of a stated number in a draw; its most likely value where the model has no slot for it.
std::function<double(Slots)> reader(const SupplyModel& model, const Stated& stated) {
  if (const auto slot = slot_of(model, stated)) return [i = *slot](Slots slots) { return slots[i]; };
  return [value = stated.value](Slots) { return value; };
}

Criterion inlet(const SupplyModel& model, bool low) {
  const InletLimits limits = inlet_limits(model.sheet().engine);
  Criterion c;
  c.check.id = low ? "inlet-low" : "inlet-high";
  c.check.title = low ? "Pump inlet pressure, low side" : "Pump inlet pressure, high side";
  c.check.limit = low ? limits.low : limits.high;
  c.check.low = low;
  c.check.place = "pump inlet";
  c.check.place_part = system::engine_end;
  c.wax = low;
  c.counts = low ? turning : always;
  c.value = [](const RunningPoint&, const PointState& state, Slots) { return state.inlet_over_ambient_Pa; };
  if (low) {
    c.when_fails = "The high-pressure pump is not fed enough";
    c.when_narrow = "The high-pressure pump is fed with little to spare";
    c.when_holds = "The high-pressure pump is fed";
    c.when_not_known = "The inlet class of the high-pressure pump is not stated";
  } else {
    c.when_fails = "The supply presses on the pump inlet harder than it should";
    c.when_narrow = "The supply presses on the pump inlet nearly as hard as it may";
    c.when_holds = "The supply does not press too hard on the pump inlet";
    c.when_not_known = "The highest pressure that the pump inlet may see is not stated";
  }
  return c;
}

Criterion suction(const SupplyModel& model, const Part& part) {
  const bool electric = part.pump->drive == system::Drive::electric;
  const std::size_t before = model.place_of(part.id).value() - 1;
  Criterion c;
  c.check.id = "suction-" + part.id;
  c.check.title = "Vacuum at the " + title_of(part);
  c.check.low = true;
  c.check.place = "inlet of the " + title_of(part);
  c.check.place_part = part.id;
  c.check.limit = electric ? Limit{.fails = -17 * kPa,
                                   .narrow = -10 * kPa,
                                   .origin = LimitOrigin::assumed,
                                   .source = "electric pump on suction: narrow beyond 10, fails beyond 17 kPa, assumed"}
                           : Limit{.fails = -41 * kPa,
                                   .narrow = -34 * kPa,
                                   .origin = LimitOrigin::practice,
                                   .source = "factory suction table of a suction-fed V8"};
  c.wax = true;
  c.counts = always;
  c.value = [before](const RunningPoint&, const PointState& state, Slots) {
    return state.place_over_ambient_Pa[before];
  };
  c.when_fails = "The pump has to suck too hard: air comes out of the fuel and the pump wears";
  c.when_narrow = "The pump sucks hard, with little to spare";
  c.when_holds = "The pump is not starved on its suction side";
  return c;
}

Criterion gas() {
  Criterion c;
  c.check.id = "gas";
  c.check.title = "Free gas at the pump inlet";
  c.check.dimension = Dimension::ratio;
  c.check.limit = {.fails = gas_fails,
                   .narrow = gas_narrow,
                   .origin = LimitOrigin::assumed,
                   .source = "2 and 5 % by volume, assumed; no release rate is published"};
  c.check.place = "pump inlet";
  c.check.place_part = system::engine_end;
  c.gas = true;
  c.wax = true;
  c.counts = turning;
  c.value = [](const RunningPoint&, const PointState& state, Slots) { return state.inlet_void; };
  c.when_fails = "Air comes out of the fuel before the pump: it fills with foam";
  c.when_narrow = "Some air comes out of the fuel before the pump";
  c.when_holds = "Little air comes out of the fuel before the pump";
  c.when_not_known = "How much air comes out of the fuel there is open: nobody publishes how fast it is released";
  return c;
}

Criterion delivery() {
  Criterion c;
  c.check.id = "delivery";
  c.check.title = "Fuel missing at the pump inlet";
  c.check.dimension = Dimension::ratio;
  c.check.limit = {.fails = 0.0, .narrow = {}, .origin = LimitOrigin::none, .source = "what the engine asks for"};
  c.check.place = "pump inlet";
  c.check.place_part = system::engine_end;
  c.wax = true;
  c.counts = always;
  c.value = [](const RunningPoint&, const PointState& state, Slots) {
    if (!state.starved && !state.unfilled) return 0.0;
    const double asked = std::max(state.well_fed_m3_per_s, 1e-12);
    return std::max((state.well_fed_m3_per_s - state.taken_m3_per_s) / asked, 1e-6);
  };
  c.when_fails = "The suction reaches the fuel's vapour pressure: the engine does not get all that it asks for";
  c.when_narrow = "In some of the draws the engine does not get all that it asks for";
  c.when_holds = "The engine gets what it asks for at every running point";
  return c;
}

std::optional<Criterion> filter_flow(const SupplyModel& model, const Part& part) {
  if (!part.medium->rated_flow_m3_per_s) return std::nullopt;
  const std::size_t place = model.place_of(part.id).value();
  const Stated& rated = *part.medium->rated_flow_m3_per_s;
  const auto rated_flow = reader(model, rated);
  Criterion c;
  c.check.id = "filter-flow-" + part.id;
  c.check.title = "Flow through the " + title_of(part);
  c.check.dimension = Dimension::ratio;
  c.check.limit = {.fails = 1.0,
                   .narrow = 0.9,
                   .origin = origin_of(rated.source),
                   .source = "share of its rated flow as entered; narrow from nine tenths, assumed"};
  c.check.place = title_of(part);
  c.check.place_part = part.id;
  c.counts = always;
  c.value = [place, rated_flow](const RunningPoint&, const PointState& state, Slots slots) {
    return state.place_flow_m3_per_s[place] / rated_flow(slots);
  };
  c.when_fails = "More fuel goes through the element than it is rated for: it separates worse than its rating";
  c.when_narrow = "The element works near its rated flow";
  c.when_holds = "The element works below its rated flow";
  return c;
}

std::optional<Criterion> filter_drop(const SupplyModel& model, const Part& part) {
  if (!part.medium->terminal_drop_Pa) return std::nullopt;
  const auto terminal = reader(model, *part.medium->terminal_drop_Pa);
  Criterion c;
  c.check.id = "filter-drop-" + part.id;
  c.check.title = "Clean drop over the " + title_of(part);
  c.check.dimension = Dimension::ratio;
  c.check.limit = {.fails = 1.0,
                   .narrow = new_filter_share,
                   .origin = LimitOrigin::assumed,
                   .source = "share of the drop at end of life, on warm fuel; narrow from half of it, assumed"};
  c.check.place = title_of(part);
  c.check.place_part = part.id;
  c.counts = [](const RunningPoint& point) { return clean(point) && point.fuel_temperature_K >= 293.15; };
  c.value = [id = part.id, terminal](const RunningPoint&, const PointState& state, Slots slots) {
    const auto medium = std::ranges::find(state.media, id, &system::MediumAnswer::part);
    return medium == state.media.end() ? nothing : medium->drop_Pa / terminal(slots);
  };
  c.when_fails = "Clean, the element already drops as much as it may at the end of its life";
  c.when_narrow = "Clean, the element already uses up much of the drop that it may have at the end of its life";
  c.when_holds = "Clean, the element drops little and leaves room for dirt";
  return c;
}

std::optional<Criterion> regulating(const SupplyModel& model, const Part& part) {
  if (!part.pump->set_Pa) return std::nullopt;
  const auto facts = model.branch().pumps.find(part.id);
  const system::Surplus surplus = facts != model.branch().pumps.end() ? facts->second.surplus : part.pump->surplus;
  system::ReliefReference reference = part.pump->relief_reference;
  if (reference == system::ReliefReference::unknown) {
    reference =
        surplus == system::Surplus::to_tank ? system::ReliefReference::tank : system::ReliefReference::own_inlet;
  }
  const bool over_tank = reference == system::ReliefReference::tank;
  const std::size_t place = model.place_of(part.id).value();
  const auto set = reader(model, *part.pump->set_Pa);
  Criterion c;
  c.check.id = "regulating-" + part.id;
  c.check.title = "Pressure held by the " + title_of(part);
  c.check.dimension = Dimension::ratio;
  c.check.low = true;
  c.check.limit = {.fails = nothing,
                   .narrow = regulating_share,
                   .origin = LimitOrigin::assumed,
                   .source = "share of its set; narrow below nine tenths, assumed"};
  c.check.place = "outlet of the " + title_of(part);
  c.check.place_part = part.id;
  c.counts = loaded;
  c.advice = true;
  c.value = [place, set, over_tank](const RunningPoint&, const PointState& state, Slots slots) {
    const double held = state.place_over_ambient_Pa[place] - (over_tank ? 0.0 : state.place_over_ambient_Pa[place - 1]);
    return held / set(slots);
  };
  c.when_narrow = "The pump cannot hold its set pressure there: the engine takes all that it pumps";
  c.when_holds = "The pump holds its set pressure at every load";
  return c;
}

Criterion return_pressure(const std::vector<std::size_t>& starts) {
  Criterion c;
  c.check.id = "return-high";
  c.check.title = "Back-pressure of the return";
  c.check.limit = {.fails = whole_return_Pa,
                   .narrow = {},
                   .origin = LimitOrigin::practice,
                   .source = "whole return with cooler at most 50 kPa, one marine engine family"};
  c.check.place = "return at the engine";
  c.check.place_part = system::engine_return_end;
  c.counts = turning;
  c.value = [starts](const RunningPoint&, const PointState& state, Slots) {
    double most = nothing;
    for (const std::size_t start : starts) most = std::fmax(most, state.place_over_ambient_Pa[start]);
    return most;
  };
  c.when_fails = "The pressure in the return is too high for pump and injectors";
  c.when_narrow = "The pressure in the return is nearly too high for pump and injectors";
  c.when_holds = "The return flows off freely";
  return c;
}

Criterion viscosity() {
  Criterion c;
  c.check.id = "viscosity";
  c.check.title = "Viscosity of the hot fuel";
  c.check.dimension = Dimension::kinematic_viscosity;
  c.check.low = true;
  c.check.limit = {.fails = injector_viscosity_m2_per_s,
                   .narrow = {},
                   .origin = LimitOrigin::practice,
                   .source = "1.4 mm2/s at the injectors, application data of an engine maker"};
  c.check.place = "fuel in the tank";
  c.check.place_part = system::engine_end;
  c.counts = turning;
  c.value = [](const RunningPoint&, const PointState& state, Slots) {
    return state.liquid.kinematic_viscosity_m2_per_s();
  };
  c.when_fails =
      "The fuel is too thin to carry the moving parts of pump and injectors, and it gets hotter still on its way";
  c.when_narrow = "The hot fuel is nearly too thin where it enters; it is hotter at the injectors";
  c.when_holds = "The fuel is thick enough where it enters; it is hotter at the injectors";
  return c;
}

/// Advice on the speed in lines of one side of the system.
struct SideLine {
  std::size_t place = 0;
  std::function<double(Slots)> bore;
  std::string title;
};

Criterion velocity(const std::vector<SideLine>& lines, std::string_view side, double limit_m_per_s) {
  Criterion c;
  c.check.id = "velocity-" + std::string(side);
  c.check.title = "Velocity in the " + std::string(side) + " lines";
  c.check.dimension = Dimension::velocity;
  c.check.limit = {.fails = nothing,
                   .narrow = limit_m_per_s,
                   .origin = LimitOrigin::practice,
                   .source = "hose and hydraulic guides, advice only"};
  c.check.place = std::string(side) + " lines";
  c.advice = true;
  c.counts = turning;
  const auto speed = [](const SideLine& line, const PointState& state, Slots slots) {
    const double bore = line.bore(slots);
    return std::abs(state.place_flow_m3_per_s[line.place]) / (0.25 * std::numbers::pi * bore * bore);
  };
  c.value = [lines, speed](const RunningPoint&, const PointState& state, Slots slots) {
    double most = nothing;
    for (const SideLine& line : lines) most = std::fmax(most, speed(line, state, slots));
    return most;
  };
  c.where = [lines, speed](const PointState& state, Slots slots) {
    const auto fastest =
        std::ranges::max_element(lines, {}, [&](const SideLine& line) { return speed(line, state, slots); });
    return fastest->title;
  };
  c.when_narrow = "The fuel is fast there: the line is small; where the pressure holds this is advice only";
  c.when_holds = "The lines are wide enough";
  return c;
}

/// Hoses before the first pump, all with their vacuum rating.
struct SuctionHose {
  std::size_t place = 0;
  double rated_Pa = 0.0;
  std::string title;
};

Criterion hose_vacuum(const std::vector<SuctionHose>& hoses) {
  Criterion c;
  c.check.id = "hose-vacuum";
  c.check.title = "Vacuum in the suction hoses";
  c.check.dimension = Dimension::ratio;
  c.check.limit = {.fails = 1.0,
                   .narrow = 0.8,
                   .origin = LimitOrigin::maker,
                   .source = "share of the hose's rating as entered; narrow from eight tenths, assumed"};
  c.check.place = "suction hoses";
  c.counts = always;
  const auto share = [](const SuctionHose& hose, const PointState& state) {
    return std::max(0.0, -state.place_over_ambient_Pa[hose.place]) / hose.rated_Pa;
  };
  c.value = [hoses, share](const RunningPoint&, const PointState& state, Slots) {
    double most = 0.0;
    for (const SuctionHose& hose : hoses) most = std::max(most, share(hose, state));
    return most;
  };
  c.where = [hoses, share](const PointState& state, Slots) {
    return std::ranges::max_element(hoses, {}, [&](const SuctionHose& hose) { return share(hose, state); })->title;
  };
  c.when_fails = "The vacuum is more than the hose is rated for: it may suck itself shut";
  c.when_narrow = "The vacuum is close to what the hose is rated for";
  c.when_holds = "The hoses stay open under the vacuum";
  return c;
}

}  // namespace

std::vector<Criterion> criteria(const SupplyModel& model) {
  const system::LineSheet& sheet = model.sheet();
  std::vector<Criterion> all{inlet(model, true), inlet(model, false)};
  std::vector<SideLine> sucked;
  std::vector<SideLine> pressed;
  std::vector<SideLine> returned;
  const std::vector<WayPart> way = supply_way(sheet);
  const auto side_line = [&](const Part& part) {
    return SideLine{
        .place = model.place_of(part.id).value(), .bore = reader(model, part.line->bore_m), .title = title_of(part)};
  };
  for (const WayPart& at : way) {
    const Part& part = *at.part;
    if (part.bypassed) continue;
    // A pump at rest is sucked through: its inlet is judged all the same.
    if (part.pump && part.pump->drive != system::Drive::hand) all.push_back(suction(model, part));
    if (turns(part)) {
      if (auto c = regulating(model, part)) all.push_back(std::move(*c));
    }
    if (part.medium) {
      if (auto c = filter_flow(model, part)) all.push_back(std::move(*c));
      if (auto c = filter_drop(model, part)) all.push_back(std::move(*c));
    }
    if (part.line) (at.pumped ? pressed : sucked).push_back(side_line(part));
    for (Criterion& c : electric_criteria(model, part)) all.push_back(std::move(c));
  }
  std::vector<SuctionHose> hoses;
  bool rated = true;
  for (const WayPart& at : way) {
    const Part& part = *at.part;
    if (part.bypassed || at.pumped || part.kind != system::PartKind::hose) continue;
    rated = rated && part.line->vacuum_Pa && part.line->vacuum_Pa->value > 0.0;
    if (!rated) break;
    hoses.push_back(
        {.place = model.place_of(part.id).value(), .rated_Pa = part.line->vacuum_Pa->value, .title = title_of(part)});
  }
  // Without all ratings the arrangement says which is missing.
  if (rated && !hoses.empty()) all.push_back(hose_vacuum(hoses));
  std::vector<std::size_t> starts;
  for (const system::Leg* leg : return_legs(sheet)) {
    if (leg->from == system::engine_return_end) {
      for (std::size_t i = 0; i < model.places().size(); ++i) {
        if (model.places()[i].leg == leg->id && model.places()[i].part_index == 0) starts.push_back(i);
      }
    }
    for (const Part& part : leg->parts) {
      if (part.line && !part.bypassed) returned.push_back(side_line(part));
    }
  }
  all.push_back(gas());
  all.push_back(delivery());
  if (!starts.empty()) all.push_back(return_pressure(starts));
  all.push_back(viscosity());
  if (!sucked.empty()) all.push_back(velocity(sucked, "suction", suction_m_per_s));
  if (!pressed.empty()) all.push_back(velocity(pressed, "pressure", pressure_m_per_s));
  if (!returned.empty()) all.push_back(velocity(returned, "return", return_m_per_s));
  return all;
}

}  // namespace fw::supply
