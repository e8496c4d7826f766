// SPDX-License-Identifier: Apache-2.0
// How far the laws in use stand from the reference tables, and the table of docs/theory/components.md, which must be
// the one that these numbers make.
#include <algorithm>
#include <cmath>
#include <fstream>
#include <iterator>
#include <string>
#include <vector>

#include <fmt/format.h>
#include <gtest/gtest.h>

#include "hydraulics/curvature.hpp"
#include "hydraulics/fittings.hpp"
#include "hydraulics/friction.hpp"
#include "hydraulics/orifice.hpp"
#include "hydraulics/size_change.hpp"
#include "hydraulics/tank.hpp"
#include "hydraulics/tee.hpp"
#include "hydraulics_cases.hpp"
#include "project_file.hpp"

namespace fw::hydraulics {
namespace {

using test::d20;
using test::published_table;

/// Lowest and highest of what a law gives over what a table says, less one.
class Span {
 public:
  void add(double ratio) {
    low_ = std::min(low_, ratio - 1.0);
    high_ = std::max(high_, ratio - 1.0);
    ++count_;
  }
  /// "-0.48 to +0.81 %"; "0 %" within 5e-6; an end on the other side of the table is 0.00.
  [[nodiscard]] std::string text() const {
    if (std::max(std::abs(low_), std::abs(high_)) < 5e-6) return "0 %";
    const auto percent = [](double value) { return std::abs(value) < 5e-5 ? 0.0 : 1e2 * value; };
    return fmt::format("{:+.2f} to {:+.2f} %", percent(low_), percent(high_));
  }
  [[nodiscard]] int count() const { return count_; }

