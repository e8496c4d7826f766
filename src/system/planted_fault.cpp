// SPDX-License-Identifier: Apache-2.0
#include "system/planted_fault.hpp"

#include <algorithm>
#include <array>
#include <cmath>

#include <fmt/format.h>

namespace fw::system {

namespace {

constexpr double none = required;

// Usual amounts: typical or assumed, no source.
constexpr std::array<FaultFacts, 17> all_kinds{{
    {FaultKind::spent_filter, "spent-filter", "filter at the end of its life", "", none, none, none},
    {FaultKind::plugged_filter, "plugged-filter", "plugged filter", "times its clean drop", 20.0, 1.0, 1e4},
    {FaultKind::collapsed_filter, "collapsed-filter", "collapsed filter", "share of its pores left", 0.1, 0.0, 1.0},
    {FaultKind::dead_pump, "dead-pump", "dead pump", "", none, none, none, true},
    {FaultKind::relief_stuck_open, "relief-stuck-open", "relief stuck open", "m of gap", 0.004, 1e-4, 0.02},
    {FaultKind::relief_stuck_shut, "relief-stuck-shut", "relief stuck shut", "", none, none, none},
    {FaultKind::cracked_pickup, "cracked-pickup", "cracked pickup", "m of hole", 0.5e-3, 1e-5, 5e-3},
    {FaultKind::loose_joint, "loose-joint", "loose joint", "m of hole", 0.3e-3, 1e-5, 5e-3},
    {FaultKind::kinked_hose, "kinked-hose", "kinked hose", "of its bore left", 0.3, 0.02, 1.0},
    {FaultKind::blocked_vent, "blocked-vent", "blocked vent", "m3 burned since", 0.005, 0.0, 2.0},
    {FaultKind::low_voltage, "low-voltage", "low voltage", "V missing", 2.0, 0.0, 8.0, true},
    {FaultKind::bad_ground, "bad-ground", "bad ground", "ohm", 0.2, 0.0, 20.0},
    {FaultKind::check_stuck_open, "check-stuck-open", "check valve stuck open", "", none, none, none},
    {FaultKind::check_stuck_shut, "check-stuck-shut", "check valve stuck shut", "", none, none, none},
    {FaultKind::blocked_return, "blocked-return", "blocked return", "of its bore left", 0.25, 0.02, 1.0},
    {FaultKind::wrong_set, "wrong-set", "wrong set", "times its set", 0.6, 0.05, 20.0},
    {FaultKind::shut_off_shut, "shut-off-shut", "shut-off left shut", "", none, none, none},
}};

bool is_medium(const Part& part) { return part.medium.has_value(); }
bool is_line(const Part& part) { return part.line.has_value(); }
bool is_check(const Part& part) { return part.kind == PartKind::check || part.kind == PartKind::hand_primer; }
bool has_set(const Part& part) {
  return part.kind == PartKind::relief || part.kind == PartKind::regulator || (part.pump && part.pump->set_Pa);
}

const Leg* leg_of(const LineSheet& sheet, std::string_view part) {
  for (const Leg& leg : sheet.legs) {
    if (std::ranges::count(leg.parts, part, &Part::id) > 0) return &leg;
  }
  return nullptr;
}

/// Legs whose fuel comes from the engine's return.
bool leads_back(const LineSheet& sheet, const Leg& leg) {
  std::vector<std::string> back{std::string(engine_return_end)};
  for (std::size_t i = 0; i < back.size(); ++i) {
    for (const Leg& one : sheet.legs) {
      if (one.from != back[i]) continue;
      if (&one == &leg) return true;
      const bool through = one.to != engine_end && sheet.find_tank(one.to) == nullptr;
      if (through && std::ranges::count(back, one.to) == 0) back.push_back(one.to);
    }
  }
  return false;
}

bool first_line_of_tank(const LineSheet& sheet, const Leg& leg, const Part& part) {
  if (sheet.find_tank(leg.from) == nullptr) return false;
  const auto first = std::ranges::find_if(leg.parts, [](const Part& one) { return is_line(one) && !one.bypassed; });
  return first != leg.parts.end() && &*first == &part;
}

/// What the kind fits, "" where it fits this part.
std::string_view misfit(FaultKind kind, const LineSheet& sheet, const Leg& leg, const Part& part) {
  const auto unless = [](bool fits, std::string_view words) { return fits ? std::string_view{} : words; };
  switch (kind) {
    case FaultKind::spent_filter:
      return unless(is_medium(part) && part.medium->terminal_drop_Pa, "a filter with a terminal drop");
    case FaultKind::plugged_filter:
    case FaultKind::collapsed_filter: return unless(is_medium(part), "a part with a clean drop");
    case FaultKind::dead_pump: return unless(part.pump.has_value(), "a pump");
    case FaultKind::relief_stuck_open:
    case FaultKind::relief_stuck_shut:
    case FaultKind::wrong_set: return unless(has_set(part), "a relief, a regulator or a pump with a set");
    case FaultKind::cracked_pickup:
      return unless(first_line_of_tank(sheet, leg, part), "the first line of a leg that leaves a tank");
    case FaultKind::loose_joint:
      return unless((is_line(part) || part.joint) && !first_line_of_tank(sheet, leg, part) && !leads_back(sheet, leg),
                    "a line or joint on the way to the engine, behind the pickup");
    case FaultKind::kinked_hose: return unless(is_line(part), "a tube or hose");
    case FaultKind::blocked_return: return unless(is_line(part) && leads_back(sheet, leg), "a line that leads back");
    case FaultKind::bad_ground: return unless(part.pump && part.pump->drive == Drive::electric, "an electric pump");
    case FaultKind::check_stuck_open:
    case FaultKind::check_stuck_shut: return unless(is_check(part), "a check valve or primer");
    case FaultKind::shut_off_shut: return unless(part.kind == PartKind::shut_off, "a shut-off");
    case FaultKind::blocked_vent:
    case FaultKind::low_voltage: return "";
  }
  return "";
}

Stated planted(double value, const Fault& fault, const std::string& id) {
  Stated stated = exactly(value, id);
  stated.origin.source = fmt::format("planted: {}", facts(fault.kind).title);
  return stated;
}

}  // namespace

std::span<const FaultFacts> fault_kinds() { return all_kinds; }

const FaultFacts& facts(FaultKind kind) { return all_kinds.at(static_cast<std::size_t>(kind)); }

std::optional<FaultKind> fault_kind_named(std::string_view id) {
  for (const FaultFacts& one : all_kinds) {
    if (one.id == id) return one.kind;
  }
  return std::nullopt;
}

double amount_of(const Fault& fault) { return std::isnan(fault.amount) ? facts(fault.kind).usual : fault.amount; }

Result<void> check_fault(const Fault& fault, const LineSheet& sheet) {
  const FaultFacts& kind = facts(fault.kind);
  if (!std::isnan(fault.amount)) {
    if (std::isnan(kind.usual)) {
      return invalid("fault.amount", fmt::format("{} for a {}", fault.amount, kind.title), "no amount",
                     "Leave the amount out");
    }
    if (!std::isfinite(fault.amount) || fault.amount < kind.least || fault.amount > kind.most) {
      return invalid("fault.amount", fmt::format("{} {}", fault.amount, kind.amount),
                     fmt::format("{} to {} {}", kind.least, kind.most, kind.amount));
    }
  }
  const auto missing = [&](std::string_view what) {
    return fail(Error{.code = ErrorCode::not_found,
                      .where = {.file = sheet.file, .line = 0, .column = 0, .field = "fault.part"},
                      .found = fmt::format("the {} \"{}\"", what, fault.part),
                      .expected = fmt::format("a {} of the sheet \"{}\"", what, sheet.name)});
  };
  if (fault.kind == FaultKind::low_voltage) return {};
  if (fault.kind == FaultKind::blocked_vent) {
    if (sheet.find_tank(fault.part) == nullptr) return missing("tank");
    return {};
  }
  const Part* part = sheet.find_part(fault.part);
  if (part == nullptr) return missing("part");
  const std::string_view wanted =
      part->bypassed ? "a part in the flow" : misfit(fault.kind, sheet, *leg_of(sheet, fault.part), *part);
  if (!wanted.empty()) {
    return invalid("fault.part", fmt::format("a {} at the {} \"{}\"", kind.title, name(part->kind), fault.part),
                   std::string(wanted));
  }
  return {};
}

Result<LineSheet> apply(const Fault& fault, LineSheet sheet) {
  if (const auto sound = check_fault(fault, sheet); !sound) return fail(sound.error());
  const double amount = amount_of(fault);
  const auto stated = [&](const char* field) { return planted(amount, fault, fault.part + field); };
  if (fault.kind == FaultKind::low_voltage) {
    sheet.voltage_loss_V = planted(amount, fault, "fault.voltage_loss");
    return sheet;
  }
  if (fault.kind == FaultKind::blocked_vent) {
    Tank& tank = *std::ranges::find(sheet.tanks, fault.part, &Tank::id);
    if (!tank.vent) tank.vent = Vent{};
    tank.vent->blocked = true;
    tank.vent->burned_m3 = stated(".vent.burned");
    return sheet;
  }
  Part* part = nullptr;
  for (Leg& leg : sheet.legs) {
    for (Part& one : leg.parts) {
      if (one.id == fault.part) part = &one;
    }
  }
  Condition& condition = part->condition;
  switch (fault.kind) {
    case FaultKind::spent_filter: condition.spent = true; break;
    case FaultKind::plugged_filter: condition.plugged = stated(".plugged"); break;
    case FaultKind::collapsed_filter: condition.pores_left = stated(".pores_left"); break;
    case FaultKind::dead_pump: part->pump->running = false; break;
    case FaultKind::relief_stuck_open:
      condition.stuck = Stuck::open;
      condition.gap_m = stated(".gap");
      break;
    case FaultKind::check_stuck_open: condition.stuck = Stuck::open; break;
    case FaultKind::relief_stuck_shut:
    case FaultKind::check_stuck_shut:
    case FaultKind::shut_off_shut: condition.stuck = Stuck::shut; break;
    case FaultKind::cracked_pickup:
    case FaultKind::loose_joint: condition.air_leak_m = stated(".air_leak"); break;
    case FaultKind::kinked_hose:
    case FaultKind::blocked_return: condition.bore_left = stated(".bore_left"); break;
    case FaultKind::bad_ground: condition.bad_ground_ohm = stated(".bad_ground"); break;
    case FaultKind::wrong_set: condition.set_factor = stated(".set_factor"); break;
    case FaultKind::blocked_vent:
    case FaultKind::low_voltage: break;
  }
  return sheet;
}

std::vector<Fault> faults_possible(const LineSheet& sheet) {
  std::vector<Fault> faults;
  for (const Tank& tank : sheet.tanks) {
    if (!tank.vent || !tank.vent->blocked) faults.push_back({.kind = FaultKind::blocked_vent, .part = tank.id});
  }
  bool electric = false;
  for (const Leg& leg : sheet.legs) {
    for (const Part& part : leg.parts) {
      if (part.bypassed) continue;
      electric = electric || (part.pump && part.pump->drive == Drive::electric);
      for (const FaultFacts& kind : all_kinds) {
        if (kind.kind == FaultKind::blocked_vent || kind.kind == FaultKind::low_voltage) continue;
        if (!misfit(kind.kind, sheet, leg, part).empty()) continue;
        // The same restriction is named once: what leads back is blocked, all else is kinked.
        if (kind.kind == FaultKind::kinked_hose && leads_back(sheet, leg)) continue;
        if (kind.kind == FaultKind::dead_pump && !part.pump->running) continue;
        const bool stuck = part.condition.stuck != Stuck::no;
        const bool sticks = kind.kind == FaultKind::relief_stuck_open || kind.kind == FaultKind::relief_stuck_shut ||
                            kind.kind == FaultKind::check_stuck_open || kind.kind == FaultKind::check_stuck_shut ||
                            kind.kind == FaultKind::shut_off_shut;
        if (stuck && sticks) continue;
        faults.push_back({.kind = kind.kind, .part = part.id});
        if (kind.kind == FaultKind::wrong_set) faults.push_back({.kind = kind.kind, .part = part.id, .amount = 1.5});
      }
    }
  }
  if (electric) faults.push_back({.kind = FaultKind::low_voltage});
  return faults;
}

std::string describe(const Fault& fault, const LineSheet& sheet) {
  const FaultFacts& kind = facts(fault.kind);
  std::string place;
  if (const Part* part = sheet.find_part(fault.part)) place = part->title.empty() ? part->id : part->title;
  if (const Tank* tank = sheet.find_tank(fault.part)) place = tank->title.empty() ? tank->id : tank->title;
  std::string text = place.empty() ? std::string(kind.title) : fmt::format("{}: {}", place, kind.title);
  if (!kind.amount.empty()) text += fmt::format(", {:g} {}", amount_of(fault), kind.amount);
  return text;
}

}  // namespace fw::system
