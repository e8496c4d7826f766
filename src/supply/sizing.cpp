// SPDX-License-Identifier: Apache-2.0
#include "supply/sizing.hpp"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

namespace fw::supply {

namespace {

constexpr double most_power = 3.0;
constexpr double power_step = 0.005;

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
    const auto judgement = judge_sheet(more, points, {}, run);
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

Result<std::vector<SizeStep>> size_line(const system::LineSheet& sheet, const std::string& part,
                                        std::span<const HoseSize> sizes,
                                        const std::vector<system::RunningPoint>& points, const Run& run) {
  const system::Part* found = sheet.find_part(part);
  if (found == nullptr || !found->line) {
    return fail(Error{.code = found == nullptr ? ErrorCode::not_found : ErrorCode::invalid_input,
                      .where = {.file = sheet.file, .line = 0, .column = 0, .field = "part"},
                      .found = fmt::format("\"{}\"", part),
                      .expected = "the id of a tube or hose of the sheet \"" + sheet.name + "\""});
  }
  std::vector<HoseSize> rising(sizes.begin(), sizes.end());
  std::ranges::sort(rising, {}, &HoseSize::bore_m);
  std::vector<SizeStep> steps;
  for (const HoseSize& size : rising) {
    system::LineSheet other = sheet;
    for (system::Leg& leg : other.legs) {
      for (system::Part& one : leg.parts) {
        if (one.id != part) continue;
        one.line->bore_m.value = size.bore_m;
        one.line->bore_m.spread = {};
        // Stems of the new size: the old ones do not fit it.
        if (one.line->joints > 0 && one.line->joint_bore_m.given()) {
          one.line->joint_bore_m.value *= size.bore_m / found->line->bore_m.value;
          one.line->joint_bore_m.spread = {};
        }
      }
    }
    const auto judgement = judge_sheet(other, points, {}, run);
    if (!judgement) return fail(judgement.error());
    const Check* failing = first_failing(*judgement);
    const auto inlet = std::ranges::find(judgement->checks, "inlet-low", &Check::id);
    SizeStep step{.size = size.size,
                  .bore_m = size.bore_m,
                  .holds = failing == nullptr,
                  .inlet_low_Pa = inlet == judgement->checks.end() ? 0.0 : inlet->value.value_or(0.0),
                  .gain_Pa = 0.0,
                  .failing = failing == nullptr ? std::string() : failing->title};
    if (!steps.empty()) step.gain_Pa = step.inlet_low_Pa - steps.back().inlet_low_Pa;
    steps.push_back(std::move(step));
  }
  return steps;
}

}  // namespace fw::supply
