// SPDX-License-Identifier: Apache-2.0
// Whatever stands in a file read as JSON networks gives sound networks, or errors in printable characters; and a sound
// network with nothing seen has marginals that sum to 1, or is too large and says so.
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <cstdlib>
#include <string_view>

#include "casefile/network_reader.hpp"
#include "diagnosis/inference.hpp"

namespace {

void check(bool holds) {
  if (!holds) std::abort();
}

void check_printable(std::string_view text) {
  for (const char c : text) check(c >= ' ' && c <= '~');
}

}  // namespace

// NOLINTNEXTLINE(readability-identifier-naming): the name that the fuzzing engine calls
extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  const auto networks = fw::casefile::read_networks({reinterpret_cast<const char*>(data), size}, "network.json");
  if (!networks) {
    for (const fw::Error& error : networks.error()) {
      check(!error.found.empty() && !error.expected.empty());
      check_printable(error.hint);
    }
    return 0;
  }
  for (const fw::diagnosis::Network& network : *networks) {
    const auto posterior = fw::diagnosis::infer(network, {});
    if (!posterior) {
      check(posterior.error().front().code == fw::ErrorCode::too_large ||
            posterior.error().front().code == fw::ErrorCode::outside_model);
      continue;
    }
    for (const auto& marginal : posterior->marginals) {
      double sum = 0.0;
      for (const double p : marginal) sum += p;
      check(std::abs(sum - 1.0) < 1e-6);
    }
  }
  return 0;
}
