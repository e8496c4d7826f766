// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <cmath>
#include <limits>
#include <map>
#include <set>

#include <fmt/format.h>

#include "diagnosis/foretold.hpp"
#include "numerics/draw.hpp"
#include "numerics/stream.hpp"
#include "supply/sampling.hpp"
#include "system/planted_fault.hpp"
#include "system/supply_model.hpp"

namespace fw::diagnosis {

namespace {

using system::PointState;
using system::RunningPoint;
using system::SupplyModel;

constexpr double no_number = std::numeric_limits<double>::quiet_NaN();

/// Where a reading stands in a solved state.
struct Probe {
  std::size_t reading = 0;
  bool known = true;
  bool inlet = false;
  std::string leg;
  std::size_t index = 0;
};

/// A model with faults planted, and which of its slots are severities and nuisances.
struct Compiled {
  struct Severity {
    std::size_t slot;
    std::size_t fault;
    const Stated* amount;
  };
  SupplyModel model;
  std::vector<Severity> severities;
  std::vector<std::optional<std::size_t>> slot_of;  ///< by nuisance, where it is a stated number of the sheet
};

class SupplyForeteller final : public Foreteller {
 public:
  SupplyForeteller(const Tables& tables, const std::vector<Reading>& readings, const system::LineSheet& sheet,
                   std::uint64_t seed)
      : tables_(tables), readings_(readings), sheet_(sheet), seed_(seed) {}

  Result<void> prepare() {
    const auto model = SupplyModel::build(sheet_, system::branches(sheet_).front(), system::default_laws());
    if (!model) return fail(model.error());
    for (std::size_t i = 0; i < readings_.size(); ++i) {
      Probe probe{.reading = i};
      if (side_of(readings_[i].measure) == Side::supply) {
        auto placed = place(readings_[i], *model, probe);
        if (!placed) return fail(placed.error());
      }
      probes_.push_back(std::move(probe));
    }
    list_nuisances(*model);
    ways();
    return {};
  }

  const std::vector<TargetFaults>& targets() const override { return targets_; }
  bool known(std::size_t reading) const override { return probes_[reading].known; }
  std::vector<std::string> tags(std::size_t reading) const override {
    switch (readings_[reading].measure) {
      case Measure::pressure:
        if (probes_[reading].inlet) return {"inlet", "suction"};
        return {};
      case Measure::volts: return {"voltage"};
      case Measure::current: return {"current"};
      default: return {};
    }
  }

  const std::vector<std::string>& nuisances() const override { return nuisances_; }

  Result<std::vector<Foretold>> foretell(const std::vector<Ask>& asks, const Run& run) override {
    std::map<std::vector<PlantedAt>, std::vector<std::size_t>> groups;
    for (std::size_t a = 0; a < asks.size(); ++a) groups[asks[a].faults].push_back(a);
    struct Work {
      const std::vector<PlantedAt>* faults;
      const std::vector<std::size_t>* members;
      std::optional<Compiled>* compiled;
    };
    std::vector<Work> list;
    for (const auto& [faults, members] : groups) list.push_back({&faults, &members, &compiled_[faults]});
    std::vector<Foretold> told(asks.size());
    std::vector<std::optional<Errors>> faults(list.size());
    run.executor.for_each_block(list.size(), [&](std::size_t g) {
      if (run.stop.stop_requested()) return;
      const Work& work = list[g];
      if (!*work.compiled) {
        auto fresh = compile(*work.faults);
        if (!fresh) {
          faults[g] = fresh.error();
          return;
        }
        *work.compiled = std::move(*fresh);
      }
      auto good = group(**work.compiled, *work.members, asks, told, run.stop);
      if (!good) faults[g] = good.error();
    });
    if (run.stop.stop_requested()) {
      return fail(Error{.code = ErrorCode::cancelled, .found = "a stop", .expected = "the end of the readings"});
    }
    for (std::optional<Errors>& one : faults) {
      if (one) return fail(std::move(*one));
    }
    return told;
  }

