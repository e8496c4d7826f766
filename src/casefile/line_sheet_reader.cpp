// SPDX-License-Identifier: Apache-2.0
#include "casefile/line_sheet_reader.hpp"

#include <cmath>

#include <fmt/format.h>

#include "casefile/contradictions.hpp"
#include "catalog/document.hpp"
#include "fuel/fuel_text.hpp"
#include "hydraulics/fittings.hpp"
#include "hydraulics/turbine_pump.hpp"
#include "units/wire.hpp"

namespace fw::casefile {

namespace {

using catalog::Document;
using catalog::Fallback;
using catalog::Table;
using namespace system;
using Dim = units::Dimension;

constexpr double litre_per_hour = 1e-3 / 3600.0;
constexpr double kPa = 1e3;
constexpr double g_per_kWh = 1e-3 / 3.6e6;

Fallback typical(double value, double low, double high, const char* why) {
  return {.value = value, .low = low, .high = high, .source = SourceClass::typical, .why = why};
}
Fallback assumed(double value, double low, double high, const char* why) {
  return {.value = value, .low = low, .high = high, .source = SourceClass::assumed, .why = why};
}
Fallback assumed(double value, const char* why) { return {.value = value, .source = SourceClass::assumed, .why = why}; }

constexpr const char* part_data = "part data, typical, no source";
constexpr const char* layouts = "layouts, typical, no source";

// Usual values that stand in for a number that is absent or "?".
const Fallback at_150_L_per_h{.value = 150 * litre_per_hour,
                              .low = required,
                              .high = required,
                              .source = SourceClass::measured,
                              .why = "the flow at which drops are stated"};

const Fallback at_100_L_per_h{.value = 100 * litre_per_hour,
                              .low = required,
                              .high = required,
                              .source = SourceClass::measured,
                              .why = "the flow at which the slope of a regulator is stated"};

Fallback clean_drop(PartKind kind) {
  switch (kind) {
    case PartKind::strainer: return typical(0.5 * kPa, 0.2 * kPa, 1.5 * kPa, part_data);
    case PartKind::separator: return typical(3 * kPa, 1.5 * kPa, 6 * kPa, part_data);
    case PartKind::filter: return typical(5 * kPa, 2.5 * kPa, 12 * kPa, part_data);
    case PartKind::cooler: return typical(5 * kPa, 2 * kPa, 15 * kPa, layouts);
    case PartKind::selector: return typical(3 * kPa, 2 * kPa, 6 * kPa, layouts);
    default: return {};
  }
}

Fallback quadratic_share(PartKind kind) {
  switch (kind) {
    case PartKind::separator: return typical(0.75, 0.3, 0.9, part_data);
    case PartKind::filter: return typical(0.65, 0.3, 0.9, part_data);
    default: return typical(0.5, 0.3, 0.9, part_data);
  }
}

struct Reader {
  static Origin origin(const Document& /*document*/, const Table& table) {
    Origin here;
    here.file = table.file_of();
    here.line = table.line();
    return here;
  }

  static void read_line(Table& t, Part& part) {
    Line line;
    line.bore_m = t.bore("bore", part.id + ".bore", typical(9.5e-3, 7.75e-3, 12.7e-3, layouts));
    line.length_m = t.stated("length", Dim::length, part.id + ".length");
    if (part.kind == PartKind::hose) {
      line.vacuum_Pa = t.optional_stated("vacuum_rating", Dim::pressure_drop, part.id + ".vacuum_rating");
    }
    line.roughness_m = t.stated("roughness", Dim::length, part.id + ".roughness");
    line.bends = t.whole("bends", 0, 99).value_or(0);
    line.joints = t.whole("joints", 0, 99).value_or(0);
    if (t.has("joint_bore")) {
      line.joint_bore_m = t.bore("joint_bore", part.id + ".joint_bore", typical(6.3e-3, 5.0e-3, 9.9e-3, layouts));
    }
    line.bend_diameter_m = t.optional_stated("bend_diameter", Dim::length, part.id + ".bend_diameter");
    const std::string typed = line.bore_m.origin.as_typed;
    if (units::looks_like_dash(typed)) line.hose_kind = typed;
    if (!line.length_m.given() && !t.has("length")) {
      t.fault("", "a line without length", "length with its unit, or a range such as \"2 to 4 m\"",
              "Measure it along the run");
    }
    part.line = std::move(line);
  }

