// SPDX-License-Identifier: Apache-2.0
#include "fuel/grades.hpp"

#include <algorithm>
#include <array>
#include <charconv>
#include <numeric>
#include <utility>

#include <fmt/format.h>

#include "fuel/fuel.hpp"

namespace fw::fuel {

namespace {

constexpr double unstated = required;
constexpr double celsius(double value) { return value + 273.15; }

struct Fact {
  double value = unstated;
  Mark mark = Mark::from_memory;
  std::string_view source = "typical value, from memory";
};

struct Row {
  std::string_view id;
  std::string_view title;
  Family family;
  std::string_view source;
  Fact density_15C;
  Fact viscosity_40C;
  Fact slope;
  Fact cloud_point;
  Fact cfpp;
  Fact flash_point;
  Fact cetane;
  Fact heating_value;
  Fact vapour_intercept;
  Fact vapour_slope_rankine;
  bool vapour_stand_in;
  Fact molar_mass;
  bool freezing_point_for_cloud;
};

constexpr std::string_view ap42 = "US EPA AP-42 ch. 7.1, table 7.1-2";
constexpr std::string_view no2_stands_in = "US EPA AP-42 ch. 7.1, table 7.1-2: No. 2 distillate stands in";
constexpr std::string_view d4868 = "ASTM D4868 from the density (constants from memory)";
constexpr std::string_view iso4113 = "middle of the ISO 4113:2010 limits (KS R ISO 4113:2012)";
constexpr std::string_view supplier = "supplier sheets of paraffinic diesel";
constexpr std::string_view heptane = "n-heptane stands in (0.74, 0.60, 0.51 mm2/s at 0, 20, 40 C; open fluid table)";

constexpr Fact remembered(double value) { return {.value = value}; }
constexpr Fact published(double value, std::string_view source) {
  return {.value = value, .mark = Mark::published, .source = source};
}
constexpr Fact derived(double value, std::string_view source) {
  return {.value = value, .mark = Mark::derived, .source = source};
}
constexpr Fact estimated(double value, std::string_view source) {
  return {.value = value, .mark = Mark::estimate, .source = source};
}
constexpr Fact none{.value = unstated, .mark = Mark::from_memory, .source = "not stated"};
constexpr Fact no2_intercept = published(12.101, ap42);
constexpr Fact no2_slope = published(8907.0, ap42);
constexpr Fact no2_mass = published(0.188, ap42);

constexpr std::array<Row, 9> rows{{
    {.id = "d975_1d",
     .title = "No. 1 diesel",
     .family = Family::petroleum,
     .source = "typical values, from memory",
     .density_15C = remembered(812.0),
     .viscosity_40C = remembered(1.60e-6),
     .slope = remembered(4.08),
     .cloud_point = remembered(celsius(-40.0)),
     .cfpp = remembered(celsius(-42.0)),
     .flash_point = remembered(celsius(50.0)),
     .cetane = remembered(47.0),
     .heating_value = derived(43.2e6, d4868),
     .vapour_intercept = published(12.390, "US EPA AP-42 ch. 7.1, table 7.1-2: jet kerosene"),
     .vapour_slope_rankine = published(8933.0, "US EPA AP-42 ch. 7.1, table 7.1-2: jet kerosene"),
     .vapour_stand_in = false,
     .molar_mass = published(0.162, "US EPA AP-42 ch. 7.1, table 7.1-2: jet kerosene"),
     .freezing_point_for_cloud = false},
    {.id = "d975_2d",
     .title = "No. 2 diesel",
     .family = Family::petroleum,
     .source = "typical values, from memory",
     .density_15C = remembered(845.0),
     .viscosity_40C = remembered(2.60e-6),
     .slope = remembered(4.05),
     .cloud_point = remembered(celsius(-12.0)),
     .cfpp = remembered(celsius(-15.0)),
     .flash_point = remembered(celsius(65.0)),
     .cetane = remembered(46.0),
     .heating_value = derived(42.82e6, d4868),
     .vapour_intercept = no2_intercept,
     .vapour_slope_rankine = no2_slope,
     .vapour_stand_in = false,
     .molar_mass = no2_mass,
     .freezing_point_for_cloud = false},
    {.id = "en590",
     .title = "EN 590 diesel",
     .family = Family::petroleum,
     .source = "typical values, from memory",
     .density_15C = remembered(835.0),
     .viscosity_40C = remembered(2.70e-6),
     .slope = remembered(4.05),
     .cloud_point = remembered(celsius(-4.0)),
     .cfpp = remembered(celsius(-15.0)),
     .flash_point = remembered(celsius(64.0)),
     .cetane = remembered(53.0),
     .heating_value = derived(42.94e6, d4868),
     .vapour_intercept = no2_intercept,
     .vapour_slope_rankine = no2_slope,
     .vapour_stand_in = false,
     .molar_mass = no2_mass,
     .freezing_point_for_cloud = false},
    {.id = "en590_arctic2",
     .title = "EN 590 arctic class 2",
     .family = Family::petroleum,
     .source = "typical values, from memory",
     .density_15C = remembered(815.0),
     .viscosity_40C = remembered(1.90e-6),
     .slope = remembered(4.05),
     .cloud_point = remembered(celsius(-26.0)),
     .cfpp = remembered(celsius(-34.0)),
     .flash_point = remembered(celsius(60.0)),
     .cetane = remembered(51.0),
     .heating_value = derived(43.2e6, d4868),
     .vapour_intercept = no2_intercept,
     .vapour_slope_rankine = no2_slope,
     .vapour_stand_in = false,
     .molar_mass = no2_mass,
     .freezing_point_for_cloud = false},
    {.id = "fame_b100",
     .title = "methyl ester, B100",
     .family = Family::fame,
     .source = "typical values, from memory; density Huber et al. 2009",
     .density_15C = derived(883.0, "mixture of methyl oleate and linoleate, Huber et al., Energy Fuels 23 (2009) 3790"),
     .viscosity_40C = remembered(4.45e-6),
     .slope = remembered(3.35),
     .cloud_point = remembered(celsius(-4.0)),
     .cfpp = remembered(celsius(-13.0)),
     .flash_point = remembered(celsius(170.0)),
     .cetane = remembered(54.0),
     .heating_value = remembered(37.3e6),
     .vapour_intercept = estimated(12.101, no2_stands_in),
     .vapour_slope_rankine = estimated(8907.0, no2_stands_in),
     .vapour_stand_in = true,
     .molar_mass = derived(0.2965, "methyl oleate, C19H36O2"),
     .freezing_point_for_cloud = false},
    {.id = "hvo",
     .title = "paraffinic diesel",
     .family = Family::paraffinic,
     .source = "supplier sheets; slope from memory",
     .density_15C = published(780.0, supplier),
     .viscosity_40C = published(2.80e-6, supplier),
     .slope = remembered(3.80),
     .cloud_point = published(celsius(-15.0), "supplier sheets: at most -15 C; winter grade -34 C"),
     .cfpp = published(celsius(-15.0), "supplier sheets: as the cloud point"),
     .flash_point = published(celsius(70.0), "supplier sheets: above 70 C"),
     .cetane = published(80.0, supplier),
     .heating_value = remembered(44.0e6),
     .vapour_intercept = estimated(12.101, no2_stands_in),
     .vapour_slope_rankine = estimated(8907.0, no2_stands_in),
     .vapour_stand_in = true,
     .molar_mass = estimated(0.2264, "n-hexadecane, C16H34, stands in"),
     .freezing_point_for_cloud = false},
    {.id = "jp8",
     .title = "kerosene, JP-8",
     .family = Family::petroleum,
     .source = "typical values, from memory; freezing point stands for cloud point",
     .density_15C = remembered(802.0),
     .viscosity_40C = remembered(1.30e-6),
     .slope = remembered(4.09),
     .cloud_point = {.value = celsius(-50.0), .mark = Mark::from_memory, .source = "freezing point, from memory"},
     .cfpp = none,
     .flash_point = remembered(celsius(46.0)),
     .cetane = remembered(45.0),
     .heating_value = derived(43.3e6, d4868),
     .vapour_intercept = published(12.390, ap42),
     .vapour_slope_rankine = published(8933.0, ap42),
     .vapour_stand_in = false,
     .molar_mass = published(0.162, ap42),
     .freezing_point_for_cloud = true},
    {.id = "iso4113",
     .title = "calibration fluid ISO 4113",
     .family = Family::petroleum,
     .source = "middle of the ISO 4113 limits",
     .density_15C = published(825.0, iso4113),
     .viscosity_40C = published(2.60e-6, iso4113),
     .slope = remembered(4.00),
     .cloud_point = none,
     .cfpp = none,
     .flash_point = published(celsius(75.0), "ISO 4113:2010 limit: above 75 C"),
     .cetane = none,
     .heating_value = none,
     .vapour_intercept = estimated(12.101, no2_stands_in),
     .vapour_slope_rankine = estimated(8907.0, no2_stands_in),
     .vapour_stand_in = true,
     .molar_mass = estimated(0.188, no2_stands_in),
     .freezing_point_for_cloud = false},
    {.id = "petrol",
     .title = "petrol (contaminant)",
     .family = Family::petrol,
     .source = "middle of the EN 228 density limits (from memory); n-heptane stands in for viscosity",
     .density_15C = {.value = 747.5,
                     .mark = Mark::from_memory,
                     .source = "middle of the EN 228 limits 720 to 775 kg/m3, from memory"},
     .viscosity_40C = estimated(0.51e-6, heptane),
     .slope = estimated(3.24, heptane),
     .cloud_point = none,
     .cfpp = none,
     .flash_point = none,
     .cetane = none,
     .heating_value = {.value = 43.0e6,
                       .mark = Mark::from_memory,
                       .source = "Directive (EU) 2018/2001, annex III, from memory"},
     .vapour_intercept = published(11.833, "US EPA AP-42 ch. 7.1, table 7.1-2: motor gasoline RVP 7 psi (48 kPa)"),
     .vapour_slope_rankine = published(5500.6, "US EPA AP-42 ch. 7.1, table 7.1-2: motor gasoline RVP 7 psi (48 kPa)"),
     .vapour_stand_in = false,
     .molar_mass = published(0.092, "US EPA AP-42 ch. 7.1, table 7.1-2: motor gasoline"),
     .freezing_point_for_cloud = false},
}};

// B20: 20 % ester in EN 590; what no blending rule gives stands here.
constexpr std::string_view b20_id = "b20";
constexpr double b20_ester = 0.20;
constexpr Fact b20_cloud = remembered(celsius(-8.0));
constexpr Fact b20_cfpp = remembered(celsius(-12.0));
constexpr Fact b20_flash = remembered(celsius(68.0));
constexpr Fact b20_cetane = remembered(48.0);

Fuel fuel_of(const Row& row) {
  return {.id = std::string(row.id),
          .title = std::string(row.title),
          .family = row.family,
          .density_15C_kg_per_m3 = row.density_15C.value,
          .kinematic_viscosity_40C_m2_per_s = row.viscosity_40C.value,
          .viscosity_slope = row.slope.value,
          .cloud_point_K = row.cloud_point.value,
          .cfpp_K = row.cfpp.value,
          .source = std::string(row.source),
          .flash_point_K = row.flash_point.value,
          .cetane_number = row.cetane.value,
          .lower_heating_value_J_per_kg = row.heating_value.value,
          .vapour = {.intercept = row.vapour_intercept.value,
                     .slope_K = row.vapour_slope_rankine.value / 1.8,
                     .stand_in = row.vapour_stand_in},
          .molar_mass_kg_per_mol = row.molar_mass.value,
          .freezing_point_for_cloud = row.freezing_point_for_cloud};
}

const Row* row_of(std::string_view id) {
  const auto* const found = std::find_if(rows.begin(), rows.end(), [&](const Row& row) { return row.id == id; });
  return found == rows.end() ? nullptr : found;
}

Result<Fuel> b20() {
  const std::array<Share, 2> shares{{{.fuel = fuel_of(*row_of("en590")), .volume_fraction = 1.0 - b20_ester},
                                     {.fuel = fuel_of(*row_of("fame_b100")), .volume_fraction = b20_ester}}};
  auto made = blend(shares);
  if (!made) return fail(made.error());
  made->id = std::string(b20_id);
  made->title = "B20, 20 % methyl ester in EN 590";
  made->source = "blending rules; cloud point, CFPP, flash point and cetane number typical, from memory";
  made->cloud_point_K = b20_cloud.value;
  made->cfpp_K = b20_cfpp.value;
  made->flash_point_K = b20_flash.value;
  made->cetane_number = b20_cetane.value;
  return made;
}

/// Least number of inserted, deleted or changed characters (Levenshtein distance).
std::size_t edits_between(std::string_view a, std::string_view b) {
  std::vector<std::size_t> row(b.size() + 1);
  std::iota(row.begin(), row.end(), std::size_t{0});
  for (std::size_t i = 0; i < a.size(); ++i) {
    std::size_t diagonal = std::exchange(row[0], i + 1);
    for (std::size_t j = 0; j < b.size(); ++j) {
      const std::size_t changed = diagonal + (a[i] == b[j] ? 0U : 1U);
      diagonal = row[j + 1];
      row[j + 1] = std::min({changed, diagonal + 1, row[j] + 1});
    }
  }
  return row[b.size()];
}

std::string nearest_grade(std::string_view id) {
  std::string nearest;
  std::size_t fewest = 0;
  // A long id is no misspelling of a short one: its first characters decide.
  const std::string_view start = id.substr(0, 32);
  for (const std::string& candidate : grade_ids()) {
    const std::size_t edits = edits_between(start, candidate);
    if (nearest.empty() || edits < fewest) {
      nearest = candidate;
      fewest = edits;
    }
  }
  return nearest;
}

struct TradeWord {
  std::string_view word;  ///< in small letters
  std::string_view write;
};
constexpr std::array<TradeWord, 22> trade_words{{
    {.word = "diesel", .write = "\"d975_2d\" for No. 2 diesel or \"en590\" for EN 590 diesel"},
    {.word = "no. 2", .write = "\"d975_2d\""},
    {.word = "no 2", .write = "\"d975_2d\""},
    {.word = "#2", .write = "\"d975_2d\""},
    {.word = "no. 1", .write = "\"d975_1d\""},
    {.word = "no 1", .write = "\"d975_1d\""},
    {.word = "#1", .write = "\"d975_1d\""},
    {.word = "winter diesel", .write = "\"en590_arctic2\", or a blend such as \"d975_2d + 30 % d975_1d\""},
    {.word = "arctic diesel", .write = "\"en590_arctic2\""},
    {.word = "kerosene", .write = "\"jp8\""},
    {.word = "paraffin", .write = "\"jp8\" for kerosene or \"hvo\" for paraffinic diesel"},
    {.word = "jet fuel", .write = "\"jp8\""},
    {.word = "jet a", .write = "\"jp8\""},
    {.word = "jet a-1", .write = "\"jp8\""},
    {.word = "gasoline", .write = "\"petrol\""},
    {.word = "gas", .write = "\"petrol\""},
    {.word = "biodiesel", .write = "\"fame_b100\", or a blend such as \"en590 + 7 % fame_b100\""},
    {.word = "fame", .write = "\"fame_b100\""},
    {.word = "rme", .write = "\"fame_b100\""},
    {.word = "renewable diesel", .write = "\"hvo\""},
    {.word = "calibration fluid", .write = "\"iso4113\""},
    {.word = "test oil", .write = "\"iso4113\""},
}};

/// The hint of unknown_grade().
std::string meant_by(std::string_view id) {
  std::string small(id.substr(0, 32));
  std::transform(small.begin(), small.end(), small.begin(),
                 [](char c) { return c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c; });
  const auto* const found =
      std::find_if(trade_words.begin(), trade_words.end(), [&](const TradeWord& row) { return row.word == small; });
  if (found != trade_words.end()) return fmt::format("Write {}", found->write);
  // "B7" is 7 % methyl ester in a diesel that the letter does not name.
  int ester = 0;
  const char* const end = small.data() + small.size();
  if (small.size() > 1 && small.size() < 4 && small.front() == 'b' &&
      std::from_chars(small.data() + 1, end, ester).ptr == end && ester > 0 && ester < 100) {
    return fmt::format("Name the diesel too, e.g. \"en590 + {} % fame_b100\"; the nearest grade is \"{}\"", ester,
                       nearest_grade(small));
  }
  return fmt::format("The nearest is \"{}\"; for other fluids write \"constant\" with a [fluid] table",
                     nearest_grade(id));
}

}  // namespace

std::string_view name(Mark mark) {
  switch (mark) {
    case Mark::published: return "published";
    case Mark::derived: return "derived";
    case Mark::estimate: return "estimate";
    case Mark::from_memory: return "from memory";
  }
  return "";
}

std::vector<std::string> grade_ids() {
  std::vector<std::string> ids;
  for (const Row& row : rows) {
    ids.emplace_back(row.id);
    if (row.id == "fame_b100") ids.emplace_back(b20_id);
  }
  return ids;
}

std::string quoted(std::string_view typed) {
  constexpr std::size_t longest = 60;
  std::string shown(typed.substr(0, longest));
  std::replace_if(shown.begin(), shown.end(), [](char c) { return c < ' ' || c > '~'; }, '?');
  return '"' + shown + (typed.size() > longest ? "...\"" : "\"");
}

Error unknown_grade(std::string_view id) {
  std::string known;
  for (const std::string& candidate : grade_ids()) known += (known.empty() ? "" : ", ") + candidate;
  return {.code = ErrorCode::not_found,
          .where = {.file = {}, .line = 0, .column = 0, .field = "grade"},
          .found = "the fuel " + quoted(id),
          .expected = "one of " + known,
          .hint = meant_by(id)};
}

Result<Fuel> grade(std::string_view id) {
  if (const Row* row = row_of(id)) return fuel_of(*row);
  if (id == b20_id) return b20();
  return fail(unknown_grade(id));
}

Result<std::vector<GradeFact>> grade_facts(std::string_view id) {
  const auto fact = [](std::string_view quantity, const Fact& of) {
    return GradeFact{.quantity = quantity, .value = of.value, .mark = of.mark, .source = of.source};
  };
  if (id == b20_id) {
    return std::vector<GradeFact>{fact("cloud_point_K", b20_cloud), fact("cfpp_K", b20_cfpp),
                                  fact("flash_point_K", b20_flash), fact("cetane_number", b20_cetane)};
  }
  const Row* row = row_of(id);
  if (row == nullptr) return fail(unknown_grade(id));
  return std::vector<GradeFact>{fact("density_15C_kg_per_m3", row->density_15C),
                                fact("kinematic_viscosity_40C_m2_per_s", row->viscosity_40C),
                                fact("viscosity_slope", row->slope),
                                fact("cloud_point_K", row->cloud_point),
                                fact("cfpp_K", row->cfpp),
                                fact("flash_point_K", row->flash_point),
                                fact("cetane_number", row->cetane),
                                fact("lower_heating_value_J_per_kg", row->heating_value),
                                fact("vapour.intercept", row->vapour_intercept),
                                {.quantity = "vapour.slope_K",
                                 .value = row->vapour_slope_rankine.value / 1.8,
                                 .mark = row->vapour_slope_rankine.mark,
                                 .source = row->vapour_slope_rankine.source},
                                fact("molar_mass_kg_per_mol", row->molar_mass)};
}

}  // namespace fw::fuel
