// SPDX-License-Identifier: Apache-2.0
// Whatever stands in a change list over a layout gives a sound sheet or errors that teach. The first byte chooses the
// layout, the rest is the text after the head of the sheet.
#include <cstddef>
#include <cstdint>
#include <string>
#include <vector>

#include "checks.hpp"

// NOLINTNEXTLINE(readability-identifier-naming): the name that the fuzzing engine calls
extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  if (size == 0) return 0;
  static const std::vector<std::string> layouts = fw::fuzz::book().ids(fw::catalog::EntryKind::layout);
  fw::fuzz::check_sheet("format = 1\nname = \"x\"\nfrom = \"layout:" + layouts.at(data[0] % layouts.size()) + "\"\n" +
                        std::string(reinterpret_cast<const char*>(data + 1), size - 1));
  return 0;
}
