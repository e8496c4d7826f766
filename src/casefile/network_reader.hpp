// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "base/result.hpp"
#include "diagnosis/network.hpp"

namespace fw::casefile {

/// Reads the networks of a JSON file (docs/reference/network.md): either one network, or one per key. Keys that start
/// with "_" are remarks.
///
/// Errors: too_large over 8 MiB; invalid_input with the line for broken JSON, nesting deeper than 32 and a key twice;
/// for each fault of a network one with its path, e.g. "asia.tub.cpt[1]".
[[nodiscard]] Result<std::vector<diagnosis::Network>> read_networks(std::string_view text, const std::string& file);

}  // namespace fw::casefile
