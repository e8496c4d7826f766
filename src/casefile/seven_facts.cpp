// SPDX-License-Identifier: Apache-2.0
#include "casefile/seven_facts.hpp"

#include <algorithm>
#include <array>
#include <optional>

#include <fmt/format.h>

#include "casefile/line_sheet_reader.hpp"
#include "casefile/sheet_sources.hpp"
#include "catalog/document.hpp"

namespace fw::casefile {

namespace {

using catalog::Catalog;
using catalog::Entry;
using catalog::EntryKind;
using system::LineSheet;
using system::Part;
using system::PartKind;

constexpr std::string_view shown = "seven facts";

/// Archetype of each layout whose engine is not told (layouts 2, the class each layout is drawn for).
std::string own_engine(std::string_view layout) {
  if (layout == "a") return "truck";
  if (layout == "b") return "v8s";
  if (layout == "c-high" || layout == "e3") return "v8";
  if (layout == "d") return "van";
  if (layout == "e1") return "v6";
  return "i6";
}

tl::unexpected<Errors> not_so(std::string field, std::string found, std::string expected, std::string hint) {
  return fail(Error{.code = ErrorCode::conflict,
                    .where = {.file = {}, .line = 0, .column = 0, .field = std::move(field)},
                    .found = std::move(found),
                    .expected = std::move(expected),
                    .hint = std::move(hint)});
}

std::string joined(const std::vector<std::string>& words) {
  std::string all;
  for (const std::string& one : words) all += (all.empty() ? "" : ", ") + one;
  return all;
}

/// Quotes a text for TOML. Facts are one line; what could leave the quotes is refused before.
std::string quoted(std::string_view text) { return fmt::format("\"{}\"", text); }

std::optional<Errors> unsafe(const char* field, std::string_view text) {
  for (const char c : text) {
    if (c == '"' || c == '\\' || static_cast<unsigned char>(c) < 0x20 || c == 0x7f) {
      return Errors(Error{.code = ErrorCode::invalid_input,
                          .where = {.file = {}, .line = 0, .column = 0, .field = field},
                          .found = "a text with quotes, backslashes or control characters",
                          .expected = "a plain text",
                          .hint = "Leave them out"});
    }
  }
  return std::nullopt;
}

/// The parts of the leg that ends at the engine and, before it, of those it is fed from, in the order of the flow.
std::vector<const Part*> supply_parts(const LineSheet& sheet) {
  std::vector<const Part*> parts;
  std::string end(system::engine_end);
  for (std::size_t turns = 0; turns < sheet.legs.size(); ++turns) {
    const auto leg = std::ranges::find(sheet.legs, end, &system::Leg::to);
    if (leg == sheet.legs.end()) break;
    std::vector<const Part*> own;
    for (const Part& part : leg->parts) own.push_back(&part);
    parts.insert(parts.begin(), own.begin(), own.end());
    end = leg->from;
  }
  return parts;
}

struct FilterWord {
  std::string_view word;
  std::string_view own_id;  ///< the layout's part that this word names first
  std::string_view keys;    ///< keys of a part that the layout has not
  std::string_view terminal_on_suction;
};
// Clean and terminal drops of the classes: part data 2, typical, no source.
constexpr std::array<FilterWord, 4> filter_words{{
    {"strainer", "strainer", "kind = \"strainer\"\nclean_drop = \"typical 0.5 kPa (0.2 to 1.5)\"\n", ""},
    {"coarse", "", "kind = \"filter\"\nclean_drop = \"typical 1.5 kPa (0.7 to 3)\"\nrating = \"typical 30 um\"\n",
     "terminal_drop = \"typical 20 kPa (10 to 25)\"\n"},
    {"separator", "separator",
     "kind = \"separator\"\nclean_drop = \"typical 3 kPa (1.5 to 6)\"\nrating = \"typical 10 um\"\n",
     "terminal_drop = \"typical 20 kPa (10 to 25)\"\n"},
    {"fine", "engine-filter",
     "kind = \"filter\"\nclean_drop = \"typical 5 kPa (2.5 to 12)\"\nrating = \"typical 5 um\"\n",
     "terminal_drop = \"typical 20 kPa (10 to 25)\"\n"},
}};

class Writer {
 public:
  Writer(const SevenFacts& facts, const Catalog& catalog) : facts_(facts), catalog_(catalog) {}

