// SPDX-License-Identifier: Apache-2.0
#include "base/input_check.hpp"

#include <limits>

#include <gtest/gtest.h>

#include "base/contract.hpp"

namespace fw {
namespace {

TEST(InputCheck, KeepsTheFirstFault) {
  InputCheck check;
  check.positive(1.0, "a").non_negative(0.0, "b").finite(-3.0, "c").within(0.5, {.low = 0.0, .high = 1.0}, "d");
  EXPECT_FALSE(check.failed());
  EXPECT_THROW(static_cast<void>(check.fault()), ContractViolation);
  check.positive(0.0, "e").finite(required, "f").that(false, "g", "x", "y");
  ASSERT_TRUE(check.failed());
  EXPECT_EQ(check.fault().value().size(), 1u);
  EXPECT_EQ(check.fault().value().front().where.field, "e");
}

// A NaN and an infinity are faults of their own and are never compared.
TEST(InputCheck, RefusesWhatIsNotFinite) {
  for (const double bad : {required, std::numeric_limits<double>::infinity()}) {
    InputCheck check;
    EXPECT_TRUE(check.within(bad, {.low = 0.0, .high = 1.0}, "share").failed());
    EXPECT_EQ(check.fault().value().front().where.field, "share");
  }
  InputCheck above;
  above.within(1.5, {.low = 0.0, .high = 1.0}, "share");
  EXPECT_EQ(to_text(above.fault().value()), "share: found 1.5; expected a number from 0 to 1.\n");
}

// A condition with its texts named gives the same error as one with texts in order.
TEST(InputCheck, TakesAMismatchByName) {
  InputCheck named;
  named.that(false, "set", {.found = "2", .expected = "1", .hint = "Lower it"});
  InputCheck in_order;
  in_order.that(false, "set", "2", "1", "Lower it");
  EXPECT_EQ(named.fault().value(), in_order.fault().value());
}

}  // namespace
}  // namespace fw