 private:
  Result<void> place(const Reading& reading, const SupplyModel& model, Probe& probe) const {
    if (reading.measure == Measure::return_flow) return {};
    if (reading.measure == Measure::volts || reading.measure == Measure::current) {
      const system::Part* part = sheet_.find_part(reading.at);
      if (part == nullptr || !part->pump || part->bypassed || part->pump->drive != system::Drive::electric) {
        std::vector<std::string> pumps;
        for (const system::Leg& leg : sheet_.legs) {
          for (const system::Part& one : leg.parts) {
            if (one.pump && !one.bypassed && one.pump->drive == system::Drive::electric) pumps.push_back(one.id);
          }
        }
        return fail(reading_fault(reading, ErrorCode::not_found, "reading.at", "\"" + reading.at + "\"",
                                  pumps.empty() ? std::string("a sheet with an electric pump")
                                                : fmt::format("an electric pump: {}", fmt::join(pumps, ", "))));
      }
      return {};
    }
    if (reading.at == "inlet") {
      probe.inlet = true;
      return {};
    }
    std::vector<std::string> ports{"inlet"};
    for (const system::PlaceAt& one : model.places()) {
      if (one.port.empty()) continue;
      ports.push_back(one.port);
      if (one.port != reading.at) continue;
      probe.leg = one.leg;
      probe.index = one.part_index;
      const system::Leg* leg = sheet_.find_leg(one.leg);
      probe.inlet = leg != nullptr && leg->to == system::engine_end && one.part_index == leg->parts.size();
      return {};
    }
    return fail(reading_fault(reading, ErrorCode::not_found, "reading.at", "\"" + reading.at + "\"",
                              fmt::format("a test port of the sheet as found: {}", fmt::join(ports, ", "))));
  }

  void ways() {
    const std::vector<system::Fault> possible = system::faults_possible(sheet_);
    for (std::size_t r = 0; r < tables_.planted.size(); ++r) {
      const PlantedRow& row = tables_.planted[r];
      if (row.side != Side::supply) continue;
      std::set<std::string> seen;
      std::vector<PlantedAt> places;
      for (const system::Fault& fault : possible) {
        if (system::facts(fault.kind).id != row.fault || !seen.insert(fault.part).second) continue;
        places.push_back({.row = r, .part = fault.part});
      }
      if (places.empty()) continue;
      auto at = std::find_if(targets_.begin(), targets_.end(),
                             [&](const TargetFaults& one) { return one.target == row.target; });
      if (at == targets_.end()) {
        targets_.push_back({.target = row.target, .ways = {}, .chances = {}});
        at = targets_.end() - 1;
      }
      for (PlantedAt& one : places) {
        at->ways.push_back(std::move(one));
        at->chances.push_back(row.share.value / static_cast<double>(places.size()));
      }
    }
  }

  // Nuisances that are no stated numbers of the sheet, the first of the list.
  enum Own : std::size_t { transition, fuel_temperature, tank_level, filter_loading, voltage, own_count };

  void list_nuisances(const SupplyModel& model) {
    const ReadingNumbers& n = tables_.readings;
    nuisances_ = {"law.transition", n.fuel_temperature_K.id, n.tank_level.id, n.filter_loading.id, "reading.voltage"};
    for (const Stated& input : model.inputs()) {
      if (input.spread.kind != SpreadKind::exact) nuisances_.push_back(input.id);
    }
  }

  double probability(Own own, const Ask& ask) const {
    for (const MovedNuisance& one : ask.moved) {
      if (one.nuisance == own) return one.probability;
    }
    return numerics::uniform(seed_, numerics::key_of(nuisances_[own]), numerics::Purpose::input, ask.sample);
  }

  Result<RunningPoint> point_of(const Reading& reading, const Ask& ask) const {
    const ReadingNumbers& n = tables_.readings;
    const auto drawn = [&](const Stated& stated, Own own) {
      return numerics::at_probability(stated, probability(own, ask));
    };
    RunningPoint point{.engine = reading.engine};
    point.fuel_temperature_K = reading.temperature_K.value_or(drawn(n.fuel_temperature_K, fuel_temperature));
    point.tank_level = reading.tank_level.value_or(drawn(n.tank_level, tank_level));
    point.filter_loading = drawn(n.filter_loading, filter_loading);
    if (reading.voltage_V) {
      point.voltage_V = *reading.voltage_V;
    } else {
      const auto volts = system::system_voltage(reading.engine, point.fuel_temperature_K);
      if (!volts) return fail(volts.error());
      point.voltage_V = volts->low_V + probability(voltage, ask) * (volts->high_V - volts->low_V);
    }
    return point;
  }