  Result<FactsSheet> run() {
    if (const auto sound = check_texts(); !sound) return fail(sound.error());
    if (facts_.layout.empty()) {
      return fail(Error{.code = ErrorCode::not_found,
                        .where = {.file = {}, .line = 0, .column = 0, .field = "layout"},
                        .found = "no layout",
                        .expected = "one of " + joined(catalog_.ids(EntryKind::layout)),
                        .hint = "Choose it by its drawing: fuelwright catalog"});
    }
    const auto layout = catalog_.require(EntryKind::layout, facts_.layout);
    if (!layout) return fail(layout.error().in_field("layout"));
    if (const auto done = engine(); !done) return fail(done.error());
    if (const auto done = climate(); !done) return fail(done.error());
    if (const auto done = assist(); !done) return fail(done.error());
    // What stands on the sheet so far decides where filters go and what can be bypassed.
    auto so_far = read();
    if (!so_far) return fail(so_far.error());
    if (const auto done = filters(*so_far); !done) return fail(done.error());
    hose(*so_far);
    if (const auto done = bypassed(*so_far); !done) return fail(done.error());
    auto sheet = read();
    if (!sheet) return fail(sheet.error());
    mark(*sheet);
    answer_.text = text();
    answer_.sheet = std::move(*sheet);
    return std::move(answer_);
  }

 private:
  Result<void> check_texts() {
    const std::array<std::pair<const char*, std::string_view>, 7> all{{{"layout", facts_.layout},
                                                                       {"engine", facts_.engine},
                                                                       {"rated_power", facts_.rated_power},
                                                                       {"assist", facts_.assist},
                                                                       {"assist_set", facts_.assist_set},
                                                                       {"main_hose", facts_.main_hose},
                                                                       {"climate", facts_.climate}}};
    for (const auto& [field, text] : all) {
      if (const auto bad = unsafe(field, text)) return fail(*bad);
    }
    if (!facts_.rated_power.empty()) {
      auto power = units::parse_stated(facts_.rated_power, units::Dimension::power, {.spreads = catalog_.spreads});
      if (!power) return fail(power.error().in_field("rated_power"));
      if (power->given()) power_ = *power;
    }
    if (!facts_.assist_set.empty()) {
      auto set =
          units::parse_stated(facts_.assist_set, units::Dimension::gauge_pressure, {.spreads = catalog_.spreads});
      if (!set) return fail(set.error().in_field("assist_set"));
      set_told_ = set->given();
    }
    if (!facts_.main_hose.empty()) {
      auto bore = units::looks_like_dash(facts_.main_hose)
                      ? units::parse_bore(facts_.main_hose, {.spreads = catalog_.spreads})
                      : units::parse_stated(facts_.main_hose, units::Dimension::bore, {.spreads = catalog_.spreads});
      if (!bore) return fail(bore.error().in_field("main_hose"));
      if (bore->given()) bore_ = *bore;
    }
    return {};
  }

