// SPDX-License-Identifier: Apache-2.0
// Whatever stands in a line sheet gives a sound sheet or errors that teach. The sheet may start from any layout, name
// any build and part of the catalog, and start from itself.
#include <cstddef>
#include <cstdint>
#include <string>

#include "checks.hpp"

// NOLINTNEXTLINE(readability-identifier-naming): the name that the fuzzing engine calls
extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  fw::fuzz::check_sheet(std::string(reinterpret_cast<const char*>(data), size));
  return 0;
}
