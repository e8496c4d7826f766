// SPDX-License-Identifier: Apache-2.0
#include <cmath>

#include <gtest/gtest.h>

#include "base/contract.hpp"
#include "base/required.hpp"
#include "base/result.hpp"
#include "base/run.hpp"
#include "base/stated.hpp"

namespace fw {
namespace {

TEST(Errors, PrintAsProblemWhyAndWhatToDo) {
  const Error error{.code = ErrorCode::invalid_input,
                    .where = {.file = "as-found.toml", .line = 12, .column = 3, .field = "leg.supply.hose.bore"},
                    .found = "\"8\"",
                    .expected = "a length with its unit",
                    .hint = "Write \"8 mm\" or \"5/16 in\""};
  EXPECT_EQ(to_text(error),
            "as-found.toml:12: leg.supply.hose.bore: found \"8\"; expected a length with its unit. "
            "Write \"8 mm\" or \"5/16 in\".");
  EXPECT_EQ(Errors(Error{.found = "x"}).in_file("f.toml").front().where.file, "f.toml");
  EXPECT_EQ(Errors(Error{.found = "x"}).in_field("tank").in_field("case").front().where.field, "case.tank");
}

TEST(Errors, AreNeverEmptyAndContractsThrow) {
  EXPECT_THROW(Errors(std::vector<Error>{}), ContractViolation);
  EXPECT_THROW(FW_EXPECTS(1 > 2), ContractViolation);
}

TEST(Require, NamesTheForgottenField) {
  EXPECT_EQ(require_positive(required, "bore_m").error().front().where.field, "bore_m");
  EXPECT_FALSE(require_positive(0.0, "bore_m").has_value());
  EXPECT_TRUE(require_non_negative(0.0, "length_m").has_value());
  EXPECT_FALSE(require_finite(INFINITY, "x").has_value());
}

TEST(Run, InlineExecutorCallsEveryBlockOnce) {
  InlineExecutor executor;
  std::vector<int> seen(5, 0);
  executor.for_each_block(5, [&](std::size_t block) { ++seen[block]; });
  EXPECT_EQ(seen, std::vector<int>(5, 1));
}

}  // namespace
}  // namespace fw
