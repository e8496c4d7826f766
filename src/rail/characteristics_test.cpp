// SPDX-License-Identifier: Apache-2.0
#include "rail/characteristics.hpp"

#include <algorithm>
#include <cmath>
#include <complex>
#include <numbers>

#include <gtest/gtest.h>

#include "published_table.hpp"

namespace fw::rail {
namespace {

using Friction = CharacteristicPipe::Friction;
using test::published_table;

// Weighting function against the exact series (hyd_friction_weighting.csv) and, below its first row, against Zielke's
// short-time series, which is exact to 0.013 % there.
TEST(FrictionMemory, StaysWithinOnePercentOfTheExactSeries) {
  const auto memory = friction_memory(1e-7).value();
  const auto table = published_table("rail/hyd_friction_weighting.csv");
  for (std::size_t row = 0; row < table.rows.size(); ++row) {
    EXPECT_NEAR(memory.at(table.number(row, "tau")) / table.number(row, "W_exact"), 1.0, 0.01) << row;
  }
  const auto short_series = [](double tau) {
    const double r = std::sqrt(tau);
    return 0.282095 / r - 1.25 + 1.057855 * r + 0.9375 * tau + 0.396696 * tau * r - 0.351563 * tau * tau;
  };
  for (double tau = 1e-7; tau < 1e-2; tau *= 1.3) {
    EXPECT_NEAR(memory.at(tau) / short_series(tau), 1.0, 0.01) << tau;
  }
  // Rail scale: nu dt/R^2 = 4.2e-6 at 5 us; the mean over the first step counts most.
  for (const double dtau : {4.2e-6, 1e-6, 1e-7}) {
    const auto step = memory_step(friction_memory(dtau).value(), dtau);
    double mean = 0.0;
    for (const double gain : step.gain) mean += gain;
    const double exact = 2.0 * 0.282095 / std::sqrt(dtau) - 1.25;
    EXPECT_NEAR(mean / exact, 1.0, 0.01) << dtau;
  }
  EXPECT_EQ(friction_memory(0.0).error().front().where.field, "smallest_tau");
}

// I0/I2 of the exact line replaced by the terms: 1 + 8/s + 4 sum m/(s + n), s in nu/R^2.
std::complex<double> impedance_factor(const FrictionMemory& memory, std::complex<double> s) {
  std::complex<double> sum = 1.0 + 8.0 / s;
  for (std::size_t i = 0; i < memory.rate.size(); ++i) sum += 4.0 * memory.weight[i] / (s + memory.rate[i]);
  return sum;
}

// Womersley 1955: gain, phase, resistance and inertance of oscillating flow.
TEST(FrictionMemory, MatchesWomersley) {
  const auto memory = friction_memory(1e-7).value();
  const auto table = published_table("rail/hyd_womersley.csv");
  for (std::size_t row = 0; row < table.rows.size(); ++row) {
    const double alpha = table.number(row, "alpha");
    const std::complex<double> s(0.0, alpha * alpha);
    const auto n = impedance_factor(memory, s);
    const auto gain = 8.0 / (s * n);
    EXPECT_NEAR(std::abs(gain) / table.number(row, "gain"), 1.0, 2e-3) << alpha;
    EXPECT_NEAR(std::arg(gain) * 180.0 / std::numbers::pi, table.number(row, "phase_deg"), 0.1) << alpha;
    EXPECT_NEAR((s * n / 8.0).real() / table.number(row, "R_ratio"), 1.0, 3e-3) << alpha;
    EXPECT_NEAR(n.real() / table.number(row, "L_ratio"), 1.0, 3e-3) << alpha;
  }
}

// Exact dissipative line, closed end and input impedance (Goodson & Leonard 1972).
TEST(FrictionMemory, MatchesTheDissipativeLine) {
  const auto memory = friction_memory(1e-8).value();
  const auto table = published_table("rail/hyd_line_frequency.csv");
  for (std::size_t row = 0; row < table.rows.size(); ++row) {
    const double dn = table.number(row, "Dn");
    const std::complex<double> s(0.0, table.number(row, "wn") * std::numbers::pi / 2.0);
    const auto root = std::sqrt(impedance_factor(memory, s / dn));
    const auto gain = 1.0 / std::cosh(s * root);
    EXPECT_NEAR(std::abs(gain) / table.number(row, "gain"), 1.0, 0.01) << row;
    const auto input = root * std::tanh(s * root);
    EXPECT_NEAR(std::abs(input) / table.number(row, "zin"), 1.0, 0.01) << row;
  }
}

// Start-up after Szymanski 1932: dv/dtau = 1 - v - ... in units of G R^2/(8 mu) and R^2/nu, dv/dtau = 8 (1 - v) - 4 Y.
TEST(FrictionMemory, MatchesSzymanski) {
  const auto table = published_table("rail/hyd_szymanski.csv");
  const double dtau = 2e-5;
  const auto memory = friction_memory(dtau).value();
  const auto step = memory_step(memory, dtau);
  std::vector<double> y(memory.rate.size(), 0.0);
  double v = 0.0;
  std::size_t row = 0;
  for (int i = 1; row < table.rows.size(); ++i) {
    double drag = 0.0;
    double gain = 0.0;
    for (std::size_t k = 0; k < y.size(); ++k) {
      drag += step.decay[k] * y[k];
      gain += step.gain[k];
    }
    const double change = dtau * (8.0 * (1.0 - v) - 4.0 * drag) / (1.0 + dtau * (8.0 + 4.0 * gain));
    for (std::size_t k = 0; k < y.size(); ++k) y[k] = step.decay[k] * y[k] + step.gain[k] * change;
    v += change;
    if (i * dtau >= table.number(row, "tau") - 0.5 * dtau) {
      EXPECT_NEAR(v / table.number(row, "mean"), 1.0, 0.01) << table.number(row, "tau");
      ++row;
    }
  }
}

// T16: rail end constant 100 MPa, injector end draws 30 mm3/ms for 1.0 ms. Exact on the grid.
TEST(Characteristics, MatchTheExactStep) {
  auto line =
      CharacteristicLine::make(
          {.length_m = 0.4, .bore_m = 2.4e-3, .wave_speed_m_per_s = 1500, .density_kg_per_m3 = 850, .reaches = 40})
          .value();
  line.set_steady(100e6, 0.0);
  const double dt = line.time_step_s();
  int compared = 0;
  for (int i = 1; i * dt < 2.13e-3; ++i) {
    line.advance();
    const double t = i * dt;
    line.set_left(100e6, (100e6 - line.left().base_Pa) / line.left().slope_Pa_s_per_m3);
    const double q = t < 1.0e-3 + 0.5 * dt ? 30e-6 : 0.0;
    line.set_right(line.right().base_Pa + line.right().slope_Pa_s_per_m3 * q, q);
    const double p = line.pressure_Pa().back() / 1e6;
    struct Band {
      double from_ms, to_ms, MPa;
    };
    for (const Band& band :
         {Band{0.0, 0.533, 91.545}, Band{0.533, 1.0, 108.455}, Band{1.0, 1.067, 116.910}, Band{1.067, 1.533, 100.0},
          Band{1.533, 1.6, 83.090}, Band{1.6, 2.067, 100.0}, Band{2.067, 2.133, 116.910}}) {
      if (t * 1e3 > band.from_ms + 1.5e3 * dt && t * 1e3 < band.to_ms - 1.5e3 * dt) {
        EXPECT_NEAR(p, band.MPa, 1e-3) << t * 1e3;
        ++compared;
      }
    }
  }
  EXPECT_GT(compared, 200);
}

struct Closure {
  double length_m, wave_speed, darcy, bore_m, head_m, gravity, initial_flow;
  double steady_valve_head_m;
  double (*opening)(double);
};

// Reservoir, pipe, valve to zero head, in heads; returns the valve heads at every step.
std::vector<double> valve_heads(const Closure& c, int reaches, double end_s, std::vector<double>* mid = nullptr) {
  const double rho_g = 1000.0 * c.gravity;
  auto line = CharacteristicLine::make({.length_m = c.length_m,
                                        .bore_m = c.bore_m,
                                        .wave_speed_m_per_s = c.wave_speed,
                                        .density_kg_per_m3 = 1000,
                                        .reaches = reaches,
                                        .friction = Friction::darcy,
                                        .darcy_factor = c.darcy})
                  .value();
  line.set_steady(rho_g * c.head_m, c.initial_flow);
  std::vector<double> heads{line.pressure_Pa().back() / rho_g};
  if (mid != nullptr) mid->assign(1, line.pressure_Pa()[line.pressure_Pa().size() / 2] / rho_g);
  const double dt = line.time_step_s();
  const int steps = static_cast<int>(std::lround(end_s / dt));
  for (int i = 1; i <= steps; ++i) {
    line.advance();
    line.set_left(rho_g * c.head_m, (rho_g * c.head_m - line.left().base_Pa) / line.left().slope_Pa_s_per_m3);
    const double tau = c.opening(i * dt);
    const double k = tau * tau * c.initial_flow * c.initial_flow / (rho_g * c.steady_valve_head_m);  // Q^2 = k p
    const double b = -line.right().slope_Pa_s_per_m3;
    const double q = -0.5 * b * k + std::sqrt(0.25 * b * b * k * k + k * line.right().base_Pa);
    line.set_right(line.right().base_Pa - b * q, q);
    heads.push_back(line.pressure_Pa().back() / rho_g);
    if (mid != nullptr) mid->push_back(line.pressure_Pa()[line.pressure_Pa().size() / 2] / rho_g);
  }
  return heads;
}

Closure streeter() {
  Closure c{600, 1200, 0.018, 0.5, 150, 9.806, 0, 0, [](double t) { return t < 2.1 ? std::pow(1 - t / 2.1, 1.5) : 0; }};
  const double area = std::numbers::pi * 0.0625;
  c.initial_flow =
      std::sqrt(2 * c.gravity * c.head_m / (1 / (0.009 * 0.009) + c.darcy * c.length_m / c.bore_m / (area * area)));
  c.steady_valve_head_m =
      c.head_m - c.darcy * c.length_m / c.bore_m * std::pow(c.initial_flow / area, 2) / 2 / c.gravity;
  return c;
}

// Valve closure (hyd_moc_valve_closure.csv), and second order on the way: errors of the reference 5.9e-2, 1.5e-2,
// 3.9e-3, 4.3e-4, 2.7e-5 m with 5, 10, 20, 60, 240 reaches.
TEST(Characteristics, MatchTheValveClosure) {
  const auto table = published_table("rail/hyd_moc_valve_closure.csv");
  const auto worst = [&](int reaches) {
    std::vector<double> mid;
    const auto heads = valve_heads(streeter(), reaches, 6.0, &mid);
    double error = 0.0;
    for (std::size_t row = 0; row < table.rows.size(); ++row) {
      const double at = table.number(row, "t_s") / (0.5 / reaches);
      if (std::abs(at - std::round(at)) > 1e-6) continue;
      const auto i = static_cast<std::size_t>(std::lround(at));
      error = std::max(error, std::abs(heads.at(i) - table.number(row, "H_valve_m")));
    }
    return error;
  };
  EXPECT_LT(worst(240), 4e-5);
  EXPECT_NEAR(worst(10) / 1.5e-2, 1.0, 0.2);
  EXPECT_NEAR(std::log2(worst(10) / worst(20)), 2.0, 0.2);
  EXPECT_NEAR(std::log2(worst(20) / worst(40)), 2.0, 0.2);
  const auto fine = valve_heads(streeter(), 1200, 6.0);
  EXPECT_NEAR(*std::max_element(fine.begin(), fine.end()), 285.2524, 1e-3);
  EXPECT_NEAR(*std::min_element(fine.begin(), fine.end()), 92.8427, 1e-3);
}

// Japan Society of Civil Engineers, hydraulic formulae (2001), example 3-2.
TEST(Characteristics, MatchTheCivilEngineers) {
  Closure c{
      400, 1000, 0.01, 2.0, 160, 9.8, 3.14 * std::numbers::pi, 0, [](double t) { return std::max(0.0, 1 - t / 1.8); }};
  c.steady_valve_head_m = 160 - 0.01 * 200 * 3.14 * 3.14 / 2 / 9.8;
  const auto heads = valve_heads(c, 400, 4.8);
  const auto table = published_table("rail/hyd_moc_jsce.csv");
  for (std::size_t row = 0; row < table.rows.size(); ++row) {
    const auto i = static_cast<std::size_t>(std::lround(table.number(row, "t_s") * 1000));
    EXPECT_NEAR(heads.at(i), table.number(row, "H_valve_m"), 1e-5) << row;
  }
  EXPECT_NEAR(*std::max_element(heads.begin(), heads.end()), 261.538, 1e-3);
  EXPECT_NEAR(*std::min_element(heads.begin(), heads.end()), 78.057, 1e-3);
}

// Allievi's interlocking equations, frictionless, exact at 2 L/a. Rows with a negative head have no cavitation model.
TEST(Characteristics, MatchAllievi) {
  const auto table = published_table("rail/hyd_moc_allievi.csv");
  int compared = 0;
  for (std::size_t row = 0; row < table.rows.size(); ++row) {
    const double k = table.number(row, "K");
    static double closure_s;
    closure_s = table.number(row, "M") * 0.2;
    const double flow = 2 * k * 10 * 50 / 1000.0 * std::numbers::pi * 0.0025;
    const Closure c{100, 1000, 0, 0.1, 50, 10, flow, 50, [](double t) { return std::max(0.0, 1 - t / closure_s); }};
    const auto heads = valve_heads(c, 20, 2.4);
    for (std::size_t i = 0; i <= 12; ++i) {
      EXPECT_NEAR(heads.at(i * 40) / 50, table.number(row, "h" + std::to_string(i)), 1e-8);
      ++compared;
    }
  }
  EXPECT_EQ(compared, 12 * 13);
}

// Sudden closure of a laminar line, exact solution (hyd_laminar_hammer_D20.csv); rows on the fronts left out. First
// order with step-averaged weights: the reference's full convolution gives 0.043, 0.020, 0.0094 with 32, 64, 128.
double worst_laminar(int reaches, double* against_convolution = nullptr) {
  const double area = std::numbers::pi * 0.0095 * 0.0095 / 4;
  const double joukowsky = 835.0 * 900.0 * 0.7;
  auto line = CharacteristicLine::make({.length_m = 4,
                                        .bore_m = 0.0095,
                                        .wave_speed_m_per_s = 900,
                                        .density_kg_per_m3 = 835,
                                        .reaches = reaches,
                                        .friction = Friction::laminar,
                                        .kinematic_viscosity_m2_per_s = 4.5e-6,
                                        .memory = true})
                  .value();
  line.set_steady(10e6, 0.7 * area);
  const std::vector<double> steady = line.pressure_Pa();
  const auto table = published_table("rail/hyd_laminar_hammer_D20.csv");
  double worst = 0.0;
  std::size_t row = 0;
  for (int i = 1; row < table.rows.size(); ++i) {
    line.advance();
    line.set_left(10e6, (10e6 - line.left().base_Pa) / line.left().slope_Pa_s_per_m3);
    line.set_right(line.right().base_Pa, 0.0);
    const double now = static_cast<double>(i) / reaches;
    if (now > table.number(row, "T") - 1e-9) {
      const double p = (line.pressure_Pa().back() - steady.back()) / joukowsky;
      const double away = std::abs(std::remainder(table.number(row, "T"), 2.0));
      if (away > 0.2) {
        worst = std::max(worst, std::abs(p - table.number(row, "p_valve_exact")));
        if (against_convolution != nullptr) {
          *against_convolution = std::max(*against_convolution, std::abs(p - table.number(row, "p_valve_zielke")));
        }
      }
      ++row;
    }
  }
  return worst;
}
TEST(Characteristics, MatchTheLaminarLine) {
  double against_convolution = 0.0;
  const double at64 = worst_laminar(64, &against_convolution);
  EXPECT_LT(at64, 0.022);
  EXPECT_LT(against_convolution, 1e-3);
  EXPECT_NEAR(std::log2(worst_laminar(32) / at64), 1.0, 0.25);
  EXPECT_NEAR(std::log2(at64 / worst_laminar(128)), 1.0, 0.25);
}

TEST(Characteristics, NameTheBadField) {
  EXPECT_EQ(CharacteristicLine::make(
                {.length_m = 1, .bore_m = 0.01, .wave_speed_m_per_s = 1000, .density_kg_per_m3 = 800, .reaches = 1})
                .error()
                .front()
                .where.field,
            "pipe.reaches");
  EXPECT_EQ(CharacteristicLine::make(
                {.length_m = 1, .bore_m = 0.01, .wave_speed_m_per_s = 1000, .density_kg_per_m3 = 800, .memory = true})
                .error()
                .front()
                .where.field,
            "pipe.memory");
}

}  // namespace
}  // namespace fw::rail
