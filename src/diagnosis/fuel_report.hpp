// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "base/required.hpp"
#include "base/result.hpp"
#include "base/stated.hpp"
#include "debris/iso_code.hpp"
#include "system/line_sheet.hpp"
#include "units/dimension.hpp"

/// A laboratory's report on the fuel of a case: each test against the limits of its fuel standard, several tests
/// together, and what the sample is worth as evidence. Theory: docs/theory/fuel-report.md.
namespace fw::diagnosis {

/// What a laboratory measures, in SI.
enum class ReportTest : std::uint8_t {
  water,               ///< kg/kg, Karl Fischer: ASTM D6304, EN ISO 12937
  water_and_sediment,  ///< share of the volume: ASTM D2709
  particulate,         ///< kg/kg: ASTM D6217, EN 12662
  lubricity,           ///< m, scar of the HFRR at 60 C: ASTM D6079, D7688, ISO 12156-1
  viscosity,           ///< m2/s at 40 C: ASTM D445
  density,             ///< kg/m3 at 15 C: ASTM D4052
  distilled_10,        ///< K: ASTM D86
  distilled_90,        ///< K
  distilled_95,        ///< K
  flash_point,         ///< K: ASTM D93
  ester,               ///< share of the volume: ASTM D7371, EN 14078
  sulfur,              ///< kg/kg: ASTM D5453
  acid_number,         ///< kg KOH/kg: ASTM D664
  oxidation_residue,   ///< kg/m3: EN ISO 12205
  oxidation_time,      ///< s: EN 15751
  cloud_point,         ///< K: ASTM D2500
  cfpp,                ///< K: EN 116
  microbes,            ///< colonies per m3 of fuel: ASTM D6974, D7978, D7687
};
inline constexpr int report_test_count = static_cast<int>(ReportTest::microbes) + 1;

struct ReportTestFacts {
  ReportTest test;
  std::string_view key;  ///< in fuel-report.toml
  std::string_view title;
  std::string_view method;
  units::Dimension dimension;
};
/// All tests in the order of the enumeration.
[[nodiscard]] const std::vector<ReportTestFacts>& report_tests();

/// Elements that a metal analysis names and this page knows, e.g. "Fe".
[[nodiscard]] const std::vector<std::string>& report_elements();

struct ReportValue {
  ReportTest test = ReportTest::water;
  Stated value;
};
struct MetalValue {
  std::string element;
  Stated value;  ///< kg/kg
};

enum class Appearance : std::uint8_t { not_stated, clear_and_bright, hazy, layer };
/// Where the sample was taken.
enum class SamplePlace : std::uint8_t {
  not_stated,
  tank_bottom,
  tank_draw_off,
  filter_bowl,
  return_line,
  dispenser,
  drum
};
enum class Container : std::uint8_t { not_stated, certified_bottle, new_bottle, clean_jar, other };

/// What the sample is worth.
struct Provenance {
  SamplePlace place = SamplePlace::not_stated;
  std::string taken;   ///< when, as typed
  std::string person;  ///< by whom
  Container container = Container::not_stated;
  std::optional<bool> duplicate;           ///< a second bottle is kept sealed
  std::string seal;                        ///< its number
  std::optional<bool> flushed;             ///< the tap or line ran before
  std::optional<double> counted_within_s;  ///< particle count after sampling
};

struct LabReport {
  Origin origin;
  std::string title;
  std::string laboratory;
  std::string number;
  std::string standard;  ///< id of fuel::limits, e.g. "en590"
  std::string fuel;      ///< grade or blend, for what it holds of water; "": by the standard
  double sample_temperature_K = 293.15;
  Provenance sample;
  std::vector<ReportValue> values;  ///< each test at most once
  Appearance appearance = Appearance::not_stated;
  std::optional<int> haze;  ///< 1 to 6, ASTM D4176
  std::optional<debris::IsoCode> particles;
  std::vector<MetalValue> metals;
  std::string metals_method;  ///< as typed, "D7111"
};

/// One demand with its origin.
struct ReportLimit {
  std::string standard;  ///< "EN 590", "Worldwide Fuel Charter"
  std::optional<double> min;
  std::optional<double> max;
  std::string source;  ///< with "(from memory)" where it was not seen
};
enum class ReportOutcome : std::uint8_t { inside, beyond, no_limit };

struct ReportLine {
  std::string key;
  std::string title;
  std::string method;
  std::optional<double> value;  ///< SI; a text beside it where the result is none
  std::string text;             ///< appearance, code
  units::Dimension dimension = units::Dimension::ratio;
  std::vector<ReportLimit> limits;
  ReportOutcome outcome = ReportOutcome::no_limit;  ///< against the limits of the fuel standard, the charter beside it
  std::string points_to;                            ///< what its deviation points to; "" where it is inside
};

/// Several tests read together. Points to, never proves.
struct ReportReading {
  std::string title;                ///< "petrol in the fuel"
  std::string because;              ///< the results that speak for it
  std::string strength;             ///< "several tests agree" or "one test alone"
  std::vector<std::string> causes;  ///< ids of the cause catalogue, e.g. "C03"
};

struct FuelVerdict {
  std::vector<ReportLine> lines;
  std::vector<ReportReading> readings;
  std::optional<double> saturation;  ///< water that this fuel holds at the sample's temperature [kg/kg]
  std::vector<std::string> notes;    ///< what a result does not say
  std::vector<std::string> missing;  ///< tests that were not made and would decide something here
  std::vector<std::string> gaps;     ///< what the sample lacks as evidence
};

/// Limits: fuel::limits_of(standard) without its variants, what section 7 of the reference adds (from memory where it
/// says so), and beside them the Worldwide Fuel Charter (fuel as supplied). Metals are present from 0.1 mg/kg
/// (assumed). Errors: not_found for an unknown standard; invalid_input for a value that is not physical, a test twice,
/// a haze rating outside 1 to 6; those of the fuel's text.
[[nodiscard]] Result<FuelVerdict> read_together(const LabReport& report);

/// What a line sheet takes from the report as its [fuel_report]: density, viscosity, cloud point, plugging point.
[[nodiscard]] system::FuelReport for_line_sheet(const LabReport& report);

/// A value of a test, if it was made.
[[nodiscard]] const Stated* value_of(const LabReport& report, ReportTest test);

}  // namespace fw::diagnosis