  static void read_medium(Table& t, Part& part) {
    if (!t.has("clean_drop") &&
        (part.kind == PartKind::heater || part.kind == PartKind::thermostat || part.kind == PartKind::shut_off)) {
      return;
    }
    Medium medium;
    medium.clean_drop_Pa = t.stated("clean_drop", Dim::pressure_drop, part.id + ".clean_drop", clean_drop(part.kind));
    if (!medium.clean_drop_Pa.given()) {
      t.fault("", fmt::format("a {} without clean_drop", name(part.kind)), "clean_drop at a flow",
              "Write clean_drop = \"3 kPa\" and at_flow = \"150 L/h\"");
    }
    medium.at_flow_m3_per_s = t.stated("at_flow", Dim::volume_flow, part.id + ".at_flow", at_150_L_per_h);
    if (!t.has("at_flow")) medium.at_flow_m3_per_s.spread = {};
    medium.at_kinematic_viscosity_m2_per_s =
        t.number("at_viscosity", Dim::kinematic_viscosity).value_or(medium.at_kinematic_viscosity_m2_per_s);
    medium.at_density_kg_per_m3 = t.number("at_density", Dim::density).value_or(medium.at_density_kg_per_m3);
    medium.quadratic_share =
        t.stated("quadratic_share", Dim::ratio, part.id + ".quadratic_share", quadratic_share(part.kind));
    if (medium.quadratic_share.given() &&
        !(medium.quadratic_share.value >= 0.0 && medium.quadratic_share.value < 1.0)) {
      t.fault("quadratic_share", "\"" + medium.quadratic_share.origin.as_typed + "\"", "a share from 0 to below 1",
              "Write for example \"0.5\"");
    }
    medium.terminal_drop_Pa = t.optional_stated("terminal_drop", Dim::pressure_drop, part.id + ".terminal_drop",
                                                typical(20 * kPa, 10 * kPa, 70 * kPa, part_data));
    medium.bypass_leak_m3_per_s = t.optional_stated("bypass_leak", Dim::volume_flow, part.id + ".bypass_leak");
    medium.bypass_leak_drop_Pa = t.stated("bypass_leak_drop", Dim::pressure_drop, part.id + ".bypass_leak_drop");
    if (medium.bypass_leak_drop_Pa.given() && !(medium.bypass_leak_drop_Pa.value > 0.0)) {
      t.fault("bypass_leak_drop", "\"" + medium.bypass_leak_drop_Pa.origin.as_typed + "\"", "a drop above 0",
              "Write for example \"20 kPa\"");
    }
    medium.rated_flow_m3_per_s = t.optional_stated("rated_flow", Dim::volume_flow, part.id + ".rated_flow");
    medium.rating_m = t.optional_stated("rating", Dim::length, part.id + ".rating");
    medium.capacity_kg = t.optional_stated("capacity", Dim::mass, part.id + ".capacity");
    if (medium.capacity_kg && !(medium.capacity_kg->value > 0.0)) {
      t.fault("capacity", "\"" + medium.capacity_kg->origin.as_typed + "\"", "a mass above 0",
              "Write for example \"25 g\"");
    }
    if (medium.rating_m && !(medium.rating_m->value >= 1e-6 && medium.rating_m->value <= 2e-3)) {
      t.fault("rating", "\"" + medium.rating_m->origin.as_typed + "\"", "a particle size from 1 um to 2 mm",
              "Write for example \"10 um\"");
    }
    medium.bypass_crack_Pa = t.optional_stated("bypass_crack", Dim::pressure_drop, part.id + ".bypass_crack",
                                               typical(50 * kPa, 30 * kPa, 100 * kPa, part_data));
    if (const auto sensor = t.choice("water_sensor", {"none", "wired", "unplugged"})) {
      medium.sensor = static_cast<WaterSensor>(*sensor + 1);
    }
    medium.bowl_m3 =
        t.optional_stated("bowl", Dim::volume, part.id + ".bowl", typical(200e-6, 60e-6, 350e-6, part_data));
    medium.sensor_at_m3 =
        t.optional_stated("sensor_at", Dim::volume, part.id + ".sensor_at", typical(40e-6, 20e-6, 120e-6, part_data));
    for (const auto& [key, stated] :
         {std::pair("bowl", &medium.bowl_m3), std::pair("sensor_at", &medium.sensor_at_m3)}) {
      if (*stated && !((*stated)->value > 0.0)) {
        t.fault(key, "\"" + (*stated)->origin.as_typed + "\"", "a volume above 0", "Write for example \"200 mL\"");
      }
    }
    part.medium = std::move(medium);
  }

  static void read_valve(Table& t, Part& part) {
    Valve valve;
    if (part.kind == PartKind::regulator || part.kind == PartKind::relief) {
      valve.crack_Pa = t.stated("set", Dim::gauge_pressure, part.id + ".set");
      if (!t.has("set")) {
        t.fault("", fmt::format("a {} without set", name(part.kind)), "its set pressure", "Write set = \"11 psi\"");
      }
    } else {
      valve.crack_Pa = t.stated("crack", Dim::pressure_drop, part.id + ".crack",
                                part.kind == PartKind::hand_primer ? typical(0.5 * kPa, 0.2 * kPa, 2 * kPa, layouts)
                                                                   : typical(3 * kPa, 1 * kPa, 7 * kPa, part_data));
    }
    const bool regulator = part.kind == PartKind::regulator;
    // A regulator that says nothing holds its set at any flow; "?" stands for the usual rise at 100 L/h.
    if (!regulator) {
      valve.drop_Pa =
          t.stated("drop", Dim::pressure_drop, part.id + ".drop", typical(3 * kPa, 1 * kPa, 6 * kPa, layouts));
    } else if (t.has("drop")) {
      valve.drop_Pa =
          t.stated("drop", Dim::pressure_drop, part.id + ".drop", typical(8 * kPa, 4 * kPa, 20 * kPa, part_data));
    }
    valve.at_flow_m3_per_s =
        t.stated("at_flow", Dim::volume_flow, part.id + ".at_flow", regulator ? at_100_L_per_h : at_150_L_per_h);
    if (!t.has("at_flow")) valve.at_flow_m3_per_s.spread = {};
    if (regulator || part.kind == PartKind::relief) {
      valve.hysteresis_Pa = t.stated("hysteresis", Dim::pressure_drop, part.id + ".hysteresis");
    }
    if (part.kind == PartKind::relief) valve.balanced = t.truth("balanced").value_or(false);
    if (part.kind == PartKind::check || part.kind == PartKind::hand_primer) {
      if (t.has("open_bore")) valve.open_bore_m = t.bore("open_bore", part.id + ".open_bore");
      if (auto spring = t.table("spring")) {
        const auto need = [&](const char* key, Dim dimension) {
          Stated stated = spring->stated(key, dimension, part.id + "." + key);
          if (!spring->has(key)) {
            spring->fault("", fmt::format("a spring without {}", key), "seat, cone_half_angle, preload, rate and lift",
                          fmt::format("Write {} = \"{}\"", key, units::example(dimension)));
          }
          return stated;
        };
        valve.spring = Spring{.seat_m = need("seat", Dim::bore),
                              .cone_half_angle_rad = need("cone_half_angle", Dim::angle),
                              .preload_N = need("preload", Dim::force),
                              .rate_N_per_m = need("rate", Dim::spring_rate),
                              .lift_m = need("lift", Dim::length)};
      }
    }
    part.valve = std::move(valve);
  }