 private:
  double low_ = 0.0;
  double high_ = 0.0;
  int count_ = 0;
};

struct Line {
  std::string what;
  Span span;
};

double churchill(double reynolds, double roughness) {
  return pipe_friction_factor({.reynolds = reynolds, .relative_roughness = roughness}).value().factor;
}

std::vector<Line> friction() {
  Span own, colebrook, laminar, mishra, turbulent, fits;
  const auto table = published_table("hydraulics/hyd_friction_factor.csv");
  for (std::size_t row = 0; row < table.rows.size(); ++row) {
    const double re = table.number(row, "Re");
    const double e = table.number(row, "eps_over_D");
    const double f = churchill(re, e);
    own.add(f / table.number(row, "f_churchill"));
    if (re >= 4000.0) colebrook.add(f / table.number(row, "f_colebrook"));
    if (re <= 2000.0 && e == 0.0) laminar.add(f / (64.0 / re));
  }
  const auto curved = published_table("hydraulics/hyd_friction_curved.csv");
  for (std::size_t row = 0; row < curved.rows.size(); ++row) {
    const double re = curved.number(row, "Re");
    const double f =
        pipe_friction_factor({.reynolds = re, .curvature = std::sqrt(curved.number(row, "d_over_Dc"))}).value().factor;
    if (re <= 1000.0) mishra.add(f / curved.number(row, "f_MishraGupta_lam"));
    if (re >= 2.0 * curved.number(row, "Recrit_Ito")) turbulent.add(f / curved.number(row, "f_MishraGupta_turb"));
    if (re <= 1000.0) fits.add(f / curved.number(row, "f_White"));
  }
  return {{"Churchill, the product's law, against the column of Churchill", own},
          {"Churchill against Colebrook, Re 4000 and more", colebrook},
          {"Churchill against 64/Re, smooth, Re to 2000", laminar},
          {"curved pipe against Mishra & Gupta, laminar, Re to 1000", mishra},
          {"curved pipe against Mishra & Gupta, turbulent, from twice Ito's Re", turbulent},
          {"curved pipe against White, Re to 1000", fits}};
}

std::vector<Line> orifices() {
  Span sharp, hard, blended;
  const auto table = published_table("hydraulics/hyd_orifice_cd.csv");
  for (std::size_t row = 0; row < table.rows.size(); ++row) {
    const double re = table.number(row, "R");
    sharp.add(sharp_orifice_discharge(re).value() / table.number(row, "cd_sharp"));
    for (const char* ratio : {"0.5", "2", "5", "10", "20"}) {
      const double cd = table.number(row, "cd_tube_Ld" + std::string(ratio));
      hard.add(short_tube_discharge(re, std::stod(ratio), BranchJoin::hard).value() / cd);
      blended.add(short_tube_discharge(re, std::stod(ratio)).value() / cd);
    }
  }
  return {{"sharp orifice, Cd", sharp},
          {"short tube, Cd as printed, with its jump", hard},
          {"short tube, Cd as used, blended over the jump", blended}};
}

std::vector<Line> size_changes() {
  Span own, contraction, expansion;
  const auto table = published_table("hydraulics/hyd_size_change.csv");
  for (std::size_t row = 0; row < table.rows.size(); ++row) {
    const SizeChange change{.upstream_bore_m = 1e-3 * table.number(row, "d1_mm"),
                            .downstream_bore_m = 1e-3 * table.number(row, "d2_mm")};
    const SizeChangeState state{.reynolds = table.number(row, "Re1"), .friction_factor = table.number(row, "f1")};
    const double k = size_change_loss_coefficient(change, state).value();
    own.add(k / table.number(row, "K_hooper_up"));
    if (state.reynolds < 5000.0) continue;
    const double small = std::min(change.upstream_bore_m, change.downstream_bore_m) / change.upstream_bore_m;
    const double on_small = k * std::pow(small, 4.0);
    if (change.downstream_bore_m < change.upstream_bore_m) {
      contraction.add(on_small / table.number(row, "K_rennels_small"));
      contraction.add(on_small / table.number(row, "K_idelchik_small"));
    } else {
      expansion.add(on_small / table.number(row, "K_rennels_small"));
    }
  }
  return {{"size change, Hooper", own},
          {"contraction against Rennels & Hudson and Idelchik, turbulent", contraction},
          {"expansion against Borda & Carnot, turbulent", expansion}};
}

std::vector<Line> others() {
  Span pressure, simple, density, two_k, three_k;
  const auto air = published_table("hydraulics/hyd_isa.csv");
  for (std::size_t row = 0; row < air.rows.size(); ++row) {
    const auto at = standard_atmosphere(air.number(row, "z_m")).value();
    simple.add(at.pressure_Pa / air.number(row, "p_simple_Pa"));
    pressure.add(at.pressure_Pa / air.number(row, "p_Pa"));
    density.add(at.air_density_kg_per_m3 / air.number(row, "rho_kg_m3"));
  }
  // What choosing 3-K costs against 2-K, both for an elbow of 9.525 mm, Re 100 to 4000.
  const Fitting elbow = fitting_named("elbow-90-threaded").value();
  const auto by = [&](FittingMethod method, double re) {
    const auto law = fitting_law(elbow, {.bore_m = 9.525e-3, .method = method}, d20).value();
    return loss_coefficient_at(law.coefficients, re, 9.525e-3, d20);
  };
  for (const double re : {100.0, 500.0, 1500.0, 4000.0}) {
    two_k.add(by(FittingMethod::three_k, re) / by(FittingMethod::two_k, re));
  }
  three_k.add(entrance_loss_coefficient({.bore_m = 0.01}).value() / 0.57);
  Span tees;
  const auto table = published_table("hydraulics/hyd_tee_split.csv");
  for (std::size_t row = 0; row < table.rows.size(); ++row) {
    const auto k =
        tee_split_coefficients({.branch_share = table.number(row, "split"), .bore_ratio = table.number(row, "beta")})
            .value();
    tees.add(1.0 + k.branch_converging - table.number(row, "K_branch_converging"));
    tees.add(1.0 + k.run_converging - table.number(row, "K_run_converging"));
    tees.add(1.0 + k.branch_diverging - table.number(row, "K_branch_diverging"));
    tees.add(1.0 + k.run_diverging - table.number(row, "K_run_diverging"));
  }
  return {{"elbow by 3-K, as used, against 2-K, 9.525 mm, Re 100 to 4000", two_k},
          {"sharp entrance 0.50 against Rennels & Hudson's 0.57", three_k},
          {"tee coefficients, as differences of K over 1", tees},
          {"standard atmosphere, pressure, same formula", simple},
          {"standard atmosphere, pressure, geometric altitude", pressure},
          {"standard atmosphere, density, geometric altitude", density}};
}

TEST(Deviations, StandInTheTheoryAsMeasured) {
  std::ifstream page(test::project_file("docs/theory/components.md"));
  const std::string text{std::istreambuf_iterator<char>(page), {}};
  ASSERT_FALSE(text.empty());
  for (const auto& lines : {friction(), orifices(), size_changes(), others()}) {
    for (const Line& line : lines) {
      const std::string row = fmt::format("| {} | {} | {} |", line.what, line.span.count(), line.span.text());
      EXPECT_GT(line.span.count(), 0) << line.what;
      EXPECT_NE(text.find(row + "\n"), std::string::npos) << row;
    }
  }
}

}  // namespace
}  // namespace fw::hydraulics
