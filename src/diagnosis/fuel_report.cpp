// SPDX-License-Identifier: Apache-2.0
#include "diagnosis/fuel_report.hpp"

#include <algorithm>
#include <array>
#include <cmath>

#include <fmt/format.h>

#include "base/input_check.hpp"
#include "fuel/fuel_text.hpp"
#include "fuel/limits.hpp"
#include "fuel/water_solubility.hpp"

namespace fw::diagnosis {

namespace {

using fuel::LimitedQuantity;
using units::Dimension;

constexpr double celsius(double t) { return t + 273.15; }
constexpr double mg = 1e-6;
constexpr double present = 0.1 * mg;  // of a metal; assumed

/// Limits that the fuel room does not hold, and how a test hangs together with its quantity there.
struct Extra {
  std::string_view standard;
  ReportTest test;
  double min, max;
  std::string_view source;
};
constexpr Extra extras[] = {
    {"en590", ReportTest::distilled_95, required, celsius(360.0), "EN 590, reproduced tables"},
    {"en590", ReportTest::oxidation_residue, required, 25e-3, "EN 590, reproduced tables"},
    {"en590", ReportTest::oxidation_time, 20.0 * 3600.0, required,
     "EN 590, where the ester is above 2 % (from memory)"},
};
constexpr Extra charter[] = {
    {"", ReportTest::particulate, required, 10e-6, "category 1, secondary source"},
    {"", ReportTest::lubricity, required, 400e-6, "from memory"},
    {"", ReportTest::water, required, 200e-6, "category 5, secondary source (from memory)"},
};
constexpr std::string_view charter_name = "Worldwide Fuel Charter, as supplied";
constexpr double charter_metal = 1e-6;

std::optional<LimitedQuantity> quantity_of(ReportTest test) {
  switch (test) {
    case ReportTest::water: return LimitedQuantity::water;
    case ReportTest::water_and_sediment: return LimitedQuantity::water_and_sediment;
    case ReportTest::particulate: return LimitedQuantity::total_contamination;
    case ReportTest::lubricity: return LimitedQuantity::lubricity_scar;
    case ReportTest::viscosity: return LimitedQuantity::kinematic_viscosity_40;
    case ReportTest::density: return LimitedQuantity::density_15;
    case ReportTest::distilled_90: return LimitedQuantity::distilled_90;
    case ReportTest::flash_point: return LimitedQuantity::flash_point;
    case ReportTest::ester: return LimitedQuantity::ester_volume;
    case ReportTest::sulfur: return LimitedQuantity::sulfur;
    case ReportTest::acid_number: return LimitedQuantity::acid_number;
    case ReportTest::cloud_point: return LimitedQuantity::cloud_point;
    case ReportTest::cfpp: return LimitedQuantity::cfpp;
    default: return std::nullopt;
  }
}

std::optional<double> bound(double value) { return std::isnan(value) ? std::nullopt : std::optional<double>(value); }

/// What a deviation points to, low and high (reference page, section 7; interpretation is common practice, no source).
struct Pointers {
  std::string_view low, high;
};
Pointers pointers_of(ReportTest test) {
  switch (test) {
    case ReportTest::water: return {"", "free water in the sample where it is above what the fuel holds"};
    case ReportTest::water_and_sediment: return {"", "water as a body, rust or sludge"};
    case ReportTest::particulate: return {"", "dirt or wear; mass without size: weigh the patch and look at it"};
    case ReportTest::lubricity:
      return {"", "no lubricity additive, petrol or kerosene; supports boundary wear as a cause, does not prove it"};
    case ReportTest::viscosity: return {"petrol or kerosene", "oil, heavy fuel or ester"};
    case ReportTest::density: return {"kerosene, petrol or paraffinic fuel", "ester or oil"};
    case ReportTest::distilled_10: return {"petrol", ""};
    case ReportTest::distilled_90:
    case ReportTest::distilled_95: return {"a lighter fuel", "oil or heavy fuel"};
    case ReportTest::flash_point: return {"petrol; it falls steeply at the first per cent", ""};
    case ReportTest::ester: return {"", "more ester than labelled: water uptake, deposits, microbes, weak separators"};
    case ReportTest::sulfur: return {"", "the wrong fuel, or oil"};
    case ReportTest::acid_number:
    case ReportTest::oxidation_residue: return {"", "aged ester, attack of copper and zinc, lacquer"};
    case ReportTest::oxidation_time: return {"aged ester, attack of copper and zinc, lacquer", ""};
    case ReportTest::cloud_point:
    case ReportTest::cfpp: return {"", "a summer grade: wax on the filters in cold"};
    case ReportTest::microbes: return {"", "growth: there is a water phase; counts are a trend, no acceptance limit"};
  }
  return {};
}

std::string standard_title(std::string_view id) {
  if (id == "d975_1d") return "ASTM D975 1-D";
  if (id == "d975_2d") return "ASTM D975 2-D";
  if (id == "en590") return "EN 590";
  if (id.starts_with("en590_arctic")) return fmt::format("EN 590 arctic class {}", id.back());
  if (id == "en14214") return "EN 14214";
  if (id == "d7467") return "ASTM D7467";
  if (id == "en15940") return "EN 15940";
  if (id == "jp8") return "MIL-DTL-83133";
  return std::string(id);
}

Result<void> check_report(const LabReport& report) {
  if (fuel::limits_of(report.standard).empty()) {
    return fail(Error{.code = ErrorCode::not_found,
                      .where = {.field = "standard"},
                      .found = "\"" + report.standard + "\"",
                      .expected = "d975_1d, d975_2d, en590, en590_arctic0 to 4, en14214, d7467, en15940 or jp8",
                      .hint = "Write the standard that the fuel was sold under"});
  }
  InputCheck check;
  check.that(!report.haze || (*report.haze >= 1 && *report.haze <= 6), "haze",
             fmt::format("{}", report.haze.value_or(0)), "a rating of 1 to 6 (ASTM D4176)");
  std::array<bool, report_test_count> seen{};
  for (const ReportValue& one : report.values) {
    const auto i = static_cast<std::size_t>(one.test);
    const std::string field(report_tests().at(i).key);
    check.that(!seen.at(i), field, "the test twice", "one result");
    check.non_negative(one.value.value, field);
    if (one.test == ReportTest::water_and_sediment || one.test == ReportTest::ester || one.test == ReportTest::water) {
      check.within(one.value.value, {.low = 0.0, .high = 1.0}, field);
    }
    if (one.test == ReportTest::density) check.within(one.value.value, {.low = 600.0, .high = 1100.0}, field);
    seen.at(i) = true;
  }
  for (const MetalValue& metal : report.metals)
    check.within(metal.value.value, {.low = 0.0, .high = 1.0}, metal.element);
  check.positive(report.sample_temperature_K, "sample_temperature");
  if (check.failed()) return check.fault();
  return {};
}

class Reader {
 public:
  explicit Reader(const LabReport& report) : report_(report) {}
  Result<FuelVerdict> run();

