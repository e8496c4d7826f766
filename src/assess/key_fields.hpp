// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <tuple>

#include "base/money.hpp"
#include "base/stated.hpp"
#include "debris/debris_map.hpp"
#include "diagnosis/next_look.hpp"
#include "diagnosis/tables.hpp"
#include "extent/decision.hpp"
#include "supply/judge.hpp"
#include "system/line_sheet.hpp"
#include "system/running_point.hpp"

/// What counts of each input of a section, as a tuple of references, for the content keys of this room only.
///
/// Every member is named once in the binding, so a member that is added to a struct does not compile here until
/// somebody decides whether results depend on it: name it in the binding, and in the tie unless no result can. Left out
/// of the tie are places in files (Origin of parts, legs, tanks, LineSheet::file): they move with every comment.
namespace fw::assess {

[[nodiscard]] inline auto fields(const Spread& v) {
  const auto& [kind, half_width, factor, low, high] = v;
  return std::tie(kind, half_width, factor, low, high);
}
[[nodiscard]] inline auto fields(const system::Line& v) {
  const auto& [bore_m, length_m, roughness_m, bends, joints, joint_bore_m, bend_diameter_m, hose_kind, vacuum_Pa] = v;
  return std::tie(bore_m, length_m, roughness_m, bends, joints, joint_bore_m, bend_diameter_m, hose_kind, vacuum_Pa);
}
[[nodiscard]] inline auto fields(const system::Fitting& v) {
  const auto& [law, bore_m, count] = v;
  return std::tie(law, bore_m, count);
}
[[nodiscard]] inline auto fields(const system::Joint& v) {
  const auto& [bore_m, line_bore_m, count] = v;
  return std::tie(bore_m, line_bore_m, count);
}
[[nodiscard]] inline auto fields(const system::Medium& v) {
  const auto& [clean_drop_Pa, at_flow_m3_per_s, at_kinematic_viscosity_m2_per_s, at_density_kg_per_m3, quadratic_share,
               terminal_drop_Pa, rated_flow_m3_per_s, rating_m, capacity_kg, bypass_crack_Pa, bypass_leak_m3_per_s,
               bypass_leak_drop_Pa, sensor, bowl_m3, sensor_at_m3] = v;
  return std::tie(clean_drop_Pa, at_flow_m3_per_s, at_kinematic_viscosity_m2_per_s, at_density_kg_per_m3,
                  quadratic_share, terminal_drop_Pa, rated_flow_m3_per_s, rating_m, capacity_kg, bypass_crack_Pa,
                  bypass_leak_m3_per_s, bypass_leak_drop_Pa, sensor, bowl_m3, sensor_at_m3);
}
[[nodiscard]] inline auto fields(const system::Spring& v) {
  const auto& [seat_m, cone_half_angle_rad, preload_N, rate_N_per_m, lift_m] = v;
  return std::tie(seat_m, cone_half_angle_rad, preload_N, rate_N_per_m, lift_m);
}
[[nodiscard]] inline auto fields(const system::Valve& v) {
  const auto& [crack_Pa, drop_Pa, at_flow_m3_per_s, hysteresis_Pa, balanced, open_bore_m, spring] = v;
  return std::tie(crack_Pa, drop_Pa, at_flow_m3_per_s, hysteresis_Pa, balanced, open_bore_m, spring);
}
[[nodiscard]] inline auto fields(const system::Orifice& v) {
  const auto& [diameter_m] = v;
  return std::tie(diameter_m);
}
[[nodiscard]] inline auto fields(const system::Passage& v) {
  const auto& [bore_m, length_m, angled] = v;
  return std::tie(bore_m, length_m, angled);
}
[[nodiscard]] inline auto fields(const system::ShortTube& v) {
  const auto& [bore_m, length_m] = v;
  return std::tie(bore_m, length_m);
}
[[nodiscard]] inline auto fields(const system::Banjo& v) {
  const auto& [bolt_bore_m, hole_bore_m, holes] = v;
  return std::tie(bolt_bore_m, hole_bore_m, holes);
}
[[nodiscard]] inline auto fields(const system::Gap& v) {
  const auto& [diameter_m, clearance_m, length_m, eccentricity] = v;
  return std::tie(diameter_m, clearance_m, length_m, eccentricity);
}
[[nodiscard]] inline auto fields(const system::Wiring& v) {
  const auto& [area_m2, length_m, temperature_K, contacts, contact_ohm, relay_ohm, fuse_A, fuse_from_battery_m,
               engine_space] = v;
  return std::tie(area_m2, length_m, temperature_K, contacts, contact_ohm, relay_ohm, fuse_A, fuse_from_battery_m,
                  engine_space);
}
[[nodiscard]] inline auto fields(const system::CutOff& v) {
  const auto& [key, stall, crash] = v;
  return std::tie(key, stall, crash);
}
[[nodiscard]] inline auto fields(const system::Pump::Point& v) {
  const auto& [flow_m3_per_s, rise_Pa] = v;
  return std::tie(flow_m3_per_s, rise_Pa);
}
[[nodiscard]] inline auto fields(const system::Pump& v) {
  const auto& [drive, displacement_m3, slip, viscous_drag, friction_share, friction_torque_N_m, motor_constant_V_s,
               motor_resistance_ohm, harness_resistance_ohm, wiring, speed_ratio, dead_head_Pa,
               turbine_free_flow_m3_per_s, curve, free_flow_m3_per_s, flow_at_rise_m3_per_s, at_rise_Pa,
               rated_voltage_V, set_Pa, set_hysteresis_Pa, set_slope_Pa_s_per_m3, relief_reference, surplus,
               surplus_tank, stopped, stopped_crack_Pa, stopped_drop_Pa, current_A, running, cut_off, watch] = v;
  return std::tie(drive, displacement_m3, slip, viscous_drag, friction_share, friction_torque_N_m, motor_constant_V_s,
                  motor_resistance_ohm, harness_resistance_ohm, wiring, speed_ratio, dead_head_Pa,
                  turbine_free_flow_m3_per_s, curve, free_flow_m3_per_s, flow_at_rise_m3_per_s, at_rise_Pa,
                  rated_voltage_V, set_Pa, set_hysteresis_Pa, set_slope_Pa_s_per_m3, relief_reference, surplus,
                  surplus_tank, stopped, stopped_crack_Pa, stopped_drop_Pa, current_A, running, cut_off, watch);
}
[[nodiscard]] inline auto fields(const system::Place& v) {
  const auto& [where, over_ground_m, to_exhaust_m, wheel_throw, shield, service_s, clamp, clamp_spacing_m] = v;
  return std::tie(where, over_ground_m, to_exhaust_m, wheel_throw, shield, service_s, clamp, clamp_spacing_m);
}
[[nodiscard]] inline auto fields(const system::Condition& v) {
  const auto& [spent, plugged, pores_left, stuck, gap_m, bore_left, air_leak_m, bad_ground_ohm, set_factor] = v;
  return std::tie(spent, plugged, pores_left, stuck, gap_m, bore_left, air_leak_m, bad_ground_ohm, set_factor);
}
[[nodiscard]] inline auto fields(const system::Part& v) {
  const auto& [id, title, kind, origin, end_height_m, end_along_m, port, catalog_id, housing, bypassed, place,
               condition, line, fitting, joint, medium, valve, orifice, passage, banjo, gap, short_tube, pump] = v;
  return std::tie(id, title, kind, end_height_m, end_along_m, port, catalog_id, housing, bypassed, place, condition,
                  line, fitting, joint, medium, valve, orifice, passage, banjo, gap, short_tube, pump);
}
[[nodiscard]] inline auto fields(const system::Leg& v) {
  const auto& [id, title, from, to, origin, mouth_loss, exit_loss, from_pickup_m, parts] = v;
  return std::tie(id, title, from, to, mouth_loss, exit_loss, from_pickup_m, parts);
}
[[nodiscard]] inline auto fields(const system::TeeFitting& v) {
  const auto& [build, branch, run_bore_m, branch_bore_m] = v;
  return std::tie(build, branch, run_bore_m, branch_bore_m);
}
[[nodiscard]] inline auto fields(const system::Junction& v) {
  const auto& [id, origin, height_m, tee] = v;
  return std::tie(id, height_m, tee);
}
[[nodiscard]] inline auto fields(const system::Vent& v) {
  const auto& [bore_m, blocked, ullage_m3, burned_m3] = v;
  return std::tie(bore_m, blocked, ullage_m3, burned_m3);
}
[[nodiscard]] inline auto fields(const system::Tank& v) {
  const auto& [id, title, origin, volume_m3, height_m, floor_height_m, pickup_height_m, vent, level, along_m] = v;
  return std::tie(id, title, volume_m3, height_m, floor_height_m, pickup_height_m, vent, level, along_m);
}
[[nodiscard]] inline auto fields(const system::SelectorPosition& v) {
  const auto& [feed, back] = v;
  return std::tie(feed, back);
}
[[nodiscard]] inline auto fields(const system::Engine& v) {
  const auto& [title, origin, displacement_m3, rated_power_W, rated_speed_per_s, torque_peak_power_W,
               torque_peak_speed_per_s, idle_speed_per_s, crank_speed_per_s, rated_consumption_kg_per_J,
               torque_peak_consumption_kg_per_J, leakoff_share, housing_flow_m3_per_s, inlet_height_m, inlet_along_m,
               inlet, inlet_low_Pa, inlet_high_Pa] = v;
  return std::tie(title, displacement_m3, rated_power_W, rated_speed_per_s, torque_peak_power_W,
                  torque_peak_speed_per_s, idle_speed_per_s, crank_speed_per_s, rated_consumption_kg_per_J,
                  torque_peak_consumption_kg_per_J, leakoff_share, housing_flow_m3_per_s, inlet_height_m, inlet_along_m,
                  inlet, inlet_low_Pa, inlet_high_Pa);
}
[[nodiscard]] inline auto fields(const system::HighSide& v) {
  const auto& [origin, cylinders, rails, plungers, metering, injectors, injector_count, displacement_m3, crank_ratio,
               plunger_bore_m, plunger_stroke_m, plunger_clearance_m, rail_volume_m3, rated_pressure_Pa,
               idle_pressure_Pa, relief_pressure_Pa, nozzle_flow_m3_per_s, feed_pipe_length_m, feed_pipe_bore_m,
               leak_off_Pa] = v;
  return std::tie(cylinders, rails, plungers, metering, injectors, injector_count, displacement_m3, crank_ratio,
                  plunger_bore_m, plunger_stroke_m, plunger_clearance_m, rail_volume_m3, rated_pressure_Pa,
                  idle_pressure_Pa, relief_pressure_Pa, nozzle_flow_m3_per_s, feed_pipe_length_m, feed_pipe_bore_m,
                  leak_off_Pa);
}
[[nodiscard]] inline auto fields(const system::FuelReport& v) {
  const auto& [origin, title, density_15C_kg_per_m3, viscosity_40C_m2_per_s, cloud_point_K, cfpp_K] = v;
  return std::tie(title, density_15C_kg_per_m3, viscosity_40C_m2_per_s, cloud_point_K, cfpp_K);
}
[[nodiscard]] inline auto fields(const system::LineSheet& v) {
  const auto& [format, name, file, fuel, constant_density_kg_per_m3, constant_kinematic_viscosity_m2_per_s, fuel_report,
               tanks, junctions, engine, high_side, legs, selector, voltage_loss_V] = v;
  return std::tie(format, name, fuel, constant_density_kg_per_m3, constant_kinematic_viscosity_m2_per_s, fuel_report,
                  tanks, junctions, engine, high_side, legs, selector, voltage_loss_V);
}
[[nodiscard]] inline auto fields(const system::RunningPoint& v) {
  const auto& [engine, fuel_temperature_K, voltage_V, tank_level, filter_loading, altitude_m, slope] = v;
  return std::tie(engine, fuel_temperature_K, voltage_V, tank_level, filter_loading, altitude_m, slope);
}
[[nodiscard]] inline auto fields(const supply::Sampling& v) {
  const auto& [samples, seed, all_points, long_run] = v;
  return std::tie(samples, seed, all_points, long_run);
}
[[nodiscard]] inline auto fields(const diagnosis::Numbers& v) {
  const auto& [absent_rate, weak, moderate, strong, complaint_rate, not_listed, leading, times_next, near_certain,
               shed_likely, wrong_fluid_suspected] = v;
  return std::tie(absent_rate, weak, moderate, strong, complaint_rate, not_listed, leading, times_next, near_certain,
                  shed_likely, wrong_fluid_suspected);
}
[[nodiscard]] inline auto fields(const diagnosis::GroupRow& v) {
  const auto& [id, title, others_work, source] = v;
  return std::tie(id, title, others_work, source);
}
[[nodiscard]] inline auto fields(const diagnosis::CauseRow& v) {
  const auto& [id, title, group, mechanism, prevention, wrong_fluid, source] = v;
  return std::tie(id, title, group, mechanism, prevention, wrong_fluid, source);
}
[[nodiscard]] inline auto fields(const diagnosis::MechanismRow& v) {
  const auto& [id, title, state, absent_rate, links, source] = v;
  return std::tie(id, title, state, absent_rate, links, source);
}
[[nodiscard]] inline auto fields(const diagnosis::Mark& v) {
  const auto& [target, present, absent] = v;
  return std::tie(target, present, absent);
}
[[nodiscard]] inline auto fields(const diagnosis::Grade& v) {
  const auto& [title, mark] = v;
  return std::tie(title, mark);
}
[[nodiscard]] inline auto fields(const diagnosis::FindingRow& v) {
  const auto& [id, title, how, tool, step, minutes_s, wait_s, fee_s, invasive, marks, grades_of, grades, crank, key_on,
               running, after_sample, opens, gives, reading, reading_load, needs_water_sensor, shows_no_sensor,
               source] = v;
  return std::tie(id, title, how, tool, step, minutes_s, wait_s, fee_s, invasive, marks, grades_of, grades, crank,
                  key_on, running, after_sample, opens, gives, reading, reading_load, needs_water_sensor,
                  shows_no_sensor, source);
}
[[nodiscard]] inline auto fields(const diagnosis::PlantedRow& v) {
  const auto& [fault, side, target, share, amount, source] = v;
  return std::tie(fault, side, target, share, amount, source);
}
[[nodiscard]] inline auto fields(const diagnosis::InstrumentRow& v) {
  const auto& [id, of_full_scale, of_reading, plus, source] = v;
  return std::tie(id, of_full_scale, of_reading, plus, source);
}
[[nodiscard]] inline auto fields(const diagnosis::ReadingNumbers& v) {
  const auto& [discrepancy, lapse, fuel_temperature_K, tank_level, filter_loading, injector_leak, injector_leak_each,
               plunger_clearance, rail_volume, crank_speed] = v;
  return std::tie(discrepancy, lapse, fuel_temperature_K, tank_level, filter_loading, injector_leak, injector_leak_each,
                  plunger_clearance, rail_volume, crank_speed);
}
[[nodiscard]] inline auto fields(const diagnosis::Tables& v) {
  const auto& [numbers, readings, planted, instruments, groups, causes, mechanisms, findings] = v;
  return std::tie(numbers, readings, planted, instruments, groups, causes, mechanisms, findings);
}
[[nodiscard]] inline auto fields(const diagnosis::Reading& v) {
  const auto& [measure, at, engine, value, typed, instrument, full_scale, temperature_K, voltage_V, tank_level,
               asked_Pa, from_Pa, to_Pa, person, time, note, line] = v;
  return std::tie(measure, at, engine, value, typed, instrument, full_scale, temperature_K, voltage_V, tank_level,
                  asked_Pa, from_Pa, to_Pa);
}
[[nodiscard]] inline auto fields(const diagnosis::ReadingFate& v) {
  const auto& [reading, fate, nearest, foretold, tags, under_load] = v;
  return std::tie(reading, fate, nearest, foretold, tags, under_load);
}
[[nodiscard]] inline auto fields(const diagnosis::Score& v) {
  const auto& [targets, likelihood, effective, draws, unsolved] = v;
  return std::tie(targets, likelihood, effective, draws, unsolved);
}
[[nodiscard]] inline auto fields(const diagnosis::WeighedReadings& v) {
  const auto& [side, standing, targets, weights, scores, readings, effective, nearest, assumed] = v;
  return std::tie(side, standing, targets, weights, scores, readings, effective, nearest, assumed);
}
[[nodiscard]] inline auto fields(const diagnosis::Option& v) {
  const auto& [id, title, cost_s, miss_s, labour_s, cost_spread, miss_spreads] = v;
  return std::tie(id, title, cost_s, miss_s, labour_s, cost_spread, miss_spreads);
}
[[nodiscard]] inline auto fields(const diagnosis::Decision& v) {
  const auto& [id, title, options, from_treatment] = v;
  return std::tie(id, title, options, from_treatment);
}
[[nodiscard]] inline auto fields(const diagnosis::Losses& v) {
  const auto& [decisions, treatment_s, missed_s, again, verify_s, source, why, draws] = v;
  return std::tie(decisions, treatment_s, missed_s, again, verify_s, source, why, draws);
}
[[nodiscard]] inline auto fields(const debris::FuelWay& v) {
  const auto& [tank_m3, tank_floor_m2, feed_m3_per_s, primary_efficiency, final_efficiency, pump, rail_share,
               leak_off_share, settling_m_per_s] = v;
  return std::tie(tank_m3, tank_floor_m2, feed_m3_per_s, primary_efficiency, final_efficiency, pump, rail_share,
                  leak_off_share, settling_m_per_s);
}
[[nodiscard]] inline auto fields(const debris::Finding& v) {
  const auto& [place, by, grade, area_m2] = v;
  return std::tie(place, by, grade, area_m2);
}
[[nodiscard]] inline auto fields(const debris::Story& v) {
  const auto& [origin, reach, ran_s, cranks, tank_share] = v;
  return std::tie(origin, reach, ran_s, cranks, tank_share);
}
[[nodiscard]] inline auto fields(const extent::ComebackPrior& v) {
  const auto& [base_a, base_b, scale_low, scale_high, exponent_low, exponent_high] = v;
  return std::tie(base_a, base_b, scale_low, scale_high, exponent_low, exponent_high);
}
[[nodiscard]] inline auto fields(const extent::PriceBand& v) {
  const auto& [low, high] = v;
  return std::tie(low, high);
}
[[nodiscard]] inline auto fields(const extent::Prices& v) {
  const auto& [currency, labour_per_hour, parts, open, comeback_loss, supply_upgrade] = v;
  return std::tie(currency, labour_per_hour, parts, open, comeback_loss, supply_upgrade);
}
[[nodiscard]] inline auto fields(const extent::PolicyRule& v) {
  const auto& [id, bars, when_past_the_valve, reason] = v;
  return std::tie(id, bars, when_past_the_valve, reason);
}
[[nodiscard]] inline auto fields(const Money& v) {
  const auto& [minor, currency] = v;
  return std::tie(minor, currency);
}

}  // namespace fw::assess
