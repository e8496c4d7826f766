// SPDX-License-Identifier: Apache-2.0
#include "report/supply_figures.hpp"

#include <algorithm>
#include <cmath>
#include <iterator>
#include <map>
#include <set>

#include <fmt/format.h>

#include "report/check_words.hpp"
#include "report/figure_grade.hpp"
#include "report/input_words.hpp"
#include "report/paper_parts.hpp"

namespace fw::report {

namespace {

using system::LineSheet;
using system::Part;
using system::PartKind;
using units::Dimension;

Symbol symbol_of(const Part& part) {
  switch (part.kind) {
    case PartKind::tube:
    case PartKind::fitting:
    case PartKind::joint:
    case PartKind::stem:
    case PartKind::connector:
    case PartKind::banjo:
    case PartKind::gap: return Symbol::tube;
    case PartKind::hose: return Symbol::hose;
    case PartKind::strainer: return Symbol::strainer;
    case PartKind::separator:
      return part.medium && part.medium->rating_m ? Symbol::filter_separator : Symbol::separator;
    case PartKind::filter: return Symbol::filter;
    case PartKind::heater: return Symbol::heater;
    case PartKind::cooler: return Symbol::cooler;
    case PartKind::thermostat: return Symbol::thermostat;
    case PartKind::hand_primer: return Symbol::hand_pump;
    case PartKind::check: return Symbol::check_valve;
    case PartKind::relief: return Symbol::relief_valve;
    case PartKind::regulator: return Symbol::regulator;
    case PartKind::orifice:
    case PartKind::short_tube: return Symbol::orifice;
    case PartKind::shut_off: return Symbol::shut_off;
    case PartKind::selector: return Symbol::selector;
    case PartKind::sump: return Symbol::sump;
    case PartKind::pump:
      if (!part.pump || part.pump->drive == system::Drive::electric) return Symbol::motor_pump;
      return part.pump->drive == system::Drive::engine ? Symbol::gear_pump : Symbol::hand_pump;
    case PartKind::resistance: return Symbol::other;
  }
  return Symbol::other;
}

bool drawn(const Part& part) {
  // Losses, not parts one sees.
  switch (part.kind) {
    case PartKind::fitting:
    case PartKind::joint:
    case PartKind::stem:
    case PartKind::connector:
    case PartKind::banjo:
    case PartKind::gap: break;
    default: return true;
  }
  return !part.port.empty() || part.bypassed;
}

/// What an owner pays for: pumps, filters and separators; and what stands outside the flow.
bool essential(const Part& part) {
  return part.kind == PartKind::pump || part.kind == PartKind::filter || part.kind == PartKind::separator ||
         part.bypassed;
}

/// Legs by what they carry. A junction that a tank feeds is on the way up; else it belongs to the return.
class LegRoles {
 public:
  explicit LegRoles(const LineSheet& sheet) : sheet_(sheet) {
    for (const system::Tank& tank : sheet.tanks) fed_.insert(tank.id);
    for (bool grew = true; grew;) {
      grew = false;
      for (const system::Leg& leg : sheet.legs) {
        const bool onward = fed_.contains(leg.from) && leg.to != system::engine_end && !is_tank(leg.to);
        if (onward && fed_.insert(leg.to).second) grew = true;
      }
    }
  }

  [[nodiscard]] LegRole role(const system::Leg& leg) const {
    if (is_tank(leg.from) && is_tank(leg.to)) return LegRole::transfer;
    if (is_tank(leg.to) || !fed_.contains(leg.from)) return LegRole::back;
    return LegRole::supply;
  }

 private:
  [[nodiscard]] bool is_tank(const std::string& end) const { return sheet_.find_tank(end) != nullptr; }