  static void read_pump(Table& t, Part& part) {
    Pump pump;
    if (const auto drive = t.choice("drive", {"electric", "engine", "hand"})) pump.drive = static_cast<Drive>(*drive);
    const std::string id = part.id;
    const auto field = [&](const char* key, Dim dimension, const Fallback& fallback = {}) {
      return t.optional_stated(key, dimension, id + "." + key, fallback);
    };
    pump.displacement_m3 = field("displacement", Dim::displacement);
    pump.slip = field("slip", Dim::ratio, assumed(5e-8, 2e-8, 3e-7, part_data));
    pump.viscous_drag = field("viscous_drag", Dim::ratio, assumed(3e4, part_data));
    pump.friction_share = field("friction_share", Dim::ratio, assumed(0.2, part_data));
    pump.friction_torque_N_m = field("friction_torque", Dim::torque);
    pump.motor_constant_V_s = field("motor_constant", Dim::motor_constant);
    pump.motor_resistance_ohm = field("motor_resistance", Dim::resistance);
    pump.harness_resistance_ohm = field("harness_resistance", Dim::resistance, assumed(0.09, 0.03, 0.3, part_data));
    pump.speed_ratio = field("speed_ratio", Dim::ratio);
    pump.dead_head_Pa = field("dead_head", Dim::pressure_drop);
    pump.turbine_free_flow_m3_per_s = field("turbine_free_flow", Dim::volume_flow);
    pump.free_flow_m3_per_s = field("free_flow", Dim::volume_flow);
    pump.flow_at_rise_m3_per_s = field("flow_at_rise", Dim::volume_flow);
    pump.at_rise_Pa = field("at_rise", Dim::pressure_drop);
    pump.rated_voltage_V = t.number("rated_voltage", Dim::voltage).value_or(pump.rated_voltage_V);
    pump.set_Pa = field("set", Dim::gauge_pressure);
    pump.set_hysteresis_Pa = field("set_hysteresis", Dim::pressure_drop);
    pump.current_A = field("current", Dim::current);
    if (t.has("set_slope")) {
      // Stated as the rise of the held pressure at 100 L/h spilled.
      auto slope = field("set_slope", Dim::pressure_drop);
      if (slope) {
        const double per_flow = 1.0 / (100 * litre_per_hour);
        slope->value *= per_flow;
        slope->spread.half_width *= per_flow;
        slope->spread.low *= per_flow;
        slope->spread.high *= per_flow;
        pump.set_slope_Pa_s_per_m3 = slope;
      }
    }
    if (const auto reference = t.choice("relief_reference", {"unknown", "own inlet", "tank"})) {
      pump.relief_reference = static_cast<ReliefReference>(*reference);
    }
    if (const auto surplus = t.choice("surplus", {"unknown", "to own inlet", "to tank"})) {
      pump.surplus = static_cast<Surplus>(*surplus);
    }
    if (const auto stopped = t.choice("stopped", {"unknown", "passes", "bypass", "blocks"})) {
      pump.stopped = static_cast<Stopped>(*stopped);
    }
    pump.surplus_tank = t.text("surplus_tank").value_or(std::string());
    if (t.has("wire")) {
      Wiring wiring;
      const std::string gauge = t.text("wire").value_or(std::string());
      if (const auto wire = units::parse_wire(gauge)) {
        wiring.area_m2 = exactly(wire->area_m2, id + ".wire");
        wiring.area_m2.origin = {.file = part.origin.file, .line = t.line_of("wire"), .as_typed = gauge};
      } else {
        t.fault("wire", wire.error());
      }
      wiring.length_m = t.stated("wire_length", Dim::length, id + ".wire_length",
                                 typical(8.0, 4.0, 14.0, "out and back, typical, no source"));
      wiring.temperature_K = t.stated("wire_temperature", Dim::temperature, id + ".wire_temperature");
      wiring.contacts = t.whole("contacts", 0, 99).value_or(wiring.contacts);
      wiring.contact_ohm = t.stated("contact_resistance", Dim::resistance, id + ".contact_resistance",
                                    typical(3e-3, 1e-3, 10e-3, part_data));
      wiring.relay_ohm = t.stated("relay_resistance", Dim::resistance, id + ".relay_resistance",
                                  typical(4e-3, 2e-3, 10e-3, part_data));
      wiring.fuse_A = t.optional_stated("fuse", Dim::current, id + ".fuse");
      wiring.fuse_from_battery_m = t.optional_stated("fuse_from_battery", Dim::length, id + ".fuse_from_battery");
      wiring.engine_space = t.truth("wire_in_engine_space");
      pump.wiring = std::move(wiring);
    }
    for (Table& one : t.tables("curve")) {
      const std::string at = fmt::format("{}.curve{}", id, pump.curve.size() + 1);
      pump.curve.push_back({.flow_m3_per_s = one.stated("flow", Dim::volume_flow, at + ".flow"),
                            .rise_Pa = one.stated("rise", Dim::pressure_drop, at + ".rise")});
    }
    if (!pump.curve.empty()) {
      std::vector<hydraulics::CurvePoint> points;
      for (const Pump::Point& one : pump.curve) {
        points.push_back({.flow_m3_per_s = one.flow_m3_per_s.value, .rise_Pa = one.rise_Pa.value});
      }
      if (const auto fit = hydraulics::curve_through(points); !fit) t.fault("curve", fit.error());
    }
    pump.stopped_crack_Pa = field("stopped_crack", Dim::pressure_drop, typical(7 * kPa, 2 * kPa, 20 * kPa, layouts));
    pump.stopped_drop_Pa = field("stopped_drop", Dim::pressure_drop, typical(3 * kPa, 1 * kPa, 6 * kPa, layouts));
    pump.running = t.truth("running").value_or(true);
    if (t.has("stops_with")) {
      CutOff cut;
      for (const std::string& what : t.texts("stops_with")) {
        if (what == "key") {
          cut.key = true;
        } else if (what == "stall") {
          cut.stall = true;
        } else if (what == "crash") {
          cut.crash = true;
        } else {
          t.fault("stops_with", "\"" + what + "\"", "key, stall, crash",
                  "Write for example stops_with = [\"key\", \"stall\"]");
        }
      }
      pump.cut_off = cut;
    }
    if (const auto watch = t.choice("watch", {"none", "gauge", "alarm"})) {
      pump.watch = static_cast<Watch>(*watch + 1);
    }
    const bool described = pump.displacement_m3 || (pump.dead_head_Pa && pump.turbine_free_flow_m3_per_s) ||
                           pump.free_flow_m3_per_s || !pump.curve.empty();
    if (!described) {
      t.fault(
          "", "a pump without delivery",
          "free_flow (with flow_at_rise and at_rise), or displacement and motor, or dead_head and turbine_free_flow",
          "Write for example free_flow = \"210 L/h\"");
    }
    if (pump.flow_at_rise_m3_per_s.has_value() != pump.at_rise_Pa.has_value()) {
      t.fault("", "one of flow_at_rise and at_rise alone", "both, or neither", "Add the missing one");
    }
    if (pump.relief_reference == ReliefReference::tank && pump.surplus == Surplus::unknown)
      pump.surplus = Surplus::to_tank;
    if (pump.relief_reference == ReliefReference::own_inlet && pump.surplus == Surplus::unknown) {
      pump.surplus = Surplus::to_own_inlet;
    }
    part.pump = std::move(pump);
  }

