// SPDX-License-Identifier: Apache-2.0
#include "debris/clean_up.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <numbers>
#include <numeric>

#include <fmt/format.h>

#include "base/input_check.hpp"
#include "numerics/integrate.hpp"

namespace fw::debris {

namespace {

constexpr double flash_limit_K = 328.15;  // 55 C, EN 590
constexpr double turbulent_reynolds = 4000.0;
constexpr std::size_t most_extractions = 6;
constexpr double accepted_share = 0.10;

void check_loop(InputCheck& check, const KidneyLoop& loop) {
  check.positive(loop.volume_m3, "loop.volume_m3")
      .positive(loop.flow_m3_per_s, "loop.flow_m3_per_s")
      .within(loop.efficiency, {.low = 0.0, .high = 1.0}, "loop.efficiency")
      .non_negative(loop.source_per_s, "loop.source_per_s");
  if (check.failed()) return;
  check.that(loop.efficiency > 0.0, "loop.efficiency", "0", "above 0: a filter that stops nothing cleans nothing");
}

double end_of(const KidneyLoop& loop) { return loop.source_per_s / (loop.flow_m3_per_s * loop.efficiency); }

std::optional<double> upper(const ScaleEntry& entry) {
  if (entry.state != ScaleState::number) return std::nullopt;
  return bounds(entry.number).upper_per_m3;
}

}  // namespace

Result<double> final_concentration_per_m3(const KidneyLoop& loop) {
  InputCheck check;
  check_loop(check, loop);
  if (check.failed()) return check.fault();
  return end_of(loop);
}

Result<double> concentration_per_m3(const KidneyLoop& loop, double start_per_m3, double time_s) {
  InputCheck check;
  check_loop(check, loop);
  check.non_negative(start_per_m3, "start_per_m3").non_negative(time_s, "time_s");
  if (check.failed()) return check.fault();
  const double end = end_of(loop);
  return end + (start_per_m3 - end) * std::exp(-loop.flow_m3_per_s * loop.efficiency * time_s / loop.volume_m3);
}

Result<CleanUpTime> time_to(const KidneyLoop& loop, double start_per_m3, double target_per_m3) {
  InputCheck check;
  check_loop(check, loop);
  check.non_negative(start_per_m3, "start_per_m3").positive(target_per_m3, "target_per_m3");
  if (check.failed()) return check.fault();
  const double end = end_of(loop);
  double turnovers = 0.0;
  if (start_per_m3 > target_per_m3) {
    if (target_per_m3 <= end) {
      return outside("target_per_m3", fmt::format("{:.4g} per mL", target_per_m3 / 1e6),
                     fmt::format("above {:.4g} per mL, where what comes in balances what is caught", end / 1e6),
                     "Stop the ingress or circulate faster");
    }
    turnovers = std::log((start_per_m3 - end) / (target_per_m3 - end)) / loop.efficiency;
  }
  const double time_s = turnovers * loop.volume_m3 / loop.flow_m3_per_s;
  return CleanUpTime{
      .turnovers = turnovers, .time_s = time_s, .practical_low_s = 2.0 * time_s, .practical_high_s = 3.0 * time_s};
}

Result<CleanUpToCode> time_to_code(const KidneyLoop& loop, std::span<const double> efficiencies, const IsoCode& start,
                                   const IsoCode& target) {
  if (efficiencies.size() != 3) {
    return invalid("efficiencies", fmt::format("{} numbers", efficiencies.size()), "three, for 4, 6 and 14 um(c)");
  }
  if (start.kind != CodeKind::counter || target.kind != CodeKind::counter) {
    return invalid("start", "a microscope code", "codes of a counter");
  }
  std::optional<CleanUpToCode> worst;
  for (std::size_t i = 0; i < 3; ++i) {
    const auto from = upper(start.entries[i]);
    const auto to = upper(target.entries[i]);
    if (!from || !to) continue;
    KidneyLoop at = loop;
    at.efficiency = efficiencies[i];
    const auto time = time_to(at, *from, *to);
    if (!time) return tl::unexpected<Errors>(time.error());
    if (!worst || time->time_s > worst->time.time_s) {
      worst = CleanUpToCode{.time = *time, .governing_entry = static_cast<int>(i)};
    }
  }
  if (!worst) {
    return invalid("target", to_text(target), fmt::format("a scale number at a size where {} has one", to_text(start)));
  }
  return *worst;
}

Result<double> time_with_dead_volume_s(const StirredTanks& tanks, double start_per_m3, double target_per_m3) {
  InputCheck check;
  check_loop(check, tanks.loop);
  check.that(tanks.in_row >= 1 && tanks.in_row <= 20, "tanks.in_row", fmt::format("{}", tanks.in_row), "1 to 20")
      .within(tanks.dead_share, {.low = 0.0, .high = 0.9}, "tanks.dead_share")
      .non_negative(tanks.exchange_m3_per_s, "tanks.exchange_m3_per_s")
      .that(tanks.loop.source_per_s == 0.0, "tanks.loop.source_per_s", "a source", "none in this model")
      .non_negative(start_per_m3, "start_per_m3")
      .positive(target_per_m3, "target_per_m3");
  if (check.failed()) return check.fault();
  if (start_per_m3 <= target_per_m3) return 0.0;
  const double share_left = target_per_m3 / start_per_m3;
  if (tanks.dead_share > 0.0 && tanks.exchange_m3_per_s <= 0.0 && tanks.dead_share >= share_left) {
    return outside("tanks.dead_share", fmt::format("{:.4g} of the volume never exchanged", tanks.dead_share),
                   fmt::format("below {:.4g}, or an exchange flow", share_left), "Open and wipe the tank");
  }
  // Shares of the start: x_0 .. x_(n-1) stirred parts in the order of the flow, x_n the dead part.
  const auto n = static_cast<std::size_t>(tanks.in_row);
  const double part = tanks.loop.volume_m3 * (1.0 - tanks.dead_share) / static_cast<double>(n);
  const double dead = tanks.loop.volume_m3 * tanks.dead_share;
  const double q = tanks.loop.flow_m3_per_s;
  const double x = dead > 0.0 ? tanks.exchange_m3_per_s : 0.0;
  const auto slope = [&](double, std::span<const double> c, std::span<double> dc) {
    for (std::size_t i = 0; i < n; ++i) {
      const double in = i == 0 ? c[n - 1] * (1.0 - tanks.loop.efficiency) : c[i - 1];
      dc[i] = q * (in - c[i]) / part;
    }
    dc[n] = 0.0;
    if (dead > 0.0) {
      dc[0] += x * (c[n] - c[0]) / part;
      dc[n] = x * (c[0] - c[n]) / dead;
    }
    return numerics::Verdict::ok;
  };
  const auto mean = [&](std::span<const double> c) {
    double sum = c[n] * tanks.dead_share;
    for (std::size_t i = 0; i < n; ++i) sum += c[i] * (1.0 - tanks.dead_share) / static_cast<double>(n);
    return sum;
  };
  const std::vector<double> start(n + 1, 1.0);
  const double turnover_s = tanks.loop.volume_m3 / q;
  numerics::IntegrationOptions options{.relative_tolerance = 1e-9, .absolute_tolerance = {1e-6 * share_left}};
  options.time = numerics::TimeDependence::autonomous;
  numerics::IntegrationHooks hooks;
  hooks.event = {.function = [&](double, std::span<const double> c) { return std::log(mean(c) / share_left); },
                 .sense = numerics::EventSense::falling};
  const auto end = numerics::rodas(slope, 0.0, 1e6 * turnover_s, start, options, hooks);
  if (end.reason != numerics::IntegrationReason::event) {
    return outside("tanks.exchange_m3_per_s", fmt::format("{:.4g} m3/s", tanks.exchange_m3_per_s),
                   "an exchange that empties the dead part within a million turnovers");
  }
  return end.time;
}

Result<Flush> flush_flow(double bore_m, double kinematic_viscosity_m2_per_s, double reynolds) {
  InputCheck check;
  check.positive(bore_m, "bore_m")
      .positive(kinematic_viscosity_m2_per_s, "kinematic_viscosity_m2_per_s")
      .positive(reynolds, "reynolds");
  if (check.failed()) return check.fault();
  const double v = reynolds * kinematic_viscosity_m2_per_s / bore_m;
  return Flush{.speed_m_per_s = v, .flow_m3_per_s = v * std::numbers::pi / 4.0 * bore_m * bore_m};
}

Result<double> reynolds(double flow_m3_per_s, double bore_m, double kinematic_viscosity_m2_per_s) {
  InputCheck check;
  check.non_negative(flow_m3_per_s, "flow_m3_per_s")
      .positive(bore_m, "bore_m")
      .positive(kinematic_viscosity_m2_per_s, "kinematic_viscosity_m2_per_s");
  if (check.failed()) return check.fault();
  return 4.0 * flow_m3_per_s / (std::numbers::pi * bore_m * kinematic_viscosity_m2_per_s);
}

std::string_view sentence(FlushCaution caution) {
  switch (caution) {
    case FlushCaution::light_fuel_in_unrated_equipment:
      return "The fuel is a mixture with petrol or kerosene: equipment not rated for it can ignite it.";
    case FlushCaution::flash_point_unknown:
      return "The flash point is not measured: handle the fuel as a mixture with petrol.";
    case FlushCaution::laminar: return "The flush is laminar: debris stays where it lies.";
    case FlushCaution::below_twice_service_flow: return "The flush flow is below twice the service flow.";
    case FlushCaution::bond_and_ground:
      return "Fuel charges in fine filters: bond cart, filter and tank before the flow starts.";
  }
  return "";
}

Result<std::vector<FlushCaution>> judge_flush(const FlushPlan& plan) {
  InputCheck check;
  check.positive(plan.bore_m, "plan.bore_m")
      .positive(plan.flow_m3_per_s, "plan.flow_m3_per_s")
      .non_negative(plan.service_flow_m3_per_s, "plan.service_flow_m3_per_s")
      .positive(plan.kinematic_viscosity_m2_per_s, "plan.kinematic_viscosity_m2_per_s");
  const bool measured = !std::isnan(plan.flash_point_K);
  if (measured) check.positive(plan.flash_point_K, "plan.flash_point_K");
  if (check.failed()) return check.fault();
  const bool light = measured && plan.flash_point_K <= flash_limit_K;
  if ((light || !measured) && !plan.equipment_rated_for_petrol) {
    return fail(
        Error{.code = ErrorCode::conflict,
              .where = {.field = "plan.equipment_rated_for_petrol"},
              .found = light ? fmt::format("fuel with a flash point of {:.0f} C in equipment not rated for petrol",
                                           plan.flash_point_K - 273.15)
                             : std::string("fuel of unknown flash point in equipment not rated for petrol"),
              .expected = "a flash point above 55 C, or equipment rated for petrol",
              .hint = "Measure the flash point, or use rated equipment"});
  }
  std::vector<FlushCaution> out;
  if (!measured) out.push_back(FlushCaution::flash_point_unknown);
  if (*reynolds(plan.flow_m3_per_s, plan.bore_m, plan.kinematic_viscosity_m2_per_s) <= turbulent_reynolds) {
    out.push_back(FlushCaution::laminar);
  }
  if (plan.flow_m3_per_s < 2.0 * plan.service_flow_m3_per_s) out.push_back(FlushCaution::below_twice_service_flow);
  if (plan.filter_in_circuit) out.push_back(FlushCaution::bond_and_ground);
  return out;
}

Result<Decay> judge_decay(std::span<const double> extracted) {
  InputCheck check;
  check.that(!extracted.empty() && extracted.size() <= most_extractions, "extracted",
             fmt::format("{} extractions", extracted.size()), "one to six");
  for (std::size_t i = 0; i < extracted.size(); ++i) check.non_negative(extracted[i], fmt::format("extracted[{}]", i));
  if (check.failed()) return check.fault();
  const double sum = std::accumulate(extracted.begin(), extracted.end(), 0.0);
  check.that(sum > 0.0, "extracted", "nothing at all", "something extracted, else the method saw nothing",
             "Prove the method on a part that is known to be dirty");
  if (check.failed()) return check.fault();
  Decay out{.last_share = extracted.back() / sum};
  out.passed = extracted.size() >= 2 && out.last_share <= accepted_share;
  out.another_allowed = !out.passed && extracted.size() < most_extractions;
  if (extracted.size() >= 2 && extracted[extracted.size() - 2] > 0.0) {
    const double r = extracted.back() / extracted[extracted.size() - 2];
    out.ratio = r;
    if (r < 1.0) out.remaining = extracted.back() * r / (1.0 - r);
  }
  return out;
}

Result<bool> two_samples_at_target(std::span<const IsoCode> samples, const IsoCode& target) {
  const auto refuse = [](std::string found, const char* expected) {
    return fail(Error{.code = ErrorCode::conflict,
                      .where = {.field = "samples"},
                      .found = std::move(found),
                      .expected = expected,
                      .hint = "Take another sample at the draw-off"});
  };
  if (samples.size() < 2) return refuse(fmt::format("{} samples", samples.size()), "two consecutive samples");
  bool at_target = true;
  for (const IsoCode& sample : samples.last(2)) {
    for (std::size_t i = 0; i < 3; ++i) {
      if (target.entries[i].state != ScaleState::number) continue;
      if (sample.kind != target.kind || sample.entries[i].state == ScaleState::not_counted) {
        return refuse(to_text(sample), "a count at every size of the target");
      }
      at_target = at_target && sample.entries[i].state == ScaleState::number &&
                  sample.entries[i].number <= target.entries[i].number;
    }
  }
  return at_target;
}

}  // namespace fw::debris