  const LineSheet& sheet_;
  std::set<std::string> fed_;
};

SchematicPart drawn_part(const Part& part, const system::Leg& leg, std::size_t index, const LineSheet& sheet,
                         const LineSheet* base) {
  SchematicPart drawing{.id = part.id, .symbol = symbol_of(part), .label = with_minus(part.title), .port = part.port};
  if (drawing.symbol == Symbol::sump && (index > 0 || sheet.find_tank(leg.from) == nullptr)) {
    drawing.symbol = Symbol::other;
  }
  if (drawing.symbol == Symbol::sump) drawing.port.clear();
  drawing.drain = part.kind == PartKind::separator;
  drawing.electrode = part.medium && part.medium->sensor == system::WaterSensor::wired;
  drawing.bypassed = part.bypassed;
  drawing.added = base != nullptr && base->find_part(part.id) == nullptr;
  drawing.pilot_to_tank = part.pump && part.pump->relief_reference == system::ReliefReference::tank;
  return drawing;
}

/// How many parts at the beginning of a leg hang in the tank it leaves: strainers, and electric pumps without a line
/// before them. A strainer in front of a line is the pickup's and hangs there too.
std::size_t parts_in_tank(const system::Leg& leg, const LineSheet& sheet) {
  if (sheet.find_tank(leg.from) == nullptr) return 0;
  std::size_t count = 0;
  for (const Part& part : leg.parts) {
    const bool electric = part.pump && part.pump->drive == system::Drive::electric;
    if (part.kind != PartKind::strainer && !(part.kind == PartKind::pump && electric)) break;
    ++count;
  }
  return count;
}

void add_frames(const system::Leg& leg, const LineSheet& sheet, SchematicData& data) {
  std::string housing;
  SchematicFrame frame;
  const auto close = [&] {
    if (frame.parts.size() > 1) data.frames.push_back(frame);
    frame = {};
  };
  for (std::size_t i = parts_in_tank(leg, sheet); i < leg.parts.size(); ++i) {
    const Part& part = leg.parts[i];
    if (!drawn(part)) continue;
    if (part.housing != housing) close();
    housing = part.housing;
    if (housing.empty()) continue;
    frame.label = with_minus(housing);
    frame.parts.push_back(part.id);
  }
  close();
}

double in_unit(double pascal, units::System system) {
  return pascal * units::scale(Dimension::gauge_pressure, system).factor;
}

std::string number_words(double pascal, units::System system) {
  return with_minus(units::print_number(pascal, Dimension::gauge_pressure, system));
}

/// The inlet limits of a sheet, from one station to another.
std::vector<GradeLimit> inlet_limits(const supply::SheetJudgement& sheet, std::size_t last, units::System system) {
  std::vector<GradeLimit> limits;
  for (const supply::Check& check : sheet.checks) {
    if (check.id != "inlet-low" && check.id != "inlet-high") continue;
    const auto limit = limit_of(check);
    const bool twice = std::ranges::any_of(
        limits, [&](const GradeLimit& other) { return limit && other.value == in_unit(limit->si, system); });
    if (!limit || twice) continue;
    limits.push_back(
        {.value = in_unit(limit->si, system),
         .words = number_words(limit->si, system) + (check.id == "inlet-low" ? " least at inlet" : " most at inlet"),
         .first = last,
         .last = last});
  }
  return limits;
}

Sheet style_of(std::size_t index, const std::string& name) {
  if (name == "as designed") return Sheet::as_designed;
  if (name == "as found") return Sheet::as_found;
  if (name == "as rebuilt") return Sheet::as_rebuilt;
  return static_cast<Sheet>(std::min<std::size_t>(index, 2));
}

/// Parts on the way of the fuel to the engine, in order, by the first leg that leads on from each end.
struct Way {
  std::string tank;
  std::vector<const Part*> parts;
};

Way way_to_engine(const LineSheet& sheet) {
  Way best;
  const LegRoles roles(sheet);
  // Walks back from the engine, at each junction along the leg that is in the flow.
  std::string at(system::engine_end);
  std::vector<const system::Leg*> legs;
  std::set<std::string> seen;
  while (seen.insert(at).second) {
    const system::Leg* chosen = nullptr;
    for (const system::Leg& leg : sheet.legs) {
      if (leg.to != at || roles.role(leg) != LegRole::supply) continue;
      const bool blocked = std::ranges::any_of(leg.parts, &Part::bypassed);
      if (chosen == nullptr || (!blocked && std::ranges::any_of(chosen->parts, &Part::bypassed))) chosen = &leg;
    }
    if (chosen == nullptr) break;
    legs.push_back(chosen);
    at = chosen->from;
  }
  const system::Tank* tank = sheet.find_tank(at);
  best.tank = tank == nullptr ? at : tank->title;
  for (auto leg = legs.rbegin(); leg != legs.rend(); ++leg) {
    for (const Part& part : (*leg)->parts) {
      if (drawn(part)) best.parts.push_back(&part);
    }
  }
  return best;
}

std::string row_words(const system::RunningPoint& point, units::System system) {
  std::string words = with_minus(units::print(point.fuel_temperature_K, Dimension::temperature, system));
  words += point.filter_loading > 0.5 ? ", spent filters" : ", clean filters";
  return words;
}

/// Draws tanks that reach the place the first one feeds by nothing but bare lines as one with it.
void join_tanks(SchematicData& data) {
  if (data.tanks.size() < 2) return;
  const std::string first = data.tanks.front().id;
  const auto fed = std::ranges::find_if(
      data.legs, [&](const SchematicLeg& leg) { return leg.from == first && leg.role == LegRole::supply; });
  if (fed == data.legs.end()) return;
  const std::string place = fed->to;
  std::size_t joined = 1;
  std::erase_if(data.tanks, [&](const SchematicTank& tank) {
    if (tank.id == first) return false;
    const auto touches = [&](const SchematicLeg& leg) { return leg.from == tank.id || leg.to == tank.id; };
    const bool bare = std::ranges::all_of(data.legs, [&](const SchematicLeg& leg) {
      return !touches(leg) || (leg.from == tank.id && leg.to == place && leg.parts.empty());
    });
    if (!bare) return false;
    std::erase_if(data.legs, touches);
    ++joined;
    return true;
  });
  if (joined == 1) return;
  data.tanks.front().label = lower_first(spelled(joined)) + " tanks";
  // A place with one line in and one line out is no place any more.
  const auto begins = [&](const SchematicLeg& leg) { return leg.from == place; };
  const auto ends = [&](const SchematicLeg& leg) { return leg.to == place; };
  if (std::ranges::count_if(data.legs, begins) != 1 || std::ranges::count_if(data.legs, ends) != 1) return;
  SchematicLeg rest = *std::ranges::find_if(data.legs, begins);
  std::erase_if(data.legs, begins);
  SchematicLeg& way = *std::ranges::find_if(data.legs, ends);
  way.to = rest.to;
  way.parts.insert(way.parts.end(), std::make_move_iterator(rest.parts.begin()),
                   std::make_move_iterator(rest.parts.end()));
}

}  // namespace

SchematicData schematic_of(const LineSheet& sheet, const LineSheet* base, const FigureOptions& options,
                           SchematicDetail detail) {
  SchematicData data{.title = "Fuel system " + sheet.name, .size = options.size};
  for (const system::Tank& tank : sheet.tanks) {
    std::string label = with_minus(tank.title);
    if (tank.volume_m3 && detail == SchematicDetail::full) {
      std::string volume = units::print(tank.volume_m3->value, Dimension::volume, options.system);
      // A drawing asks for no tenth of a litre.
      if (const std::size_t zero = volume.find(".0 "); zero != std::string::npos) volume.erase(zero, 2);
      label += ", " + volume;
    }
    data.tanks.push_back({.id = tank.id, .label = std::move(label)});
  }
  const LegRoles roles(sheet);
  for (const system::Leg& leg : sheet.legs) {
    SchematicLeg drawing{.id = leg.id, .from = leg.from, .to = leg.to, .role = roles.role(leg)};
    const std::size_t inside = parts_in_tank(leg, sheet);
    for (std::size_t i = 0; i < leg.parts.size(); ++i) {
      const Part& part = leg.parts[i];
      SchematicPart one = drawn_part(part, leg, i, sheet, base);
      one.in_tank = i < inside;
      if (!drawn(part) || (detail != SchematicDetail::full && !essential(part))) continue;
      if (detail != SchematicDetail::full) {
        one.port.clear();
        one.electrode = false;
      }
      drawing.parts.push_back(std::move(one));
    }
    if (detail == SchematicDetail::full) add_frames(leg, sheet, data);
    data.legs.push_back(std::move(drawing));
  }
  const system::HighSide& high = sheet.high_side;
  data.high_side.rails = std::clamp(high.rails, 1, 2);
  data.high_side.injectors = std::clamp(high.cylinders, 1, 16);
  data.high_side.metering_valve = high.metering.find("metering") != std::string::npos;
  if (detail != SchematicDetail::full) {
    data.high_side.metering_valve = false;
    // One bar stands for both rails.
    if (data.high_side.rails == 2) data.high_side.rail_label = "two rails";
    data.high_side.rails = 1;
  }
  if (detail == SchematicDetail::outline) join_tanks(data);
  return data;
}

GradeLineData grade_line_of(const supply::SheetJudgement& sheet, GradePointOf which,
                            const std::vector<numerics::Band>& bands_Pa, const FigureOptions& options) {
  const supply::GradeLine& line = which == GradePointOf::plain ? sheet.line : sheet.worst_line;
  GradeLineData data;
  data.title = fmt::format("Pressure along the fuel's way {}, {}", sheet.name, point_words(line.point, options.system));
  data.unit = units::unit_name(Dimension::gauge_pressure, options.system);
  data.size = options.size;
  for (std::size_t k = 0; k < line.places.size(); ++k) {
    GradePoint point{.name = with_minus(line.places[k].title),
                     .value = in_unit(line.over_ambient_Pa[k], options.system)};
    if (k < bands_Pa.size()) {
      point.band =
          ValueBand{.low = in_unit(bands_Pa[k].low, options.system), .high = in_unit(bands_Pa[k].high, options.system)};
    }
    data.points.push_back(std::move(point));
  }
  if (data.points.empty()) return data;
  const std::size_t last = data.points.size() - 1;
  data.limits = inlet_limits(sheet, last, options.system);
  // Suction checks stand at the inlet of their pump: the place before the part.
  for (const supply::Check& check : sheet.checks) {
    if (!check.id.starts_with("suction-") || check.outcome == supply::Outcome::holds) continue;
    for (std::size_t k = 1; k < line.places.size(); ++k) {
      if (line.places[k].part != check.place_part) continue;
      data.marks.push_back({.at = k - 1, .mark = mark_of(check.outcome), .words = {}});
    }
  }
  data.end_value = number_words(line.over_ambient_Pa.back(), options.system);
  if (!bands_Pa.empty() && bands_Pa.size() == line.places.size()) {
    data.end_note =
        number_words(bands_Pa.back().low, options.system) + " to " + number_words(bands_Pa.back().high, options.system);
  }
  return data;
}

ComparisonData comparison_of(const std::vector<supply::SheetJudgement>& sheets, const FigureOptions& options) {
  ComparisonData data;
  data.title = "Pressure along the fuel's way";
  if (!sheets.empty()) data.title += ", " + point_words(sheets.front().line.point, options.system);
  data.unit = units::unit_name(Dimension::gauge_pressure, options.system);
  data.size = options.size;
  std::vector<std::vector<std::string>> names;
  for (const supply::SheetJudgement& sheet : sheets) {
    std::vector<std::string> of_sheet;
    for (const system::PlaceAt& place : sheet.line.places) of_sheet.push_back(with_minus(place.title));
    names.push_back(std::move(of_sheet));
  }
  const MergedStations merged = merge_stations(names);
  data.stations = merged.stations;
  for (std::size_t i = 0; i < sheets.size(); ++i) {
    const supply::SheetJudgement& sheet = sheets[i];
    ComparedSheet line{.sheet = style_of(i, sheet.name), .words = sheet.name};
    line.values.assign(data.stations.size(), std::nullopt);
    for (std::size_t k = 0; k < sheet.line.over_ambient_Pa.size(); ++k) {
      line.values[merged.places[i][k]] = in_unit(sheet.line.over_ambient_Pa[k], options.system);
    }
    line.end_value = number_words(sheet.line.over_ambient_Pa.back(), options.system);
    data.sheets.push_back(std::move(line));
  }
  for (const supply::SheetJudgement& sheet : sheets) {
    data.limits = inlet_limits(sheet, data.stations.size() - 1, options.system);
    if (!data.limits.empty()) break;
  }
  return data;
}

CoverageData coverage_of(const LineSheet& sheet, const FigureOptions& options) {
  CoverageData data;
  data.title = "What protects the way to the high-pressure pump, " + sheet.name;
  data.size = options.size;
  const Way way = way_to_engine(sheet);
  data.places.push_back(with_minus(way.tank));
  for (const Part* part : way.parts) data.places.push_back(with_minus(part->title));
  data.places.emplace_back("pump inlet");
  const std::size_t last = data.places.size() - 1;

  CoverRow solids{.name = "solids"};
  CoverRow separated{.name = "water separated"};
  CoverRow sensed{.name = "water sensed"};
  // A stretch runs from where its protection begins to where a better one does.
  const auto open = [](CoverRow& row, std::size_t at, Cover cover, std::string words) {
    if (!row.spans.empty()) row.spans.back().last = at;
    row.spans.push_back({.first = at, .last = at, .cover = cover, .words = std::move(words)});
  };
  open(solids, 0, Cover::none, "");
  open(separated, 0, Cover::none, "");
  open(sensed, 0, Cover::none, "");
  std::optional<double> finest_m;
  bool behind_pump = false;
  for (std::size_t i = 0; i < way.parts.size(); ++i) {
    const Part& part = *way.parts[i];
    const std::size_t at = i + 1;
    if (part.bypassed) continue;
    if (part.kind == PartKind::pump) behind_pump = true;
    if (!part.medium) continue;
    const bool stage = part.kind == PartKind::filter || part.kind == PartKind::separator;
    if (stage && part.medium->rating_m && part.medium->rating_m->given()) {
      const double rating_m = part.medium->rating_m->value;
      if (!finest_m || rating_m < *finest_m) {
        finest_m = rating_m;
        open(solids, at, Cover::full, fmt::format("{:.3g} um", rating_m * 1e6));
      }
    } else if (stage && !finest_m && solids.spans.back().cover == Cover::none) {
      open(solids, at, Cover::partly, "rating not stated");
    }
    if (part.kind == PartKind::separator && separated.spans.back().cover != Cover::full) {
      open(separated, at, behind_pump ? Cover::partly : Cover::full, behind_pump ? "behind a pump" : "");
    }
    if (part.medium->sensor == system::WaterSensor::wired) {
      if (sensed.spans.back().cover != Cover::full) open(sensed, at, Cover::full, "");
      sensed.marks.push_back({.at = at, .works = true, .words = "sensor"});
    } else if (part.medium->sensor == system::WaterSensor::unplugged) {
      sensed.marks.push_back({.at = at, .works = false, .words = "unplugged"});
    }
  }
  for (CoverRow* row : {&solids, &separated, &sensed}) {
    row->spans.back().last = last;
    for (CoverSpan& span : row->spans) {
      if (span.cover == Cover::none && span.last == last) span.words = "none";
    }
    std::erase_if(row->spans, [](const CoverSpan& span) { return span.last <= span.first; });
    data.rows.push_back(std::move(*row));
  }
  return data;
}

EnvelopeMapData envelope_of(const std::string& sheet, const std::vector<EnvelopeValue>& values,
                            const FigureOptions& options) {
  EnvelopeMapData data;
  data.title = "Pump inlet pressure over the envelope, " + sheet;
  data.unit = units::unit_name(Dimension::gauge_pressure, options.system);
  data.column_axis = "engine";
  data.row_axis = "fuel, filters";
  data.size = options.size;
  const auto place = [](std::vector<std::string>& all, const std::string& words) {
    const auto found = std::ranges::find(all, words);
    if (found != all.end()) return static_cast<std::size_t>(found - all.begin());
    all.push_back(words);
    return all.size() - 1;
  };
  for (const EnvelopeValue& value : values) {
    place(data.columns, std::string(system::name(value.point.engine)));
    place(data.rows, row_words(value.point, options.system));
  }
  std::map<const EnvelopeCell*, const EnvelopeValue*> worst;
  data.cells.assign(data.rows.size(), std::vector<EnvelopeCell>(data.columns.size()));
  for (const EnvelopeValue& value : values) {
    // Points that differ in the tank's level alone share a cell, which shows the worse.
    EnvelopeCell& cell = data.cells[place(data.rows, row_words(value.point, options.system))]
                                   [place(data.columns, std::string(system::name(value.point.engine)))];
    const EnvelopeValue*& shown = worst[&cell];
    const bool worse = shown == nullptr || value.outcome < shown->outcome ||
                       (value.outcome == shown->outcome &&
                        value.inlet_over_ambient_Pa.value_or(0.0) < shown->inlet_over_ambient_Pa.value_or(0.0));
    cell.governs = cell.governs || value.governs;
    if (!worse) continue;
    shown = &value;
    cell.mark = mark_of(value.outcome);
    cell.value =
        value.inlet_over_ambient_Pa ? number_words(*value.inlet_over_ambient_Pa, options.system) : "not solved";
  }
  return data;
}

StripsData strips_of(const supply::SheetJudgement& sheet, const LineSheet& line_sheet,
                     const system::RunningPoint& point, double nominal_Pa, const std::vector<InputEffect>& effects,
                     const std::optional<numerics::Band>& band_Pa, const FigureOptions& options) {
  StripsData data;
  data.title =
      fmt::format("What moves the pump inlet pressure, {}, {}", sheet.name, point_words(point, options.system));
  data.unit = units::unit_name(Dimension::gauge_pressure, options.system);
  data.size = options.size;
  data.nominal = in_unit(nominal_Pa, options.system);
  data.nominal_words = number_words(nominal_Pa, options.system) + " most likely";
  for (const supply::Check& check : sheet.checks) {
    const auto limit = limit_of(check);
    if (check.id != "inlet-low" || !limit) continue;
    data.limit = in_unit(limit->si, options.system);
    data.limit_words = number_words(limit->si, options.system) + " least at inlet";
  }
  if (band_Pa) {
    data.band = ValueBand{.low = in_unit(band_Pa->low, options.system), .high = in_unit(band_Pa->high, options.system)};
    data.nominal_words += fmt::format("; nine in ten {} to {}", number_words(band_Pa->low, options.system),
                                      number_words(band_Pa->high, options.system));
  }
  for (const InputEffect& effect : effects) {
    const numerics::Band range = numerics::band_90(effect.input);
    const std::string source(fw::name(effect.input.source));
    data.strips.push_back({.name = input_words(effect.input.id, &line_sheet),
                           .at_low = in_unit(effect.at_low_Pa, options.system),
                           .at_high = in_unit(effect.at_high_Pa, options.system),
                           .low_words = with_minus(input_at(effect.input, range.low, options.system)),
                           .high_words = with_minus(input_at(effect.input, range.high, options.system)),
                           .note = effect.input.unknown ? "not stated: " + source : source});
  }
  return data;
}

GaugeBookData gauge_book_of(const std::string& sheet, const std::vector<system::PlaceAt>& ports,
                            const std::vector<PortReadings>& states, const FigureOptions& options) {
  GaugeBookData data;
  data.title = "What a gauge shows at each test port, " + sheet;
  data.unit = units::unit_name(Dimension::gauge_pressure, options.system);
  data.size = options.size;
  const units::System other = options.system == units::System::us ? units::System::metric : units::System::us;
  for (const system::PlaceAt& port : ports) {
    data.ports.push_back(port.port);
    data.places.push_back(with_minus(port.title));
  }
  for (const PortReadings& state : states) {
    GaugeRow row{.name = state.state, .tell = state.tell};
    for (std::size_t i = 0; i < ports.size(); ++i) {
      GaugeCell cell;
      if (state.over_ambient_Pa[i]) {
        cell.value = number_words(*state.over_ambient_Pa[i], options.system);
        if (i < state.band_Pa.size()) {
          cell.band = number_words(state.band_Pa[i].low, options.system) + " to " +
                      number_words(state.band_Pa[i].high, options.system);
        }
        // A gauge is bought and read in either unit.
        cell.other = with_minus(units::print(*state.over_ambient_Pa[i], Dimension::gauge_pressure, other));
        cell.differs = state.differs[i];
      }
      row.cells.push_back(std::move(cell));
    }
    data.rows.push_back(std::move(row));
  }
  return data;
}

std::vector<system::PlaceAt> ports_of(const supply::GradeLine& line) {
  std::vector<system::PlaceAt> ports;
  for (const system::PlaceAt& place : line.places) {
    if (!place.port.empty()) ports.push_back(place);
  }
  return ports;
}

}  // namespace fw::report
