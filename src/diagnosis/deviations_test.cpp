// SPDX-License-Identifier: Apache-2.0
// How far the room stands from outside values: the tables of docs/theory/diagnosis.md and docs/theory/fuel-report.md
// must be those that these numbers make.
#include <algorithm>
#include <string>
#include <vector>

#include <gtest/gtest.h>

#include "diagnosis/fuel_report.hpp"
#include "diagnosis/inference.hpp"
#include "diagnosis/troubleshooting.hpp"
#include "published_table.hpp"
#include "theory_table.hpp"

namespace fw::diagnosis {
namespace {

double printed(const std::string& name, const std::string& quantity) {
  const auto table = test::published_table("diagnosis/decision_oracle.csv");
  for (std::size_t row = 0; row < table.rows.size(); ++row) {
    if (table.text(row, "case") == name && table.text(row, "quantity") == quantity) return table.number(row, "value");
  }
  ADD_FAILURE() << "no row " << name << " " << quantity;
  return 1.0;
}

std::vector<test::TheoryRow> wildcatter() {
  const std::string raiffa = "Raiffa 1968, tables seen, values by another program";
  const std::string held_by = "TestValueOf.MeetsTheOilWildcatter";
  const TestValue value = test_value({.prior = {0.5, 0.3, 0.2},
                                      .utility = {{-70.0, 50.0, 200.0}, {0.0, 0.0, 0.0}},
                                      .likelihood = {{0.6, 0.3, 0.1}, {0.3, 0.4, 0.4}, {0.1, 0.3, 0.5}}})
                              .value();
  return {
      {"oil wildcatter, worth of perfect knowledge", raiffa, printed("wildcatter", "EVPI"), value.perfect, held_by},
      {"same, with the free test", raiffa, printed("wildcatter", "EV(with free test)"), value.with_test, held_by},
      {"same, worth of the test", raiffa, printed("wildcatter", "EVSI"), value.worth, held_by},
      {"same, chance of a closed structure", raiffa, printed("wildcatter", "P(closed)"), value.chances[2], held_by},
      {"same, soaking where closed", raiffa, printed("wildcatter", "P(soak|closed)"), value.posteriors[2][2], held_by}};
}

std::vector<test::TheoryRow> suspects() {
  const std::vector<Suspect> four{{.probability = 0.45, .inspection = 90.0, .repair = 400.0},
                                  {.probability = 0.25, .inspection = 20.0, .repair = 80.0},
                                  {.probability = 0.20, .inspection = 60.0, .repair = 150.0},
                                  {.probability = 0.10, .inspection = 35.0, .repair = 60.0}};
  const std::string rule = "Heckerman and others 1995, all orders by another program";
  const std::string held_by = "OrderOfSuspects.MeetsEveryTroubleshootingRow";
  return {{"four suspects, inspections in falling p/C", rule, printed("tshoot4", "ECR inspect; p/c order"),
           expected_cost(four, ratio_order(four)), held_by},
          {"same, last inspection skipped", rule, printed("tshoot4 skip last inspection", "ECR"),
           best_order(four, {.skip_last = true})->expected_cost, held_by},
          {"same, replace and see", rule, printed("tshoot4 replace-and-see", "ECR"),
           best_order(four, {.way = Way::replace_and_see})->expected_cost, held_by},
          {"same, service call of 40", rule, printed("tshoot4 with service call 40", "ECR"),
           best_order(four, {.service_call = 40.0})->expected_cost, held_by}};
}

std::vector<test::TheoryRow> beliefs() {
  const NoisyOr fever{.leak = 0.0, .links = {0.4, 0.8, 0.9}, .inhibitors = {}};
  const std::string norvig = "Russell & Norvig (from memory)";
  const std::string held_by = "NoisyOrTable.MeetsTheTextbook";
  const std::vector<double> prior{0.4, 0.3, 0.2, 0.1};
  Node test{.name = "T1", .states = {"+", "-"}, .parents = {0}, .table = {}, .noisy_or = {}};
  for (const double p : {0.9, 0.2, 0.1, 0.1}) {
    test.table.push_back(p);
    test.table.push_back(1.0 - p);
  }
  const Network network{
      .name = "",
      .nodes = {{.name = "fault", .states = {"a", "b", "c", "d"}, .parents = {}, .table = prior, .noisy_or = {}},
                test}};
  const std::string kleer = "de Kleer & Williams 1987, values by another program";
  const std::string entropy = "OrderOfSuspects.MeetsTheEntropyRows";
  return {{"fever by cold and flu", norvig, 0.88, present_probability(fever, {true, true, false}), held_by},
          {"fever by cold, flu and malaria", norvig, 0.988, present_probability(fever, {true, true, true}), held_by},
          {"entropy of four faults, bits", kleer, printed("entropy4", "H prior bits"), entropy_bits(prior), entropy},
          {"what test 1 tells, bits", kleer, printed("entropy4", "MI(T1) bits"),
           mutual_information_bits(network, {}, 1, 0).value(), entropy}};
}

TEST(Deviations, StandInTheTheoryAsMeasured) {
  std::vector<test::TheoryRow> rows;
  for (const auto& part : {beliefs(), wildcatter(), suspects()}) rows.insert(rows.end(), part.begin(), part.end());
  test::expect_theory_table("diagnosis.md", "diagnosis", rows);
}

/// A value in SI as laboratories write it.
double as_written(double value, const std::string& unit) {
  if (unit == "mg/kg" || unit == "um" || unit == "mm2/s") return value * 1e6;
  if (unit == "C") return value - 273.15;
  if (unit == "%") return value * 1e2;
  if (unit == "g/m3") return value * 1e3;
  return value;
}

TEST(Deviations, LimitsStandInTheTheoryAsHeld) {
  const auto table = test::published_table("diagnosis/fuel_report_limits.csv");
  std::vector<test::TheoryRow> rows;
  for (std::size_t row = 0; row < table.rows.size(); ++row) {
    const std::string standard = table.text(row, "standard");
    const std::string key = table.text(row, "test");
    const std::string unit = table.text(row, "unit");
    const auto facts = std::ranges::find(report_tests(), std::string_view(key), &ReportTestFacts::key);
    ASSERT_NE(facts, report_tests().end()) << key;
    LabReport report{.title = "test", .standard = standard};
    report.values.push_back({.test = facts->test, .value = exactly(unit == "C" ? 330.0 : 1e-4)});
    if (key == "density") report.values.back().value = exactly(830.0);
    const FuelVerdict verdict = read_together(report).value();
    const auto line = std::ranges::find(verdict.lines, std::string_view(key), &ReportLine::key);
    ASSERT_NE(line, verdict.lines.end()) << key;
    ASSERT_FALSE(line->limits.empty()) << key;
    const std::string source =
        standard == "en590" ? "EN 590, reproduced tables" : "ASTM D975, regulations or from memory";
    std::string words = key;
    std::ranges::replace(words, '_', ' ');
    for (const std::string side : {"min", "max"}) {
      if (table.text(row, side) == "-") continue;
      const ReportLimit& limit = line->limits.front();
      rows.push_back({standard + ", " + words + ", " + side + ", " + unit, source, table.number(row, side),
                      as_written((side == "min" ? limit.min : limit.max).value(), unit),
                      "FuelReport.HoldsTheLimitsOfTheTable"});
    }
  }
  LabReport cool{.title = "test", .standard = "en590"};
  cool.values = {{.test = ReportTest::water, .value = exactly(150e-6)},
                 {.test = ReportTest::ester, .value = exactly(0.0)}};
  cool.sample_temperature_K = 283.15;
  LabReport ester = cool;
  ester.values[1].value = exactly(0.07);
  ester.sample_temperature_K = 293.15;
  const std::string he = "He and others 2007 (from memory), worked row";
  const std::string free_water = "FuelReport.FreeWaterByTemperatureAndEster";
  rows.push_back({"water held at 10 C, no ester, mg/kg", he, 54.4, 1e6 * *read_together(cool)->saturation, free_water});
  rows.push_back(
      {"water held at 20 C, 7 % ester, mg/kg", he, 167.78, 1e6 * *read_together(ester)->saturation, free_water});
  test::expect_theory_table("fuel-report.md", "fuel report", rows);
}

}  // namespace
}  // namespace fw::diagnosis
