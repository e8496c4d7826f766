// SPDX-License-Identifier: Apache-2.0
#include "casefile/findings.hpp"

#include <algorithm>
#include <cmath>
#include <set>
#include <vector>

#include <fmt/format.h>

#include "catalog/document.hpp"

namespace fw::casefile {

namespace {

using catalog::Table;

void check_file_name(Table& table, const char* key, const std::string& name) {
  if (name.empty()) return;
  if (name.front() == '/' || name.find("..") != std::string::npos) {
    table.fault(key, "\"" + name + "\"", "a file inside the case folder", "Copy it into the folder");
  }
}

diagnosis::Statement read_statement(Table& table, const diagnosis::Tables& tables) {
  diagnosis::Statement one;
  one.finding = table.required_text("id", "the id of a finding, e.g. \"E46\"");
  const diagnosis::FindingRow* row = tables.finding(one.finding);
  if (row == nullptr && !one.finding.empty()) {
    std::vector<std::string> ids;
    for (const diagnosis::FindingRow& each : tables.findings) ids.push_back(each.id);
    const std::string near = catalog::nearest(one.finding, ids);
    table.fault("id", "\"" + one.finding + "\"", near.empty() ? "a finding of catalog/diagnosis/findings.toml" : near,
                "See catalog/diagnosis/findings.toml");
  }
  if (const auto seen = table.choice("seen", {"present", "absent", "not looked", "could not tell"})) {
    one.seen = static_cast<diagnosis::Seen>(*seen);
  } else if (!table.has("seen")) {
    table.fault("", "no \"seen\"", "present, absent, not looked or could not tell", "Add seen = \"present\"");
  }
  one.grade = table.text("grade").value_or(std::string());
  if (row != nullptr && one.seen == diagnosis::Seen::present) {
    std::vector<std::string> titles;
    for (const diagnosis::Grade& grade : row->grades) titles.push_back(grade.title);
    const bool known = std::find(titles.begin(), titles.end(), one.grade) != titles.end();
    if (!titles.empty() && !known) {
      table.fault(table.has("grade") ? "grade" : "", one.grade.empty() ? "no grade" : "\"" + one.grade + "\"",
                  fmt::format("one of \"{}\"", fmt::join(titles, "\", \"")), "Say how much was found");
    }
    if (titles.empty() && !one.grade.empty()) {
      table.fault("grade", "\"" + one.grade + "\"", "no grade: it is there or not", "Strike the grade");
    }
  }
  one.person = table.text("person").value_or(std::string());
  one.time = table.text("time").value_or(std::string());
  one.photo = table.text("photo").value_or(std::string());
  one.clip = table.text("clip").value_or(std::string());
  one.note = table.text("note").value_or(std::string());
  check_file_name(table, "photo", one.photo);
  check_file_name(table, "clip", one.clip);
  return one;
}

diagnosis::Reading read_reading(Table& table, const diagnosis::Tables& tables) {
  using diagnosis::Measure;
  diagnosis::Reading one;
  one.line = table.line();
  std::vector<std::string> measures;
  for (int i = 0; i <= static_cast<int>(Measure::rail_at_rest); ++i) {
    measures.emplace_back(diagnosis::name(static_cast<Measure>(i)));
  }
  if (const auto measure = table.choice("what", measures)) {
    one.measure = static_cast<Measure>(*measure);
  } else {
    if (!table.has("what")) {
      table.fault("", "no \"what\"", fmt::format("what was read: {}", fmt::join(measures, ", ")),
                  "Add what = \"pressure\"");
    }
    table.ignore_rest();
    return one;
  }
  const bool placed = one.measure == Measure::pressure || one.measure == Measure::volts ||
                      one.measure == Measure::current || one.measure == Measure::injector_return;
  if (placed) {
    one.at = table.required_text("at", one.measure == Measure::pressure          ? "a test port, or \"inlet\""
                                       : one.measure == Measure::injector_return ? "the injector's number, e.g. \"3\""
                                                                                 : "the id of an electric pump");
  }
  const bool running = diagnosis::side_of(one.measure) == diagnosis::Side::supply ||
                       one.measure == Measure::injector_return || one.measure == Measure::relief_return;
  if (running) {
    std::vector<std::string> points;
    const auto last = diagnosis::side_of(one.measure) == diagnosis::Side::supply ? system::EnginePoint::rated
                                                                                 : system::EnginePoint::idle;
    for (int i = 0; i <= static_cast<int>(last); ++i) {
      points.emplace_back(system::name(static_cast<system::EnginePoint>(i)));
    }
    if (diagnosis::side_of(one.measure) == diagnosis::Side::high_side) points.erase(points.begin());
    if (const auto point = table.choice("engine", points)) {
      one.engine = *system::engine_point_named(points[*point]);
    } else if (!table.has("engine")) {
      table.fault("", "no \"engine\"", fmt::format("one of {}", fmt::join(points, ", ")),
                  "Say what the engine did while it was read");
    }
  } else {
    one.engine = one.measure == Measure::rail_crank ? system::EnginePoint::crank : system::EnginePoint::stopped;
  }
  one.typed = table.text("value").value_or(std::string());
  if (const auto value = table.number("value", diagnosis::dimension_of(one.measure))) one.value = *value;
  if (!table.has("value")) table.fault("", "no value", "the reading with its unit", "Add value = \"-12 kPa\"");
  one.instrument = table.required_text("instrument", "what it was read with, e.g. \"gauge\"");
  if (!one.instrument.empty() && tables.instrument(one.instrument) == nullptr) {
    std::vector<std::string> ids;
    for (const diagnosis::InstrumentRow& each : tables.instruments) ids.push_back(each.id);
    table.fault("instrument", "\"" + one.instrument + "\"", fmt::format("one of {}", fmt::join(ids, ", ")),
                "See catalog/diagnosis/readings.toml");
  }
  if (const auto full = table.number("full_scale", units::Dimension::pressure_drop)) one.full_scale = *full;
  if (diagnosis::side_of(one.measure) == diagnosis::Side::supply) {
    one.temperature_K = table.number("fuel_temperature", units::Dimension::temperature);
    one.voltage_V = table.number("battery", units::Dimension::voltage);
    one.tank_level = table.number("tank_level", units::Dimension::ratio);
    if (one.tank_level && !(*one.tank_level >= 0.0 && *one.tank_level <= 1.0)) {
      table.fault("tank_level", fmt::format("{:g}", *one.tank_level), "0 to 1", "Write a share of the tank's height");
    }
  }
  if (one.measure == Measure::rail_crank || one.measure == Measure::injector_return ||
      one.measure == Measure::relief_return) {
    one.asked_Pa = table.number("asked", units::Dimension::gauge_pressure);
    if (one.asked_Pa && !(*one.asked_Pa > 0.0)) {
      table.fault("asked", "not above 0", "the rail pressure the controller asks for", "Leave it out if not known");
    }
  }
  if (one.measure == Measure::leak_down) {
    one.from_Pa = table.number("from", units::Dimension::gauge_pressure);
    one.to_Pa = table.number("to", units::Dimension::gauge_pressure);
    if (!one.from_Pa || !one.to_Pa || !(*one.from_Pa > *one.to_Pa && *one.to_Pa > 0.0)) {
      table.fault("", "no fall of pressure", "from and to, falling, above 0",
                  "Add from = \"30 MPa\" and to = \"10 MPa\"");
    }
  }
  one.person = table.text("person").value_or(std::string());
  one.time = table.text("time").value_or(std::string());
  one.note = table.text("note").value_or(std::string());
  return one;
}

/// A text in quotes that TOML reads back.
std::string quoted(std::string_view text) {
  std::string out = "\"";
  for (const char c : text) {
    if (c == '"' || c == '\\') {
      out += '\\';
      out += c;
    } else if (c == '\n') {
      out += "\\n";
    } else if (c == '\t') {
      out += "\\t";
    } else if (static_cast<unsigned char>(c) < 0x20 || c == 0x7F) {
      out += fmt::format("\\u{:04X}", static_cast<unsigned>(static_cast<unsigned char>(c)));
    } else {
      out += c;
    }
  }
  return out + "\"";
}

}  // namespace

Result<diagnosis::Facts> read_findings(std::string_view text, const std::string& file,
                                       const catalog::Catalog& catalog) {
  auto document = catalog::Document::parse(text, file, catalog.spreads);
  if (!document) return fail(document.error());
  document->demand_format();
  Table top = document->root();
  diagnosis::Facts facts;
  if (auto agreement = top.table("agreement_to_open_pump")) {
    facts.agreement = {.owner = agreement->truth("owner").value_or(false),
                       .payer = agreement->truth("payer").value_or(false),
                       .maker = agreement->truth("maker").value_or(false),
                       .date = agreement->text("date").value_or(std::string())};
    const bool any = facts.agreement.owner || facts.agreement.payer || facts.agreement.maker;
    if (any && facts.agreement.date.empty()) {
      agreement->fault("", "an agreement without its date", "the day it was given", "Add date = \"2026-05-04\"");
    }
  }
  if (auto release = top.table("release_others_work")) {
    facts.others_work_released = release->required_text("by", "who of this shop released it");
    const std::string date = release->required_text("date", "the day it was released");
    if (!facts.others_work_released.empty()) facts.others_work_released += ", " + date;
  }
  facts.tools_away = top.texts("tools_not_at_hand");
  std::set<std::string> seen;
  for (Table& row : top.tables("finding")) {
    diagnosis::Statement one = read_statement(row, catalog.diagnosis);
    if (!one.finding.empty() && !seen.insert(one.finding).second) {
      row.fault("id", "\"" + one.finding + "\" twice", "each finding once", "Keep the statement that holds");
    }
    facts.statements.push_back(std::move(one));
  }
  for (Table& row : top.tables("reading")) facts.readings.push_back(read_reading(row, catalog.diagnosis));
  if (const auto sound = document->finish(); !sound) return fail(sound.error());
  return facts;
}

std::string findings_text(const diagnosis::Facts& facts) {
  std::string text = "# SPDX-License-Identifier: Apache-2.0\nformat = 1\n";
  if (!facts.tools_away.empty()) {
    std::vector<std::string> tools;
    for (const std::string& tool : facts.tools_away) tools.push_back(quoted(tool));
    text += fmt::format("tools_not_at_hand = [{}]\n", fmt::join(tools, ", "));
  }
  const diagnosis::Agreement& agreed = facts.agreement;
  if (agreed.owner || agreed.payer || agreed.maker) {
    text += fmt::format("\n[agreement_to_open_pump]\nowner = {}\npayer = {}\nmaker = {}\ndate = {}\n", agreed.owner,
                        agreed.payer, agreed.maker, quoted(agreed.date));
  }
  if (const auto comma = facts.others_work_released.rfind(", "); comma != std::string::npos) {
    text += fmt::format("\n[release_others_work]\nby = {}\ndate = {}\n",
                        quoted(facts.others_work_released.substr(0, comma)),
                        quoted(facts.others_work_released.substr(comma + 2)));
  }
  for (const diagnosis::Statement& one : facts.statements) {
    text += fmt::format("\n[[finding]]\nid = {}\nseen = {}\n", quoted(one.finding), quoted(diagnosis::name(one.seen)));
    const auto put = [&](const char* key, const std::string& value) {
      if (!value.empty()) text += fmt::format("{} = {}\n", key, quoted(value));
    };
    put("grade", one.grade);
    put("person", one.person);
    put("time", one.time);
    put("photo", one.photo);
    put("clip", one.clip);
    put("note", one.note);
  }
  // Numbers are written in the SI unit of their dimension with every digit, so that they read back as they are.
  for (const diagnosis::Reading& one : facts.readings) {
    text += fmt::format("\n[[reading]]\nwhat = {}\n", quoted(diagnosis::name(one.measure)));
    const auto put = [&](const char* key, const std::string& value) {
      if (!value.empty()) text += fmt::format("{} = {}\n", key, quoted(value));
    };
    const auto number = [&](const char* key, const std::optional<double>& value, const char* unit) {
      if (value) text += fmt::format("{} = \"{} {}\"\n", key, *value, unit);
    };
    put("at", one.at);
    const bool high = diagnosis::side_of(one.measure) == diagnosis::Side::high_side;
    if (!high || one.measure == diagnosis::Measure::injector_return ||
        one.measure == diagnosis::Measure::relief_return) {
      put("engine", std::string(system::name(one.engine)));
    }
    put("value", one.typed);
    put("instrument", one.instrument);
    if (std::isfinite(one.full_scale)) number("full_scale", one.full_scale, "Pa");
    number("fuel_temperature", one.temperature_K, "K");
    number("battery", one.voltage_V, "V");
    if (one.tank_level) text += fmt::format("tank_level = \"{}\"\n", *one.tank_level);
    number("asked", one.asked_Pa, "Pa");
    number("from", one.from_Pa, "Pa");
    number("to", one.to_Pa, "Pa");
    put("person", one.person);
    put("time", one.time);
    put("note", one.note);
  }
  return text;
}

}  // namespace fw::casefile
