// SPDX-License-Identifier: Apache-2.0
#include "rail/pump.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <utility>

#include <fmt/format.h>

namespace fw::rail {

namespace {

constexpr double air_release_Pa = 0.4e5;
constexpr double pressed_share = 0.5;  // of the time a plunger holds rail pressure

TransferState transfer_state(const Pump& pump, const PumpInlet& inlet, double shaft_rev_per_s) {
  const TransferStage& stage = pump.transfer;
  if (stage.kind == TransferStage::Kind::none) return {.pressure_Pa = inlet.pressure_Pa};
  const double turn = shaft_rev_per_s / pump.rated_rev_per_s;
  const double intake = pump.displacement_m3_per_rev() * shaft_rev_per_s;
  const double need = intake + pump.housing_m3_per_s * turn;
  const double rated = stage.margin * (pump.displacement_m3_per_rev() * pump.rated_rev_per_s + pump.housing_m3_per_s);
  // V_t follows from the margin at rated speed with healthy, gas-free suction.
  const double moved = rated * turn * (1.0 - inlet.gas_fraction);
  if (moved >= need) return {.pressure_Pa = std::max(stage.set_Pa, inlet.pressure_Pa), .stage_m3_per_s = moved};
  return {.pressure_Pa = inlet.pressure_Pa, .stage_m3_per_s = moved, .collapsed = true};
}

Filling filling_of(const Pump& pump, const RailLiquid& liquid, const TransferState& transfer, const PumpInlet& inlet,
                   double shaft_rev_per_s) {
  const double omega = 2.0 * std::numbers::pi * shaft_rev_per_s;
  const double rho = liquid.density_at(transfer.pressure_Pa);
  Filling filling;
  filling.peak_m3_per_s = pump.plunger_area_m2() * pump.drive.stroke_m * pump.drive.lift_count() * omega / 2.0;
  const double speed = filling.peak_m3_per_s / pump.inlet_valve_m2;
  filling.valve_drop_Pa = 0.5 * rho * speed * speed;
  const double base = shaft_rev_per_s < pump.slow_rev_per_s ? pump.slow_filling : pump.filling;
  const double head = std::max(0.0, transfer.pressure_Pa - air_release_Pa);
  const double largest = pump.inlet_valve_m2 * std::sqrt(2.0 * head / rho);
  const double by_valve = largest >= filling.peak_m3_per_s ? 1.0 : largest / filling.peak_m3_per_s;
  // A gear stage that holds its pressure has dissolved or carried the gas along as liquid displacement already.
  const double gas = pump.transfer.kind == TransferStage::Kind::gear && !transfer.collapsed ? 0.0 : inlet.gas_fraction;
  double by_stage = 1.0;
  if (transfer.collapsed) {
    const double turn = shaft_rev_per_s / pump.rated_rev_per_s;
    const double need = pump.displacement_m3_per_rev() * shaft_rev_per_s + pump.housing_m3_per_s * turn;
    by_stage = transfer.stage_m3_per_s / need;
  }
  const double limit = transfer.collapsed ? std::min(by_valve, by_stage) : by_valve * (1.0 - gas);
  filling.factor = base * limit;
  filling.inlet_share = limit;
  filling.limited_by_inlet = limit < 1.0;
  return filling;
}

}  // namespace

PlungerLift plunger_lift(const PumpDrive& drive, double angle_rad) {
  const double l = drive.lift_count();
  const double half = 0.5 * drive.stroke_m;
  const double s = std::sin(l * angle_rad);
  const double c = std::cos(l * angle_rad);
  return {.lift_m = half * (1.0 - c), .slope_m = half * l * s, .bend_m = half * l * l * c};
}

Result<CamContact> cam_contact(const PumpDrive& drive, double angle_rad) {
  InputCheck check;
  check.that(drive.kind == DriveKind::cam, "drive.kind", "an eccentric", "a cam with a roller")
      .positive(drive.stroke_m, "drive.stroke_m")
      .positive(drive.base_radius_m, "drive.base_radius_m")
      .positive(drive.roller_radius_m, "drive.roller_radius_m")
      .that(drive.lobes >= 1, "drive.lobes", fmt::format("{}", drive.lobes), "at least 1")
      .finite(angle_rad, "angle_rad");
  if (check.failed()) return check.fault();
  const PlungerLift x = plunger_lift(drive, angle_rad);
  const double r = drive.base_radius_m + drive.roller_radius_m + x.lift_m;
  const double q = r * r + x.slope_m * x.slope_m;
  const double below = r * r + 2.0 * x.slope_m * x.slope_m - r * x.bend_m;
  if (below == 0.0) return outside("angle_rad", "a flank without curvature", "a curved flank");
  const double pitch = std::pow(q, 1.5) / below;
  const double cam = pitch - drive.roller_radius_m;
  if (pitch < 0.0 && -cam <= drive.roller_radius_m) {
    return fail(Error{.code = ErrorCode::conflict,
                      .where = {.field = "drive.roller_radius_m"},
                      .found = fmt::format("{:.6g} m in a flank of radius {:.6g} m", drive.roller_radius_m, -cam),
                      .expected = "a roller smaller than the concave flank"});
  }
  return CamContact{.cam_radius_m = cam,
                    .pressure_angle_rad = std::atan2(x.slope_m, r),
                    .surface_speed_m = std::abs(cam) / std::abs(pitch) * std::sqrt(q)};
}

double Pump::plunger_area_m2() const { return 0.25 * std::numbers::pi * plunger_bore_m * plunger_bore_m; }
double Pump::stroke_volume_m3() const { return plunger_area_m2() * drive.stroke_m; }
double Pump::displacement_m3_per_rev() const { return drive.strokes_per_rev() * stroke_volume_m3(); }

void check_pump(InputCheck& check, const Pump& pump) {
  check
      .that(pump.drive.plungers >= 1 && pump.drive.plungers <= 6, "pump.drive.plungers",
            fmt::format("{}", pump.drive.plungers), "1 to 6 plungers")
      .that(pump.drive.kind == DriveKind::eccentric || (pump.drive.lobes >= 1 && pump.drive.lobes <= 6),
            "pump.drive.lobes", fmt::format("{}", pump.drive.lobes), "1 to 6 lobes")
      .positive(pump.drive.stroke_m, "pump.drive.stroke_m")
      .positive(pump.plunger_bore_m, "pump.plunger_bore_m")
      .positive(pump.dead_volume_m3, "pump.dead_volume_m3")
      .positive(pump.crank_ratio, "pump.crank_ratio");
  check_gap(check, pump.gap, "pump.gap");
  check.within(pump.filling, {.low = 0.0, .high = 1.0}, "pump.filling")
      .within(pump.slow_filling, {.low = 0.0, .high = 1.0}, "pump.slow_filling")
      .non_negative(pump.slow_rev_per_s, "pump.slow_rev_per_s")
      .positive(pump.inlet_valve_m2, "pump.inlet_valve_m2")
      .non_negative(pump.delivery_leak_m2, "pump.delivery_leak_m2")
      .positive(pump.mechanical_efficiency, "pump.mechanical_efficiency")
      .within(pump.mechanical_efficiency, {.low = 0.0, .high = 1.0}, "pump.mechanical_efficiency")
      .non_negative(pump.housing_m3_per_s, "pump.housing_m3_per_s")
      .positive(pump.rated_rev_per_s, "pump.rated_rev_per_s")
      .positive(pump.metering.largest_m2, "pump.metering.largest_m2")
      .positive(pump.metering.lag_s, "pump.metering.lag_s")
      .within(pump.metering.hysteresis, {.low = 0.0, .high = 1.0}, "pump.metering.hysteresis");
  if (pump.transfer.kind == TransferStage::Kind::gear) {
    check.positive(pump.transfer.set_Pa, "pump.transfer.set_Pa").positive(pump.transfer.margin, "pump.transfer.margin");
  }
}

Result<StrokeBalance> stroke_balance(const Pump& pump, const RailLiquid& liquid, double transfer_Pa, double rail_Pa,
                                     double filling) {
  InputCheck check;
  check_pump(check, pump);
  check_liquid(check, liquid);
  check.positive(transfer_Pa, "transfer_Pa")
      .that(std::isfinite(rail_Pa) && !(rail_Pa < transfer_Pa), "rail_Pa", fmt::format("{:.6g} Pa", rail_Pa),
            "a pressure not below the transfer pressure")
      .within(filling, {.low = 0.0, .high = 1.0}, "filling");
  if (check.failed()) return check.fault();
  const double rho1 = liquid.density_at(transfer_Pa);
  const double rho2 = liquid.density_at(rail_Pa);
  const double vs = pump.stroke_volume_m3();
  const double vd = pump.dead_volume_m3;
  const double full = rho1 * vs - vd * (rho2 - rho1);
  return StrokeBalance{.full_kg = filling * full,
                       .compression_share = full / (rho1 * vs),
                       .outlet_volume_share = full / (rho2 * vs),
                       .lost_stroke_share = (vs + vd) / vs * (1.0 - rho1 / rho2)};
}

namespace {

struct Charge {
  TransferState transfer{};
  Filling filling{};
  double rho1 = 0.0, rho2 = 0.0;  // before and after compression, kg/m3
  double full_kg = 0.0;           // a stroke
};

Charge charge_of(const Pump& pump, const RailLiquid& liquid, const PumpQuestion& question) {
  Charge charge;
  charge.transfer = transfer_state(pump, question.inlet, question.shaft_rev_per_s);
  charge.filling = filling_of(pump, liquid, charge.transfer, question.inlet, question.shaft_rev_per_s);
  charge.rho1 = liquid.density_at(charge.transfer.pressure_Pa);
  charge.rho2 = liquid.density_at(question.rail_Pa);
  const double taken = charge.rho1 * pump.stroke_volume_m3() - pump.dead_volume_m3 * (charge.rho2 - charge.rho1);
  charge.full_kg = std::max(0.0, charge.filling.factor * taken);
  return charge;
}

}  // namespace

FullCharge full_charge(const Pump& pump, const RailLiquid& liquid, const PumpQuestion& question) {
  const Charge charge = charge_of(pump, liquid, question);
  return {.kg_per_s = pump.drive.strokes_per_rev() * question.shaft_rev_per_s * charge.full_kg,
          .inlet_share = charge.filling.inlet_share};
}

PumpState pump_state_unchecked(const Pump& pump, const RailLiquid& liquid, const RailLiquid& gap_liquid,
                               const PumpQuestion& question) {
  const double rev = question.shaft_rev_per_s;
  const Charge charge = charge_of(pump, liquid, question);
  const auto [rho1, rho2] = std::pair{charge.rho1, charge.rho2};
  PumpState state;
  state.transfer = charge.transfer;
  state.filling = charge.filling;
  state.strokes_per_s = pump.drive.strokes_per_rev() * rev;
  state.full_kg_per_s = state.strokes_per_s * charge.full_kg;
  const double gap = gap_flow_unchecked(pump.gap, gap_liquid, question.rail_Pa).flow_m3_per_s;
  const double drop = std::max(0.0, question.rail_Pa - state.transfer.pressure_Pa);
  const double back = pump.delivery_leak_m2 * std::sqrt(2.0 * drop / rho2);
  state.leak_kg_per_s = pump.drive.plungers * pressed_share * rho2 * (gap + back);
  const double net = state.full_kg_per_s - state.leak_kg_per_s;
  state.delivered_kg_per_s = std::max(0.0, net);
  const double geometric = rho1 * pump.displacement_m3_per_rev() * rev;
  state.volumetric_share = geometric > 0.0 ? net / geometric : 0.0;
  return state;
}

Result<PumpState> pump_state(const Pump& pump, const RailLiquid& liquid, const RailLiquid& gap_liquid,
                             const PumpQuestion& question) {
  InputCheck check;
  check_pump(check, pump);
  check_liquid(check, liquid);
  check_liquid(check, gap_liquid);
  check.non_negative(question.shaft_rev_per_s, "shaft_rev_per_s")
      .positive(question.rail_Pa, "rail_Pa")
      .positive(question.inlet.pressure_Pa, "inlet.pressure_Pa")
      .within(question.inlet.gas_fraction, {.low = 0.0, .high = 1.0}, "inlet.gas_fraction");
  if (check.failed()) return check.fault();
  return pump_state_unchecked(pump, liquid, gap_liquid, question);
}

double metering_flow_m3_per_s(const MeteringValve& valve, const RailLiquid& liquid, double opening, double drop_Pa) {
  if (drop_Pa <= 0.0) return 0.0;
  return opening * valve.largest_m2 * std::sqrt(2.0 * drop_Pa / liquid.density_at(0.0));
}

Result<double> pump_torque_N_m(const Pump& pump, double rail_Pa, double delivered_share) {
  InputCheck check;
  check_pump(check, pump);
  check.non_negative(rail_Pa, "rail_Pa").within(delivered_share, {.low = 0.0, .high = 1.0}, "delivered_share");
  if (check.failed()) return check.fault();
  return pump.displacement_m3_per_rev() * delivered_share * rail_Pa /
         (2.0 * std::numbers::pi * pump.mechanical_efficiency);
}

Result<Pump> with_stroke_scaled(Pump pump, double factor) {
  InputCheck check;
  check.positive(factor, "factor");
  if (check.failed()) return check.fault();
  pump.drive.stroke_m *= factor;
  return pump;
}

}  // namespace fw::rail
