// SPDX-License-Identifier: Apache-2.0
#include "casefile/contradictions.hpp"

#include <map>

#include <fmt/format.h>

namespace fw::casefile {

namespace {

bool typed(const Stated& number) { return number.given() && !number.unknown && !number.origin.as_typed.empty(); }

std::string quoted(const Stated& number) { return "\"" + number.origin.as_typed + "\""; }

Error at(const Origin& origin, std::string field, std::string found, std::string expected, std::string hint) {
  return {.code = ErrorCode::invalid_input,
          .where = {.file = origin.file, .line = origin.line, .column = 0, .field = std::move(field)},
          .found = std::move(found),
          .expected = std::move(expected),
          .hint = std::move(hint)};
}

void check_engine(const system::Engine& engine, std::vector<Error>& faults) {
  struct Field {
    const Stated* number;
    const char* key;
    const char* example;
  };
  for (const Field& field : {Field{.number = &engine.displacement_m3, .key = "displacement", .example = "5.6 L"},
                             Field{.number = &engine.rated_power_W, .key = "rated_power", .example = "175 kW"},
                             Field{.number = &engine.rated_speed_per_s, .key = "rated_speed", .example = "2500 rpm"}}) {
    if (!typed(*field.number) || field.number->value > 0.0) continue;
    faults.push_back(at(field.number->origin, std::string("engine.") + field.key, quoted(*field.number),
                        "a number above zero", fmt::format("Write for example \"{}\"", field.example)));
  }
  const Stated& idle = engine.idle_speed_per_s;
  const Stated& rated = engine.rated_speed_per_s;
  if (typed(idle) && typed(rated) && rated.value > 0.0 && idle.value > rated.value) {
    faults.push_back(at(idle.origin, "engine.idle_speed", quoted(idle), "at most the rated speed, " + quoted(rated),
                        "Correct one of the two"));
  }
}

}  // namespace

std::vector<Error> contradictions(const system::LineSheet& sheet) {
  std::vector<Error> faults;
  check_engine(sheet.engine, faults);
  for (const system::Tank& tank : sheet.tanks) {
    if (!typed(tank.pickup_height_m) || !typed(tank.height_m)) continue;
    if (tank.pickup_height_m.value < tank.height_m.value) continue;
    faults.push_back(at(tank.pickup_height_m.origin, "tank.pickup_height", quoted(tank.pickup_height_m),
                        "a mouth below the top of the tank, which is " + quoted(tank.height_m) + " high inside",
                        "Correct one of the two"));
  }
  std::map<std::string, std::string> ports;
  for (const system::Leg& leg : sheet.legs) {
    for (const system::Part& part : leg.parts) {
      const std::string field = "leg." + leg.id + "." + part.id;
      if (part.medium && part.medium->terminal_drop_Pa && typed(part.medium->clean_drop_Pa) &&
          typed(*part.medium->terminal_drop_Pa) &&
          part.medium->terminal_drop_Pa->value < part.medium->clean_drop_Pa.value) {
        const Stated& terminal = *part.medium->terminal_drop_Pa;
        faults.push_back(at(terminal.origin, field + ".terminal_drop", quoted(terminal),
                            "at least the clean drop, " + quoted(part.medium->clean_drop_Pa),
                            "A filter loads from its clean drop to its terminal drop: correct one of the two"));
      }
      if (part.medium && part.medium->bowl_m3 && part.medium->sensor_at_m3 && typed(*part.medium->bowl_m3) &&
          typed(*part.medium->sensor_at_m3) && part.medium->sensor_at_m3->value >= part.medium->bowl_m3->value) {
        const Stated& sensor = *part.medium->sensor_at_m3;
        faults.push_back(at(sensor.origin, field + ".sensor_at", quoted(sensor),
                            "less than the bowl holds, " + quoted(*part.medium->bowl_m3),
                            "It is the water in the bowl when it reaches the electrodes"));
      }
      if (part.port.empty() || part.bypassed) continue;
      const auto [first, fresh] = ports.emplace(part.port, part.id);
      if (!fresh) {
        faults.push_back(at(part.origin, field + ".port", fmt::format("\"{}\"", part.port),
                            fmt::format("a name that no other port has; \"{}\" has this one", first->second),
                            "Give one of them another name"));
      }
    }
  }
  return faults;
}

}  // namespace fw::casefile
