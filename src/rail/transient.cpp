// SPDX-License-Identifier: Apache-2.0
#include "rail/transient.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>

#include <fmt/format.h>

namespace fw::rail {

namespace {

constexpr double two_pi = 2.0 * std::numbers::pi;
constexpr double atmosphere_Pa = 1.01325e5;
constexpr double data_end_Pa = 250e6;
constexpr double gallery_share = 0.25;
constexpr double most_steps = 5e7;
constexpr std::size_t leak_points = 129;
constexpr double step_share = 0.9;  // at the highest pressure, so that less is left for the fuel's speed

// Everything that flows in or out of a volume is booked on it and acts at the end of the step.
struct Node {
  double volume_m3 = 0.0;
  double per_volume = 0.0;
  double mass_kg = 0.0;
  double rate_kg_per_s = 0.0;  // of the step before, to look half a step ahead
  double booked_kg = 0.0;
  double half_Pa = 0.0;
};

struct Plunger {
  double phase_cosine = 1.0;  // of its lift against that of the first
  double phase_sine = 0.0;
  double mass_kg = 0.0;
  double budget_kg = 0.0;
  bool rising = true;
};

struct ActiveShot {
  bool active = false;
  double start_s = 0.0;
  ShotShape shape{};
  std::size_t record = 0;
};

class Model {
 public:
  Model(const HighPressureSet& set, const CapacityFuel& fuel, const std::vector<ProfilePoint>& profile,
        const TransientOptions& options, const TransientFaults& faults, double step_s)
      : set_(set),
        fuel_(fuel),
        profile_(profile),
        options_(options),
        faults_(faults),
        step_s_(step_s),
        per_step_(1.0 / step_s),
        curve_(fuel.charge),
        kernel_(kernel::widest_kernel()) {}

  Result<void> prepare();
  /// False when the waves outrun the step.
  bool step();
  void record();
  [[nodiscard]] double total_kg() const;

  TransientRun out;
  double time_s = 0.0;

 private:
  [[nodiscard]] double pressure(const Node& node) const { return curve_.pressure_Pa(node.mass_kg / node.volume_m3); }
  [[nodiscard]] double gap_leak_m3_per_s(double pressure_Pa) const;
  // Bottom dead centre is lift 0: the chamber is largest there.
  [[nodiscard]] double chamber_m3(double lift_m) const {
    return set_.pump.dead_volume_m3 + set_.pump.plunger_area_m2() * (set_.pump.drive.stroke_m - lift_m);
  }
  void refresh_supply();
  [[nodiscard]] bool rises(const PlungerLift& lift) const {
    return lift.slope_m > 0.0 || (lift.slope_m == 0.0 && lift.lift_m < 0.5 * set_.pump.drive.stroke_m);
  }
  void advance_profile();
  void start_shots();
  void start_shot(std::size_t injector, bool pilot);
  void inject();
  void pump();
  void valves();
  void control();
  double pipes();
  void look_ahead();

  HighPressureSet set_;
  CapacityFuel fuel_;
  std::vector<ProfilePoint> profile_;
  TransientOptions options_;
  TransientFaults faults_;
  double step_s_;
  double per_step_;
  double rail_Pa_ = 0.0;  // in the first rail, as it stands
  WaveCurve curve_;
  kernel::Kernel kernel_;
  std::vector<double> node_density_;   // half a step ahead, then the first rail's as it stands; whole lanes
  std::vector<double> node_pressure_;  // of these

  std::vector<Node> nodes_;  // gallery, rails, injector bores; lumped: one
  std::size_t gallery_ = 0;
  std::size_t first_rail_ = 0;
  std::optional<PipeGroup> pump_pipes_;
  std::optional<PipeGroup> feed_pipes_;
  std::vector<std::size_t> injector_node_;
  std::vector<std::array<ActiveShot, 2>> shots_;  // [injector][main, pilot]
  std::vector<Plunger> plungers_;
  std::array<double, leak_points> leak_table_{};
  double leak_step_Pa_ = 0.0;

  std::size_t segment_ = 0;
  double held_s_ = 0.0;
  ProfilePoint now_{};
  double set_slope_Pa_per_s_ = 0.0;
  double crank_rad_ = 0.0;
  double shaft_rad_ = 0.0;
  long next_main_ = 0;
  long next_pilot_ = 0;
  bool enabled_ = false;
  double full_charge_kg_per_s_ = 0.0;
  double filling_ = 1.0;
  double next_supply_s_ = 0.0;
  TransferState transfer_{};
  double transfer_density_ = 0.0;
  double nominal_transfer_Pa_ = 0.0;
  double head_root_ = 1.0;  // root of the transfer pressure over that of the start
  double metering_share_ = 0.0;

