// SPDX-License-Identifier: Apache-2.0
#include "supply/sizing.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>

#include <fmt/format.h>

#include "fuel/fuel.hpp"
#include "hydraulics/displacement_pump.hpp"
#include "supply/fuel_way.hpp"

namespace fw::supply {

namespace {

const Sampling quick{.long_run = false};  // size decides no temperature
constexpr double most_power = 3.0;
constexpr double power_step = 0.005;
constexpr double measured_at_K = 313.15;
constexpr double atmosphere_Pa = 101325.0;

/// Checks that more flow makes worse: feeding, vacuum, delivery, flow through elements.
bool counts_for_flow(const Check& check) {
  return check.id == "inlet-low" || check.id == "delivery" || check.id.starts_with("suction-") ||
         check.id.starts_with("filter-flow-");
}

const Check* first_failing(const SheetJudgement& judgement) {
  const auto found = std::ranges::find_if(
      judgement.checks, [](const Check& check) { return check.outcome == Outcome::fails && counts_for_flow(check); });
  return found == judgement.checks.end() ? nullptr : &*found;
}

/// The same with the checks that the size of one part decides.
const Check* first_failing(const SheetJudgement& judgement, SizeKind kind, const std::string& part) {
  const auto found = std::ranges::find_if(judgement.checks, [&](const Check& check) {
    if (check.outcome != Outcome::fails) return false;
    return counts_for_flow(check) || (kind == SizeKind::pump && check.id == "inlet-high") ||
           (kind == SizeKind::filter && check.id == "filter-drop-" + part);
  });
  return found == judgement.checks.end() ? nullptr : &*found;
}

std::optional<double> value_of(const SheetJudgement& judgement, std::string_view id) {
  const auto found = std::ranges::find(judgement.checks, id, &Check::id);
  return found == judgement.checks.end() ? std::nullopt : found->value;
}

std::optional<SizeKind> kind_of(const system::Part& part) {
  switch (part.kind) {
    case system::PartKind::tube:
    case system::PartKind::hose: return SizeKind::line;
    case system::PartKind::strainer:
    case system::PartKind::separator:
    case system::PartKind::filter: return part.medium ? std::optional(SizeKind::filter) : std::nullopt;
    case system::PartKind::pump:
      return part.pump && part.pump->drive == system::Drive::electric ? std::optional(SizeKind::pump) : std::nullopt;
    default: return std::nullopt;
  }
}

bool stands_in_tank(const system::LineSheet& sheet, const std::string& part) {
  return std::ranges::any_of(supply_way(sheet), [&](const WayPart& at) { return at.part->id == part && at.in_tank; });
}

/// May the candidate take the place of the part.
bool takes(const system::Part& part, SizeKind kind, bool in_tank, const system::Part& candidate) {
  if (kind_of(candidate) != kind) return false;
  switch (kind) {
    case SizeKind::line: return candidate.kind == system::PartKind::hose || candidate.kind == part.kind;
    case SizeKind::pump: return says_tank(candidate) == in_tank;
    case SizeKind::filter: {
      if (candidate.kind != part.kind) return false;
      const auto& own = part.medium->rating_m;
      const auto& other = candidate.medium->rating_m;
      return !own || !other || other->value <= own->value * (1.0 + 1e-9);
    }
  }
  return false;
}

/// What candidates are sorted by, in SI.
Result<double> measure_of(const system::Part& part, SizeKind kind, const fuel::Liquid& liquid) {
  if (kind == SizeKind::line) return part.line->bore_m.value;
  if (kind == SizeKind::filter) return part.medium->clean_drop_Pa.value;
  const system::Pump& pump = *part.pump;
  if (!pump.curve.empty()) return pump.curve.front().flow_m3_per_s.value;
  if (pump.turbine_free_flow_m3_per_s) return pump.turbine_free_flow_m3_per_s->value;
  if (pump.free_flow_m3_per_s) return pump.free_flow_m3_per_s->value;
  const auto number = [](const std::optional<Stated>& stated) { return stated ? stated->value : 0.0; };
  const auto law = hydraulics::electric_pump_law({.displacement_m3 = number(pump.displacement_m3),
                                                  .slip = number(pump.slip),
                                                  .viscous_drag = number(pump.viscous_drag),
                                                  .friction_share = number(pump.friction_share),
                                                  .friction_torque_N_m = number(pump.friction_torque_N_m)},
                                                 {.motor_constant_V_s = number(pump.motor_constant_V_s),
                                                  .winding_resistance_ohm = number(pump.motor_resistance_ohm),
                                                  .supply_V = pump.rated_voltage_V},
                                                 liquid);
  if (!law) return fail(law.error());
  return law->free_flow_m3_per_s;
}

system::Part with_candidate(const system::Part& part, SizeKind kind, const system::Part& candidate) {
  system::Part next = part;
  next.condition = {};
  switch (kind) {
    case SizeKind::line: {
      system::Line& line = *next.line;
      const double wider = candidate.line->bore_m.value / part.line->bore_m.value;
      next.kind = candidate.kind;
      line.bore_m = candidate.line->bore_m;
      line.roughness_m = candidate.line->roughness_m;
      line.vacuum_Pa = candidate.line->vacuum_Pa;
      if (line.joints > 0 && candidate.line->joint_bore_m.given()) {
        line.joint_bore_m = candidate.line->joint_bore_m;
      } else if (line.joints > 0) {
        // Stems of the new size: the old ones do not fit it.
        line.joint_bore_m.value *= wider;
        line.joint_bore_m.spread = {};
        line.joint_bore_m.id += ".scaled";
      }
      break;
    }
    case SizeKind::pump: {
      const system::Pump& old = *part.pump;
      system::Pump pump = *candidate.pump;
      pump.harness_resistance_ohm = old.harness_resistance_ohm;
      pump.wiring = old.wiring;
      pump.cut_off = old.cut_off;
      pump.watch = old.watch;
      pump.surplus_tank = old.surplus_tank;
      if (old.set_Pa) {
        pump.set_Pa = old.set_Pa;
        pump.set_hysteresis_Pa = old.set_hysteresis_Pa;
        pump.set_slope_Pa_s_per_m3 = old.set_slope_Pa_s_per_m3;
        pump.relief_reference = old.relief_reference;
        pump.surplus = old.surplus;
      }
      next.pump = std::move(pump);
      break;
    }
    case SizeKind::filter: {
      system::Medium medium = *candidate.medium;
      const system::Medium& old = *part.medium;
      if (old.terminal_drop_Pa) medium.terminal_drop_Pa = old.terminal_drop_Pa;
      medium.sensor = old.sensor;
      medium.bypass_crack_Pa = old.bypass_crack_Pa;
      next.medium = std::move(medium);
      break;
    }
  }
  return next;
}

void scale(Stated& stated, double factor) {
  if (!stated.given()) return;
  stated.value *= factor;
  stated.spread.half_width *= factor;
  stated.spread.low *= factor;
  stated.spread.high *= factor;
}

}  // namespace

Result<PowerCeiling> power_ceiling(const system::LineSheet& sheet, const std::vector<system::RunningPoint>& points,
                                   const Run& run) {
  PowerCeiling answer{.rated_W = sheet.engine.rated_power_W.value};
  std::optional<Check> failing;
  const auto holds_at = [&](double factor) -> Result<bool> {
    system::LineSheet more = sheet;
    scale(more.engine.rated_power_W, factor);
    scale(more.engine.torque_peak_power_W, factor);
    const auto judgement = judge_sheet(more, points, quick, run);
    if (!judgement) return fail(judgement.error());
    const Check* first = first_failing(*judgement);
    if (first == nullptr) return true;
    failing = *first;
    return false;
  };
  double low = 1.0;
  double high = most_power;
  auto holds = holds_at(low);
  if (!holds) return fail(holds.error());
  if (!*holds) {
    answer.at_rated = false;
    high = low;
    low = 0.0;
  } else {
    holds = holds_at(high);
    if (!holds) return fail(holds.error());
    if (*holds) {
      answer.open = true;
      answer.ceiling_W = high * answer.rated_W;
      return answer;
    }
  }
  while (high - low > power_step) {
    const double middle = 0.5 * (low + high);
    holds = holds_at(middle);
    if (!holds) return fail(holds.error());
    (*holds ? low : high) = middle;
  }
  holds = holds_at(high);  // names the check that fails just beyond
  if (!holds) return fail(holds.error());
  answer.ceiling_W = low * answer.rated_W;
  answer.limited = failing;
  return answer;
}

std::string_view name(SizeKind kind) {
  static constexpr std::array<std::string_view, 3> names{"line", "pump", "filter"};
  return names.at(static_cast<std::size_t>(kind));
}

std::optional<double> Sizing::gain_Pa() const {
  if (!best || !inlet_low_Pa || !steps[*best].inlet_low_Pa) return std::nullopt;
  return *steps[*best].inlet_low_Pa - *inlet_low_Pa;
}

std::vector<std::string> parts_with_sizes(const system::LineSheet& sheet) {
  std::vector<std::string> all;
  for (const WayPart& at : supply_way(sheet)) {
    if (!at.part->bypassed && kind_of(*at.part)) all.push_back(at.part->id);
  }
  return all;
}

Result<Sizing> size_part(const system::LineSheet& sheet, const std::string& part,
                         const std::vector<Candidate>& candidates, const std::vector<system::RunningPoint>& points,
                         const Run& run) {
  const system::Part* found = sheet.find_part(part);
  const auto kind = found == nullptr ? std::nullopt : kind_of(*found);
  if (!kind) {
    const std::vector<std::string> ids = parts_with_sizes(sheet);
    return fail(Error{
        .code = found == nullptr ? ErrorCode::not_found : ErrorCode::invalid_input,
        .where = {.file = sheet.file, .line = 0, .column = 0, .field = "part"},
        .found = fmt::format("\"{}\"", part),
        .expected =
            "the id of a tube, hose, electric pump, separator, filter or strainer of the sheet \"" + sheet.name + "\"",
        .hint = ids.empty() ? "The sheet has none" : fmt::format("Name one of {}", fmt::join(ids, ", "))});
  }
  Sizing sizing{.part = part, .title = title_of(*found), .kind = *kind, .failing = {}, .steps = {}};
  const auto present = judge_sheet(sheet, points, quick, run);
  if (!present) return fail(present.error());
  const Check* failing = first_failing(*present, *kind, part);
  sizing.holds = failing == nullptr;
  sizing.failing = failing == nullptr ? std::string() : failing->title;
  sizing.inlet_low_Pa = value_of(*present, "inlet-low");

  const auto fuel = system::fuel_of_sheet(sheet);
  if (!fuel) return fail(fuel.error());
  const auto liquid = fuel::liquid_at(*fuel, measured_at_K, atmosphere_Pa);
  if (!liquid) return fail(liquid.error());
  const bool tank = stands_in_tank(sheet, part);
  for (const Candidate& candidate : candidates) {
    if (!takes(*found, *kind, tank, candidate.part)) continue;
    const auto measure = measure_of(candidate.part, *kind, *liquid);
    if (!measure) return fail(measure.error().in_field(candidate.id));
    system::LineSheet other = sheet;
    for (system::Leg& leg : other.legs) {
      for (system::Part& one : leg.parts) {
        if (one.id == part) one = with_candidate(one, *kind, candidate.part);
      }
    }
    const auto judgement = judge_sheet(other, points, quick, run);
    if (!judgement) return fail(judgement.error());
    const Check* first = first_failing(*judgement, *kind, part);
    SizeStep step{.id = candidate.id,
                  .title = candidate.title,
                  .source = candidate.source,
                  .shop = candidate.shop,
                  .measure = *measure,
                  .holds = first == nullptr,
                  .inlet_low_Pa = value_of(*judgement, "inlet-low"),
                  .gain_Pa = {},
                  .clean_share = {},
                  .failing = first == nullptr ? std::string() : first->title};
    if (*kind == SizeKind::filter) step.clean_share = value_of(*judgement, "filter-drop-" + part);
    sizing.steps.push_back(std::move(step));
  }
  std::ranges::stable_sort(sizing.steps, [&](const SizeStep& a, const SizeStep& b) {
    return *kind == SizeKind::filter ? a.measure > b.measure : a.measure < b.measure;
  });
  for (std::size_t i = 0; i < sizing.steps.size(); ++i) {
    SizeStep& step = sizing.steps[i];
    if (i > 0 && step.inlet_low_Pa && sizing.steps[i - 1].inlet_low_Pa) {
      step.gain_Pa = *step.inlet_low_Pa - *sizing.steps[i - 1].inlet_low_Pa;
    }
    if (step.holds && !sizing.smallest) sizing.smallest = i;
    const auto pressure = [&](std::size_t at) {
      return sizing.steps[at].inlet_low_Pa.value_or(-std::numeric_limits<double>::max());
    };
    if (!sizing.best || pressure(i) > pressure(*sizing.best)) sizing.best = i;
  }
  if (sizing.smallest) sizing.best = sizing.smallest;
  return sizing;
}

void rank(std::vector<Sizing>& sizings) {
  std::ranges::stable_sort(sizings, [](const Sizing& a, const Sizing& b) {
    if (a.smallest.has_value() != b.smallest.has_value()) return a.smallest.has_value();
    const auto gain = [](const Sizing& one) { return one.gain_Pa().value_or(-std::numeric_limits<double>::max()); };
    return gain(a) > gain(b);
  });
}

}  // namespace fw::supply