  Result<void> engine() {
    const std::string id = facts_.engine.empty() ? own_engine(facts_.layout) : facts_.engine;
    const auto entry = catalog_.require(EntryKind::engine, id);
    if (!entry) return fail(entry.error().in_field("engine"));
    auto document = catalog::Document::parse((*entry)->text, (*entry)->file, catalog_.spreads);
    if (!document) return fail(document.error());
    catalog::Table table = *document->root().table("engine");
    const Stated per_litre = table.stated("power_per_litre", units::Dimension::power, "power_per_litre");
    std::string rows;
    if (!facts_.engine.empty()) {
      if (auto high = table.table("high_side")) {
        high_side_ = "\n[high_side]\n";
        for (const char* key : {"cylinders", "rails", "plungers"}) {
          if (const auto count = high->whole(key, 1, 24)) high_side_ += fmt::format("{} = {}\n", key, *count);
        }
      }
      if (auto sheet = table.table("sheet")) {
        for (const std::string& key : sheet->keys()) {
          if (power_ && (key == "rated_power" || key == "torque_peak_power" || key == "displacement")) continue;
          rows += fmt::format("{} = {}\n", key, quoted(sheet->text(key).value_or("?")));
        }
      }
    }
    if (power_) {
      rows += fmt::format("rated_power = {}\n", quoted(facts_.rated_power));
      if (per_litre.given()) {
        // Size of the archetype at this power; it sets the no-load consumption only.
        rows +=
            fmt::format("displacement = \"assumed {:.2f} L times/divided by 1.2\"\n", power_->value / per_litre.value);
      }
      changes_ += "\n[[change]]\nat = \"engine\"\nwithout = [\"torque_peak_power\"]\n";
    } else {
      if (facts_.engine.empty()) rows += "rated_power = \"?\"\n";
      answer_.taken.push_back(
          fmt::format("Rated power is not known: 0.8 to 1.2 of the archetype's ({}) stands in.", (*entry)->title));
    }
    engine_rows_ = "\n[engine]\n" + rows;
    return {};
  }

  Result<void> climate() {
    if (facts_.climate.empty()) {
      answer_.taken.emplace_back("The climate is not known: temperate stands in.");
    } else if (const auto known = supply::climate_named(facts_.climate)) {
      answer_.climate = *known;
    } else {
      return invalid("climate", quoted(facts_.climate), "arctic, cold, temperate, hot or tropical",
                     "Choose the word of the coldest start");
    }
    for (const catalog::ClimateWord& word : catalog_.climates) {
      if (word.id == supply::name(answer_.climate)) fuel_ = word.grade;
    }
    return {};
  }

  Result<void> assist() {
    if (facts_.assist.empty() && facts_.assist_set.empty()) {
      answer_.taken.emplace_back("Nothing is told of an assist pump: none is taken.");
      return {};
    }
    if (facts_.assist == "none") {
      if (!facts_.assist_set.empty()) {
        return not_so("assist_set", quoted(facts_.assist_set) + " without an assist pump", "one or the other",
                      "Name the form of the assist pump, g1 to g6");
      }
      return {};
    }
    std::string form = facts_.assist;
    if (form.empty()) {
      form = facts_.layout == "d" || facts_.layout.starts_with("e") ? "g5" : "g1";
      answer_.taken.push_back("How the assist pump is plumbed is not known: " + form + " stands in.");
    }
    const auto build = catalog_.require(EntryKind::build, form);
    if (!build) return fail(build.error().in_field("assist"));
    const auto& fits = (*build)->fits;
    const std::string base = facts_.layout.starts_with("f") ? "c-low" : facts_.layout;
    if (!fits.empty() && std::ranges::find(fits, base) == fits.end()) {
      return not_so("assist", fmt::format("{} ({}) on layout {}", form, (*build)->title, facts_.layout),
                    "a layout it is made for: " + joined(fits), "Choose another form, or another layout");
    }
    assisted_ = true;
    changes_ += fmt::format("\n[[change]]\nbuild = {}\n", quoted(form));
    if (set_told_) {
      changes_ += fmt::format("\n[[change]]\nat = \"assist-regulator\"\nset = {}\n", quoted(facts_.assist_set));
    } else if (form == "g6" || form == "g5") {
      changes_ += "\n[[change]]\nat = \"assist-regulator\"\nset = \"?\"\n";
      answer_.taken.emplace_back("The set of the assist pump is not known: that of its form stands in.");
    } else {
      changes_ += "\n[[change]]\nat = \"assist-regulator\"\nset = \"assumed 55 to 103 kPa\"\n";
      set_assumed_ = true;
      answer_.taken.emplace_back("The set of the assist pump is not known: 55 to 103 kPa stands in.");
    }
    return {};
  }