 private:
  Result<void> hold();
  void lines();
  void code_line();
  void appearance_line();
  void metal_lines();
  void readings();
  void metal_readings();
  void particle_readings();
  void provenance();

  [[nodiscard]] double of(ReportTest test) const {
    const Stated* value = value_of(report_, test);
    return value != nullptr ? value->value : required;
  }
  [[nodiscard]] bool above(ReportTest test, double bound) const {
    const Stated* value = value_of(report_, test);
    return value != nullptr && value->value > bound;
  }
  [[nodiscard]] bool below(ReportTest test, double bound) const {
    const Stated* value = value_of(report_, test);
    return value != nullptr && value->value < bound;
  }
  /// Beyond its limit downwards (-1), upwards (1), inside or not limited (0).
  [[nodiscard]] int beyond(ReportTest test) const;
  [[nodiscard]] double metal(std::string_view element) const {
    for (const MetalValue& one : report_.metals) {
      if (one.element == element) return one.value.value;
    }
    return 0.0;
  }
  [[nodiscard]] bool has(std::string_view element) const { return metal(element) >= present; }
  [[nodiscard]] bool wet() const {
    return free_ || report_.appearance == Appearance::layer || report_.appearance == Appearance::hazy ||
           report_.haze.value_or(1) > 2 || beyond(ReportTest::water_and_sediment) > 0;
  }
  void read(std::string title, std::vector<std::string> because, std::vector<std::string> causes) {
    if (because.empty()) return;
    out_.readings.push_back({.title = std::move(title),
                             .because = fmt::format("{}", fmt::join(because, "; ")),
                             .strength = because.size() > 1 ? "several tests agree" : "one test alone",
                             .causes = std::move(causes)});
  }