  /// What is wrong with a part, as facts of an as-found sheet.
  static void read_condition(Table& t, Part& part) {
    Condition& c = part.condition;
    const std::string& id = part.id;
    const auto share = [&](const char* key) {
      auto stated = t.optional_stated(key, Dim::ratio, id + "." + key);
      if (stated && stated->given() && !(stated->value >= 0.0 && stated->value <= 1.0)) {
        t.fault(key, "\"" + stated->origin.as_typed + "\"", "a share from 0 to 1", "Write for example \"0.4\"");
      }
      return stated;
    };
    if (part.medium) {
      c.spent = t.truth("spent").value_or(false);
      if (c.spent && !part.medium->terminal_drop_Pa) {
        t.fault("spent", "a spent part without terminal_drop", "its drop at the end of its life",
                "Add terminal_drop = \"20 kPa\"");
      }
      c.plugged = t.optional_stated("plugged", Dim::ratio, id + ".plugged");
      if (c.plugged && c.plugged->given() && c.plugged->value < 1.0) {
        t.fault("plugged", "\"" + c.plugged->origin.as_typed + "\"", "how many times its clean drop, 1 or more",
                "Write for example \"20\"");
      }
      c.pores_left = share("pores_left");
    }
    if (part.line || part.joint || part.passage) {
      c.air_leak_m = t.optional_stated("air_leak", Dim::length, id + ".air_leak");
    }
    if (part.line) {
      c.bore_left = share("bore_left");
      if (c.bore_left && c.bore_left->given() && c.bore_left->value < 0.02) {
        t.fault("bore_left", "\"" + c.bore_left->origin.as_typed + "\"", "a share of the bore, 0.02 or more",
                "A line that passes nothing is a shut shut-off");
      }
    }
    if (part.pump && part.pump->drive == Drive::electric) {
      c.bad_ground_ohm = t.optional_stated("bad_ground", Dim::resistance, id + ".bad_ground");
    }
    if (part.valve || (part.pump && part.pump->set_Pa) || part.kind == PartKind::shut_off) {
      if (const auto stuck = t.choice("stuck", {"no", "open", "shut"})) c.stuck = static_cast<Stuck>(*stuck);
      const bool held_off = part.kind == PartKind::relief || part.kind == PartKind::regulator || part.pump;
      if (held_off) c.gap_m = t.optional_stated("gap", Dim::length, id + ".gap");
      if (c.stuck == Stuck::open && held_off && !c.gap_m) {
        t.fault("stuck", "a valve stuck open without its gap", "the bore of the hole that stays open",
                "Add gap = \"4 mm\" or \"1 to 6 mm\"");
      }
    }
  }

