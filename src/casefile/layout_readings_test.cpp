// SPDX-License-Identifier: Apache-2.0
// Layouts of the catalog against readings that a gauge shows on healthy systems of their kind.
#include <cmath>
#include <fstream>
#include <sstream>

#include <fmt/format.h>
#include <gtest/gtest.h>

#include "casefile/seven_facts.hpp"
#include "system/supply_model.hpp"

#include "project_file.hpp"

namespace fw::casefile {
namespace {

struct Reading {
  std::string layout, engine, assist, port;
  std::array<double, 6> kPa{};  ///< idle: typical, low, high; full load: the same
};

std::vector<Reading> table() {
  std::ifstream file(test::project_file("tests/published/layouts/normal_readings.csv"));
  std::vector<Reading> rows;
  for (std::string line; std::getline(file, line);) {
    if (line.empty() || line.starts_with("#") || line.starts_with("layout")) continue;
    std::istringstream cells(line);
    Reading row;
    for (std::string* text : {&row.layout, &row.engine, &row.assist, &row.port}) std::getline(cells, *text, ',');
    for (double& number : row.kPa) {
      std::string cell;
      std::getline(cells, cell, ',');
      number = std::stod(cell);
    }
    rows.push_back(row);
  }
  return rows;
}

/// Gauge pressure in kPa at a port, 40 C, clean, half tank; the surplus of a pump that does not say returns to its
/// own inlet.
double reading_kPa(const system::LineSheet& sheet, const std::string& port, system::EnginePoint engine) {
  for (const system::Branch& branch : system::branches(sheet)) {
    bool own_inlet = true;
    for (const auto& [id, facts] : branch.pumps) own_inlet &= facts.surplus == system::Surplus::to_own_inlet;
    if (!own_inlet) continue;
    const auto model = system::SupplyModel::build(sheet, branch, system::default_laws());
    if (!model) {
      ADD_FAILURE() << to_text(model.error());
      return 0.0;
    }
    const std::vector<double> slots = model->nominal();
    const std::array<system::SupplyModel::Case, 1> cases{
        {{.point = {.engine = engine, .fuel_temperature_K = 313.15}, .slots = slots}}};
    InlineExecutor executor;
    SilentProgress progress;
    const auto states = model->solve(cases, {executor, progress, {}});
    if (!states || states->front().status != hydraulics::SolveStatus::converged) {
      ADD_FAILURE() << (states ? states->front().trouble : to_text(states.error()));
      return 0.0;
    }
    for (std::size_t i = 0; i < model->places().size(); ++i) {
      if (model->places()[i].port == port) return states->front().place_over_ambient_Pa[i] / 1e3;
    }
  }
  ADD_FAILURE() << "no port " << port;
  return 0.0;
}

// Healthy ranges of tests/published/layouts/normal_readings.csv, at idle and at rated power.
TEST(LayoutReadings, LieInTheHealthyRange) {
  const auto catalog = catalog::built_in();
  ASSERT_TRUE(catalog);
  const std::vector<Reading> rows = table();
  ASSERT_EQ(rows.size(), 10U);
  for (const Reading& row : rows) {
    const auto made = sheet_from_facts({.layout = row.layout,
                                        .engine = row.engine,
                                        .assist = row.assist,
                                        .assist_set = row.assist == "none" ? "" : "76 kPa",
                                        .main_hose = row.assist == "none" ? "" : "-8 J30 hose"},
                                       *catalog);
    ASSERT_TRUE(made) << row.layout << ": " << to_text(made.error());
    for (const bool full : {false, true}) {
      const double kPa =
          reading_kPa(made->sheet, row.port, full ? system::EnginePoint::rated : system::EnginePoint::idle);
      const std::size_t at = full ? 3 : 0;
      const std::string what = fmt::format("{} {} {} {}: {:.1f} kPa, typical {}", row.layout, row.assist, row.port,
                                           full ? "full load" : "idle", kPa, row.kPa.at(at));
      EXPECT_GE(kPa, row.kPa.at(at + 1)) << what;
      EXPECT_LE(kPa, row.kPa.at(at + 2)) << what;
    }
  }
}

}  // namespace
}  // namespace fw::casefile
