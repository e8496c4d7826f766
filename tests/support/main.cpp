// SPDX-License-Identifier: Apache-2.0
// The one main() of all tests: floating-point faults stop the test that caused them (style: FE traps).
#include <cfenv>

#include <gtest/gtest.h>

int main(int argc, char** argv) {
  ::testing::InitGoogleTest(&argc, argv);
#if defined(__GLIBC__)
  feenableexcept(FE_DIVBYZERO | FE_INVALID | FE_OVERFLOW);
#endif
  return RUN_ALL_TESTS();
}