  const LabReport& report_;
  FuelVerdict out_;
  bool free_ = false;
};

int Reader::beyond(ReportTest test) const {
  const auto& key = report_tests().at(static_cast<std::size_t>(test)).key;
  for (const ReportLine& line : out_.lines) {
    if (line.key != key || line.outcome != ReportOutcome::beyond || !line.value) continue;
    for (const ReportLimit& limit : line.limits) {
      if (limit.standard == charter_name) continue;
      if (limit.min && *line.value < *limit.min) return -1;
      if (limit.max && *line.value > *limit.max) return 1;
    }
  }
  return 0;
}

/// What the fuel holds of water at the sample's temperature.
Result<void> Reader::hold() {
  std::string name = report_.fuel;
  if (name.empty()) {
    for (const std::string& grade : fuel::grade_ids()) {
      if (fuel::standard_of(grade) == report_.standard) name = grade;
    }
    const double ester = of(ReportTest::ester);
    if (!name.empty() && above(ReportTest::ester, 0.001) && below(ReportTest::ester, 0.999) && name != "fame_b100" &&
        name != "b20") {
      name = fmt::format("{} + {:.3f} % fame_b100", name, 100.0 * ester);
    }
  }
  if (name.empty()) return {};
  const auto fuel = fuel::fuel_of_text(name);
  if (!fuel) return fail(fuel.error());
  const auto held = fuel::water_solubility(*fuel, report_.sample_temperature_K);
  if (!held) return fail(held.error().in_field("sample_temperature"));
  out_.saturation = held->value;
  const double water = of(ReportTest::water);
  free_ = std::isfinite(water) && water > held->value;
  return {};
}

void Reader::lines() {
  for (const ReportTestFacts& facts : report_tests()) {
    const Stated* value = value_of(report_, facts.test);
    if (value == nullptr) continue;
    ReportLine line{.key = std::string(facts.key),
                    .title = std::string(facts.title),
                    .method = std::string(facts.method),
                    .value = value->value,
                    .dimension = facts.dimension};
    if (const auto quantity = quantity_of(facts.test)) {
      for (const fuel::Limit& limit : fuel::limits_of(report_.standard)) {
        // Classes and editions are choices of the seller: not judged.
        if (limit.quantity != *quantity || !limit.variant.empty()) continue;
        line.limits.push_back({.standard = standard_title(report_.standard),
                               .min = bound(limit.min),
                               .max = bound(limit.max),
                               .source = std::string(limit.source)});
      }
    }
    const auto add = [&](const Extra& extra, std::string_view standard) {
      line.limits.push_back({.standard = std::string(standard),
                             .min = bound(extra.min),
                             .max = bound(extra.max),
                             .source = std::string(extra.source)});
    };
    for (const Extra& extra : extras) {
      if (extra.test != facts.test || !std::string_view(report_.standard).starts_with(extra.standard)) continue;
      if (extra.test == ReportTest::oxidation_time && !above(ReportTest::ester, 0.02)) continue;
      add(extra, standard_title(report_.standard));
    }
    const std::size_t own = line.limits.size();
    for (const Extra& extra : charter) {
      if (extra.test == facts.test) add(extra, charter_name);
    }
    bool low = false;
    bool high = false;
    for (std::size_t i = 0; i < own; ++i) {
      low = low || (line.limits[i].min && *line.value < *line.limits[i].min);
      high = high || (line.limits[i].max && *line.value > *line.limits[i].max);
    }
    if (own > 0) line.outcome = low || high ? ReportOutcome::beyond : ReportOutcome::inside;
    const Pointers pointers = pointers_of(facts.test);
    if (low) line.points_to = pointers.low;
    if (high) line.points_to = pointers.high;
    if (facts.test == ReportTest::water && free_) line.points_to = pointers.high;
    out_.lines.push_back(std::move(line));
  }
}

void Reader::appearance_line() {
  if (report_.appearance == Appearance::not_stated && !report_.haze) return;
  static constexpr std::array<const char*, 4> words{"", "clear and bright", "hazy", "a layer at the bottom"};
  std::string text = words.at(static_cast<std::size_t>(report_.appearance));
  if (report_.haze) text += fmt::format("{}haze {} of 6", text.empty() ? "" : ", ", *report_.haze);
  const bool bad =
      report_.appearance == Appearance::hazy || report_.appearance == Appearance::layer || report_.haze.value_or(1) > 2;
  out_.lines.push_back({.key = "appearance",
                        .title = "appearance",
                        .method = "ASTM D4176",
                        .value = {},
                        .text = std::move(text),
                        .limits = {{.standard = "clear and bright", .min = {}, .max = {}, .source = "from memory"}},
                        .outcome = bad ? ReportOutcome::beyond : ReportOutcome::inside,
                        .points_to = bad ? "water, wax or growth" : ""});
}

void Reader::code_line() {
  if (!report_.particles) return;
  const debris::IsoCode target = debris::parse_code("18/16/13").value();
  ReportLine line{.key = "particle_count",
                  .title = "particle count, ISO 4406",
                  .method = "ASTM D7619, IP 565",
                  .value = {},
                  .text = debris::to_text(*report_.particles),
                  .limits = {{.standard = std::string(charter_name),
                              .min = {},
                              .max = {},
                              .source = "18/16/13, categories 2 to 4, secondary source"}}};
  // No fuel standard limits a count: the charter's code stands beside it.
  bool over = false;
  for (std::size_t i = 0; i < 3; ++i) {
    const debris::ScaleEntry& entry = report_.particles->entries[i];
    over = over || entry.state == debris::ScaleState::too_many || entry.state == debris::ScaleState::above_table ||
           (entry.state == debris::ScaleState::number && entry.number > target.entries[i].number);
  }
  if (over) line.points_to = "dirtier than the charter's 18/16/13 for fuel as supplied, before the vehicle's filters";
  out_.lines.push_back(std::move(line));
}

void Reader::metal_lines() {
  for (const MetalValue& one : report_.metals) {
    ReportLine line{.key = one.element,
                    .title = one.element,
                    .method = report_.metals_method.empty() ? "ASTM D7111" : report_.metals_method,
                    .value = one.value.value,
                    .dimension = Dimension::concentration_mass,
                    .limits = {{.standard = std::string(charter_name),
                                .min = {},
                                .max = charter_metal,
                                .source = "no metal above 1 mg/kg, secondary source"}}};
    if (one.value.value > charter_metal) line.points_to = "above 1 mg/kg, see the metals together";
    out_.lines.push_back(std::move(line));
  }
}

void Reader::readings() {
  const auto mgkg = [](double share) { return fmt::format("{:.0f} mg/kg", share / mg); };
  std::vector<std::string> water;
  if (free_) {
    water.push_back(fmt::format("water {}, of which this fuel holds {} at {:.0f} C", mgkg(of(ReportTest::water)),
                                mgkg(*out_.saturation), report_.sample_temperature_K - 273.15));
  }
  if (report_.appearance == Appearance::layer) water.emplace_back("a layer at the bottom");
  if (report_.appearance == Appearance::hazy) water.emplace_back("hazy");
  if (report_.haze.value_or(1) > 2) water.push_back(fmt::format("haze {}", *report_.haze));
  if (beyond(ReportTest::water_and_sediment) > 0) water.emplace_back("water and sediment over the limit");
  if (free_ || report_.appearance == Appearance::layer || beyond(ReportTest::water_and_sediment) > 0) {
    read("free water in the sample", std::move(water), {"C01"});
  }

  // Petrol lowers flash point first, then viscosity and density; kerosene lowers the last two and leaves flash above 38
  // C.
  const double flash = of(ReportTest::flash_point);
  std::vector<std::string> light;
  if (beyond(ReportTest::viscosity) < 0) light.emplace_back("viscosity below the limit");
  if (beyond(ReportTest::density) < 0) light.emplace_back("density below the limit");
  if (beyond(ReportTest::distilled_90) < 0) light.emplace_back("90 % distilled below the limit");
  const bool low_flash = beyond(ReportTest::flash_point) < 0;
  if (below(ReportTest::flash_point, celsius(38.0)) && low_flash) {
    light.insert(light.begin(), fmt::format("flash point {:.0f} C", flash - 273.15));
    if (below(ReportTest::distilled_10, celsius(180.0)))
      light.push_back(fmt::format("10 % distilled at {:.0f} C", of(ReportTest::distilled_10) - 273.15));
    read("petrol in the fuel", std::move(light), {"C03"});
  } else if (low_flash) {
    light.insert(light.begin(), fmt::format("flash point {:.0f} C", flash - 273.15));
    read("kerosene, or the first per cent of petrol", std::move(light), {"C03", "C05"});
  } else if (light.size() > 1) {
    read("kerosene or a lighter diesel", std::move(light), {"C05"});
  }

  std::vector<std::string> oil;
  if (beyond(ReportTest::viscosity) > 0) oil.emplace_back("viscosity above the limit");
  if (beyond(ReportTest::density) > 0) oil.emplace_back("density above the limit");
  if (beyond(ReportTest::distilled_90) > 0 || beyond(ReportTest::distilled_95) > 0) oil.emplace_back("heavy tail");
  if (beyond(ReportTest::sulfur) > 0) oil.emplace_back("sulfur above the limit");
  if (has("Ca") && has("Zn") && has("P")) oil.emplace_back("calcium, zinc and phosphorus");
  const bool ester_high = beyond(ReportTest::ester) > 0;
  if (!oil.empty() && !(ester_high && oil.size() == 1)) read("engine oil or heavy fuel", std::move(oil), {"C05"});

  std::vector<std::string> ester;
  if (ester_high) {
    ester.push_back(fmt::format("ester {:.1f} %", 100.0 * of(ReportTest::ester)));
    if (beyond(ReportTest::oxidation_time) < 0 || beyond(ReportTest::oxidation_residue) > 0)
      ester.emplace_back("ageing");
    if (beyond(ReportTest::viscosity) > 0) ester.emplace_back("viscosity above the limit");
    if (beyond(ReportTest::density) > 0) ester.emplace_back("density above the limit");
  }
  read("more ester than the standard allows", std::move(ester), {"C05"});

  std::vector<std::string> aged;
  if (beyond(ReportTest::acid_number) > 0) aged.emplace_back("acid number above the limit");
  if (beyond(ReportTest::oxidation_residue) > 0) aged.emplace_back("oxidation residue above the limit");
  if (beyond(ReportTest::oxidation_time) < 0) aged.emplace_back("short induction time");
  if (!aged.empty() && (has("Cu") || has("Zn"))) aged.emplace_back("copper or zinc, which speed ageing");
  read("aged fuel", std::move(aged), {"C27"});

  std::vector<std::string> growth;
  // 20 000 per litre: band of a trade organisation for aircraft tanks; no threshold exists for vehicles.
  if (above(ReportTest::microbes, 20000.0 * 1e3)) {
    growth.push_back(fmt::format("{:.0f} colonies per litre", of(ReportTest::microbes) / 1e3));
  }
  if (!growth.empty() && wet()) growth.emplace_back("a water phase, which growth needs");
  read("microbial growth", std::move(growth), {"C21"});

  if (beyond(ReportTest::lubricity) > 0) {
    std::vector<std::string> scar{fmt::format("scar {:.0f} um", of(ReportTest::lubricity) / 1e-6)};
    if (beyond(ReportTest::viscosity) < 0) scar.emplace_back("viscosity below the limit");
    if (low_flash) scar.emplace_back("flash point below the limit");
    read("low lubricity", std::move(scar), {"C02"});
  }
  particle_readings();
  metal_readings();
}

void Reader::particle_readings() {
  std::vector<std::string> dirt;
  if (beyond(ReportTest::particulate) > 0) {
    dirt.push_back(fmt::format("particles {:.0f} mg/kg", of(ReportTest::particulate) / mg));
  }
  if (report_.particles) {
    const auto& entries = report_.particles->entries;
    const auto over = [&](std::size_t i, int number) {
      return entries[i].state == debris::ScaleState::number && entries[i].number > number;
    };
    if (over(2, 13)) {
      dirt.push_back(fmt::format("code {}: many from 14 um(c): shedding, tank dirt or bad sampling",
                                 debris::to_text(*report_.particles)));
    } else if (over(0, 18)) {
      dirt.push_back(fmt::format("code {}: many from 4, few from 14 um(c): fine abrasive, or water",
                                 debris::to_text(*report_.particles)));
    }
    const auto note = debris::water_note(wet() ? debris::Wetness::wet
                                         : out_.saturation && value_of(report_, ReportTest::water) != nullptr
                                             ? debris::Wetness::dry
                                             : debris::Wetness::not_stated);
    if (!note.empty()) out_.notes.emplace_back(note);
  }
  read("dirt in the fuel", std::move(dirt), {"C10"});
}

/// Fingerprints of the reference page (largely common practice, no source). They name likely origins.
void Reader::metal_readings() {
  const double iron = metal("Fe");
  const double chromium = metal("Cr");
  const auto two = [](double a, double b) { return fmt::format("{:.0f}:{:.0f}", a, b); };
  if (has("Fe") && chromium > 0.0 && has("Ni") && iron / chromium > 2.5 && iron / chromium < 6.0) {
    read("stainless steel: line, tank or screen", {fmt::format("Fe:Cr {} with Ni", two(iron / chromium, 1.0))},
         {"C10"});
  } else if (has("Fe") && chromium > 0.0 && iron / chromium >= 30.0 && iron / chromium <= 130.0) {
    read("bearing steel: roller, tappet, cam, plunger or bearing",
         {fmt::format("Fe:Cr {} (about 65:1 in steel of 1.5 % chromium)", two(iron / chromium, 1.0))}, {"C11", "C18"});
  } else if (has("Fe") && chromium <= iron / 200.0) {
    read("rust of tank, line or dispenser, if the patch is orange or black", {"iron without chromium"}, {"C01", "C10"});
  }
  if (has("Al") && has("Si")) {
    std::vector<std::string> soil{"aluminium with silicon"};
    if (has("Ca") || has("K") || has("Mg")) soil.emplace_back("calcium, potassium or magnesium");
    read("soil dust, or catalyst of a refinery where the two are equal and grains are round", std::move(soil), {"C10"});
  } else if (has("Al")) {
    read("aluminium of a pump housing, regulator, cooler or tank", {"aluminium without silicon"}, {"C13"});
  } else if (has("Si")) {
    read("sealant, antifoam or sand", {"silicon alone"}, {"C27"});
  }
  if ((has("Cu") || has("Zn")) && !(has("Ca") && has("P"))) {
    read("brass, heat exchanger or galvanised parts; both speed ageing", {"copper or zinc"}, {"C27"});
  }
  if (has("Na") && (has("Cl") || has("Mg"))) {
    read("salt water", {"sodium with chlorine or magnesium"}, {"C01"});
  } else if (has("Na") || (has("K") && !has("Si"))) {
    read("catalyst of ester, soaps or corrosion inhibitor: deposits in injectors", {"sodium or potassium alone"},
         {"C05"});
  }
  if (has("Pb") || has("Sn")) read("solder or a terne tank", {"lead or tin"}, {"C27"});
  if (has("W") || has("Mo")) read("a coating of injector or pump parts", {"tungsten or molybdenum"}, {"C18"});
  if (!report_.metals.empty()) {
    out_.notes.emplace_back(
        "A metal analysis loses particles above a few um: a clean one does not exclude chips. Filter the sample and "
        "look "
        "at the patch, or have it digested.");
    if (report_.metals_method.find("5185") != std::string::npos) {
      out_.notes.emplace_back("D5185 is a method for lubricants; D7111 is the one for middle distillates.");
    }
  }
}

void Reader::provenance() {
  const Provenance& s = report_.sample;
  const auto gap = [&](bool lacks, const char* text) {
    if (lacks) out_.gaps.emplace_back(text);
  };
  gap(s.place == SamplePlace::not_stated, "where the sample was taken is not stated");
  gap(s.taken.empty(), "when it was taken is not stated");
  gap(s.person.empty(), "who took it is not stated");
  gap(s.container == Container::not_stated, "what it was taken in is not stated");
  gap(s.container == Container::other || s.container == Container::clean_jar,
      "the container was no bottle certified clean: particle counts and metals are upper bounds");
  gap(!s.duplicate, "whether a duplicate is kept sealed is not stated");
  gap(s.duplicate && !*s.duplicate, "no duplicate is kept: the other side cannot have its own test");
  gap(s.seal.empty(), "no seal number");
  gap(report_.particles && s.flushed.has_value() && !*s.flushed,
      "the tap was not flushed before: counts are upper bounds");
  gap(report_.particles && s.counted_within_s.value_or(0.0) > 24.0 * 3600.0,
      "particles were counted over a day after sampling: they agglomerate and settle");
  switch (s.place) {
    case SamplePlace::tank_bottom:
      out_.notes.emplace_back("Taken low in the tank: the worst of the tank, not what the engine was fed.");
      break;
    case SamplePlace::filter_bowl:
      out_.notes.emplace_back("Taken from a bowl: it collects, so it says what came, not how much at a time.");
      break;
    case SamplePlace::dispenser:
    case SamplePlace::drum:
      out_.notes.emplace_back("Taken at the source: it says what is sold there now, not what was filled then.");
      break;
    default: break;
  }
}

Result<FuelVerdict> Reader::run() {
  if (const auto good = check_report(report_); !good) return fail(good.error());
  if (const auto good = hold(); !good) return fail(good.error());
  lines();
  appearance_line();
  code_line();
  metal_lines();
  readings();
  provenance();
  const auto lacks = [&](ReportTest test) { return value_of(report_, test) == nullptr; };
  const auto miss = [&](bool lacking, const char* text) {
    if (lacking) out_.missing.emplace_back(text);
  };
  miss(lacks(ReportTest::water), "water by Karl Fischer: without it a particle code may count drops");
  miss(lacks(ReportTest::flash_point), "flash point: the first per cent of petrol shows there");
  miss(lacks(ReportTest::lubricity), "lubricity (HFRR): without it low lubricity is neither shown nor excluded");
  miss(!report_.particles && lacks(ReportTest::particulate), "particles by mass or count");
  miss(report_.metals.empty(), "metals: they tell rust, soil, bearing steel and salt water apart");
  return out_;
}

}  // namespace

const std::vector<ReportTestFacts>& report_tests() {
  static const std::vector<ReportTestFacts> all{
      {ReportTest::water, "water", "water, Karl Fischer", "ASTM D6304, EN ISO 12937", Dimension::concentration_mass},
      {ReportTest::water_and_sediment, "water_and_sediment", "water and sediment", "ASTM D2709", Dimension::ratio},
      {ReportTest::particulate, "particulate", "particles by mass", "ASTM D6217, EN 12662",
       Dimension::concentration_mass},
      {ReportTest::lubricity, "lubricity", "lubricity, HFRR scar", "ASTM D6079, D7688, ISO 12156-1", Dimension::length},
      {ReportTest::viscosity, "viscosity", "viscosity at 40 C", "ASTM D445", Dimension::kinematic_viscosity},
      {ReportTest::density, "density", "density at 15 C", "ASTM D4052", Dimension::density},
      {ReportTest::distilled_10, "distilled_10", "10 % distilled", "ASTM D86", Dimension::temperature},
      {ReportTest::distilled_90, "distilled_90", "90 % distilled", "ASTM D86", Dimension::temperature},
      {ReportTest::distilled_95, "distilled_95", "95 % distilled", "ASTM D86", Dimension::temperature},
      {ReportTest::flash_point, "flash_point", "flash point", "ASTM D93", Dimension::temperature},
      {ReportTest::ester, "ester", "ester (FAME)", "ASTM D7371, EN 14078", Dimension::ratio},
      {ReportTest::sulfur, "sulfur", "sulfur", "ASTM D5453", Dimension::concentration_mass},
      {ReportTest::acid_number, "acid_number", "acid number, as KOH", "ASTM D664", Dimension::concentration_mass},
      {ReportTest::oxidation_residue, "oxidation_residue", "oxidation residue", "EN ISO 12205",
       Dimension::concentration_volume},
      {ReportTest::oxidation_time, "oxidation_time", "oxidation induction time", "EN 15751", Dimension::time},
      {ReportTest::cloud_point, "cloud_point", "cloud point", "ASTM D2500", Dimension::temperature},
      {ReportTest::cfpp, "cfpp", "filter plugging point", "EN 116", Dimension::temperature},
      {ReportTest::microbes, "microbes", "microbes, colonies", "ASTM D6974, D7978", Dimension::ratio}};
  return all;
}

const std::vector<std::string>& report_elements() {
  static const std::vector<std::string> all{"Fe", "Cr", "Ni", "Al", "Si", "Ca", "K", "Mg", "Cu",
                                            "Zn", "Na", "Cl", "P",  "Pb", "Sn", "W", "Mo"};
  return all;
}

const Stated* value_of(const LabReport& report, ReportTest test) {
  const auto found = std::ranges::find(report.values, test, &ReportValue::test);
  return found == report.values.end() ? nullptr : &found->value;
}

system::FuelReport for_line_sheet(const LabReport& report) {
  system::FuelReport out{.origin = report.origin, .title = report.title};
  const auto take = [&](ReportTest test, const char* id) -> std::optional<Stated> {
    const Stated* value = value_of(report, test);
    if (value == nullptr) return std::nullopt;
    Stated taken = *value;
    taken.id = id;
    return taken;
  };
  out.density_15C_kg_per_m3 = take(ReportTest::density, "fuel_report.density");
  out.viscosity_40C_m2_per_s = take(ReportTest::viscosity, "fuel_report.viscosity");
  out.cloud_point_K = take(ReportTest::cloud_point, "fuel_report.cloud_point");
  out.cfpp_K = take(ReportTest::cfpp, "fuel_report.cfpp");
  return out;
}

Result<FuelVerdict> read_together(const LabReport& report) { return Reader(report).run(); }

}  // namespace fw::diagnosis