  Result<void> filters(const LineSheet& sheet) {
    if (facts_.filters.empty()) {
      answer_.taken.emplace_back("The filters are not told: those of the layout stand in.");
      return {};
    }
    std::vector<std::string> pumps;
    std::vector<std::string> left;  // filters of the layout that no word has named yet
    bool has_hose = false;
    for (const Part* part : supply_parts(sheet)) {
      if (part->kind == PartKind::pump && !part->bypassed) pumps.push_back(part->id);
      if (part->kind == PartKind::strainer || part->kind == PartKind::separator || part->kind == PartKind::filter) {
        left.push_back(part->id);
      }
      has_hose = has_hose || part->id == "engine-hose";
    }
    const auto told_pumps = static_cast<std::size_t>(std::ranges::count(facts_.filters, "pump"));
    if (told_pumps != pumps.size()) {
      return not_so("filters", fmt::format("{} with {} pump(s)", joined(facts_.filters), told_pumps),
                    fmt::format("{} pump(s), as layout and assist form have: {}", pumps.size(), joined(pumps)),
                    "Put the word pump where each pump stands in the flow");
    }
    const auto place = [&](std::size_t passed) {
      if (passed < pumps.size()) return fmt::format("before = {}\n", quoted(pumps[passed]));
      return std::string(has_hose ? "before = \"engine-hose\"\n" : "end_of = \"supply\"\n");
    };
    std::size_t passed = 0;
    std::string moves;
    int number = 0;
    for (const std::string& word : facts_.filters) {
      if (word == "pump") {
        ++passed;
        continue;
      }
      const auto known = std::ranges::find(filter_words, word, &FilterWord::word);
      if (known == filter_words.end()) {
        return invalid("filters", quoted(word), "strainer, coarse, separator, pump, fine", "Use these words, in order");
      }
      ++number;
      const auto own = std::ranges::find(left, known->own_id);
      if (own != left.end()) {
        left.erase(own);
        // A strainer stands at the mouth of the pickup already.
        if (word != "strainer")
          moves += fmt::format("\n[[change]]\nmove = {}\n{}", quoted(known->own_id), place(passed));
        continue;
      }
      moves += fmt::format("\n[[change]]\ninsert = \"told-{}-{}\"\n{}{}", number, word, place(passed), known->keys);
      moves += passed == 0 ? std::string(known->terminal_on_suction)
                           : std::string(word == "strainer" ? "" : "terminal_drop = \"typical 70 kPa (35 to 100)\"\n");
      moves += fmt::format("title = \"{} filter, told\"\nsource = \"part data 2, typical, no source\"\n", word);
    }
    for (const std::string& gone : left) moves += fmt::format("\n[[change]]\nremove = {}\n", quoted(gone));
    changes_ += moves;
    return {};
  }

  void hose(const LineSheet& sheet) {
    const std::vector<std::string> lines = assisted_ ? std::vector<std::string>{"assist-hose", "push-hose"}
                                                     : std::vector<std::string>{"suction-line", "pressure-line"};
    if (!bore_ && !assisted_) {
      answer_.taken.emplace_back("The main hose is not told: the lines of the layout stand in.");
      return;
    }
    if (!bore_) answer_.taken.emplace_back("The main hose is not told: 7.75 to 12.7 mm stands in.");
    for (const std::string& id : lines) {
      if (sheet.find_part(id) == nullptr) continue;
      if (bore_) {
        // Stems of J30 hose pass 0.74 to 0.81 of its bore (part data 3.2, typical).
        const double stem_mm = 0.78 * bore_->value * 1e3;
        changes_ +=
            fmt::format("\n[[change]]\nat = {}\nbore = {}\njoint_bore = \"typical {:.2f} mm ({:.2f} to {:.2f})\"\n",
                        quoted(id), quoted(facts_.main_hose), stem_mm, 0.92 * stem_mm, 1.05 * stem_mm);
      } else {
        changes_ += fmt::format("\n[[change]]\nat = {}\nbore = \"assumed 7.75 to 12.7 mm\"\n", quoted(id));
        bores_assumed_.push_back(id);
      }
    }
  }

