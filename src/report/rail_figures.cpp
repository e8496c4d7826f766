// SPDX-License-Identifier: Apache-2.0
#include "report/rail_figures.hpp"

#include <array>
#include <utility>

namespace fw::report {

namespace {

/// The parts of the day, in the order of assess::fuel_heat.
constexpr std::array day_words{"rated power", "idle", "rated power"};

}  // namespace

RailAxes rail_axes(units::System system) {
  switch (system) {
    case units::System::us:
      return {{"psi", 6894.757293168}, {"hp", 745.69987}, {"\u00B0F", 5.0 / 9.0, 273.15 - 160.0 / 9.0}};
    case units::System::si: return {{"Pa", 1.0}, {"W", 1.0}, {"K", 1.0}};
    case units::System::metric: break;
  }
  return {{"MPa", 1e6}, {"kW", 1e3}, {"\u00B0C", 1.0, 273.15}};
}

CurvesData day_of(const assess::FuelHeat& answer, const FigureOptions& options) {
  const RailAxes units = rail_axes(options.system);
  Curve tank{.words = "tank", .line = CurveLine::heavy};
  Curve inlet{.words = "pump inlet", .line = CurveLine::dashed};
  Curve back{.words = "return into the tank", .line = CurveLine::dash_dot};
  CurvesData data{.title = "Fuel temperature over a work day, " + answer.sheet,
                  .unit = units.temperature.words,
                  .x_axis = "time, h",
                  .size = options.size};
  std::size_t part = answer.day.samples.empty() ? 0 : answer.day.samples.front().part;
  double begin_h = 0.0;
  double last_h = 0.0;
  const auto close_part = [&] {
    data.spans.push_back({.from = begin_h, .to = last_h, .words = day_words.at(part)});
    begin_h = last_h;
  };
  for (const heat::DaySample& sample : answer.day.samples) {
    const double hour = sample.time_s / 3600.0;
    if (sample.part != part) {
      close_part();
      part = sample.part;
    }
    last_h = hour;
    for (Curve* curve : {&tank, &inlet, &back}) curve->x.push_back(hour);
    tank.y.push_back(units.temperature.of(sample.state.tank_K));
    inlet.y.push_back(units.temperature.of(sample.state.inlet_K));
    back.y.push_back(units.temperature.of(sample.state.tank_return_K));
  }
  close_part();
  data.curves = {std::move(tank), std::move(inlet), std::move(back)};
  data.levels = {{.value = units.temperature.of(answer.limit_K), .words = "most for injectors"},
                 {.value = units.temperature.of(answer.air_K), .words = "air"}};
  data.notes = {
      "Computed. Heat given off by tank and lines is assumed; the limit is published engine application data.",
      open_rail_facts};
  if (answer.day.ran_dry) data.notes.emplace_back("The tank runs dry: the day ends there.");
  return data;
}

}  // namespace fw::report
