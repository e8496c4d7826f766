// SPDX-License-Identifier: Apache-2.0
#include "supply/long_run.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <optional>

#include <fmt/format.h>

#include "supply/fuel_way.hpp"
#include "supply/limits.hpp"
#include "system/rail_side.hpp"

namespace fw::supply {

namespace {

using units::Dimension;

constexpr double zero_C_K = 273.15;
constexpr double zero_F_R = 459.67;
constexpr double inlet_K = zero_C_K + 66.0, inlet_narrow_K = zero_C_K + 56.0;
constexpr double return_K = zero_C_K + 80.0;
constexpr double viscosity_m2_per_s = 1.4e-6, viscosity_narrow_m2_per_s = 1.1 * viscosity_m2_per_s;
constexpr double moving_W_per_m2_K = 25.0;                            // of a tank's surface, part data, typical
constexpr double standing_W_per_m2_K = 10.0;                          // the same, standing
constexpr double usual_tank_m3 = 0.120;                               // layouts: pickup V8, typical
constexpr double usual_return_m = 5.0, usual_return_outer_m = 0.012;  // typical, no source
constexpr double line_W_per_m2_K = 15.0;                              // still air to wind, 8 to 25, typical
constexpr double wall_m = 2e-3;                                       // of a line, assumed
constexpr double dead_share = 0.03;                                   // of a tank, part data, typical

Check start(const char* id, const char* title, Dimension dimension, Limit limit, bool low) {
  Check check;
  check.id = id;
  check.title = title;
  check.dimension = dimension;
  check.limit = std::move(limit);
  check.low = low;
  check.place = "pump inlet";
  check.place_part = system::engine_end;
  return check;
}

std::vector<Check> open_checks() {
  const char* application = "application data of an engine maker; rated power for hours";
  Check inlet = start(
      "long-run-inlet", "Fuel temperature at the pump inlet, long run", Dimension::temperature,
      {.fails = inlet_K, .narrow = inlet_narrow_K, .origin = LimitOrigin::practice, .source = application}, false);
  Check thin = start("long-run-viscosity", "Viscosity at the pump inlet, long run", Dimension::kinematic_viscosity,
                     {.fails = viscosity_m2_per_s,
                      .narrow = viscosity_narrow_m2_per_s,
                      .origin = LimitOrigin::practice,
                      .source = application},
                     true);
  Check back = start("long-run-return", "Fuel temperature in the return, long run", Dimension::temperature,
                     {.fails = return_K,
                      .narrow = {},
                      .origin = LimitOrigin::assumed,
                      .source = "80 C at the return, judgement; rated power for hours"},
                     false);
  back.place = "return at the engine";
  back.place_part = system::engine_return_end;
  std::vector<Check> checks;
  for (Check* check : {&inlet, &thin, &back}) checks.push_back(std::move(*check));
  return checks;
}

LongRun not_known(std::vector<Check> checks, const std::string& sentence) {
  for (Check& check : checks) {
    check.outcome = Outcome::not_known;
    check.sentence = sentence;
  }
  return {.checks = std::move(checks), .note = {}};
}

struct Lines {
  double length_m = 0.0;
  double surface_m = 0.0;  ///< sum of length x outside diameter
  void add(const system::Part& part) {
    if (!part.line || part.bypassed || !part.line->length_m.given() || !part.line->bore_m.given()) return;
    length_m += part.line->length_m.value;
    surface_m += part.line->length_m.value * (part.line->bore_m.value + 2.0 * wall_m);
  }
  /// One line of the same surface. A way without lines gets one too short to matter.
  [[nodiscard]] heat::LineCooling cooling() const {
    if (length_m <= 0.0) return {.length_m = 1e-3, .outer_m = 0.01, .coefficient_W_per_m2_K = line_W_per_m2_K};
    return {.length_m = length_m, .outer_m = surface_m / length_m, .coefficient_W_per_m2_K = line_W_per_m2_K};
  }
};

void judge(Check& check, double value, bool cooler, const char* fails, const char* narrow, const char* holds) {
  check.value = value;
  check.margin = check.low ? value - check.limit.fails : check.limit.fails - value;
  check.outcome = against(value, check.limit, check.low);
  switch (check.outcome) {
    case Outcome::fails: check.sentence = fails + ending(check.limit); break;
    case Outcome::narrow: check.sentence = narrow + ending(check.limit); break;
    default: check.sentence = holds + ending(check.limit); break;
  }
  if (check.outcome == Outcome::fails && cooler) {
    check.outcome = Outcome::not_known;
    check.sentence = "How much heat the return cooler takes off is not stated; without it the fuel gets too hot.";
  }
}

}  // namespace

double tank_surface_m2(double volume_m3) {
  struct Row {
    double volume_m3, surface_m2;
  };
  constexpr std::array<Row, 5> rows{{{0.060, 1.30}, {0.080, 1.53}, {0.125, 1.90}, {0.200, 2.38}, {0.350, 2.88}}};
  const auto scaled = [volume_m3](const Row& row) {
    return row.surface_m2 * std::pow(volume_m3 / row.volume_m3, 2.0 / 3.0);
  };
  if (volume_m3 <= rows.front().volume_m3) return scaled(rows.front());
  for (std::size_t i = 1; i < rows.size(); ++i) {
    if (volume_m3 > rows[i].volume_m3) continue;
    const double share = (volume_m3 - rows[i - 1].volume_m3) / (rows[i].volume_m3 - rows[i - 1].volume_m3);
    return std::lerp(rows[i - 1].surface_m2, rows[i].surface_m2, share);
  }
  return scaled(rows.back());
}

WayRound way_round(const system::LineSheet& sheet) {
  WayRound way;
  const std::vector<const system::Leg*> legs = supply_legs(sheet);
  const system::Tank* tank = legs.empty() ? nullptr : sheet.find_tank(legs.front()->from);
  double volume_m3 = usual_tank_m3;
  if (tank != nullptr && tank->volume_m3 && tank->volume_m3->given()) {
    volume_m3 = tank->volume_m3->value;
  } else {
    way.assumed.emplace_back("tank volume 120 L");
  }
  const double surface_m2 = tank_surface_m2(volume_m3);
  way.loop.tank = {.volume_m3 = volume_m3,
                   .dead_volume_m3 = dead_share * volume_m3,
                   .conductance_W_per_K = moving_W_per_m2_K * surface_m2};
  way.standing_W_per_K = standing_W_per_m2_K * surface_m2;
  Lines supply;
  for (const WayPart& at : supply_way(sheet)) supply.add(*at.part);
  way.loop.supply = supply.cooling();
  Lines returned;
  const std::vector<const system::Leg*> back = return_legs(sheet);
  for (const system::Leg* leg : back) {
    for (const system::Part& part : leg->parts) {
      returned.add(part);
      way.cooler = way.cooler || (part.kind == system::PartKind::cooler && !part.bypassed);
    }
  }
  if (back.empty()) {
    way.assumed.emplace_back("return line 5 m");
    returned.length_m = usual_return_m;
    returned.surface_m = usual_return_m * usual_return_outer_m;
  }
  way.loop.back = returned.cooling();
  return way;
}

LongRun long_run(const system::LineSheet& sheet, double air_K, const Run& run) {
  std::vector<Check> checks = open_checks();
  const std::vector<const system::Leg*> legs = supply_legs(sheet);
  if (legs.empty()) return {};
  if (sheet.high_side.cylinders <= 0) {
    return not_known(std::move(checks),
                     "The number of cylinders is not stated: without it the heat of the return is not known.");
  }
  if (sheet.fuel == "constant") {
    return not_known(std::move(checks), "The fuel is no grade: how warm throttling makes it is not known.");
  }
  const system::Tank& tank = *sheet.find_tank(legs.front()->from);
  if (!tank.volume_m3 || !tank.volume_m3->given()) {
    return not_known(std::move(checks), "The volume of the tank is not stated: how warm it gets is not known.");
  }
  if (return_legs(sheet).empty()) {
    return not_known(std::move(checks),
                     "No return to the tank is stated: where the heat of the engine goes is not known.");
  }
  const WayRound way = way_round(sheet);
  const bool cooler = way.cooler;
  const auto unable = [&](const Errors& errors) {
    const Error& error = errors.front();
    return not_known(std::move(checks), fmt::format("How warm the fuel gets could not be computed: {}, expected {}.",
                                                    error.found, error.expected));
  };
  const auto fuel = system::fuel_of_sheet(sheet);
  if (!fuel) return unable(fuel.error());
  const auto side = system::rail_side(sheet);
  if (!side) return unable(side.error());
  system::TemperatureLoopFacts facts{.loop = way.loop, .air_K = air_K};
  facts.point.fuel_temperature_K = air_K + 20.0;
  // Where what a pump does with its surplus is not stated, the hottest of the ways it may be is judged.
  std::optional<heat::LoopState> hottest;
  for (const system::Branch& branch : system::branches(sheet)) {
    const auto model = system::SupplyModel::build(sheet, branch, system::default_laws());
    if (!model) return unable(model.error());
    const auto loop = system::close_temperature_loop(*model, *side, *fuel, facts, run);
    if (!loop) return unable(loop.error());
    if (!loop->converged) {
      return not_known(std::move(checks),
                       "How warm the fuel gets could not be computed: supply and heat do not agree.");
    }
    if (!hottest || loop->heat.inlet_K > hottest->inlet_K) hottest = loop->heat;
  }
  judge(checks[0], hottest->inlet_K, cooler, "After a long run at rated power the fuel is too hot for the injectors",
        "After a long run at rated power the fuel is nearly too hot for the injectors",
        "After a long run at rated power the fuel is cool enough for the injectors");
  judge(checks[1], hottest->inlet_viscosity_m2_per_s, cooler,
        "After a long run at rated power the fuel is too thin for pump and injectors",
        "After a long run at rated power the fuel is nearly too thin for pump and injectors",
        "After a long run at rated power the fuel is thick enough for pump and injectors");
  judge(checks[2], hottest->engine_return_K, cooler, "After a long run at rated power the return is too hot",
        "After a long run at rated power the return is nearly too hot",
        "After a long run at rated power the return is cool enough");
  // A note is read in any units: both stand there.
  const auto degrees = [](double kelvin) {
    return fmt::format("{:.0f} C ({:.0f} F)", kelvin - zero_C_K, 1.8 * kelvin - zero_F_R);
  };
  std::string note = fmt::format(
      "After a long run at rated power in air of {} the fuel has {} in the tank, {} at the pump inlet, {} where the "
      "return leaves the engine and {} where it enters the tank. Returns adiabatic, which over-predicts; heat given "
      "off by tank and lines typical",
      degrees(air_K), degrees(hottest->tank_K), degrees(hottest->inlet_K), degrees(hottest->engine_return_K),
      degrees(hottest->tank_return_K));
  if (!side->assumed.empty()) note += "; a generic high-pressure side scaled to the engine";
  if (cooler) note += "; no cooler counted";
  return {.checks = std::move(checks), .note = note + "."};
}

}  // namespace fw::supply
