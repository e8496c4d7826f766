// SPDX-License-Identifier: Apache-2.0
// The reliability of the diagnosis on many drawn cases: diagnosis_long [CASES]; ends with 1 where a limit is missed.
#include <cmath>
#include <cstdlib>

#include <fmt/format.h>

#include "catalog/catalog.hpp"
#include "diagnosis_generator.hpp"

int main(int argc, char** argv) {
  using namespace fw;
  const std::size_t cases = argc > 1 ? std::strtoul(argv[1], nullptr, 10) : 2000;
  const auto catalog = catalog::built_in();
  if (!catalog) return 1;
  const auto model = diagnosis::build_model(catalog->diagnosis);
  if (!model) return 1;
  bool failed = false;
  const auto own = test::reliability(*model, *model, cases, 21);
  fmt::print("drawn from the tables themselves:\n{}", test::to_text(own));
  for (const auto& bin : own.bins) {
    if (bin.statements == 0) continue;
    const double mean = bin.stated / static_cast<double>(bin.statements);
    const double least = static_cast<double>(bin.statements) * mean * (1.0 - mean);
    if (!(std::abs(bin.right - bin.stated) <= 4.0 * std::sqrt(std::max(bin.variance, least)))) failed = true;
  }
  std::size_t ninety = 0;
  std::size_t right = 0;
  constexpr std::size_t tables = 10;
  for (std::uint64_t seed = 1; seed <= tables; ++seed) {
    const auto other = test::reliability(test::disturbed(*model, 2.0, seed), *model, cases / tables, 100 + seed);
    ninety += other.about_ninety;
    right += other.ninety_right;
    fmt::print("tables times or divided by 2 in odds, draw {}:\n{}", seed, test::to_text(other));
  }
  fmt::print("of {} statements of about 0.9, {} were right ({:.3f}; at least 0.75 is asked for)\n", ninety, right,
             static_cast<double>(right) / static_cast<double>(ninety));
  if (static_cast<double>(right) < 0.75 * static_cast<double>(ninety)) failed = true;
  return failed ? 1 : 0;
}
