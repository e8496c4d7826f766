// SPDX-License-Identifier: Apache-2.0
#include "hydraulics/network.hpp"

#include <cmath>
#include <map>
#include <numbers>
#include <string>
#include <utility>

#include <gtest/gtest.h>

#include "published_table.hpp"
#include "theory_table.hpp"

namespace fw::hydraulics {
namespace {

constexpr double pi = std::numbers::pi;
constexpr double lph = 1e-3 / 3600.0;
constexpr double gravity = 9.80665;
constexpr double book_gravity = 9.81;  // the textbooks' value

Run inline_run() {
  static InlineExecutor executor;
  static SilentProgress progress;
  return {.executor = executor, .progress = progress, .stop = {}};
}

struct PipeSizes {
  double bore_m = required;
  double length_m = required;
  double roughness_m = 0.0;
  double loss = 0.0;  // K on the own velocity head
  double linear_Pa_s_per_m3 = 0.0;
};

struct Fluid {
  double density_kg_per_m3 = required;
  double kinematic_viscosity_m2_per_s = required;
};

constexpr Fluid d20{.density_kg_per_m3 = 835.0, .kinematic_viscosity_m2_per_s = 4.5e-6};

PipeCoefficients coefficients(const PipeSizes& pipe, const Fluid& fluid) {
  const double d = pipe.bore_m;
  const double area = pi * d * d / 4.0;
  return {.reynolds_per_flow_s_per_m3 = 4.0 / (pi * d * fluid.kinematic_viscosity_m2_per_s),
          .laminar_resistance_Pa_s_per_m3 = 128.0 * fluid.density_kg_per_m3 * fluid.kinematic_viscosity_m2_per_s *
                                            pipe.length_m / (pi * d * d * d * d),
          .relative_roughness = pipe.roughness_m / d,
          .linear_Pa_s_per_m3 = pipe.linear_Pa_s_per_m3,
          .quadratic_Pa_s2_per_m6 = pipe.loss * 0.5 * fluid.density_kg_per_m3 / (area * area)};
}

PointResults solve_one(const Network& network, const PointTable& table, const SolveOptions& options = {}) {
  PointResults results = network.solve(table, options, inline_run()).value();
  EXPECT_EQ(results.status[0], SolveStatus::converged) << "element " << results.where[0];
  EXPECT_LT(results.residual[0], 1e-9);
  return results;
}

/// Flow through one pipe under a given drop.
double flow_under(double drop_Pa, const PipeSizes& pipe, const Fluid& fluid, double transition = 0.0) {
  NetworkDefinition net;
  const NodeId a = net.add_node("a", NodeKind::fixed);
  const NodeId b = net.add_node("b", NodeKind::fixed);
  const ElementId e = net.add_element("pipe", Law::pipe, a, b);
  const Network network = Network::compile(net).value();
  PointTable table(network, 1);
  table.set_pressure(0, a, drop_Pa);
  table.set_pressure(0, b, 0.0);
  table.set(0, e, coefficients(pipe, fluid));
  table.set_transition(0, transition);
  return solve_one(network, table).flow(0, e);
}

/// Drop of one pipe at a given flow.
double drop_at(double flow_m3_per_s, const PipeSizes& pipe, const Fluid& fluid, double transition = 0.0) {
  NetworkDefinition net;
  const NodeId a = net.add_node("a", NodeKind::fixed);
  const NodeId b = net.add_node("b");
  const ElementId e = net.add_element("pipe", Law::pipe, a, b);
  const ElementId d = net.add_element("draw", Law::draw, b, a);
  const Network network = Network::compile(net).value();
  PointTable table(network, 1);
  table.set_pressure(0, a, 1e5);
  table.set(0, e, coefficients(pipe, fluid));
  table.set(0, d, DrawCoefficients{.flow_m3_per_s = flow_m3_per_s});
  table.set_transition(0, transition);
  return 1e5 - solve_one(network, table).pressure(0, b);
}

// hydraulics.md 1, D20, L 1 m, 180 L/h, Churchill smooth (computed there, library and own code).
TEST(NetworkPipe, MeetsTheD20HoseRows) {
  const struct {
    double bore_m, drop_Pa;
  } rows[] = {{6.3e-3, 5156.64}, {7.9e-3, 1965.31}, {9.5e-3, 939.798}, {12.7e-3, 294.248}};
  for (const auto& row : rows) {
    EXPECT_NEAR(drop_at(180 * lph, {.bore_m = row.bore_m, .length_m = 1.0}, d20) / row.drop_Pa, 1.0, 2e-6);
  }
}

// Closed form: Poiseuille, dp = 128 mu L Q / (pi d^4), as Re goes to 0; one linear solve and its check.
TEST(NetworkPipe, IsPoiseuilleInTheLaminarLimit) {
  const double r = 128.0 * 835.0 * 4.5e-6 * 2.0 / (pi * std::pow(8e-3, 4));
  for (const double drop_Pa : {1e-3, 1.0, 200.0}) {
    EXPECT_NEAR(flow_under(drop_Pa, {.bore_m = 8e-3, .length_m = 2.0}, d20) * r / drop_Pa, 1.0, 1e-10);
  }
}

// ---- Textbook problems: hyd_published_checks.csv, column `computed` (Colebrook) at 0.1 %. ----

constexpr double colebrook = 1500.0;  // transition: Colebrook everywhere above Re 1650

class PublishedChecks : public ::testing::Test {
 protected:
  double computed(const std::string& name, const std::string& quantity, const char* column = "computed") const {
    for (std::size_t row = 0; row < table_.rows.size(); ++row) {
      if (table_.text(row, "case") == name && table_.text(row, "quantity") == quantity) {
        return table_.number(row, column);
      }
    }
    ADD_FAILURE() << "no row " << name << " " << quantity;
    return 0.0;
  }
  // Colebrook at 0.1 %; Churchill at 3.1 %, its deviation from Colebrook on the reference grid.
  void meets(double colebrook_value, double churchill_value, const std::string& name, const std::string& quantity) {
    const double expected = computed(name, quantity);
    EXPECT_NEAR(colebrook_value / expected, 1.0, 1e-3) << name << " " << quantity;
    EXPECT_NEAR(churchill_value / expected, 1.0, 3.1e-2) << name << " " << quantity;
    // The span that docs/theory/network.md quotes.
    EXPECT_GE(churchill_value / expected - 1.0, -0.485e-2) << name << " " << quantity;
    EXPECT_LE(churchill_value / expected - 1.0, 0.815e-2) << name << " " << quantity;
    // Beside the printed answer: the table of docs/theory/network.md. "W4 series" is W4, "Q m3/h" keeps its unit.
    const std::string source = name[0] == 'W'   ? "White (from memory)"
                               : name[0] == 'C' ? "Cengel & Cimbala (answers from memory)"
                                                : "Jeppson 1976, linear theory";
    test::expect_theory_row(
        "network.md",
        {name.substr(0, 2) + ", " + quantity, source, computed(name, quantity, "published"), churchill_value,
         "PublishedChecks." + std::string(::testing::UnitTest::GetInstance()->current_test_info()->name())});
  }
  test::PublishedTable table_ = test::published_table("hydraulics/hyd_published_checks.csv");
};

TEST_F(PublishedChecks, W1LaminarInclinedOilPipe) {
  const Fluid oil{.density_kg_per_m3 = 900.0, .kinematic_viscosity_m2_per_s = 2e-4};
  const double drop_Pa = 100e3 - 900.0 * book_gravity * 10.0 * std::sin(40.0 * pi / 180.0);
  const PipeSizes pipe{.bore_m = 0.06, .length_m = 10.0};
  const double q = flow_under(drop_Pa, pipe, oil);
  meets(q, q, "W1", "Q m3/s");
  EXPECT_NEAR(drop_Pa / (900.0 * book_gravity), computed("W1", "head loss m"), 1e-4);
}

TEST_F(PublishedChecks, W2OilInCastIronPipe) {
  const Fluid oil{.density_kg_per_m3 = 900.0, .kinematic_viscosity_m2_per_s = 1e-5};
  const PipeSizes pipe{.bore_m = 0.2, .length_m = 500.0, .roughness_m = 0.26e-3};
  const double head = 900.0 * book_gravity;
  meets(drop_at(0.2, pipe, oil, colebrook) / head, drop_at(0.2, pipe, oil) / head, "W2", "head loss m");
}

TEST_F(PublishedChecks, W3FlowForAGivenLoss) {
  const Fluid oil{.density_kg_per_m3 = 950.0, .kinematic_viscosity_m2_per_s = 2e-5};
  const PipeSizes pipe{.bore_m = 0.3, .length_m = 100.0, .roughness_m = 2e-4 * 0.3};
  const double drop_Pa = 8.0 * 950.0 * book_gravity;
  meets(flow_under(drop_Pa, pipe, oil, colebrook), flow_under(drop_Pa, pipe, oil), "W3", "Q m3/s");
}

constexpr Fluid book_water{.density_kg_per_m3 = 1000.0, .kinematic_viscosity_m2_per_s = 1.02e-6};
constexpr PipeSizes three_pipes[] = {{.bore_m = 0.08, .length_m = 100.0, .roughness_m = 0.24e-3},
                                     {.bore_m = 0.06, .length_m = 150.0, .roughness_m = 0.12e-3},
                                     {.bore_m = 0.04, .length_m = 80.0, .roughness_m = 0.20e-3}};

TEST_F(PublishedChecks, W4ThreePipesInSeries) {
  NetworkDefinition net;
  const NodeId nodes[] = {net.add_node("in", NodeKind::fixed), net.add_node("1"), net.add_node("2"),
                          net.add_node("out", NodeKind::fixed)};
  ElementId pipes[3];
  for (int i = 0; i < 3; ++i) pipes[i] = net.add_element("pipe", Law::pipe, nodes[i], nodes[i + 1]);
  const Network network = Network::compile(net).value();
  const auto flow = [&](double transition) {
    PointTable table(network, 1);
    table.set_pressure(0, nodes[0], 150e3 + 5.0 * 1000.0 * book_gravity);
    table.set_pressure(0, nodes[3], 0.0);
    for (int i = 0; i < 3; ++i) table.set(0, pipes[i], coefficients(three_pipes[i], book_water));
    table.set_transition(0, transition);
    const PointResults results = solve_one(network, table);
    for (int i = 0; i < 3; ++i) {  // inner pressures of the collapsed chain
      EXPECT_NEAR(results.pressure(0, nodes[i]) - results.pressure(0, nodes[i + 1]),
                  drop_at(results.flow(0, pipes[i]), three_pipes[i], book_water, transition), 1e-3);
    }
    return results.flow(0, pipes[2]) * 3600.0;
  };
  meets(flow(colebrook), flow(0.0), "W4 series", "Q m3/h");
}

TEST_F(PublishedChecks, W5SamePipesInParallel) {
  NetworkDefinition net;
  const NodeId a = net.add_node("a", NodeKind::fixed);
  const NodeId b = net.add_node("b", NodeKind::fixed);
  ElementId pipes[3];
  for (auto& pipe : pipes) pipe = net.add_element("pipe", Law::pipe, a, b);
  const Network network = Network::compile(net).value();
  const auto solve = [&](double transition) {
    PointTable table(network, 1);
    table.set_pressure(0, a, 20.3 * 1000.0 * book_gravity);
    table.set_pressure(0, b, 0.0);
    for (int i = 0; i < 3; ++i) table.set(0, pipes[i], coefficients(three_pipes[i], book_water));
    table.set_transition(0, transition);
    return solve_one(network, table);
  };
  const PointResults exact = solve(colebrook);
  const PointResults product = solve(0.0);
  for (int i = 0; i < 3; ++i) {
    meets(exact.flow(0, pipes[i]) * 3600.0, product.flow(0, pipes[i]) * 3600.0, "W5 parallel",
          "Q" + std::to_string(i + 1) + " m3/h");
  }
}

TEST_F(PublishedChecks, W6ThreeReservoirs) {
  NetworkDefinition net;
  const double level_m[] = {20.0, 100.0, 40.0};
  const NodeId junction = net.add_node("junction");
  NodeId tanks[3];
  ElementId pipes[3];
  for (int i = 0; i < 3; ++i) {
    tanks[i] = net.add_node("tank", NodeKind::fixed);
    pipes[i] = net.add_element("pipe", Law::pipe, tanks[i], junction);
  }
  const Network network = Network::compile(net).value();
  const auto solve = [&](double transition) {
    PointTable table(network, 1);
    for (int i = 0; i < 3; ++i) {
      table.set_pressure(0, tanks[i], level_m[i] * 1000.0 * book_gravity);
      table.set(0, pipes[i], coefficients(three_pipes[i], book_water));
    }
    table.set_transition(0, transition);
    return solve_one(network, table);
  };
  const PointResults exact = solve(colebrook);
  const PointResults product = solve(0.0);
  const double head = 1000.0 * book_gravity;
  meets(exact.pressure(0, junction) / head, product.pressure(0, junction) / head, "W6 reservoirs", "junction head m");
  for (int i = 0; i < 3; ++i) {
    meets(exact.flow(0, pipes[i]) * 3600.0, product.flow(0, pipes[i]) * 3600.0, "W6 reservoirs",
          "Q" + std::to_string(i + 1) + " m3/h");
  }
}

// C1 in the book's units: D 2/12 ft, L 200 ft, 0.2 ft3/s, g 32.2 ft/s2; the head loss in ft is free of units.
TEST_F(PublishedChecks, C1WaterInSteelPipe) {
  const double foot_m = 0.3048;
  const Fluid water{.density_kg_per_m3 = 1000.0, .kinematic_viscosity_m2_per_s = 7.536e-4 / 62.36 * foot_m * foot_m};
  const PipeSizes pipe{.bore_m = 2.0 / 12.0 * foot_m, .length_m = 200.0 * foot_m, .roughness_m = 7e-6 * foot_m};
  const double head = 1000.0 * 32.2 * foot_m * foot_m;  // Pa per ft
  const double q = 0.2 * foot_m * foot_m * foot_m;
  meets(drop_at(q, pipe, water, colebrook) / head, drop_at(q, pipe, water) / head, "C1", "head loss ft");
}

// C2: a pump of constant useful power 5600 W lifts 8 m through two parallel pipes. The power law
// head = P/(rho g Q) is no law of the solver: it is met by bisection on the pump head outside.
TEST_F(PublishedChecks, C2PumpAndTwoParallelPipes) {
  const Fluid water{.density_kg_per_m3 = 998.0, .kinematic_viscosity_m2_per_s = 1.002e-3 / 998.0};
  const PipeSizes pipes[] = {{.bore_m = 0.04, .length_m = 36.0, .roughness_m = 4.5e-5},
                             {.bore_m = 0.08, .length_m = 36.0, .roughness_m = 4.5e-5}};
  const double head = 998.0 * book_gravity;
  const auto solve = [&](double transition, double* each) {
    double low = 1.0;
    double high = 60.0;
    for (int i = 0; i < 60; ++i) {
      const double loss_m = 0.5 * (low + high);
      double total = 0.0;
      for (int k = 0; k < 2; ++k) total += each[k] = flow_under(loss_m * head, pipes[k], water, transition);
      (head * total * (8.0 + loss_m) > 5600.0 ? high : low) = loss_m;
    }
    return low;
  };
  double exact[2];
  double product[2];
  const double exact_loss = solve(colebrook, exact);
  const double product_loss = solve(0.0, product);
  meets(exact_loss, product_loss, "C2", "head loss m");
  meets(exact[0], product[0], "C2", "Q1 m3/s");
  meets(exact[1], product[1], "C2", "Q2 m3/s");
  meets(exact[0] + exact[1], product[0] + product[1], "C2", "Q total m3/s");
}

TEST_F(PublishedChecks, C3ShowerAndToilet) {
  const Fluid water{.density_kg_per_m3 = 998.0, .kinematic_viscosity_m2_per_s = 1.004e-6};
  NetworkDefinition net;
  const NodeId supply = net.add_node("supply", NodeKind::fixed);
  const NodeId tee = net.add_node("tee");
  const NodeId shower = net.add_node("shower", NodeKind::fixed);
  const NodeId toilet = net.add_node("toilet", NodeKind::fixed);
  const ElementId main_pipe = net.add_element("main", Law::pipe, supply, tee);
  const ElementId shower_pipe = net.add_element("shower", Law::pipe, tee, shower);
  const ElementId toilet_pipe = net.add_element("toilet", Law::pipe, tee, toilet);
  const Network network = Network::compile(net).value();
  const auto solve = [&](double transition) {
    PointTable table(network, 1);
    const auto set = [&](ElementId e, double length_m, double loss) {
      table.set(0, e,
                coefficients({.bore_m = 0.015, .length_m = length_m, .roughness_m = 1.5e-6, .loss = loss}, water));
    };
    set(main_pipe, 5.0, 0.0);
    set(shower_pipe, 6.0, 24.7);
    set(toilet_pipe, 1.0, 26.9);
    table.set_pressure(0, supply, 200e3);
    table.set_pressure(0, shower, 2.0 * 998.0 * book_gravity);
    table.set_pressure(0, toilet, 1.0 * 998.0 * book_gravity);
    table.set_transition(0, transition);
    return solve_one(network, table);
  };
  const PointResults exact = solve(colebrook);
  const PointResults product = solve(0.0);
  meets(exact.flow(0, main_pipe), product.flow(0, main_pipe), "C3", "Q main m3/s");
  meets(exact.flow(0, shower_pipe), product.flow(0, shower_pipe), "C3", "Q shower m3/s");
  meets(exact.flow(0, toilet_pipe), product.flow(0, toilet_pipe), "C3", "Q toilet m3/s");
  const PipeSizes alone{.bore_m = 0.015, .length_m = 11.0, .roughness_m = 1.5e-6, .loss = 24.7};
  const double drop_Pa = 200e3 - 2.0 * 998.0 * book_gravity;
  meets(flow_under(drop_Pa, alone, water, colebrook), flow_under(drop_Pa, alone, water), "C3", "Q shower alone m3/s");
}

TEST_F(PublishedChecks, J1JeppsonTwoLoops) {
  const double inch_m = 0.0254;
  const double foot_m = 0.3048;
  const double gpm = 231.0 * inch_m * inch_m * inch_m / 60.0;
  const Fluid water{.density_kg_per_m3 = 1000.0, .kinematic_viscosity_m2_per_s = 1.217e-5 * foot_m * foot_m};
  const double bore_in[] = {8, 12, 10, 12, 10, 6, 8};
  const double length_ft[] = {1106, 751, 1000, 500, 1200, 600, 800};
  const int ends[][2] = {{0, 1}, {2, 1}, {3, 2}, {0, 3}, {1, 4}, {5, 4}, {5, 2}};
  const double taken_gpm[] = {-2000, 0, 1500, 1000, 1500, -2000};
  NetworkDefinition net;
  NodeId nodes[6];
  nodes[0] = net.add_node("1", NodeKind::fixed);
  for (int i = 1; i < 6; ++i) nodes[i] = net.add_node(std::to_string(i + 1));
  ElementId pipes[7];
  for (int i = 0; i < 7; ++i) pipes[i] = net.add_element("pipe", Law::pipe, nodes[ends[i][0]], nodes[ends[i][1]]);
  ElementId draws[6];
  for (int i = 1; i < 6; ++i) draws[i] = net.add_element("taken", Law::draw, nodes[i], nodes[0]);
  const Network network = Network::compile(net).value();
  const auto solve = [&](double transition) {
    PointTable table(network, 1);
    table.set_pressure(0, nodes[0], 100.0 * 1000.0 * book_gravity);
    for (int i = 0; i < 7; ++i) {
      table.set(0, pipes[i],
                coefficients(
                    {.bore_m = bore_in[i] * inch_m, .length_m = length_ft[i] * foot_m, .roughness_m = 0.0102 * inch_m},
                    water));
    }
    for (int i = 1; i < 6; ++i) table.set(0, draws[i], DrawCoefficients{.flow_m3_per_s = taken_gpm[i] * gpm});
    table.set_transition(0, transition);
    return solve_one(network, table);
  };
  const PointResults exact = solve(colebrook);
  const PointResults product = solve(0.0);
  for (int i = 0; i < 7; ++i) {
    const double cfs = foot_m * foot_m * foot_m;
    meets(exact.flow(0, pipes[i]) / cfs, product.flow(0, pipes[i]) / cfs, "J1 gga iterations 5",
          "Q" + std::to_string(i + 1) + " cfs");
  }
}

// ---- The 9-pipe diesel loop, hyd_network_{def,nodes,links}.csv, to 2e-4 L/h and 0.05 Pa. ----

struct DieselCase {
  const char* name;
  double demand_L_per_h;
  double pump_shut;
  double kinematic_viscosity_m2_per_s;
  double tank_Pa;
};

class DieselLoop : public ::testing::TestWithParam<DieselCase> {};

TEST_P(DieselLoop, MeetsTheOracle) {
  const DieselCase& state = GetParam();
  const test::PublishedTable def = test::published_table("hydraulics/hyd_network_def.csv");
  const test::PublishedTable nodes = test::published_table("hydraulics/hyd_network_nodes.csv");
  const test::PublishedTable links = test::published_table("hydraulics/hyd_network_links.csv");
  const Fluid fluid{.density_kg_per_m3 = 835.0, .kinematic_viscosity_m2_per_s = state.kinematic_viscosity_m2_per_s};
  NetworkDefinition net;
  std::map<std::string, NodeId> node;
  std::map<std::string, double> height_m;
  for (std::size_t row = 0; row < nodes.rows.size(); ++row) {
    if (nodes.text(row, "case") != state.name) continue;
    const std::string& name = nodes.text(row, "node");
    node[name] = net.add_node(name, name == "T" ? NodeKind::fixed : NodeKind::free);
    height_m[name] = nodes.number(row, "z_m");
  }
  std::map<std::string, ElementId> element;
  for (std::size_t row = 0; row < def.rows.size(); ++row) {
    element[def.text(row, "id")] =
        net.add_element(def.text(row, "id"), def.text(row, "type") == "pipe" ? Law::pipe : Law::valve,
                        node.at(def.text(row, "from")), node.at(def.text(row, "to")));
  }
  const ElementId demand = net.add_element("demand", Law::draw, node.at("N7"), node.at("T"));
  const Network network = Network::compile(net).value();

  PointTable table(network, 1);
  const double weight = 835.0 * gravity;
  table.set_pressure(0, node.at("T"), state.tank_Pa + weight * height_m.at("T"));
  table.set(0, demand, DrawCoefficients{.flow_m3_per_s = state.demand_L_per_h * lph});
  for (std::size_t row = 0; row < def.rows.size(); ++row) {
    const ElementId e = element.at(def.text(row, "id"));
    const auto p = [&](const char* name) { return def.number(row, name); };
    const std::string& type = def.text(row, "type");
    if (type == "pipe") {
      table.set(0, e,
                coefficients({.bore_m = p("p1"),
                              .length_m = p("p2"),
                              .roughness_m = p("p3"),
                              .loss = p("p4"),
                              .linear_Pa_s_per_m3 = p("p5") * state.kinematic_viscosity_m2_per_s / 4.5e-6},
                             fluid));
    } else {
      const bool pump = type == "pump";
      table.set(0, e,
                ValveCoefficients{.crack_Pa = pump ? -p("p1") : p("p1"),
                                  .linear_Pa_s_per_m3 = p("p2"),
                                  .quadratic_Pa_s2_per_m6 = p("p3"),
                                  .shut = pump ? state.pump_shut : 0.0});
    }
  }
  const PointResults results = solve_one(network, table, {.closed_resistance_Pa_s_per_m3 = 1e16});
  int seen = 0;
  for (std::size_t row = 0; row < nodes.rows.size(); ++row) {
    if (nodes.text(row, "case") != state.name) continue;
    const std::string& name = nodes.text(row, "node");
    EXPECT_NEAR(results.pressure(0, node.at(name)) - weight * height_m.at(name), nodes.number(row, "p_Pa"), 0.05)
        << name;
    ++seen;
  }
  for (std::size_t row = 0; row < links.rows.size(); ++row) {
    if (links.text(row, "case") != state.name) continue;
    const std::string& name = links.text(row, "link");
    EXPECT_NEAR(results.flow(0, element.at(name)) / lph, links.number(row, "Q_Lph"), 2e-4) << name;
    ++seen;
  }
  EXPECT_EQ(seen, 9 + 12);
}

INSTANTIATE_TEST_SUITE_P(Cases, DieselLoop,
                         ::testing::Values(DieselCase{"A", 180.0, 0.0, 4.5e-6, 101325.0},
                                           DieselCase{"B", 180.0, 1.0, 4.5e-6, 101325.0},
                                           DieselCase{"C", 40.0, 0.0, 4.5e-6, 101325.0},
                                           DieselCase{"D", 180.0, 0.0, 25e-6, 70108.5}),
                         [](const auto& param_info) { return std::string(param_info.param.name); });

// ---- Hand algebra ----

struct TwoPumps {
  Network network;
  NodeId tank, middle, out;
  ElementId first, second, load;
};

// Linear pumps rise = p0 - a Q against a linear load R: in series Q = 2 p0/(2a + R), in parallel Q = p0/(a/2 + R).
TEST(NetworkPumps, InSeriesMeetHandAlgebra) {
  NetworkDefinition net;
  const NodeId tank = net.add_node("tank", NodeKind::fixed);
  const NodeId middle = net.add_node("middle");
  const NodeId out = net.add_node("out");
  const ElementId first = net.add_element("first", Law::valve, tank, middle);
  const ElementId second = net.add_element("second", Law::valve, middle, out);
  const ElementId load = net.add_element("load", Law::resistor, out, tank);
  const Network network = Network::compile(net).value();
  PointTable table(network, 1);
  const double p0 = 2e5;
  const double a = 1e9;
  const double r = 4e9;
  table.set_pressure(0, tank, 1e5);
  table.set(0, first, ValveCoefficients{.crack_Pa = -p0, .linear_Pa_s_per_m3 = a});
  table.set(0, second, ValveCoefficients{.crack_Pa = -p0, .linear_Pa_s_per_m3 = a});
  table.set(0, load, ResistorCoefficients{.linear_Pa_s_per_m3 = r});
  const PointResults results = solve_one(network, table);
  const double q = 2.0 * p0 / (2.0 * a + r);
  EXPECT_NEAR(results.flow(0, load) / q, 1.0, 1e-12);
  EXPECT_NEAR(results.pressure(0, middle), 1e5 + p0 - a * q, 1e-6);
  EXPECT_NEAR(results.pressure(0, out), 1e5 + r * q, 1e-6);
}

TEST(NetworkPumps, InParallelMeetHandAlgebraAndADeadOneDoesNotBackFlow) {
  NetworkDefinition net;
  const NodeId tank = net.add_node("tank", NodeKind::fixed);
  const NodeId out = net.add_node("out");
  const ElementId first = net.add_element("first", Law::valve, tank, out);
  const ElementId second = net.add_element("second", Law::valve, tank, out);
  const ElementId load = net.add_element("load", Law::resistor, out, tank);
  const Network network = Network::compile(net).value();
  const double p0 = 2e5;
  const double a = 1e9;
  const double r = 4e9;
  PointTable table(network, 2);
  for (std::size_t point = 0; point < 2; ++point) {
    table.set_pressure(point, tank, 1e5);
    table.set(point, first, ValveCoefficients{.crack_Pa = -p0, .linear_Pa_s_per_m3 = a});
    table.set(point, second,
              ValveCoefficients{.crack_Pa = -p0, .linear_Pa_s_per_m3 = a, .shut = point == 1 ? 1.0 : 0.0});
    table.set(point, load, ResistorCoefficients{.linear_Pa_s_per_m3 = r});
  }
  const PointResults results = network.solve(table, {}, inline_run()).value();
  EXPECT_NEAR(results.flow(0, load) / (p0 / (a / 2.0 + r)), 1.0, 1e-12);
  EXPECT_NEAR(results.flow(0, first) / results.flow(0, second), 1.0, 1e-12);
  const double leak = -r * results.flow(1, load) / 1e16;
  EXPECT_NEAR(results.flow(1, load) / ((p0 + a * leak) / (a + r)), 1.0, 1e-12);
  EXPECT_NEAR(results.flow(1, second) / leak, 1.0, 1e-9);
}

// ---- Vapour guard ----

// A displacement pump that asks Q0 sucks through a resistor R from a tank at p_t; the guard holds the inlet at p_g.
// Unguarded the inlet would fall to p_t - R Q0. With a starved inlet the liquid flow is (p_t - p_g)/R and
// w = Q_pump - that; conductance 0 gives Q_pump = Q0.
TEST(NetworkGuard, StarvesTheInletAndKeepsTheBalance) {
  NetworkDefinition net;
  const NodeId tank = net.add_node("tank", NodeKind::fixed);
  const NodeId inlet = net.add_node("inlet");
  const NodeId outlet = net.add_node("outlet");
  const ElementId suction = net.add_element("suction", Law::resistor, tank, inlet);
  const ElementId pump = net.add_element("pump", Law::source, inlet, outlet);
  const ElementId load = net.add_element("load", Law::resistor, outlet, tank);
  const ElementId guard = net.add_element("guard", Law::vapour_guard, inlet, outlet);
  const Network network = Network::compile(net).value();
  const double p_t = 1e5;
  const double p_g = 1e3;
  const double q0 = 1e-4;
  const double load_r = 2e9;
  const double suction_r[] = {5e8, 9e8, 3e9, 2e10};
  const double leak[] = {0.0, 1e-11};
  PointTable table(network, 8);
  for (std::size_t i = 0; i < 8; ++i) {
    table.set_pressure(i, tank, p_t);
    table.set(i, suction, ResistorCoefficients{.linear_Pa_s_per_m3 = suction_r[i / 2]});
    table.set(i, load, ResistorCoefficients{.linear_Pa_s_per_m3 = load_r});
    table.set(i, pump, SourceCoefficients{.free_flow_m3_per_s = q0, .conductance_m3_per_s_Pa = leak[i % 2]});
    table.set(i, guard, GuardCoefficients{.pressure_Pa = p_g});
  }
  const PointResults results = network.solve(table, {}, inline_run()).value();
  for (std::size_t i = 0; i < 8; ++i) {
    EXPECT_EQ(results.status[i], SolveStatus::converged);
    EXPECT_LT(results.residual[i], 1e-12);
    const double r = suction_r[i / 2];
    const double c = leak[i % 2];
    // Flooded: q = q0 - c (P_out - P_in), P_in = p_t - r q, P_out = p_t + load q.
    const double flooded = q0 / (1.0 + c * (load_r + r));
    if (p_t - r * flooded >= p_g) {
      EXPECT_EQ(results.flow(i, guard), 0.0);
      EXPECT_NEAR(results.flow(i, suction) / flooded, 1.0, 1e-10);
    } else {
      const double liquid = (p_t - p_g) / r;
      const double pumped = q0 - c * (p_t + load_r * liquid - p_g);
      EXPECT_EQ(results.pressure(i, inlet), p_g);
      EXPECT_NEAR(results.flow(i, load) / liquid, 1.0, 1e-10);
      EXPECT_NEAR(results.flow(i, pump) / pumped, 1.0, 1e-10);
      EXPECT_NEAR(results.flow(i, guard) / (pumped - liquid), 1.0, 1e-9);
    }
  }
}

// ---- Errors and states ----

TEST(NetworkCompile, NamesWhatIsWrong) {
  NetworkDefinition net;
  const NodeId a = net.add_node("a", NodeKind::fixed);
  const NodeId b = net.add_node("b");
  net.add_node("lonely");
  net.add_element("ring", Law::resistor, b, b);
  net.add_element("astray", Law::resistor, a, static_cast<NodeId>(9));
  net.add_element("guard", Law::vapour_guard, a, b);
  const auto network = Network::compile(net);
  ASSERT_FALSE(network.has_value());
  ASSERT_EQ(network.error().size(), 4U);
  EXPECT_NE(network.error().all()[0].where.field.find("ring"), std::string::npos);
  EXPECT_NE(network.error().all()[1].where.field.find("astray"), std::string::npos);
  EXPECT_NE(network.error().all()[2].where.field.find("guard"), std::string::npos);
  EXPECT_NE(network.error().all()[3].where.field.find("lonely"), std::string::npos);
}

TEST(NetworkSolve, NamesElementPointAndCoefficient) {
  NetworkDefinition net;
  const NodeId a = net.add_node("a", NodeKind::fixed);
  const NodeId b = net.add_node("b", NodeKind::fixed);
  const ElementId e = net.add_element("hose", Law::resistor, a, b);
  const Network network = Network::compile(net).value();
  PointTable table(network, 3);
  for (std::size_t point = 0; point < 3; ++point) {
    table.set_pressure(point, a, 2e5);
    table.set_pressure(point, b, 1e5);
    table.set(point, e, ResistorCoefficients{.linear_Pa_s_per_m3 = 1e9});
  }
  EXPECT_TRUE(network.solve(table, {}, inline_run()).has_value());
  table.set(1, e, ResistorCoefficients{.linear_Pa_s_per_m3 = 0.0});
  const auto broken = network.solve(table, {}, inline_run());
  ASSERT_FALSE(broken.has_value());
  EXPECT_EQ(broken.error().front().where.field, "point 1: element \"hose\".linear_Pa_s_per_m3");
  const PointTable empty(network, 1);
  EXPECT_FALSE(network.solve(empty, {}, inline_run()).has_value());
}

// A draw behind a closed check has no way to a fixed pressure; a node joined to nothing fixed has none ever.
TEST(NetworkSolve, SaysWhichNodeHasNoAnchor) {
  NetworkDefinition net;
  const NodeId tank = net.add_node("tank", NodeKind::fixed);
  const NodeId behind = net.add_node("behind");
  const ElementId check = net.add_element("check", Law::valve, behind, tank);
  const ElementId draw = net.add_element("draw", Law::draw, behind, tank);
  const Network network = Network::compile(net).value();
  PointTable table(network, 2);
  for (std::size_t point = 0; point < 2; ++point) {
    table.set_pressure(point, tank, 1e5);
    table.set(point, check, ValveCoefficients{.crack_Pa = 0.0, .linear_Pa_s_per_m3 = 1e9});
    table.set(point, draw, DrawCoefficients{.flow_m3_per_s = point == 0 ? 1e-5 : -1e-5});
  }
  const PointResults results = network.solve(table, {}, inline_run()).value();
  EXPECT_EQ(results.status[0], SolveStatus::no_anchor);
  EXPECT_EQ(results.where[0], static_cast<std::uint32_t>(behind));
  EXPECT_EQ(results.status[1], SolveStatus::converged);
  EXPECT_NEAR(results.pressure(1, behind), 1e5 + 1e9 * 1e-5, 1e-6);

  NetworkDefinition adrift;
  const NodeId p = adrift.add_node("p");
  const NodeId q = adrift.add_node("q");
  const ElementId r = adrift.add_element("r", Law::resistor, p, q);
  const Network floating = Network::compile(adrift).value();
  PointTable one(floating, 1);
  one.set(0, r, ResistorCoefficients{.linear_Pa_s_per_m3 = 1e9});
  EXPECT_EQ(floating.solve(one, {}, inline_run())->status[0], SolveStatus::no_anchor);
}

// The memory of earlier answers may hold a failed point of another network: nothing of it shows.
TEST(NetworkSolve, TakesOverTheMemoryOfOtherAnswers) {
  NetworkDefinition adrift;
  const NodeId p = adrift.add_node("p");
  const NodeId q = adrift.add_node("q");
  const NodeId far = adrift.add_node("far");
  const ElementId r = adrift.add_element("r", Law::resistor, p, q);
  const ElementId t = adrift.add_element("t", Law::resistor, q, far);
  const Network floating = Network::compile(adrift).value();
  PointTable lost(floating, 3);
  for (std::size_t point = 0; point < 3; ++point) {
    lost.set(point, r, ResistorCoefficients{.linear_Pa_s_per_m3 = 1e9});
    lost.set(point, t, ResistorCoefficients{.linear_Pa_s_per_m3 = 1e9});
  }
  PointResults earlier = floating.solve(lost, {}, inline_run()).value();
  ASSERT_EQ(earlier.status[1], SolveStatus::no_anchor);

  NetworkDefinition net;
  const NodeId a = net.add_node("a", NodeKind::fixed);
  const NodeId b = net.add_node("b", NodeKind::fixed);
  const ElementId e = net.add_element("hose", Law::resistor, a, b);
  const Network network = Network::compile(net).value();
  PointTable table(network, 2);
  for (std::size_t point = 0; point < 2; ++point) {
    table.set_pressure(point, a, 2e5);
    table.set_pressure(point, b, 1e5);
    table.set(point, e, ResistorCoefficients{.linear_Pa_s_per_m3 = 1e9});
  }
  const PointResults fresh = network.solve(table, {}, inline_run()).value();
  const PointResults reused = network.solve(table, {}, inline_run(), std::move(earlier)).value();
  EXPECT_EQ(reused.points, 2U);
  EXPECT_EQ(reused.nodes, 2U);
  EXPECT_EQ(reused.elements, 1U);
  EXPECT_EQ(reused.pressure_Pa, fresh.pressure_Pa);
  EXPECT_EQ(reused.flow_m3_per_s, fresh.flow_m3_per_s);
  EXPECT_EQ(reused.residual, fresh.residual);
  EXPECT_EQ(reused.iterations, fresh.iterations);
  EXPECT_EQ(reused.status, fresh.status);
  EXPECT_EQ(reused.where, fresh.where);
  EXPECT_NEAR(reused.flow(1, e), 1e-4, 1e-14);
}

TEST(NetworkSolve, StopsWhenAsked) {
  NetworkDefinition net;
  const NodeId a = net.add_node("a", NodeKind::fixed);
  const NodeId b = net.add_node("b", NodeKind::fixed);
  const ElementId e = net.add_element("hose", Law::resistor, a, b);
  const Network network = Network::compile(net).value();
  PointTable table(network, 1);
  table.set_pressure(0, a, 2e5);
  table.set_pressure(0, b, 1e5);
  table.set(0, e, ResistorCoefficients{.linear_Pa_s_per_m3 = 1e9});
  std::stop_source source;
  source.request_stop();
  InlineExecutor executor;
  SilentProgress progress;
  const auto results =
      network.solve(table, {}, {.executor = executor, .progress = progress, .stop = source.get_token()});
  ASSERT_FALSE(results.has_value());
  EXPECT_EQ(results.error().front().code, ErrorCode::cancelled);
}

}  // namespace
}  // namespace fw::hydraulics