  static void read_place(Table& t, Part& part) {
    auto place = t.table("place");
    if (!place) return;
    Place& p = part.place;
    p.where = place->text("where").value_or(std::string());
    p.over_ground_m = place->optional_stated("over_ground", Dim::height, part.id + ".over_ground");
    p.to_exhaust_m = place->optional_stated("to_exhaust", Dim::length, part.id + ".to_exhaust");
    p.wheel_throw = place->truth("wheel_throw");
    p.shield = place->truth("shield");
    p.service_s = place->optional_stated("service", Dim::time, part.id + ".service");
    p.clamp = place->text("clamp").value_or(std::string());
    p.clamp_spacing_m = place->optional_stated("clamp_spacing", Dim::length, part.id + ".clamp_spacing");
  }

  static std::optional<Part> read_part(const Document& document, Table& t) {
    Part part;
    part.origin = origin(document, t);
    part.id = t.required_text("id", "an id that no other part of the sheet has, e.g. \"engine-filter\"");
    part.title = t.text("title").value_or(part.id);
    const std::string kind = t.required_text("kind", "what the part is, e.g. \"hose\"");
    part.port = t.text("port").value_or(std::string());
    part.housing = t.text("housing").value_or(std::string());
    part.bypassed = t.truth("bypassed").value_or(false);
    part.end_height_m = t.optional_stated("end_height", Dim::height, part.id + ".end_height");
    part.end_along_m = t.optional_stated("end_along", Dim::height, part.id + ".end_along");
    static_cast<void>(t.text("note"));
    const auto known = part_kind_named(kind);
    if (!known) {
      std::vector<std::string> kinds;
      for (int i = 0; i <= static_cast<int>(PartKind::short_tube); ++i) {
        kinds.emplace_back(name(static_cast<PartKind>(i)));
      }
      std::string all;
      for (const std::string& one : kinds) all += (all.empty() ? "" : ", ") + one;
      const std::string near = catalog::nearest(kind, kinds);
      if (!kind.empty()) {
        t.fault(
            "kind", "\"" + kind + "\"", "one of " + all,
            near.empty() ? "Choose the nearest kind; \"resistance\" takes any stated drop" : "Write \"" + near + "\"");
      }
      t.ignore_rest();
      return std::nullopt;
    }
    part.kind = *known;
    switch (part.kind) {
      case PartKind::tube:
      case PartKind::hose: read_line(t, part); break;
      case PartKind::fitting: {
        Fitting fitting;
        fitting.law = t.required_text("law", "a fitting of docs/reference/line-sheet.md, e.g. \"elbow-90-threaded\"");
        fitting.bore_m = t.bore("bore", part.id + ".bore");
        fitting.count = t.whole("count", 1, 99).value_or(1);
        if (const auto law = hydraulics::fitting_named(fitting.law); !law && !fitting.law.empty()) {
          t.fault("law", law.error());
        }
        part.fitting = std::move(fitting);
        break;
      }
      case PartKind::joint: {
        Joint joint;
        joint.bore_m = t.bore("bore", part.id + ".bore", typical(6.3e-3, 5.0e-3, 9.9e-3, layouts));
        if (t.has("line_bore")) joint.line_bore_m = t.bore("line_bore", part.id + ".line_bore");
        joint.count = t.whole("count", 1, 99).value_or(1);
        part.joint = std::move(joint);
        break;
      }
      case PartKind::strainer:
      case PartKind::separator:
      case PartKind::filter:
      case PartKind::heater:
      case PartKind::cooler:
      case PartKind::thermostat:
      case PartKind::shut_off:
      case PartKind::selector:
      case PartKind::resistance: read_medium(t, part); break;
      case PartKind::hand_primer:
      case PartKind::check:
      case PartKind::relief:
      case PartKind::regulator: read_valve(t, part); break;
      case PartKind::orifice:
        part.orifice = Orifice{.diameter_m = t.bore("diameter", part.id + ".diameter")};
        if (!part.orifice->diameter_m.given()) {
          t.fault("", "an orifice without diameter", "its diameter", "Write diameter = \"1.5 mm\"");
        }
        break;
      case PartKind::stem:
      case PartKind::connector: {
        Passage passage;
        passage.bore_m = t.bore("bore", part.id + ".bore", typical(6.3e-3, 5.0e-3, 9.9e-3, layouts));
        passage.length_m =
            t.stated("length", Dim::length, part.id + ".length", typical(0.030, 0.015, 0.050, part_data));
        if (part.kind == PartKind::connector) passage.angled = t.truth("angled").value_or(false);
        part.passage = std::move(passage);
        break;
      }
      case PartKind::banjo:
        part.banjo = Banjo{.bolt_bore_m = t.bore("bolt_bore", part.id + ".bolt_bore"),
                           .hole_bore_m = t.bore("hole_bore", part.id + ".hole_bore"),
                           .holes = t.whole("holes", 1, 12).value_or(2)};
        if (!part.banjo->bolt_bore_m.given() || !part.banjo->hole_bore_m.given()) {
          t.fault("", "a banjo without its bores", "bolt_bore and hole_bore",
                  "Write bolt_bore = \"5.5 mm\", hole_bore = \"4.5 mm\"");
        }
        break;
      case PartKind::gap:
        part.gap = Gap{.diameter_m = t.stated("diameter", Dim::length, part.id + ".diameter"),
                       .clearance_m = t.stated("clearance", Dim::length, part.id + ".clearance"),
                       .length_m = t.stated("length", Dim::length, part.id + ".length"),
                       .eccentricity = t.stated("eccentricity", Dim::ratio, part.id + ".eccentricity",
                                                assumed(0.5, 0.0, 1.0, "assumed"))};
        break;
      case PartKind::short_tube:
        part.short_tube = ShortTube{.bore_m = t.bore("bore", part.id + ".bore"),
                                    .length_m = t.stated("length", Dim::length, part.id + ".length")};
        if (!part.short_tube->bore_m.given() || !part.short_tube->length_m.given()) {
          t.fault("", "a short tube without its size", "bore and length", "Write bore = \"2 mm\", length = \"6 mm\"");
        }
        break;
      case PartKind::pump: read_pump(t, part); break;
      case PartKind::sump: break;
    }
    read_condition(t, part);
    read_place(t, part);
    return part;
  }

