// SPDX-License-Identifier: Apache-2.0
#include "report/rail_answers.hpp"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include "report/paper_parts.hpp"
#include "report/paper_rail.hpp"
#include "units/print.hpp"

namespace fw::report {

namespace {

using units::Dimension;

constexpr std::size_t trace_rows = 16;
constexpr std::size_t trace_points = 400;

Cell cell(std::string text) { return {.spans = plain(std::move(text))}; }
Column number_column(std::string title) { return {.title = std::move(title), .kind = ColumnKind::number}; }

void say_assumed(Document& document, const std::vector<std::string>& assumed) {
  if (assumed.empty()) return;
  std::string list;
  for (const std::string& one : assumed) list += (list.empty() ? "" : ", ") + one;
  document.blocks.emplace_back(
      Paragraph{.spans = plain("Not stated on the sheet, a generic set scaled to the engine stands in: " + list + "."),
                .small = true});
}

std::string rpm_words(double rev_per_s) { return fmt::format("{:.0f} rpm", rev_per_s * 60.0); }
std::string percent(double share) { return fmt::format("{:+.0f} %", 100.0 * share); }

Json head(const char* kind, const std::string& sheet, const std::vector<std::string>& assumed) {
  return {{"kind", kind}, {"sheet", sheet}, {"assumed", assumed}};
}

std::string document_of(const Json& part) {
  Json json{{"schema", "fuelwright.rail/1.0"}};
  json.update(part);
  return json.dump(2) + "\n";
}

}  // namespace

Document rail_capacity_page(const assess::RailCapacity& answer, const PaperOptions& options) {
  Document document = answer_page("High-pressure side of the system " + answer.sheet, options);
  const auto pressure = [&](double pa) { return rail_words(pa, options.system); };
  const auto power = [&](double w) { return units::print(w, Dimension::power, options.system); };
  std::string lead = capacity_sentence(answer, options.system);
  if (answer.sized_to_engine) {
    lead +=
        " Stand-ins sized for the engine's own power are played below; they show how speed and wear act, not the "
        "margin of the parts that are there.";
  }
  document.blocks.emplace_back(Lead{.spans = plain(lead)});
  document.blocks.emplace_back(Paragraph{
      .spans = plain(fmt::format("Pump inlet as the supply gives it at rated power: {}, {:.1f} % gas, {}.",
                                 units::print(answer.inlet.pressure_Pa, Dimension::absolute_pressure, options.system),
                                 100.0 * answer.inlet.gas_fraction,
                                 units::print(answer.inlet_K, Dimension::temperature, options.system))),
      .small = true});
  say_assumed(document, answer.assumed);
  document.blocks.emplace_back(Heading{.level = 2, .number = "", .text = "Along the engine's power line", .id = ""});
  Table table{.caption = "",
              .columns = {{.title = "State"},
                          number_column("Speed"),
                          number_column("Power"),
                          number_column("Needed"),
                          number_column("Held"),
                          number_column("Delivery"),
                          number_column("Leaks"),
                          {.title = "Limit"}},
              .rows = {}};
  for (const assess::RailState& state : answer.states) {
    for (std::size_t i = 0; i < state.line.size(); ++i) {
      const rail::CapacityPoint& point = state.line[i];
      table.rows.push_back({cell(i == 0 ? state.title : ""), cell(rpm_words(point.crank_rev_per_s)),
                            cell(power(answer.line_W[i])), cell(pressure(point.needed_Pa)),
                            cell(pressure(point.sustainable_Pa)), cell(percent(point.delivery_margin)),
                            cell(fmt::format("{:.0f} %", 100.0 * point.leak_share)), cell(limit_words(point.limit))});
    }
  }
  document.blocks.emplace_back(std::move(table));
  document.blocks.emplace_back(Paragraph{
      .spans = plain("Needed: lowest rail pressure whose longest injection makes the shot. Held: highest the "
                     "pump keeps up, at most the rated pressure. Delivery: open pump against injection and "
                     "returns at the rated pressure. Leaks: returns and plungers over the charge. Leakage may "
                     "be half or double (assumed)." +
                     (answer.cavitating_gain
                          ? " Nozzle holes that cavitate would pass " + percent(*answer.cavitating_gain - 1.0) +
                                " against their rating at full pressure; not counted."
                          : std::string())),
      .small = true});
  document.blocks.emplace_back(Heading{.level = 2, .number = "", .text = "A pump that delivers 15 % more", .id = ""});
  document.blocks.emplace_back(Paragraph{.spans = plain(swap_sentence(answer))});
  return document;
}

Json rail_capacity_part(const assess::RailCapacity& answer) {
  Json json = head("capacity", answer.sheet, answer.assumed);
  json["sized_to_engine"] = answer.sized_to_engine;
  json["rated_W"] = answer.rated_W;
  json["rated_rev_per_s"] = answer.rated_rev_per_s;
  json["inlet"] = {{"pressure_Pa", answer.inlet.pressure_Pa},
                   {"gas_fraction", answer.inlet.gas_fraction},
                   {"temperature_K", answer.inlet_K}};
  json["states"] = Json::array();
  for (const assess::RailState& state : answer.states) {
    Json line = Json::array();
    for (std::size_t i = 0; i < state.line.size(); ++i) {
      const rail::CapacityPoint& point = state.line[i];
      line.push_back({{"crank_rev_per_s", point.crank_rev_per_s},
                      {"power_W", answer.line_W[i]},
                      {"needed_Pa", point.needed_Pa},
                      {"held_Pa", point.sustainable_Pa},
                      {"delivery_margin", point.delivery_margin},
                      {"leak_share", point.leak_share},
                      {"shaft_torque_N_m", point.shaft_torque_N_m},
                      {"inlet_m3_per_s", point.inlet_m3_per_s},
                      {"holds", point.holds},
                      {"limit", rail::name(point.limit)}});
    }
    json["states"].push_back({{"title", state.title},
                              {"ceiling",
                               {{"power_W", state.ceiling.power_W},
                                {"rail_Pa", state.ceiling.rail_Pa},
                                {"injected_kg_per_s", state.ceiling.injected_kg_per_s},
                                {"returned_kg_per_s", state.ceiling.returned_kg_per_s},
                                {"limit", rail::name(state.ceiling.limit)}}},
                              {"line", line}});
  }
  json["larger_pump"] = {{"fuel_ratio", answer.swap_ratio},
                         {"inlet_ratio", answer.swap_inlet_ratio},
                         {"limit", rail::name(answer.swap_limit)}};
  if (answer.cavitating_gain) json["cavitating_gain"] = *answer.cavitating_gain;
  return json;
}

std::string rail_capacity_json(const assess::RailCapacity& answer) { return document_of(rail_capacity_part(answer)); }

Document rail_run_page(const RailRun& answer, const PaperOptions& options) {
  Document document =
      answer_page(fmt::format("Rail run \"{}\" of the system {}", answer.profile, answer.sheet), options);
  const auto pressure = [&](double pa) { return rail_words(pa, options.system); };
  const rail::TransientRun& run = answer.run;
  const bool vapour = run.lowest_Pa <= answer.vapour_Pa;
  std::string lead = fmt::format("Rail and pipes lie between {} and {}; the rail ends at {}.",
                                 vapour ? std::string("fuel vapour") : pressure(run.lowest_Pa),
                                 pressure(run.highest_Pa), pressure(run.trace.back().rail_Pa));
  if (answer.profile == "start") {
    lead =
        run.enabled_s
            ? fmt::format("The rail reaches {} after {:.2f} s of cranking: injection begins. ",
                          pressure(answer.enable_Pa), *run.enabled_s) +
                  lead
            : fmt::format("The rail never reaches {}: the engine does not start. ", pressure(answer.enable_Pa)) + lead;
  }
  if (run.relief_open_s) lead += fmt::format(" The relief valve opens at {:.2f} s.", *run.relief_open_s);
  if (vapour) {
    lead += fmt::format(
        " Somewhere the pipes are emptied faster than they fill: the fuel there turns to vapour ({}, as "
        "low as it can get), and the pipe fills again before it feeds.",
        pressure(run.lowest_Pa));
  }
  if (run.reason == rail::TransientReason::courant_exceeded) lead += " The run stopped early: its step is too long.";
  document.blocks.emplace_back(Lead{.spans = plain(lead)});
  say_assumed(document, answer.assumed);
  Table table{.caption = "",
              .columns = {number_column("Time"), number_column("Speed"), number_column("Set"), number_column("Rail"),
                          number_column("At injector 1")},
              .rows = {}};
  const std::size_t stride = std::max<std::size_t>(1, run.trace.size() / trace_rows);
  for (std::size_t i = 0; i < run.trace.size(); i += stride) {
    const rail::TraceSample& sample = run.trace[i];
    table.rows.push_back({cell(fmt::format("{:.2f} s", sample.time_s)), cell(rpm_words(sample.crank_rev_per_s)),
                          cell(pressure(sample.set_Pa)), cell(pressure(sample.rail_Pa)),
                          cell(pressure(sample.injector_Pa))});
  }
  document.blocks.emplace_back(std::move(table));
  if (!answer.deviations.empty()) {
    Table injectors{
        .caption = "Main injections of the second half, against the mean of all injectors",
        .columns = {{.title = "Injector"}, number_column("Shots"), number_column("Mean"), number_column("Deviation")},
        .rows = {}};
    for (const rail::InjectorDeviation& one : answer.deviations) {
      injectors.rows.push_back({cell(fmt::format("{}", one.injector + 1)), cell(fmt::format("{}", one.shots)),
                                cell(fmt::format("{:.2f} mg", one.mean_kg * 1e6)),
                                cell(fmt::format("{:+.2f} %", 100.0 * one.deviation))});
    }
    document.blocks.emplace_back(std::move(injectors));
  }
  document.blocks.emplace_back(Paragraph{
      .spans = plain(fmt::format("Computed, not measured: {} steps of {:.1f} us, {}; mass closes to {:.0e} of the fuel "
                                 "under pressure.{}",
                                 run.steps, run.step_s * 1e6, answer.lumped ? "one volume" : "waves in all pipes",
                                 std::max(1e-16, std::abs(run.mass.closure())),
                                 run.beyond_data ? " Above 250 MPa the fuel has no data." : "")),
      .small = true});
  return document;
}

std::string rail_run_json(const RailRun& answer) {
  const rail::TransientRun& run = answer.run;
  Json json = head("run", answer.sheet, answer.assumed);
  json["profile"] = answer.profile;
  json["pipes"] = answer.lumped ? "lumped" : "waves";
  json["step_s"] = run.step_s;
  json["end_s"] = run.end_s;
  json["reason"] = run.reason == rail::TransientReason::reached_end ? "reached_end" : "courant_exceeded";
  json["lowest_Pa"] = run.lowest_Pa;
  json["highest_Pa"] = run.highest_Pa;
  json["beyond_data"] = run.beyond_data;
  if (run.enabled_s) json["enabled_s"] = *run.enabled_s;
  if (run.relief_open_s) json["relief_open_s"] = *run.relief_open_s;
  json["mass_closure"] = run.mass.closure();
  json["trace"] = Json::array();
  const std::size_t stride = std::max<std::size_t>(1, run.trace.size() / trace_points);
  for (std::size_t i = 0; i < run.trace.size(); i += stride) {
    const rail::TraceSample& sample = run.trace[i];
    json["trace"].push_back({{"time_s", sample.time_s},
                             {"crank_rev_per_s", sample.crank_rev_per_s},
                             {"set_Pa", sample.set_Pa},
                             {"rail_Pa", sample.rail_Pa},
                             {"injector_Pa", sample.injector_Pa}});
  }
  json["injectors"] = Json::array();
  for (const rail::InjectorDeviation& one : answer.deviations) {
    json["injectors"].push_back(
        {{"injector", one.injector + 1}, {"shots", one.shots}, {"mean_kg", one.mean_kg}, {"deviation", one.deviation}});
  }
  return document_of(json);
}

Document leak_down_page(const LeakDown& answer, const PaperOptions& options) {
  Document document = answer_page("Leak-down of the rail of the system " + answer.sheet, options);
  const auto pressure = [&](double pa) { return rail_words(pa, options.system); };
  document.blocks.emplace_back(
      Lead{.spans = plain(fmt::format(
               "From {} the rail falls to {} in {:.0f} s if nothing is worn and the control unit does not empty it.",
               pressure(answer.start_Pa), pressure(answer.rows.front().pressure_Pa.back()), answer.time_s.back()))});
  say_assumed(document, answer.assumed);
  Table table{.caption = "", .columns = {{.title = "State"}}, .rows = {}};
  for (const double time_s : answer.time_s) table.columns.push_back(number_column(fmt::format("{:.0f} s", time_s)));
  for (const LeakDownRow& row : answer.rows) {
    Row cells{cell(row.title)};
    for (const double pa : row.pressure_Pa) cells.push_back(cell(pressure(pa)));
    table.rows.push_back(std::move(cells));
  }
  document.blocks.emplace_back(std::move(table));
  document.blocks.emplace_back(Paragraph{
      .spans = plain("A leak-down tests injectors, relief, pressure and delivery valves, never plungers. Fuel that "
                     "cools by 10 K loses about 10 MPa without any leak. Many control units empty the rail at "
                     "key-off: stop that first. A zero reading is no proof of zero pressure."),
      .small = true});
  return document;
}

std::string leak_down_json(const LeakDown& answer) {
  Json json = head("leakdown", answer.sheet, answer.assumed);
  json["start_Pa"] = answer.start_Pa;
  json["time_s"] = answer.time_s;
  json["rows"] = Json::array();
  for (const LeakDownRow& row : answer.rows) {
    json["rows"].push_back({{"title", row.title}, {"pressure_Pa", row.pressure_Pa}});
  }
  return document_of(json);
}

Document heat_page(const assess::FuelHeat& answer, const PaperOptions& options) {
  Document document = answer_page("Fuel temperatures of the system " + answer.sheet, options);
  const auto temperature = [&](double k) { return units::print(k, Dimension::temperature, options.system); };
  document.blocks.emplace_back(Lead{.spans = plain(heat_sentence(answer, options.system))});
  say_assumed(document, answer.assumed);
  Table table{.caption = "Where a long run ends",
              .columns = {{.title = "Engine"},
                          number_column("Tank"),
                          number_column("Pump inlet"),
                          number_column("Return, engine"),
                          number_column("Return, tank"),
                          number_column("Heat to tank")},
              .rows = {}};
  for (const assess::HeatPoint& point : answer.points) {
    const heat::LoopState& state = point.loop.heat;
    table.rows.push_back({cell(point.title), cell(temperature(state.tank_K)), cell(temperature(state.inlet_K)),
                          cell(temperature(state.engine_return_K)), cell(temperature(state.tank_return_K)),
                          cell(units::print(state.heat_W, Dimension::power, options.system))});
  }
  document.blocks.emplace_back(std::move(table));
  document.blocks.emplace_back(Paragraph{.spans = plain(cooler_sentence(answer, options.system))});
  double residual_K = 0.0;
  for (const assess::HeatPoint& point : answer.points) residual_K = std::max(residual_K, point.loop.residual_K);
  document.blocks.emplace_back(Paragraph{
      .spans =
          plain(fmt::format("Supply, high-pressure side and heat agree within {:.3f} K. Returns are adiabatic, which "
                            "over-predicts; tank mixed, no sun, no heat from road or exhaust.",
                            residual_K)),
      .small = true});
  return document;
}

Json heat_part(const assess::FuelHeat& answer) {
  Json json = head("heat", answer.sheet, answer.assumed);
  json["air_K"] = answer.air_K;
  json["points"] = Json::array();
  for (const assess::HeatPoint& point : answer.points) {
    const heat::LoopState& state = point.loop.heat;
    json["points"].push_back({{"title", point.title},
                              {"tank_K", state.tank_K},
                              {"inlet_K", state.inlet_K},
                              {"engine_return_K", state.engine_return_K},
                              {"tank_return_K", state.tank_return_K},
                              {"heat_W", state.heat_W},
                              {"inlet_viscosity_m2_per_s", state.inlet_viscosity_m2_per_s},
                              {"rail_Pa", point.loop.rail_Pa},
                              {"residual_K", point.loop.residual_K},
                              {"converged", point.loop.converged}});
  }
  json["day"] = Json::array();
  const std::size_t stride = std::max<std::size_t>(1, answer.day.samples.size() / 100);
  for (std::size_t i = 0; i < answer.day.samples.size(); i += stride) {
    const heat::DaySample& sample = answer.day.samples[i];
    json["day"].push_back({{"time_s", sample.time_s},
                           {"fuel_kg", sample.fuel_kg},
                           {"tank_K", sample.state.tank_K},
                           {"inlet_K", sample.state.inlet_K}});
  }
  json["ran_dry"] = answer.day.ran_dry;
  json["inlet_limit_K"] = answer.limit_K;
  if (answer.no_cooler.empty()) json["cooler_W_per_K"] = answer.cooler_W_per_K;
  if (!answer.wear.empty()) json["film"] = Json::array();
  for (const assess::WearState& state : answer.wear) {
    json["film"].push_back({{"fuel", state.fuel},
                            {"inlet_K", state.inlet_K},
                            {"relative", state.relative},
                            {"lambda", state.lambda},
                            {"bounding", state.bounding},
                            {"extrapolated", state.range == Range::extrapolated}});
  }
  return json;
}

std::string heat_json(const assess::FuelHeat& answer) { return document_of(heat_part(answer)); }

}  // namespace fw::report