  double integral_kg_per_s_ = 0.0;
  double command_kg_per_s_ = 0.0;
  double standing_kg_per_s_ = 0.0;  // where a sticking valve stands
  double metered_kg_per_s_ = 0.0;
  double next_control_s_ = 0.0;
  double next_sample_s_ = 0.0;
  double valve_set_Pa_ = 0.0;
  bool relief_open_ = false;
};

Result<void> Model::prepare() {
  const RailLiquid& liquid = fuel_.charge;
  const double density = liquid.density_at(options_.start_Pa);
  const auto add = [&](double volume_m3) {
    nodes_.push_back({.volume_m3 = volume_m3,
                      .per_volume = 1.0 / volume_m3,
                      .mass_kg = volume_m3 * density,
                      .half_Pa = options_.start_Pa});
    return nodes_.size() - 1;
  };
  const auto injectors = static_cast<std::size_t>(set_.injectors);
  if (options_.pipes == PipeModel::lumped) {
    gallery_ = first_rail_ = add(set_.pressed_volume_m3());
    injector_node_.assign(injectors, 0);
  } else {
    const auto rails = static_cast<std::size_t>(set_.rails);
    gallery_ = add(gallery_share * set_.pump_pipe_volume_m3);
    first_rail_ = nodes_.size();
    for (std::size_t i = 0; i < rails; ++i) add(set_.rail_volume_m3);
    for (std::size_t i = 0; i < injectors; ++i) injector_node_.push_back(add(set_.injector_bore_m3));
    FeedPipe pump_pipe{.bore_m = set_.pump_pipe_bore_m,
                       .outer_m = set_.pump_pipe_bore_m * set_.feed_pipe.outer_m / set_.feed_pipe.bore_m,
                       .steel = set_.feed_pipe.steel};
    pump_pipe.length_m = (1.0 - gallery_share) * set_.pump_pipe_volume_m3 / set_.rails / pump_pipe.area_m2();
    const double cell_m = set_.feed_pipe.length_m / static_cast<double>(options_.feed_cells);
    const auto pump_cells = static_cast<std::size_t>(std::max(3.0, std::floor(pump_pipe.length_m / cell_m)));
    PipeGroupOptions group{.pipes = rails,
                           .cells = pump_cells,
                           .step_s = step_s_,
                           .start_Pa = options_.start_Pa,
                           .viscosity_Pa = std::max(options_.start_Pa, set_.idle_Pa),
                           .friction = options_.friction};
    auto made = PipeGroup::make(pump_pipe, liquid, group);
    if (!made) return fail(made.error());
    pump_pipes_ = std::move(*made);
    group.pipes = injectors;
    group.cells = options_.feed_cells;
    made = PipeGroup::make(set_.feed_pipe, liquid, group);
    if (!made) return fail(made.error());
    feed_pipes_ = std::move(*made);
  }

  constexpr std::size_t lane = kernel::widest_lane;
  node_density_.assign((nodes_.size() + lane) / lane * lane, density);
  node_pressure_.assign(node_density_.size(), 0.0);
  look_ahead();

  leak_step_Pa_ = 300e6 / static_cast<double>(leak_points - 1);
  for (std::size_t i = 0; i < leak_points; ++i) {
    leak_table_[i] = gap_flow_unchecked(set_.pump.gap, fuel_.gap, static_cast<double>(i) * leak_step_Pa_).flow_m3_per_s;
  }

  crank_rad_ = 0.0;
  shaft_rad_ = options_.pump_phase_rad;
  now_ = profile_.front();
  advance_profile();
  refresh_supply();
  nominal_transfer_Pa_ = transfer_.pressure_Pa;
  metering_share_ = std::min(1.0, step_s_ / set_.pump.metering.lag_s);
  const double shots_per_s = set_.shots_per_s(now_.crank_rev_per_s);
  const double need =
      shots_per_s * (now_.shot_kg + now_.pilot_kg +
                     liquid.free_density_kg_per_m3 * control_m3_at(set_.injector, options_.start_Pa)) +
      set_.injectors * liquid.free_density_kg_per_m3 * static_m3_per_s_at(set_.injector, options_.start_Pa);
  metered_kg_per_s_ = command_kg_per_s_ = standing_kg_per_s_ = std::min(need, full_charge_kg_per_s_);
  valve_set_Pa_ = now_.set_Pa + 10e6;

  const double strokes = set_.pump.drive.strokes_per_rev() * now_.crank_rev_per_s * set_.pump.crank_ratio;
  const double charge = options_.metering == Metering::constant_charge ? options_.charge_kg
                        : strokes > 0.0                                ? metered_kg_per_s_ / strokes
                                                                       : 0.0;
  const double rho1 = liquid.density_at(transfer_.pressure_Pa);
  for (int i = 0; i < set_.pump.drive.plungers; ++i) {
    const double phase_rad = two_pi * i / set_.pump.drive.strokes_per_rev();
    Plunger plunger{.phase_cosine = std::cos(set_.pump.drive.lift_count() * phase_rad),
                    .phase_sine = std::sin(set_.pump.drive.lift_count() * phase_rad)};
    const PlungerLift lift = plunger_lift(set_.pump.drive, shaft_rad_ + phase_rad);
    const double chamber = chamber_m3(lift.lift_m);
    const double rest = density * set_.pump.dead_volume_m3;
    plunger.rising = rises(lift);
    if (plunger.rising) {
      plunger.mass_kg = std::min(rest + charge, density * chamber);
    } else {
      plunger.mass_kg = std::clamp(rho1 * chamber, rest, rest + charge);
      plunger.budget_kg = rest + charge - plunger.mass_kg;
    }
    plungers_.push_back(plunger);
  }

  shots_.resize(injectors);
  double events = 0.0;
  for (std::size_t i = 1; i < profile_.size(); ++i) {
    events += 0.5 * (profile_[i].crank_rev_per_s + profile_[i - 1].crank_rev_per_s) *
              (profile_[i].time_s - profile_[i - 1].time_s);
  }
  events += options_.end_s * std::max(profile_.front().crank_rev_per_s, profile_.back().crank_rev_per_s);
  out.shots.reserve(static_cast<std::size_t>(events * set_.cylinders) + 64);
  out.trace.reserve(static_cast<std::size_t>(options_.end_s / options_.sample_s) + 16);
  out.step_s = step_s_;
  out.lowest_Pa = out.highest_Pa = options_.start_Pa;
  enabled_ = options_.start_Pa >= set_.enable_Pa;
  if (enabled_) out.enabled_s = 0.0;
  out.mass.start_kg = total_kg();
  return {};
}

double Model::gap_leak_m3_per_s(double pressure_Pa) const {
  const double at = std::min(pressure_Pa / leak_step_Pa_, static_cast<double>(leak_points) - 1.000001);
  const auto i = static_cast<std::size_t>(at);
  const double share = at - static_cast<double>(i);
  return (1.0 - share) * leak_table_[i] + share * leak_table_[i + 1];
}

double Model::total_kg() const {
  double sum = 0.0;
  for (const Node& node : nodes_) sum += node.mass_kg;
  for (const Plunger& plunger : plungers_) sum += plunger.mass_kg;
  if (pump_pipes_) sum += pump_pipes_->mass_kg();
  if (feed_pipes_) sum += feed_pipes_->mass_kg();
  return sum;
}

void Model::advance_profile() {
  const bool waits = options_.hold == Hold::until_enabled && !enabled_ && profile_.size() > 1;
  if (waits && time_s - held_s_ > profile_[1].time_s) held_s_ = time_s - profile_[1].time_s;
  const double at_s = time_s - held_s_;
  while (segment_ + 1 < profile_.size() && profile_[segment_ + 1].time_s <= at_s) ++segment_;
  const ProfilePoint& a = profile_[segment_];
  now_ = a;
  set_slope_Pa_per_s_ = 0.0;
  if (segment_ + 1 < profile_.size() && at_s > a.time_s) {
    const ProfilePoint& b = profile_[segment_ + 1];
    const double span = b.time_s - a.time_s;
    const double w = (at_s - a.time_s) / span;
    const auto mix = [w](double x, double y) { return x + w * (y - x); };
    now_.crank_rev_per_s = mix(a.crank_rev_per_s, b.crank_rev_per_s);
    now_.shot_kg = mix(a.shot_kg, b.shot_kg);
    now_.pilot_kg = mix(a.pilot_kg, b.pilot_kg);
    now_.set_Pa = mix(a.set_Pa, b.set_Pa);
    now_.inlet.pressure_Pa = mix(a.inlet.pressure_Pa, b.inlet.pressure_Pa);
    now_.inlet.gas_fraction = mix(a.inlet.gas_fraction, b.inlet.gas_fraction);
    set_slope_Pa_per_s_ = (b.set_Pa - a.set_Pa) / span;
  }
}

void Model::refresh_supply() {
  const PumpState state = pump_state_unchecked(set_.pump, fuel_.charge, fuel_.gap,
                                               {.shaft_rev_per_s = now_.crank_rev_per_s * set_.pump.crank_ratio,
                                                .rail_Pa = std::max(pressure(nodes_[gallery_]), now_.inlet.pressure_Pa),
                                                .inlet = now_.inlet});
  transfer_ = state.transfer;
  if (nominal_transfer_Pa_ > 0.0) {
    head_root_ = std::sqrt(std::min(1.0, std::max(0.0, transfer_.pressure_Pa) / nominal_transfer_Pa_));
  }
  transfer_density_ = fuel_.charge.density_at(transfer_.pressure_Pa);
  filling_ = state.filling.factor;
  full_charge_kg_per_s_ = state.full_kg_per_s;
}

void Model::start_shot(std::size_t injector, bool pilot) {
  const double asked_kg = pilot ? now_.pilot_kg : now_.shot_kg;
  if (asked_kg <= 0.0) return;
  const double rail_Pa = rail_Pa_;
  if (!enabled_ && rail_Pa >= set_.enable_Pa) {
    enabled_ = true;
    out.enabled_s = time_s;
  }
  const double known_Pa = options_.duration_from == DurationFrom::rail_pressure ? rail_Pa : now_.set_Pa;
  const double rate = full_rate_kg_per_s(set_.injector, fuel_.charge, known_Pa, set_.cylinder_Pa);
  if (!enabled_ || rate <= 0.0) return;
  ActiveShot& shot = shots_[injector][pilot ? 1 : 0];
  if (shot.active || out.shots.size() == out.shots.capacity()) return;
  const double energised_s = energised_for_s(set_.injector.shape, asked_kg / rate);
  shot = {.active = true,
          .start_s = time_s,
          .shape = shot_shape(set_.injector.shape, energised_s),
          .record = out.shots.size()};
  out.shots.push_back(
      {.start_s = time_s, .injector = injector, .pilot = pilot, .asked_kg = asked_kg, .energised_s = energised_s});
}

void Model::start_shots() {
  const double interval_rad = 2.0 * two_pi / set_.cylinders;
  const auto cylinders = static_cast<long>(set_.cylinders);
  while (static_cast<double>(next_pilot_) * interval_rad - options_.pilot_lead_rad <= crank_rad_) {
    start_shot(static_cast<std::size_t>(next_pilot_ % cylinders), true);
    ++next_pilot_;
  }
  while (static_cast<double>(next_main_) * interval_rad <= crank_rad_) {
    start_shot(static_cast<std::size_t>(next_main_ % cylinders), false);
    ++next_main_;
  }
}

void Model::inject() {
  const double free_density = fuel_.charge.free_density_kg_per_m3;
  for (std::size_t i = 0; i < shots_.size(); ++i) {
    Node& node = nodes_[injector_node_[i]];
    const double p = node.half_Pa;
    const double still =
        std::min(free_density * static_m3_per_s_at(set_.injector, std::max(0.0, p - atmosphere_Pa)) * step_s_,
                 0.1 * node.mass_kg);
    node.booked_kg -= still;
    out.mass.static_kg += still;
    for (ActiveShot& shot : shots_[i]) {
      if (!shot.active) continue;
      const double from = time_s - shot.start_s;
      const double to = from + step_s_;
      ShotRecord& record = out.shots[shot.record];
      const double share_s = shot.shape.until(to) - shot.shape.until(from);
      if (share_s > 0.0 && p > set_.cylinder_Pa) {
        const double factor = faults_.nozzle_factor.empty() ? 1.0 : faults_.nozzle_factor[i];
        const double density = node.mass_kg / node.volume_m3;
        const double given =
            factor * set_.injector.nozzle_m2 * std::sqrt(2.0 * density * (p - set_.cylinder_Pa)) * share_s;
        node.booked_kg -= given;
        record.given_kg += given;
        out.mass.injected_kg += given;
      }
      if (from < record.energised_s) {
        const double used_s = std::min(to, record.energised_s) - from;
        // Into the return: none from a rail that has no pressure over it, and never more than there is.
        const double control = std::min(
            free_density * control_m3_at(set_.injector, std::max(0.0, p - atmosphere_Pa)) * used_s / record.energised_s,
            0.1 * node.mass_kg);
        node.booked_kg -= control;
        out.mass.control_kg += control;
      }
      if (to >= shot.shape.end_s && to >= record.energised_s) shot.active = false;
    }
  }
}

void Model::pump() {
  Node& gallery = nodes_[gallery_];
  const double strokes = set_.pump.drive.strokes_per_rev() * now_.crank_rev_per_s * set_.pump.crank_ratio;
  const double rho1 = transfer_density_;
  const double gallery_Pa = set_.pump.delivery_leak_m2 > 0.0 ? pressure(gallery) : 0.0;
  // One sine and cosine for all plungers; each is turned on by its phase.
  const double lifts = set_.pump.drive.lift_count();
  const double half_m = 0.5 * set_.pump.drive.stroke_m;
  const double sine = std::sin(lifts * shaft_rad_);
  const double cosine = std::cos(lifts * shaft_rad_);
  for (Plunger& plunger : plungers_) {
    const PlungerLift lift{.lift_m = half_m * (1.0 - (cosine * plunger.phase_cosine - sine * plunger.phase_sine)),
                           .slope_m = half_m * lifts * (sine * plunger.phase_cosine + cosine * plunger.phase_sine)};
    const double chamber = chamber_m3(lift.lift_m);
    // At rest at the bottom a plunger is about to rise, at rest at the top about to fall.
    const bool rising = rises(lift);
    if (strokes > 0.0 && plunger.rising && !rising) {
      // Top dead centre: the next charge is what the metering lets through, at most what the chamber can take.
      const double full =
          filling_ * (rho1 * (set_.pump.stroke_volume_m3() + set_.pump.dead_volume_m3) - plunger.mass_kg);
      const double metered =
          options_.metering == Metering::constant_charge ? options_.charge_kg : metered_kg_per_s_ / strokes;
      plunger.budget_kg = std::max(0.0, std::min(full, metered));
    }
    plunger.rising = rising;
    if (!rising && plunger.budget_kg > 0.0) {
      const double taken = std::clamp(rho1 * chamber - plunger.mass_kg, 0.0, plunger.budget_kg);
      plunger.mass_kg += taken;
      plunger.budget_kg -= taken;
      out.mass.taken_kg += taken;
    }
    // Delivery valve: where the chamber is the denser, both take one density.
    const double gallery_kg = gallery.mass_kg + gallery.booked_kg;
    if (plunger.mass_kg * gallery.volume_m3 > gallery_kg * chamber) {
      const double density = (plunger.mass_kg + gallery_kg) / (chamber + gallery.volume_m3);
      const double given = plunger.mass_kg - density * chamber;
      plunger.mass_kg -= given;
      gallery.booked_kg += given;
    }
    const double density = plunger.mass_kg / chamber;
    const double chamber_Pa = curve_.pressure_Pa(density);
    const double leak = std::min(density * gap_leak_m3_per_s(std::max(0.0, chamber_Pa - atmosphere_Pa)) * step_s_,
                                 0.1 * plunger.mass_kg);
    plunger.mass_kg -= leak;
    out.mass.leaked_kg += leak;
    const double behind_Pa = std::max(chamber_Pa, transfer_.pressure_Pa);
    if (set_.pump.delivery_leak_m2 > 0.0 && gallery_Pa > behind_Pa) {
      // Back through a shut delivery valve, and on to the inlet while the chamber is at low pressure.
      const double gallery_density = gallery.mass_kg / gallery.volume_m3;
      const double back =
          set_.pump.delivery_leak_m2 * std::sqrt(2.0 * gallery_density * (gallery_Pa - behind_Pa)) * step_s_;
      gallery.booked_kg -= back;
      if (rising && strokes > 0.0) {
        plunger.mass_kg += back;
      } else {
        out.mass.leaked_kg += back;
      }
    }
  }
}

void Model::valves() {
  Node& rail = nodes_[first_rail_];
  const double p = rail.half_Pa;
  if (p >= set_.relief.open_Pa && !relief_open_) {
    relief_open_ = true;
    if (!out.relief_open_s) out.relief_open_s = time_s;
  }
  if (p < set_.relief.close_Pa) relief_open_ = false;
  const double density = rail.mass_kg / rail.volume_m3;
  double area_m2 = relief_open_ || faults_.relief_stuck_open ? set_.relief.open_m2 : 0.0;
  if (now_.crank_rev_per_s <= 0.0) area_m2 += faults_.dump_m2;
  double spilled = 0.0;
  if (area_m2 > 0.0) spilled = area_m2 * std::sqrt(2.0 * density * std::max(0.0, p - atmosphere_Pa)) * step_s_;
  if (set_.pressure_valve) {
    const double aim_Pa = now_.crank_rev_per_s > 0.0 ? now_.set_Pa + 10e6 : set_.pressure_valve->rest_Pa;
    valve_set_Pa_ += (aim_Pa - valve_set_Pa_) * std::min(1.0, step_s_ / set_.pressure_valve->lag_s);
    spilled += density * set_.pressure_valve->slope_m3_per_s_Pa * std::max(0.0, p - valve_set_Pa_) * step_s_;
  }
  spilled = std::min(spilled, 0.1 * rail.mass_kg);
  rail.booked_kg -= spilled;
  out.mass.spilled_kg += spilled;
}

void Model::control() {
  const double rail_Pa = rail_Pa_;
  if (time_s + 0.5 * step_s_ >= next_control_s_) {
    next_control_s_ += options_.controller_s;
    const double shots = enabled_ ? set_.shots_per_s(now_.crank_rev_per_s) : 0.0;
    const double set_Pa = std::max(now_.set_Pa, atmosphere_Pa);
    const double density = fuel_.charge.density_at(set_Pa);
    const double capacity = density * set_.pressed_volume_m3() / fuel_.charge.modulus_at(set_Pa);  // kg/Pa
    const double strokes = set_.pump.drive.strokes_per_rev() * now_.crank_rev_per_s * set_.pump.crank_ratio;
    double omega = options_.omega_per_s;
    if (strokes > 0.0) omega = std::min(omega, 0.2 / (0.5 / strokes + set_.pump.metering.lag_s));
    const double ahead =
        shots * (now_.shot_kg + now_.pilot_kg +
                 fuel_.charge.free_density_kg_per_m3 * control_m3_at(set_.injector, set_Pa)) +
        set_.injectors * fuel_.charge.free_density_kg_per_m3 * static_m3_per_s_at(set_.injector, set_Pa) +
        set_.pump.drive.plungers * 0.5 * density * gap_leak_m3_per_s(set_Pa) + capacity * set_slope_Pa_per_s_;
    const double error_Pa = now_.set_Pa - rail_Pa;
    const double wish = ahead + 1.8 * omega * capacity * error_Pa + integral_kg_per_s_;
    const double most = std::max(full_charge_kg_per_s_, 0.0);
    command_kg_per_s_ = std::clamp(wish, 0.0, most);
    // Clamped integral: it does not grow where the command already stands at its end.
    const bool pushes_out = (wish > most && error_Pa > 0.0) || (wish < 0.0 && error_Pa < 0.0);
    if (!pushes_out) integral_kg_per_s_ += omega * omega * capacity * error_Pa * options_.controller_s;
  }
  if (std::abs(command_kg_per_s_ - standing_kg_per_s_) > faults_.metering_stiction * full_charge_kg_per_s_) {
    standing_kg_per_s_ = command_kg_per_s_;
  }
  // The opening that gives this flow with the transfer pressure of the start gives less with less.
  const double flow = std::min(standing_kg_per_s_ * head_root_, full_charge_kg_per_s_);
  metered_kg_per_s_ += (flow - metered_kg_per_s_) * metering_share_;
}

double Model::pipes() {
  if (!feed_pipes_) return 0.0;
  feed_pipes_->half_step();
  pump_pipes_->half_step();
  const auto rails = static_cast<std::size_t>(set_.rails);
  for (std::size_t i = 0; i < rails; ++i) {
    Node& rail = nodes_[first_rail_ + i];
    nodes_[gallery_].booked_kg -= step_s_ * pump_pipes_->end_at_pressure(i, PipeSide::left, nodes_[gallery_].half_Pa);
    rail.booked_kg -= step_s_ * pump_pipes_->end_at_pressure(i, PipeSide::right, rail.half_Pa);
  }
  for (std::size_t i = 0; i < injector_node_.size(); ++i) {
    Node& rail = nodes_[first_rail_ + i % rails];
    Node& bore = nodes_[injector_node_[i]];
    rail.booked_kg -= step_s_ * feed_pipes_->end_at_pressure(i, PipeSide::left, rail.half_Pa, set_.rail_throttle_m2);
    bore.booked_kg -= step_s_ * feed_pipes_->end_at_pressure(i, PipeSide::right, bore.half_Pa);
  }
  return std::max(feed_pipes_->finish(), pump_pipes_->finish());
}

// The pressures of all nodes half a step ahead in one go.
void Model::look_ahead() {
  for (std::size_t i = 0; i < nodes_.size(); ++i) {
    const Node& node = nodes_[i];
    node_density_[i] = (node.mass_kg + 0.5 * step_s_ * node.rate_kg_per_s) * node.per_volume;
  }
  node_density_[nodes_.size()] = nodes_[first_rail_].mass_kg * nodes_[first_rail_].per_volume;
  kernel_.pressures(curve_.curve(), node_density_.data(), node_pressure_.data(), node_density_.size());
  for (std::size_t i = 0; i < nodes_.size(); ++i) nodes_[i].half_Pa = node_pressure_[i];
  rail_Pa_ = node_pressure_[nodes_.size()];
}

bool Model::step() {
  advance_profile();
  if (time_s >= next_supply_s_) {
    refresh_supply();
    next_supply_s_ += 1e-3;
  }
  start_shots();
  control();
  inject();
  valves();
  pump();
  const double courant = pipes();
  for (Node& node : nodes_) {
    node.mass_kg += node.booked_kg;
    node.rate_kg_per_s = node.booked_kg * per_step_;
    node.booked_kg = 0.0;
  }
  look_ahead();
  crank_rad_ += two_pi * now_.crank_rev_per_s * step_s_;
  shaft_rad_ += two_pi * now_.crank_rev_per_s * set_.pump.crank_ratio * step_s_;
  time_s += step_s_;
  ++out.steps;
  return courant <= 1.0;
}

void Model::record() {
  const double rail_Pa = rail_Pa_;
  out.highest_Pa = std::max(out.highest_Pa, rail_Pa);
  out.lowest_Pa = std::min(out.lowest_Pa, rail_Pa);
  if (!enabled_ && rail_Pa >= set_.enable_Pa) {
    enabled_ = true;
    out.enabled_s = time_s;
  }
  if (time_s + 0.5 * step_s_ < next_sample_s_) return;
  next_sample_s_ += options_.sample_s;
  if (feed_pipes_) out.lowest_Pa = std::min({out.lowest_Pa, feed_pipes_->lowest_Pa(), pump_pipes_->lowest_Pa()});
  const double injector_Pa = pressure(nodes_[injector_node_.front()]);
  out.highest_Pa = std::max(out.highest_Pa, injector_Pa);
  if (out.trace.size() < out.trace.capacity()) {
    out.trace.push_back({.time_s = time_s,
                         .rail_Pa = rail_Pa,
                         .injector_Pa = injector_Pa,
                         .set_Pa = now_.set_Pa,
                         .crank_rev_per_s = now_.crank_rev_per_s,
                         .metered_kg_per_s = metered_kg_per_s_});
  }
}

Result<void> check_run(const HighPressureSet& set, const CapacityFuel& fuel, const std::vector<ProfilePoint>& profile,
                       const TransientOptions& options, const TransientFaults& faults) {
  if (auto good = check_set(set); !good) return good;
  InputCheck check;
  check_liquid(check, fuel.charge);
  check_liquid(check, fuel.gap);
  check.that(!profile.empty(), "profile", "no breakpoint", "at least one");
  double last_s = -1.0;
  for (std::size_t i = 0; i < profile.size() && !check.failed(); ++i) {
    const ProfilePoint& point = profile[i];
    const std::string name = fmt::format("profile[{}].", i);
    check.non_negative(point.time_s, name + "time_s")
        .non_negative(point.crank_rev_per_s, name + "crank_rev_per_s")
        .non_negative(point.shot_kg, name + "shot_kg")
        .non_negative(point.pilot_kg, name + "pilot_kg")
        .positive(point.set_Pa, name + "set_Pa")
        .positive(point.inlet.pressure_Pa, name + "inlet.pressure_Pa")
        .within(point.inlet.gas_fraction, {.low = 0.0, .high = 1.0}, name + "inlet.gas_fraction");
    if (check.failed()) break;
    check
        .that(point.time_s > last_s, name + "time_s", fmt::format("{:.6g} s", point.time_s),
              "later than the breakpoint before")
        .that(point.set_Pa < set.relief.open_Pa, name + "set_Pa", fmt::format("{:.6g} Pa", point.set_Pa),
              fmt::format("below the relief valve, {:.6g} Pa", set.relief.open_Pa));
    last_s = point.time_s;
  }
  check.positive(options.end_s, "options.end_s")
      .non_negative(options.step_s, "options.step_s")
      .positive(options.start_Pa, "options.start_Pa")
      .non_negative(options.charge_kg, "options.charge_kg")
      .finite(options.pump_phase_rad, "options.pump_phase_rad")
      .within(options.pilot_lead_rad, {.low = 0.0, .high = 3.0}, "options.pilot_lead_rad")
      .positive(options.sample_s, "options.sample_s")
      .positive(options.controller_s, "options.controller_s")
      .positive(options.omega_per_s, "options.omega_per_s")
      .that(options.feed_cells >= 3 && options.feed_cells <= 1000, "options.feed_cells",
            fmt::format("{}", options.feed_cells), "3 to 1000")
      .within(faults.metering_stiction, {.low = 0.0, .high = 1.0}, "faults.metering_stiction")
      .non_negative(faults.dump_m2, "faults.dump_m2")
      .that(faults.nozzle_factor.empty() || faults.nozzle_factor.size() == static_cast<std::size_t>(set.injectors),
            "faults.nozzle_factor", fmt::format("{} numbers", faults.nozzle_factor.size()),
            "none, or one for each injector");
  for (const double factor : faults.nozzle_factor) check.non_negative(factor, "faults.nozzle_factor");
  if (check.failed()) return check.fault();
  return {};
}

}  // namespace

double MassLedger::closure() const {
  return (end_kg - start_kg - taken_kg + injected_kg + control_kg + static_kg + spilled_kg + leaked_kg) / start_kg;
}

Result<TransientRun> rail_transient(const HighPressureSet& set, const CapacityFuel& fuel,
                                    const std::vector<ProfilePoint>& profile, const TransientOptions& options,
                                    const TransientFaults& faults, const Run& run) {
  if (const auto good = check_run(set, fuel, profile, options, faults); !good) return fail(good.error());
  double step_s = options.step_s;
  if (step_s == 0.0) {
    const double speed = fuel.charge.sound_speed_at(1.05 * set.relief.open_Pa);
    step_s = options.pipes == PipeModel::lumped
                 ? 20e-6
                 : step_share * set.feed_pipe.length_m / static_cast<double>(options.feed_cells) / speed;
  }
  const double steps = std::ceil(options.end_s / step_s - 1e-9);
  if (steps > most_steps) {
    return fail(Error{.code = ErrorCode::too_large,
                      .where = {.field = "options.end_s"},
                      .found = fmt::format("{:.3g} steps", steps),
                      .expected = fmt::format("at most {:.0e}", most_steps),
                      .hint = "Shorten the run, or use the lumped pipes"});
  }
  Model model(set, fuel, profile, options, faults, step_s);
  if (const auto ready = model.prepare(); !ready) return fail(ready.error());
  const auto count = static_cast<long>(steps);
  const long report = std::max(1L, count / 100);
  model.record();
  for (long i = 0; i < count; ++i) {
    if (i % report == 0) {
      if (run.stop.stop_requested()) {
        return fail(Error{.code = ErrorCode::cancelled, .found = "a stop", .expected = "the end of the run"});
      }
      run.progress.at("rail steps", static_cast<std::size_t>(i), static_cast<std::size_t>(count));
    }
    const bool good = model.step();
    model.record();
    if (!good) {
      model.out.reason = TransientReason::courant_exceeded;
      break;
    }
  }
  model.out.end_s = model.time_s;
  model.out.mass.end_kg = model.total_kg();
  model.out.beyond_data = model.out.highest_Pa > data_end_Pa;
  return std::move(model.out);
}

Result<TransientEstimate> rail_transient_with_estimate(const HighPressureSet& set, const CapacityFuel& fuel,
                                                       const std::vector<ProfilePoint>& profile,
                                                       const TransientOptions& options, const TransientFaults& faults,
                                                       const Run& run) {
  auto fine = rail_transient(set, fuel, profile, options, faults, run);
  if (!fine) return fail(fine.error());
  TransientOptions half = options;
  half.feed_cells = std::max<std::size_t>(3, options.feed_cells / 2);
  half.step_s = fine->step_s * static_cast<double>(options.feed_cells) / static_cast<double>(half.feed_cells);
  if (options.pipes == PipeModel::lumped) half.step_s = 2.0 * fine->step_s;
  const auto coarse = rail_transient(set, fuel, profile, half, faults, run);
  if (!coarse) return fail(coarse.error());
  TransientEstimate estimate;
  const std::size_t samples = std::min(fine->trace.size(), coarse->trace.size());
  double sum = 0.0;
  for (std::size_t i = 0; i < samples; ++i) {
    const double difference = fine->trace[i].rail_Pa - coarse->trace[i].rail_Pa;
    sum += difference * difference;
  }
  if (samples > 0) estimate.rail_Pa = std::sqrt(sum / static_cast<double>(samples));
  const std::size_t shots = std::min(fine->shots.size(), coarse->shots.size());
  for (std::size_t i = 0; i + 1 < shots; ++i) {
    if (fine->shots[i].given_kg <= 0.0) continue;
    estimate.shot_share =
        std::max(estimate.shot_share, std::abs(coarse->shots[i].given_kg / fine->shots[i].given_kg - 1.0));
  }
  estimate.run = std::move(*fine);
  return estimate;
}

std::vector<InjectorDeviation> injector_deviations(const TransientRun& run, double from_s, bool pilot) {
  std::vector<InjectorDeviation> all;
  for (const ShotRecord& shot : run.shots) {
    if (shot.start_s < from_s || shot.pilot != pilot || shot.start_s + 4e-3 + shot.energised_s > run.end_s) continue;
    if (shot.injector >= all.size()) all.resize(shot.injector + 1);
    all[shot.injector].mean_kg += shot.given_kg;
    ++all[shot.injector].shots;
  }
  double mean = 0.0;
  std::size_t counted = 0;
  for (std::size_t i = 0; i < all.size(); ++i) {
    all[i].injector = i;
    if (all[i].shots == 0) continue;
    all[i].mean_kg /= static_cast<double>(all[i].shots);
    mean += all[i].mean_kg;
    ++counted;
  }
  if (counted == 0 || mean <= 0.0) return all;
  mean /= static_cast<double>(counted);
  for (InjectorDeviation& one : all) {
    if (one.shots > 0) one.deviation = one.mean_kg / mean - 1.0;
  }
  return all;
}

Result<ReadyProfile> ready_profile(const HighPressureSet& set, const PumpInlet& inlet, std::string_view name) {
  if (const auto good = check_set(set); !good) return fail(good.error());
  const auto shot = [&](double power_W, double speed) {
    return power_W * set.consumption_kg_per_J / set.shots_per_s(speed);
  };
  // Fuel without load: 3 % of the rated power's fuel at idle speed (assumed, no source).
  const double idle_kg = shot(0.03 * set.rated_W * set.idle_rev_per_s / set.rated_rev_per_s, set.idle_rev_per_s);
  const double rated_kg = shot(set.rated_W, set.rated_rev_per_s);
  const ProfilePoint idle{
      .time_s = 0.0, .crank_rev_per_s = set.idle_rev_per_s, .shot_kg = idle_kg, .set_Pa = set.idle_Pa, .inlet = inlet};
  const ProfilePoint rated{.time_s = 0.0,
                           .crank_rev_per_s = set.rated_rev_per_s,
                           .shot_kg = rated_kg,
                           .set_Pa = set.rated_Pa,
                           .inlet = inlet};
  const auto at = [](ProfilePoint point, double time_s) {
    point.time_s = time_s;
    return point;
  };
  ReadyProfile ready{.points = {idle}, .end_s = 1.0, .start_Pa = set.idle_Pa};
  if (name == "start") {
    ProfilePoint crank = idle;
    crank.crank_rev_per_s = set.cranking_rev_per_s;
    ready = {
        .points = {crank, at(crank, 0.2), at(idle, 0.8)}, .end_s = 4.0, .start_Pa = 1.5e5, .hold = Hold::until_enabled};
  } else if (name == "idle") {
    ready.end_s = 2.0;
  } else if (name == "step") {
    ProfilePoint low = idle;
    low.crank_rev_per_s = 25.0;
    low.set_Pa = std::max(40e6, set.idle_Pa);
    ProfilePoint high = low;
    high.set_Pa = std::max(100e6, low.set_Pa);
    high.shot_kg = shot(0.25 * set.rated_W, 25.0);
    ready = {.points = {low, at(low, 0.5), at(high, 0.55), at(high, 2.0)}, .end_s = 2.0, .start_Pa = low.set_Pa};
  } else if (name == "metering-sticks") {
    ready.end_s = 4.0;
    ready.faults.metering_stiction = 0.06;
  } else if (name == "pull" || name == "relief-stuck") {
    ready = {.points = {idle, at(idle, 0.5), at(rated, 2.5), at(rated, 3.5)}, .end_s = 3.5, .start_Pa = set.idle_Pa};
    ready.faults.relief_stuck_open = name == "relief-stuck";
  } else if (name == "supply-loss") {
    ProfilePoint dry = rated;
    dry.inlet = {.pressure_Pa = std::min(0.3e5, inlet.pressure_Pa), .gas_fraction = inlet.gas_fraction};
    ready = {.points = {rated, at(rated, 0.5), at(dry, 1.0), at(dry, 2.0)}, .end_s = 2.0, .start_Pa = set.rated_Pa};
  } else if (name == "air-slug") {
    ProfilePoint part = idle;
    part.crank_rev_per_s = 0.5 * (set.idle_rev_per_s + set.rated_rev_per_s);
    part.set_Pa = 0.6 * set.rated_Pa + 0.4 * set.idle_Pa;
    part.shot_kg = 0.5 * rated_kg;
    ProfilePoint air = part;
    air.inlet.gas_fraction = 0.6;
    ready = {.points = {part, at(part, 0.5), at(air, 0.51), at(air, 0.81), at(part, 0.82), at(part, 2.0)},
             .end_s = 2.0,
             .start_Pa = part.set_Pa};
  } else if (name == "stop") {
    ProfilePoint still = idle;
    still.crank_rev_per_s = 0.0;
    still.shot_kg = 0.0;
    ready = {.points = {idle, at(idle, 0.5), at(still, 1.0), at(still, 20.0)}, .end_s = 20.0, .start_Pa = set.idle_Pa};
  } else {
    return fail(
        Error{.code = ErrorCode::not_found,
              .where = {.field = "profile"},
              .found = std::string(name),
              .expected = "start, idle, step, pull, supply-loss, air-slug, relief-stuck, metering-sticks or stop"});
  }
  return ready;
}

}  // namespace fw::rail