  double value_of(const Probe& probe, const SupplyModel& model, const PointState& state) const {
    const Reading& reading = readings_[probe.reading];
    switch (reading.measure) {
      case Measure::pressure:
        if (probe.leg.empty()) return state.inlet_over_ambient_Pa;
        for (std::size_t i = 0; i < model.places().size(); ++i) {
          const system::PlaceAt& one = model.places()[i];
          if (one.leg == probe.leg && one.part_index == probe.index) return state.place_over_ambient_Pa[i];
        }
        return no_number;
      case Measure::return_flow: return state.return_m3_per_s;
      default: break;
    }
    const auto pump = std::ranges::find(state.pumps, reading.at, &system::PumpAnswer::part);
    if (pump == state.pumps.end()) return no_number;
    const double value = reading.measure == Measure::volts ? pump->connector_V : pump->current_A;
    // A turning pump without volts or current is one whose wiring or motor the sheet does not state.
    return pump->turning && value <= 0.0 ? no_number : value;
  }

  /// All cases; one whose voltage does not turn a motor against its own friction is solved with that pump at rest,
  /// which is what it does then. Volts and current of a stalled motor are not modelled: no number.
  static Result<std::vector<PointState>> solved(const SupplyModel& model, std::vector<SupplyModel::Case>& cases,
                                                const std::stop_token& stop) {
    constexpr std::string_view stall = ".motor.supply_V";
    InlineExecutor executor;
    SilentProgress progress;
    const Run run{.executor = executor, .progress = progress, .stop = stop};
    auto all = model.solve(cases, run);
    if (all || !all.error().front().where.field.ends_with(stall)) return all;
    std::vector<PointState> states;
    for (SupplyModel::Case& one : cases) {
      std::vector<std::string> stopped;
      auto state = model.solve(std::span(&one, 1), run);
      while (!state && state.error().front().where.field.ends_with(stall)) {
        const std::string& field = state.error().front().where.field;
        std::string part = field.substr(0, field.size() - stall.size());
        if (std::ranges::count(stopped, part) > 0) break;
        stopped.push_back(std::move(part));
        one.stopped_pumps = &stopped;
        state = model.solve(std::span(&one, 1), run);
      }
      one.stopped_pumps = nullptr;
      if (!state) return fail(state.error());
      for (system::PumpAnswer& pump : state->front().pumps) {
        if (std::ranges::count(stopped, pump.part) > 0) pump.connector_V = pump.current_A = no_number;
      }
      states.push_back(std::move(state->front()));
    }
    return states;
  }

  Result<Compiled> compile(const std::vector<PlantedAt>& planted) const {
    system::LineSheet sheet = sheet_;
    for (const PlantedAt& one : planted) {
      const PlantedRow& row = tables_.planted[one.row];
      const system::FaultKind kind = system::fault_kind_named(row.fault).value();
      auto broken = system::apply({.kind = kind, .part = one.part}, std::move(sheet));
      if (!broken) return fail(broken.error());
      sheet = std::move(*broken);
    }
    auto model = SupplyModel::build(sheet, system::branches(sheet).front(), system::default_laws());
    if (!model) return fail(model.error());
    Compiled made{.model = std::move(*model), .severities = {}, .slot_of = {}};
    // The severity is a slot of the model.
    for (std::size_t f = 0; f < planted.size(); ++f) {
      const PlantedAt& one = planted[f];
      const PlantedRow& row = tables_.planted[one.row];
      if (!row.amount) continue;
      const system::FaultFacts& kind = system::facts(system::fault_kind_named(row.fault).value());
      const std::string source = fmt::format("planted: {}", kind.title);
      for (std::size_t i = 0; i < made.model.inputs().size(); ++i) {
        const Stated& input = made.model.inputs()[i];
        if (input.origin.source != source || !(one.part.empty() || input.id.starts_with(one.part + "."))) continue;
        made.severities.push_back({i, f, &*row.amount});
        break;
      }
    }
    std::map<std::string_view, std::size_t> slots;
    for (std::size_t i = 0; i < made.model.inputs().size(); ++i) slots.emplace(made.model.inputs()[i].id, i);
    for (std::size_t n = 0; n < nuisances_.size(); ++n) {
      const auto at = n < own_count ? slots.end() : slots.find(nuisances_[n]);
      made.slot_of.push_back(at == slots.end() ? std::nullopt : std::optional<std::size_t>(at->second));
    }
    return made;
  }