  Result<void> bypassed(const LineSheet& sheet) {
    if (facts_.bypassed.empty()) answer_.taken.emplace_back("Nothing is told to be bypassed: nothing is.");
    for (const std::string& word : facts_.bypassed) {
      std::string id;
      if (word == "none") continue;
      if (word == "chassis pump") {
        id = "chassis-pump";
      } else if (word == "separator") {
        id = "separator";
      } else if (word == "engine filter") {
        id = "engine-filter";
      } else if (word == "heater") {
        answer_.taken.emplace_back("The layout has no heater row: a bypassed heater changes no pressure.");
        continue;
      } else if (word == "sensor") {
        for (const Part* part : supply_parts(sheet)) {
          if (id.empty() && part->medium && part->medium->sensor == system::WaterSensor::wired) id = part->id;
        }
        if (!id.empty()) changes_ += fmt::format("\n[[change]]\nat = {}\nwater_sensor = \"unplugged\"\n", quoted(id));
      } else {
        return invalid("bypassed", quoted(word), "none, chassis pump, separator, heater, engine filter, sensor",
                       "Use these words");
      }
      if (id.empty() || sheet.find_part(id) == nullptr) {
        return not_so("bypassed", quoted(word), "a part of layout " + facts_.layout, "Leave it out");
      }
      if (word == "sensor") continue;
      changes_ += fmt::format("\n[[change]]\nat = {}\nbypassed = true\n", quoted(id));
      if (word == "separator") changes_ += "water_sensor = \"unplugged\"\n";
    }
    return {};
  }

  [[nodiscard]] std::string text() const {
    return fmt::format("format = 1\nname = \"from seven facts\"\nfrom = \"layout:{}\"\nfuel = \"{}\"\n{}{}{}",
                       facts_.layout, fuel_, engine_rows_, high_side_, changes_);
  }

  [[nodiscard]] Result<LineSheet> read() const {
    return read_line_sheet(text(), std::string(shown), catalog_.spreads, sheet_sources(catalog_));
  }

  /// Numbers that stand in for a fact that nobody told are marked unknown, with their range alike all over.
  void mark(LineSheet& sheet) const {
    if (!power_) {
      Stated& power = sheet.engine.rated_power_W;
      power.unknown = true;
      power.source = SourceClass::assumed;
      power.spread = {.kind = SpreadKind::uniform, .low = 0.8 * power.value, .high = 1.2 * power.value};
    }
    for (system::Leg& leg : sheet.legs) {
      for (Part& part : leg.parts) {
        if (set_assumed_ && part.id == "assist-regulator") part.valve->crack_Pa.unknown = true;
        if (std::ranges::find(bores_assumed_, part.id) != bores_assumed_.end()) part.line->bore_m.unknown = true;
      }
    }
  }

  const SevenFacts& facts_;
  const Catalog& catalog_;
  FactsSheet answer_;
  std::optional<Stated> power_;
  std::optional<Stated> bore_;
  bool set_told_ = false;
  bool set_assumed_ = false;
  bool assisted_ = false;
  std::vector<std::string> bores_assumed_;
  std::string fuel_ = "d975_2d";
  std::string engine_rows_;
  std::string high_side_;
  std::string changes_;
};

}  // namespace

SevenFacts only_told(SevenFacts facts) {
  for (std::string* text : {&facts.layout, &facts.engine, &facts.rated_power, &facts.assist, &facts.assist_set,
                            &facts.main_hose, &facts.climate}) {
    if (*text == not_known) text->clear();
  }
  for (std::vector<std::string>* list : {&facts.filters, &facts.bypassed}) {
    if (list->size() == 1 && list->front() == not_known) list->clear();
  }
  return facts;
}

Result<FactsSheet> sheet_from_facts(const SevenFacts& facts, const Catalog& catalog) {
  const SevenFacts told = only_told(facts);
  return Writer(told, catalog).run();
}

}  // namespace fw::casefile
