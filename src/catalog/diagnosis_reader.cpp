// SPDX-License-Identifier: Apache-2.0
#include "catalog/diagnosis_reader.hpp"

#include <algorithm>
#include <charconv>
#include <utility>

#include <fmt/format.h>

#include "system/planted_fault.hpp"

namespace fw::catalog {

namespace {

using Dim = units::Dimension;
constexpr const char* source_hint = "where it comes from, or \"judgement, no source\"";

template <class Row>
void put(std::vector<Row>& rows, Row row) {
  const auto old = std::find_if(rows.begin(), rows.end(), [&](const Row& one) { return one.id == row.id; });
  if (old == rows.end()) {
    rows.push_back(std::move(row));
  } else {
    *old = std::move(row);
  }
}

void read_numbers(Table& table, diagnosis::Numbers& numbers) {
  (void)table.required_text("source", source_hint);
  const auto take = [&](const char* key, Stated& into) {
    if (auto stated = table.optional_stated(key, Dim::ratio, std::string("diagnosis.") + key))
      into = std::move(*stated);
  };
  take("absent_rate", numbers.absent_rate);
  take("weak", numbers.weak);
  take("moderate", numbers.moderate);
  take("strong", numbers.strong);
  take("complaint_rate", numbers.complaint_rate);
  take("not_listed", numbers.not_listed);
  take("leading", numbers.leading);
  take("times_next", numbers.times_next);
  take("near_certain", numbers.near_certain);
  take("shed_likely", numbers.shed_likely);
  take("wrong_fluid_suspected", numbers.wrong_fluid_suspected);
}

diagnosis::MechanismRow read_mechanism(Table& table) {
  diagnosis::MechanismRow row;
  row.id = table.required_text("id", "an id, e.g. \"low-inlet\"");
  row.title = table.required_text("title", "what happens, in words");
  row.source = table.required_text("source", source_hint);
  row.state = table.truth("state").value_or(false);
  row.absent_rate = table.stated("absent_rate", Dim::ratio, "diagnosis." + row.id + ".absent_rate");
  if (auto links = table.table("links")) {
    for (const std::string& key : links->keys()) {
      if (key == "source") continue;
      row.links.emplace_back(key, links->stated(key, Dim::ratio, "diagnosis." + row.id + "." + key));
    }
  }
  return row;
}

/// "C06 +3 -2": target, mark on presence, mark on absence; "C04 absent -1" is a mark on absence alone.
std::optional<diagnosis::Mark> mark_of(const std::string& text) {
  std::vector<std::string> words;
  for (std::size_t at = 0; at < text.size();) {
    const std::size_t end = std::min(text.find(' ', at), text.size());
    if (end > at) words.push_back(text.substr(at, end - at));
    at = end + 1;
  }
  const auto number = [](const std::string& word) -> std::optional<int> {
    const char* first = word.data() + (word.starts_with('+') ? 1 : 0);
    int value = 0;
    const auto [end, fault] = std::from_chars(first, word.data() + word.size(), value);
    if (fault != std::errc{} || end != word.data() + word.size() || value < -3 || value > 3) return std::nullopt;
    return value;
  };
  if (words.size() < 2 || words.size() > 3) return std::nullopt;
  diagnosis::Mark mark{.target = words[0], .present = 0, .absent = 0};
  if (words[1] != "absent") {
    const auto present = number(words[1]);
    if (!present) return std::nullopt;
    mark.present = *present;
  } else if (words.size() != 3) {
    return std::nullopt;
  }
  if (words.size() == 3) {
    const auto absent = number(words[2]);
    if (!absent) return std::nullopt;
    mark.absent = *absent;
  }
  return mark;
}

diagnosis::FindingRow read_finding(Table& table) {
  diagnosis::FindingRow row;
  row.id = table.required_text("id", "an id, e.g. \"E46\"");
  row.title = table.required_text("title", "what was found, in words");
  row.how = table.required_text("how", "how it is looked for");
  row.source = table.required_text("source", source_hint);
  row.tool = table.text("tool").value_or(std::string());
  if (const auto step = table.choice("step", {"ask", "look", "sample", "measure", "open"})) {
    row.step = static_cast<diagnosis::Step>(*step);
  } else if (!table.has("step")) {
    table.fault("step", "nothing", "ask, look, sample, measure or open", "Say what kind of work it is");
  }
  row.minutes_s = table.stated("minutes", Dim::time, "diagnosis." + row.id + ".minutes");
  row.wait_s = table.optional_stated("wait", Dim::time, "diagnosis." + row.id + ".wait");
  row.fee_s = table.optional_stated("fee", Dim::time, "diagnosis." + row.id + ".fee");
  row.invasive = table.whole("invasive", 0, 3).value_or(0);
  for (const std::string& text : table.texts("marks")) {
    if (auto mark = mark_of(text)) {
      row.marks.push_back(std::move(*mark));
    } else {
      table.fault("marks", "\"" + text + "\"", "an id and a mark from -3 to +3, and if wanted one for absence",
                  "Write for example \"C06 +3 -2\"");
    }
  }
  row.grades_of = table.text("grades_of").value_or(std::string());
  for (Table& grade : table.tables("grade")) {
    row.grades.push_back({grade.required_text("title", "the grade in words"), grade.whole("mark", 1, 3).value_or(1)});
  }
  row.crank = table.truth("crank").value_or(false);
  row.key_on = table.truth("key_on").value_or(false);
  row.after_sample = table.truth("after_sample").value_or(false);
  row.running = table.truth("running").value_or(false);
  if (const auto opens = table.choice("opens", {"nothing", "line", "filter", "tank", "high-side", "pump"})) {
    row.opens = static_cast<diagnosis::Opens>(*opens);
  }
  if (const auto gives =
          table.choice("gives", {"nothing", "jar", "magnet", "fluid-look", "low-point-sample", "clean-sample"})) {
    row.gives = static_cast<diagnosis::Gives>(*gives);
  }
  row.reading = table.text("reading").value_or(std::string());
  row.reading_load = table.truth("reading_under_load").value_or(false);
  row.needs_water_sensor = table.truth("needs_water_sensor").value_or(false);
  row.shows_no_sensor = table.truth("shows_no_water_sensor").value_or(false);
  return row;
}

diagnosis::PlantedRow read_planted(Table& table) {
  diagnosis::PlantedRow row;
  row.fault = table.required_text("fault", "the id of a planted fault, e.g. \"plugged-filter\"");
  if (const auto side = table.choice("side", {"supply", "high-side"})) row.side = static_cast<diagnosis::Side>(*side);
  row.target = table.required_text("target", "a cause or mechanism, e.g. \"C08\"");
  row.source = table.required_text("source", source_hint);
  const std::string id = fmt::format("planted.{}.{}", row.fault, row.target);
  row.share = table.stated("share", Dim::ratio, id + ".share");
  const auto dimension = diagnosis::amount_dimension(row.side, row.fault);
  const bool known =
      row.side == diagnosis::Side::supply ? system::fault_kind_named(row.fault).has_value() : dimension.has_value();
  if (!known && !row.fault.empty()) {
    std::vector<std::string> ids;
    if (row.side == diagnosis::Side::supply) {
      for (const auto& kind : system::fault_kinds()) ids.emplace_back(kind.id);
    } else {
      for (const auto& fault : diagnosis::high_side_faults()) ids.emplace_back(fault.id);
    }
    table.fault("fault", "\"" + row.fault + "\"", fmt::format("one of {}", fmt::join(ids, ", ")), "Check the id");
  }
  if (dimension) {
    row.amount = table.optional_stated("amount", *dimension, id + ".amount");
    if (!row.amount) table.fault("", "no amount", "how bad it is", "Write amount = \"assumed log 2 to 200\"");
  }
  return row;
}

diagnosis::InstrumentRow read_instrument(Table& table) {
  diagnosis::InstrumentRow row;
  row.id = table.required_text("id", "the instrument's name");
  row.source = table.required_text("source", source_hint);
  const auto error = [&](const char* key, Dim dimension) {
    const auto stated = table.optional_stated(key, dimension, "instrument." + row.id + "." + key);
    return stated ? stated->value : 0.0;
  };
  row.of_full_scale = error("of_full_scale", Dim::ratio);
  row.of_reading = error("of_reading", Dim::ratio);
  int fixed = 0;
  for (const auto& [key, dimension] :
       {std::pair{"plus_pressure", Dim::pressure_drop}, std::pair{"plus_flow", Dim::volume_flow},
        std::pair{"plus_current", Dim::current}, std::pair{"plus_voltage", Dim::voltage},
        std::pair{"plus_time", Dim::time}}) {
    if (!table.has(key)) continue;
    row.plus = error(key, dimension);
    if (++fixed > 1) table.fault(key, "a second fixed error", "one", "An instrument measures one kind of thing");
  }
  if (!(row.of_full_scale >= 0.0) || !(row.of_reading >= 0.0) || !(row.plus >= 0.0) ||
      !(row.of_full_scale + row.of_reading + row.plus > 0.0)) {
    table.fault("", "no error", "an error above 0", "Write of_reading = \"assumed 2 %\", of_full_scale or plus_...");
  }
  return row;
}

void read_reading_numbers(Table& table, diagnosis::ReadingNumbers& numbers) {
  (void)table.required_text("source", source_hint);
  const auto take = [&](const char* key, Dim dimension, Stated& into) {
    if (auto stated = table.optional_stated(key, dimension, std::string("reading.") + key)) into = std::move(*stated);
  };
  take("discrepancy", Dim::ratio, numbers.discrepancy);
  take("lapse", Dim::ratio, numbers.lapse);
  take("fuel_temperature", Dim::temperature, numbers.fuel_temperature_K);
  take("tank_level", Dim::ratio, numbers.tank_level);
  take("filter_loading", Dim::ratio, numbers.filter_loading);
  take("injector_leak", Dim::ratio, numbers.injector_leak);
  take("injector_leak_each", Dim::ratio, numbers.injector_leak_each);
  take("plunger_clearance", Dim::ratio, numbers.plunger_clearance);
  take("rail_volume", Dim::ratio, numbers.rail_volume);
  take("crank_speed", Dim::ratio, numbers.crank_speed);
}

}  // namespace

Result<void> read_diagnosis(Document& document, diagnosis::Tables& tables) {
  Table top = document.root();
  diagnosis::Tables read = tables;
  if (auto numbers = top.table("numbers")) read_numbers(*numbers, read.numbers);
  for (Table& table : top.tables("group")) {
    diagnosis::GroupRow row;
    row.id = table.required_text("id", "an id");
    row.title = table.required_text("title", "the group in words");
    row.others_work = table.truth("others_work").value_or(false);
    row.source = table.required_text("source", source_hint);
    put(read.groups, std::move(row));
  }
  for (Table& table : top.tables("cause")) {
    diagnosis::CauseRow row;
    row.id = table.required_text("id", "an id, e.g. \"C01\"");
    row.title = table.required_text("title", "the cause in words");
    // Absent or empty: the cause not listed.
    row.group = table.text("group").value_or(std::string{});
    row.mechanism = table.required_text("mechanism", "what it does");
    row.prevention = table.required_text("prevention", "what keeps it from happening again");
    row.source = table.required_text("source", source_hint);
    row.wrong_fluid = table.truth("wrong_fluid").value_or(false);
    put(read.causes, std::move(row));
  }
  for (Table& table : top.tables("mechanism")) put(read.mechanisms, read_mechanism(table));
  for (Table& table : top.tables("finding")) put(read.findings, read_finding(table));
  if (auto numbers = top.table("readings")) read_reading_numbers(*numbers, read.readings);
  for (Table& table : top.tables("instrument")) put(read.instruments, read_instrument(table));
  for (Table& table : top.tables("planted")) {
    diagnosis::PlantedRow row = read_planted(table);
    const auto old = std::find_if(read.planted.begin(), read.planted.end(), [&](const diagnosis::PlantedRow& one) {
      return one.side == row.side && one.fault == row.fault && one.target == row.target;
    });
    if (old == read.planted.end()) {
      read.planted.push_back(std::move(row));
    } else {
      *old = std::move(row);
    }
  }
  if (const auto sound = document.finish(); !sound) return fail(sound.error());
  tables = std::move(read);
  return {};
}

Result<void> read_losses(Document& document, diagnosis::Losses& losses) {
  Table top = document.root();
  diagnosis::Losses read = losses;
  for (Table& table : top.tables("decision")) {
    diagnosis::Decision decision;
    decision.id = table.required_text("id", "an id");
    decision.title = table.required_text("title", "what is decided, in words");
    (void)table.required_text("source", source_hint);
    for (Table& row : table.tables("option")) {
      diagnosis::Option option;
      option.id = row.required_text("id", "an id");
      option.title = row.required_text("title", "the option in words");
      const std::string field = "diagnosis." + decision.id + "." + option.id;
      const Stated hours = row.stated("hours", Dim::time, field);
      option.cost_s = hours.value;
      option.cost_spread = hours.spread;
      if (!(option.cost_s >= 0.0)) row.fault("", "no hours", "a time", "Write hours = \"typical 7 h\"");
      if (auto miss = row.table("miss")) {
        for (const std::string& key : miss->keys()) {
          if (key == "source") continue;
          const Stated loss = miss->stated(key, Dim::time, field + "." + key);
          option.miss_s.emplace_back(key, loss.value);
          option.miss_spreads.push_back(loss.spread);
        }
      }
      decision.options.push_back(std::move(option));
    }
    put(read.decisions, std::move(decision));
  }
  if (auto treatment = top.table("treatment")) {
    (void)treatment->required_text("source", source_hint);
    read.treatment_s = treatment->stated("hours", Dim::time, "diagnosis.treatment.hours");
    read.missed_s = treatment->stated("missed", Dim::time, "diagnosis.treatment.missed");
    if (auto again = treatment->optional_stated("again", Dim::ratio, "diagnosis.treatment.again")) {
      if (!(again->value > 0.0) || !(again->value < 1.0)) {
        treatment->fault("again", fmt::format("{}", again->value), "a chance between 0 and 1",
                         "Write \"assumed 50 %\"");
      }
      read.again = std::move(*again);
    }
  }
  if (auto verification = top.table("verification")) {
    (void)verification->required_text("source", source_hint);
    read.verify_s = verification->stated("hours", Dim::time, "diagnosis.verification.hours");
  }
  if (const auto sound = document.finish(); !sound) return fail(sound.error());
  losses = std::move(read);
  return {};
}

void complete_losses(const diagnosis::Tables& tables, diagnosis::Losses& losses) {
  for (const diagnosis::CauseRow& cause : tables.causes) {
    if (cause.id == diagnosis::not_listed_id) continue;
    const std::string id = "treat-" + cause.id;
    const auto own = std::find_if(losses.decisions.begin(), losses.decisions.end(),
                                  [&](const diagnosis::Decision& one) { return one.id == id; });
    diagnosis::Decision decision{.id = id,
                                 .title = cause.title,
                                 .options = {{.id = "leave",
                                              .title = "leave it",
                                              .cost_s = 0.0,
                                              .miss_s = {{cause.id, losses.missed_s.value}},
                                              .labour_s = {},
                                              .cost_spread = {},
                                              .miss_spreads = {losses.missed_s.spread}},
                                             {.id = "treat",
                                              .title = cause.prevention,
                                              .cost_s = losses.treatment_s.value,
                                              .miss_s = {},
                                              .labour_s = {},
                                              .cost_spread = losses.treatment_s.spread,
                                              .miss_spreads = {}}},
                                 .from_treatment = true};
    if (own == losses.decisions.end()) {
      losses.decisions.push_back(std::move(decision));
    } else if (own->from_treatment) {
      *own = std::move(decision);
    }
  }
}

}  // namespace fw::catalog
