// SPDX-License-Identifier: Apache-2.0
#include "report/line_sheet_tables.hpp"

#include <fmt/format.h>

#include "report/input_words.hpp"

namespace fw::report {

namespace {

using system::Part;
using units::Dimension;

/// Joins what is there by commas.
class List {
 public:
  void add(const std::string& item) {
    if (item.empty()) return;
    words_ += (words_.empty() ? "" : ", ") + item;
  }
  [[nodiscard]] std::string take() { return words_.empty() ? "-" : std::move(words_); }

 private:
  std::string words_;
};

std::string both(const Stated& input, Dimension dimension, units::System system) {
  if (!input.given()) return "not stated";
  const std::string words = with_minus(units::print_both(input.value, dimension, system));
  return input.unknown ? words + " taken, not stated" : words;
}

std::string plural(int n, const char* one) { return fmt::format("{} {}{}", n, one, n == 1 ? "" : "s"); }

void add_line(const system::Line& line, units::System system, List& list) {
  list.add("bore " + both(line.bore_m, Dimension::bore, system) +
           (line.hose_kind.empty() ? "" : " = " + with_minus(line.hose_kind)));
  list.add(both(line.length_m, Dimension::length, system) + " long");
  if (line.bends > 0) list.add(plural(line.bends, "bend"));
  if (line.joints > 0) {
    list.add(plural(line.joints, "joint") + " of " + both(line.joint_bore_m, Dimension::bore, system));
  }
}

void add_medium(const system::Medium& medium, units::System system, List& list) {
  if (medium.rating_m) list.add(fmt::format("{:.3g} um", medium.rating_m->value * 1e6));
  list.add("clean drop " + both(medium.clean_drop_Pa, Dimension::pressure_drop, system) + " at " +
           both(medium.at_flow_m3_per_s, Dimension::volume_flow, system));
  if (medium.terminal_drop_Pa) {
    list.add("end of life " + both(*medium.terminal_drop_Pa, Dimension::pressure_drop, system));
  }
  if (medium.capacity_kg) list.add("holds " + both(*medium.capacity_kg, Dimension::mass, system) + " of test dust");
  if (medium.rated_flow_m3_per_s) {
    list.add("rated " + both(*medium.rated_flow_m3_per_s, Dimension::volume_flow, system));
  }
  if (medium.bypass_crack_Pa) {
    list.add("bypass opens at " + both(*medium.bypass_crack_Pa, Dimension::pressure_drop, system));
  }
  switch (medium.sensor) {
    case system::WaterSensor::wired: list.add("water sensor wired"); break;
    case system::WaterSensor::unplugged: list.add("water sensor unplugged"); break;
    case system::WaterSensor::none: list.add("no water sensor"); break;
    case system::WaterSensor::not_stated: break;
  }
  if (medium.bowl_m3) list.add("bowl " + both(*medium.bowl_m3, Dimension::volume, system));
  if (medium.sensor_at_m3) list.add("sensor reached at " + both(*medium.sensor_at_m3, Dimension::volume, system));
}

void add_pump(const system::Pump& pump, units::System system, List& list) {
  list.add(std::string(system::name(pump.drive)));
  if (pump.free_flow_m3_per_s) list.add("free flow " + both(*pump.free_flow_m3_per_s, Dimension::volume_flow, system));
  if (pump.flow_at_rise_m3_per_s && pump.at_rise_Pa) {
    list.add(both(*pump.flow_at_rise_m3_per_s, Dimension::volume_flow, system) + " at a rise of " +
             both(*pump.at_rise_Pa, Dimension::pressure_drop, system));
  }
  if (pump.turbine_free_flow_m3_per_s) {
    list.add("free flow " + both(*pump.turbine_free_flow_m3_per_s, Dimension::volume_flow, system));
  }
  if (pump.dead_head_Pa) list.add("dead head " + both(*pump.dead_head_Pa, Dimension::pressure_drop, system));
  if (pump.displacement_m3) list.add(both(*pump.displacement_m3, Dimension::displacement, system));
  if (pump.set_Pa) list.add("set " + both(*pump.set_Pa, Dimension::gauge_pressure, system));
  const auto known = [](std::string_view name) {
    return name == "unknown" ? std::string("not known") : std::string(name);
  };
  if (pump.set_Pa) list.add("surplus: " + known(system::name(pump.surplus)));
  list.add("when stopped: " + known(system::name(pump.stopped)));
  if (!pump.running) list.add("not running");
}

}  // namespace

std::string part_words(const Part& part, units::System system) {
  List list;
  if (part.bypassed) list.add("bypassed: not in the flow");
  if (part.line) add_line(*part.line, system, list);
  if (part.fitting) {
    list.add(part.fitting->law + ", bore " + both(part.fitting->bore_m, Dimension::bore, system) +
             fmt::format(", {} of them", part.fitting->count));
  }
  if (part.joint) {
    list.add(plural(part.joint->count, "joint") + " of bore " + both(part.joint->bore_m, Dimension::bore, system));
  }
  if (part.medium) add_medium(*part.medium, system, list);
  if (part.valve) {
    const bool set = part.kind == system::PartKind::regulator || part.kind == system::PartKind::relief;
    list.add((set ? "set " : "opens at ") +
             both(part.valve->crack_Pa, set ? Dimension::gauge_pressure : Dimension::pressure_drop, system));
  }
  if (part.orifice) list.add("diameter " + both(part.orifice->diameter_m, Dimension::bore, system));
  if (part.pump) add_pump(*part.pump, system, list);
  if (!part.housing.empty()) list.add("in the housing of the " + part.housing);
  if (!part.place.where.empty()) list.add("place: " + part.place.where);
  return list.take();
}

std::vector<Table> leg_tables(const system::LineSheet& sheet, units::System system) {
  std::vector<Table> tables;
  for (const system::Leg& leg : sheet.legs) {
    if (leg.parts.empty()) continue;
    Table table;
    table.caption = leg.title.empty() || leg.title == leg.id ? leg.from + " to " + leg.to : leg.title;
    table.columns = {{.title = "no", .kind = ColumnKind::number},
                     {.title = "part"},
                     {.title = "what it is"},
                     {.title = "port"},
                     {.title = "outlet at", .kind = ColumnKind::number}};
    int number = 0;
    for (const Part& part : leg.parts) {
      Row row;
      row.push_back({.spans = plain(fmt::format("{}", ++number))});
      row.push_back({.spans = plain(with_minus(part.title)), .mark = {}, .detail = std::string(name(part.kind))});
      row.push_back({.spans = plain(with_minus(part_words(part, system)))});
      row.push_back({.spans = plain(part.port.empty() ? "-" : part.port)});
      row.push_back({.spans = plain(part.end_height_m && part.end_height_m->given()
                                        ? with_minus(units::print(part.end_height_m->value, Dimension::height, system))
                                        : std::string("-"))});
      table.rows.push_back(std::move(row));
    }
    tables.push_back(std::move(table));
  }
  return tables;
}

KeyValues sheet_head(const system::LineSheet& sheet, units::System system) {
  KeyValues list;
  for (const system::Tank& tank : sheet.tanks) {
    List words;
    if (tank.volume_m3) words.add(both(*tank.volume_m3, Dimension::volume, system));
    words.add(both(tank.height_m, Dimension::length, system) + " high inside");
    words.add("pickup " + both(tank.pickup_height_m, Dimension::length, system) + " over the floor");
    words.add(tank.vent ? "vent of " + both(tank.vent->bore_m, Dimension::bore, system) : "vent not stated");
    list.pairs.push_back({.key = with_minus(tank.title), .value = plain(words.take())});
  }
  const system::Engine& engine = sheet.engine;
  List words;
  // Engines are named by their litres in both unit systems.
  words.add(engine.displacement_m3.given()
                ? units::print(engine.displacement_m3.value, Dimension::volume, units::System::metric) +
                      (engine.displacement_m3.unknown ? " taken, not stated" : "")
                : std::string("displacement not stated"));
  words.add(both(engine.rated_power_W, Dimension::power, system) + " at " +
            units::print(engine.rated_speed_per_s.value, Dimension::rotational_speed, system));
  words.add("pump inlet class: " + std::string(system::name(engine.inlet)));
  list.pairs.push_back({.key = engine.title.empty() ? "engine" : engine.title, .value = plain(words.take())});
  List high;
  if (sheet.high_side.cylinders > 0) high.add(plural(sheet.high_side.cylinders, "cylinder"));
  high.add(plural(sheet.high_side.rails, "rail"));
  if (sheet.high_side.plungers > 0) high.add(plural(sheet.high_side.plungers, "plunger"));
  high.add(sheet.high_side.metering);
  if (!sheet.high_side.injectors.empty()) high.add(sheet.high_side.injectors + " injectors");
  list.pairs.push_back({.key = "high-pressure side", .value = plain(high.take())});
  list.pairs.push_back({.key = "fuel", .value = plain(sheet.fuel)});
  return list;
}

}  // namespace fw::report