  Result<void> group(const Compiled& compiled, const std::vector<std::size_t>& members, const std::vector<Ask>& asks,
                     std::vector<Foretold>& told, const std::stop_token& stop) const {
    const SupplyModel& model = compiled.model;
    std::vector<std::vector<double>> slots;
    std::vector<SupplyModel::Case> cases;
    std::vector<std::vector<std::size_t>> case_of;  // by member and probe
    slots.reserve(members.size());
    for (const std::size_t a : members) {
      const Ask& ask = asks[a];
      supply::Draw draw = supply::draw_of(model, seed_, ask.sample);
      for (const MovedNuisance& one : ask.moved) {
        if (const auto slot = compiled.slot_of[one.nuisance]) {
          draw.slots[*slot] = numerics::at_probability(model.inputs()[*slot], one.probability);
        } else if (one.nuisance == transition) {
          draw.transition_reynolds = supply::transition_at(one.probability);
        }
      }
      for (const Compiled::Severity& one : compiled.severities) {
        draw.slots[one.slot] = numerics::at_probability(*one.amount, ask.severity[one.fault]);
      }
      slots.push_back(std::move(draw.slots));
      const std::size_t first = cases.size();
      case_of.emplace_back();
      for (const Probe& probe : probes_) {
        if (side_of(readings_[probe.reading].measure) != Side::supply) {
          case_of.back().push_back(0);
          continue;
        }
        const auto point = point_of(readings_[probe.reading], ask);
        if (!point) return fail(point.error());
        std::size_t at = first;
        while (at < cases.size() && !(cases[at].point == *point)) ++at;
        if (at == cases.size()) {
          cases.push_back({.point = *point, .slots = slots.back(), .transition_reynolds = draw.transition_reynolds});
        }
        case_of.back().push_back(at);
      }
    }
    auto states = solved(model, cases, stop);
    if (!states) return fail(states.error());
    for (std::size_t m = 0; m < members.size(); ++m) {
      Foretold numbers(readings_.size(), no_number);
      bool good = true;
      for (std::size_t p = 0; p < probes_.size() && good; ++p) {
        if (side_of(readings_[p].measure) != Side::supply) continue;
        const PointState& state = (*states)[case_of[m][p]];
        good = state.status == hydraulics::SolveStatus::converged;
        if (good) numbers[p] = value_of(probes_[p], model, state);
      }
      if (good) told[members[m]] = std::move(numbers);
    }
    return {};
  }

  const Tables& tables_;
  const std::vector<Reading>& readings_;
  const system::LineSheet& sheet_;
  std::uint64_t seed_;
  std::vector<Probe> probes_;
  std::vector<TargetFaults> targets_;
  std::vector<std::string> nuisances_;
  std::map<std::vector<PlantedAt>, std::optional<Compiled>> compiled_;
};

}  // namespace

Result<std::unique_ptr<Foreteller>> supply_foreteller(const Tables& tables, const std::vector<Reading>& readings,
                                                      const system::LineSheet& sheet, std::uint64_t seed) {
  auto teller = std::make_unique<SupplyForeteller>(tables, readings, sheet, seed);
  if (auto ready = teller->prepare(); !ready) return fail(ready.error());
  return std::unique_ptr<Foreteller>(std::move(teller));
}

}  // namespace fw::diagnosis
