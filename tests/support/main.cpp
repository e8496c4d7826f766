// SPDX-License-Identifier: Apache-2.0
// The one main() of all tests: floating-point faults stop the test that caused them (style: FE traps).
#include <cfenv>
#include <cstdlib>
#include <string>
#include <string_view>

#include <gtest/gtest.h>

#include "project_file.hpp"

std::string fw::test::project_file(std::string_view path) { return FW_SOURCE_DIR "/" + std::string(path); }

int main(int argc, char** argv) {
  ::testing::InitGoogleTest(&argc, argv);
#if defined(__GLIBC__)
  feenableexcept(FE_DIVBYZERO | FE_INVALID | FE_OVERFLOW);
#endif
  // Property tests draw the same cases in every run; RC_PARAMS of the caller wins.
  setenv("RC_PARAMS", "seed=20240501", 0);
  return RUN_ALL_TESTS();
}