  static Tank read_tank(const Document& document, Table& t) {
    Tank tank;
    tank.origin = origin(document, t);
    tank.id = t.text("id").value_or("tank");
    tank.title = t.text("title").value_or(tank.id);
    tank.volume_m3 = t.optional_stated("volume", Dim::volume, tank.id + ".volume");
    tank.height_m = t.stated("height", Dim::length, tank.id + ".height", typical(0.40, 0.18, 0.80, layouts));
    tank.floor_height_m =
        t.stated("floor_height", Dim::height, tank.id + ".floor_height",
                 {.value = 0.0, .source = SourceClass::assumed, .why = "heights count from this floor"});
    tank.pickup_height_m = t.stated("pickup_height", Dim::height, tank.id + ".pickup_height",
                                    typical(0.025, 0.010, 0.040, "25 mm over the floor, a marine manual"));
    tank.level = t.optional_stated("level", Dim::ratio, tank.id + ".level");
    if (tank.level && tank.level->given() && !(tank.level->value >= 0.0 && tank.level->value <= 1.0)) {
      t.fault("level", "\"" + tank.level->origin.as_typed + "\"", "the wet share of the inside height, 0 to 1",
              "Write for example \"0.5\"");
    }
    tank.along_m = t.stated("along", Dim::height, tank.id + ".along");
    if (auto vent_table = t.table("vent")) {
      Vent vent;
      vent.bore_m = vent_table->bore("bore", tank.id + ".vent.bore", typical(0.003, 0.001, 0.004, layouts));
      vent.blocked = vent_table->truth("blocked").value_or(false);
      vent.ullage_m3 =
          vent_table->stated("ullage", Dim::volume, tank.id + ".vent.ullage", assumed(0.020, "20 L, assumed"));
      vent.burned_m3 =
          vent_table->stated("burned", Dim::volume, tank.id + ".vent.burned", assumed(0.005, "5 L, assumed"));
      tank.vent = std::move(vent);
    }
    return tank;
  }

