// SPDX-License-Identifier: Apache-2.0
// How far the room stands from outside values: the table of docs/theory/extent.md must be the one that these numbers
// make.
#include <cmath>
#include <string>
#include <vector>

#include <gtest/gtest.h>

#include "extent/comeback.hpp"
#include "published_table.hpp"
#include "theory_table.hpp"

namespace fw::extent {
namespace {

TEST(Deviations, StandInTheTheoryAsMeasured) {
  const Stake whole{.cost = 6800, .comeback = 0.03, .loss = 7200};
  const auto part = [](double p) { return Stake{.cost = 2400, .comeback = p, .loss = 9500}; };
  const auto table = test::published_table("extent/break_even.csv");
  const auto printed = [&](const std::string& quantity) {
    for (std::size_t row = 0; row < table.rows.size(); ++row) {
      if (table.text(row, "quantity") == quantity) return table.number(row, "value");
    }
    ADD_FAILURE() << "no row " << quantity;
    return 1.0;
  };
  const std::string oracle = "same formula, another program";
  const std::string even = "BreakEven.MatchesTheOracle";
  double base = 0.0;
  double decades = 0.0;
  for (std::uint32_t sample = 0; sample < 4000; ++sample) {
    const ComebackDraw draw = draw_comeback({}, 3, sample);
    base += draw.base / 4000.0;
    decades += std::log10(draw.scale) / 4000.0;
  }
  const ComebackDraw draw{.base = 0.05, .scale = 1e5, .exponent = 0.4};
  test::expect_theory_table(
      "extent.md", "extent",
      {{"break-even chance of a comeback", oracle, printed("break_even"), break_even(part(0.0), whole).value(), even},
       {"same, risk scale 20,000", oracle, printed("break_even_averse_20000"),
        break_even(part(0.0), whole, 20000).value(), even},
       {"expected cost of the part at 0.2", oracle, printed("cost_A_at_0.2"), expected_cost(part(0.2)).value(), even},
       {"expected cost of the whole", oracle, printed("cost_B"), expected_cost(whole).value(), even},
       {"recurring cost of the part at 0.3", oracle, printed("recurring_A_at_0.3"), recurring_cost(part(0.3)).value(),
        even},
       {"certain cost of the part at 0.4, risk scale 20,000", oracle, printed("certain_A_at_0.4_averse"),
        certain_cost(part(0.4), 20000).value(), even},
       {"chance of a comeback at N*, base 0.05", "closed form, 1 - 1/e", 0.05 + 0.95 * (1.0 - std::exp(-1.0)),
        comeback(draw, 1e5).value(), "Comeback.ScaleIsWhereTheExcessIsOneLessOneOverE"},
       {"mean base chance of 4,000 draws", "Beta(2, 38), closed form", 0.05, base, "Comeback.DrawsThePrior"},
       {"mean log10 N* of 4,000 draws", "log-uniform 1e4 to 1e7, closed form", 5.5, decades,
        "Comeback.DrawsThePrior"}});
}

}  // namespace
}  // namespace fw::extent