  static Engine read_engine(const Document& document, Table& t) {
    Engine e;
    e.origin = origin(document, t);
    e.title = t.text("title").value_or("engine");
    const auto must = [&](const char* key, Dim dimension) {
      Stated value = t.stated(key, dimension, std::string("engine.") + key);
      if (!t.has(key)) {
        t.fault("", fmt::format("an engine without {}", key), fmt::format("{} with its unit", units::name(dimension)),
                fmt::format("Write {} = \"{}\"", key, units::example(dimension)));
      }
      return value;
    };
    e.displacement_m3 = must("displacement", Dim::displacement);
    e.rated_power_W = must("rated_power", Dim::power);
    e.rated_speed_per_s = must("rated_speed", Dim::rotational_speed);
    e.idle_speed_per_s = t.stated("idle_speed", Dim::rotational_speed, "engine.idle_speed",
                                  typical(700.0 / 60, 600.0 / 60, 850.0 / 60, layouts));
    e.crank_speed_per_s = t.stated("crank_speed", Dim::rotational_speed, "engine.crank_speed",
                                   typical(200.0 / 60, 150.0 / 60, 250.0 / 60, layouts));
    const double rated = e.rated_power_W.value;
    const double speed = e.rated_speed_per_s.value;
    e.torque_peak_power_W =
        t.stated("torque_peak_power", Dim::power, "engine.torque_peak_power",
                 std::isfinite(rated) ? typical(0.73 * rated, 0.66 * rated, 0.80 * rated, layouts) : Fallback{});
    e.torque_peak_speed_per_s =
        t.stated("torque_peak_speed", Dim::rotational_speed, "engine.torque_peak_speed",
                 std::isfinite(speed) ? typical(0.6 * speed, 0.5 * speed, 0.7 * speed, layouts) : Fallback{});
    e.rated_consumption_kg_per_J = t.stated("rated_consumption", Dim::specific_consumption, "law.rated-consumption",
                                            typical(225 * g_per_kWh, 210 * g_per_kWh, 240 * g_per_kWh, "from memory"));
    e.torque_peak_consumption_kg_per_J =
        t.stated("torque_peak_consumption", Dim::specific_consumption, "law.torque-peak-consumption",
                 typical(205 * g_per_kWh, 195 * g_per_kWh, 215 * g_per_kWh, "from memory"));
    e.leakoff_share = t.stated("leakoff_share", Dim::ratio, "law.leakoff-share",
                               assumed(0.20, 0.10, 0.35, "share of injected flow, assumed"));
    e.housing_flow_m3_per_s =
        t.stated("housing_flow", Dim::volume_flow, "law.housing-flow",
                 typical(90 * litre_per_hour, 40 * litre_per_hour, 120 * litre_per_hour, "at rated speed, typical"));
    e.inlet_height_m = t.stated("inlet_height", Dim::height, "engine.inlet_height", typical(0.50, 0.40, 0.60, layouts));
    e.inlet_along_m = t.stated("inlet_along", Dim::height, "engine.inlet_along");
    if (const auto inlet = t.choice("inlet", {"unknown", "sucks", "fed low", "fed high"})) {
      e.inlet = static_cast<InletClass>(*inlet);
    }
    e.inlet_low_Pa = t.optional_stated("inlet_low", Dim::gauge_pressure, "engine.inlet_low");
    e.inlet_high_Pa = t.optional_stated("inlet_high", Dim::gauge_pressure, "engine.inlet_high");
    return e;
  }
};

}  // namespace

Result<LineSheet> read_line_sheet(std::string_view text, const std::string& file, const units::SourceSpreads& spreads) {
  return read_line_sheet(text, file, spreads, catalog::SheetSources{});
}

Result<LineSheet> read_line_sheet(std::string_view text, const std::string& file, const units::SourceSpreads& spreads,
                                  const catalog::SheetSources& sources) {
  auto parsed = catalog::load_sheet_document(text, file, spreads, sources);
  if (!parsed) return fail(parsed.error());
  Document& document = *parsed;
  Table top = document.root();
  LineSheet sheet;
  sheet.file = file;
  sheet.name = top.required_text("name", "what the sheet shows, e.g. \"as found\"");
  static_cast<void>(top.text("note"));
  sheet.fuel = top.text("fuel").value_or("d975_2d");
  if (auto fluid = top.table("fluid")) {
    sheet.constant_density_kg_per_m3 = fluid->stated("density", Dim::density, "fluid.density");
    sheet.constant_kinematic_viscosity_m2_per_s =
        fluid->stated("viscosity", Dim::kinematic_viscosity, "fluid.viscosity");
    if (sheet.fuel != "constant") {
      top.fault("fuel", "\"" + sheet.fuel + "\" beside a [fluid] table",
                "fuel = \"constant\" with [fluid], or a grade alone", "Remove one of the two");
    }
  }
  if (sheet.fuel == "constant") {
    if (!sheet.constant_density_kg_per_m3.given() || !sheet.constant_kinematic_viscosity_m2_per_s.given()) {
      top.fault("fuel", "fuel = \"constant\" without density and viscosity",
                "a [fluid] table with density and viscosity",
                "Add [fluid] density = \"835 kg/m3\" and viscosity = \"4.5 mm2/s\"");
    }
  } else if (const auto known = fuel::fuel_of_text(sheet.fuel); !known) {
    top.fault("fuel", known.error());
  }

  if (auto report = top.table("fuel_report")) {
    FuelReport found;
    found.origin = Reader::origin(document, *report);
    found.title = report->text("title").value_or(std::string());
    found.density_15C_kg_per_m3 = report->optional_stated("density", Dim::density, "fuel_report.density");
    found.viscosity_40C_m2_per_s =
        report->optional_stated("viscosity", Dim::kinematic_viscosity, "fuel_report.viscosity");
    found.cloud_point_K = report->optional_stated("cloud_point", Dim::temperature, "fuel_report.cloud_point");
    found.cfpp_K = report->optional_stated("cfpp", Dim::temperature, "fuel_report.cfpp");
    static_cast<void>(report->text("note"));
    sheet.fuel_report = std::move(found);
  }

  std::vector<Table> tank_tables;
  if (top.has("tank")) {
    // One [tank] or several [[tank]].
    if (top.is_list("tank")) {
      tank_tables = top.tables("tank");
    } else if (auto one = top.table("tank")) {
      tank_tables.push_back(*one);
    }
  }
  for (Table& table : tank_tables) sheet.tanks.push_back(Reader::read_tank(document, table));

  if (auto engine = top.table("engine")) {
    sheet.engine = Reader::read_engine(document, *engine);
  } else if (!top.has("engine")) {
    top.fault("", "no [engine] table", "the engine's displacement, rated power and rated speed",
              "Add an [engine] table");
  }
  if (auto high = top.table("high_side")) {
    sheet.high_side.origin = Reader::origin(document, *high);
    sheet.high_side.cylinders = high->whole("cylinders", 1, 24).value_or(0);
    sheet.high_side.rails = high->whole("rails", 1, 4).value_or(1);
    sheet.high_side.plungers = high->whole("plungers", 1, 12).value_or(0);
    sheet.high_side.metering = high->text("metering").value_or("?");
    sheet.high_side.injectors = high->text("injectors").value_or("?");
    sheet.high_side.leak_off_Pa = high->optional_stated("leak_off_pressure", Dim::gauge_pressure, "high.leak-off");
    sheet.high_side.injector_count = high->whole("injector_count", 1, 24).value_or(0);
    const auto fact = [&](const char* key, Dim dimension) {
      return high->optional_stated(key, dimension, std::string("high_side.") + key);
    };
    sheet.high_side.displacement_m3 = fact("displacement", Dim::displacement);
    sheet.high_side.crank_ratio = fact("crank_ratio", Dim::ratio);
    sheet.high_side.plunger_bore_m = fact("plunger_bore", Dim::bore);
    sheet.high_side.plunger_stroke_m = fact("plunger_stroke", Dim::length);
    sheet.high_side.plunger_clearance_m = fact("plunger_clearance", Dim::length);
    sheet.high_side.rail_volume_m3 = fact("rail_volume", Dim::volume);
    sheet.high_side.rated_pressure_Pa = fact("rated_pressure", Dim::gauge_pressure);
    sheet.high_side.idle_pressure_Pa = fact("idle_pressure", Dim::gauge_pressure);
    sheet.high_side.relief_pressure_Pa = fact("relief_pressure", Dim::gauge_pressure);
    sheet.high_side.nozzle_flow_m3_per_s = fact("nozzle_flow", Dim::volume_flow);
    sheet.high_side.feed_pipe_length_m = fact("feed_pipe_length", Dim::length);
    sheet.high_side.feed_pipe_bore_m = fact("feed_pipe_bore", Dim::bore);
  }
  if (auto selector = top.table("selector")) {
    sheet.selector.feed = selector->required_text("feed", "the tank that is drawn from");
    sheet.selector.back = selector->text("back").value_or(std::string());
  }
  for (Table& table : top.tables("junction")) {
    Junction junction;
    junction.id = table.required_text("id", "the name that legs use");
    junction.origin = Reader::origin(document, table);
    junction.height_m = table.optional_stated("height", Dim::height, junction.id + ".height");
    if (const auto build = table.choice("tee", {"threaded", "long radius", "flanged", "stub-in"})) {
      TeeFitting tee{.build = static_cast<hydraulics::TeeBuild>(*build)};
      tee.branch = table.required_text("branch", "the leg that turns off");
      if (table.has("run_bore")) tee.run_bore_m = table.bore("run_bore", junction.id + ".run_bore");
      if (table.has("branch_bore")) tee.branch_bore_m = table.bore("branch_bore", junction.id + ".branch_bore");
      junction.tee = std::move(tee);
    }
    sheet.junctions.push_back(std::move(junction));
  }
  for (Table& table : top.tables("leg")) {
    Leg leg;
    leg.origin = Reader::origin(document, table);
    leg.id = table.required_text("id", "a name of this leg, e.g. \"supply\"");
    leg.title = table.text("title").value_or(leg.id);
    leg.from = table.required_text("from", "a tank, \"engine-return\" or a junction");
    leg.to = table.required_text("to", "a tank, \"engine\" or a junction");
    const auto loss = [&](const char* key, double usual) {
      const double k = table.number(key, Dim::ratio).value_or(usual);
      if (!(k >= 0.0 && k <= 100.0)) {
        table.fault(key, fmt::format("{}", k), "a loss coefficient from 0 to 100", "Leave it out for the usual one");
      }
      return k;
    };
    leg.mouth_loss = loss("mouth_loss", leg.mouth_loss);
    leg.exit_loss = loss("exit_loss", leg.exit_loss);
    leg.from_pickup_m = table.optional_stated("from_pickup", Dim::length, leg.id + ".from_pickup");
    for (Table& part_table : table.tables("part")) {
      if (auto part = Reader::read_part(document, part_table)) leg.parts.push_back(std::move(*part));
    }
    sheet.legs.push_back(std::move(leg));
  }
  const auto read = document.finish();
  if (!read) return fail(read.error());
  const auto sound = validate(sheet);
  if (!sound) return fail(sound.error().in_file(file));
  if (const auto known = fuel_of_sheet(sheet); !known) return fail(known.error().in_file(file));
  if (auto wrong = contradictions(sheet); !wrong.empty()) return fail(Errors(std::move(wrong)).in_file(file));
  return sheet;
}

}  // namespace fw::casefile
