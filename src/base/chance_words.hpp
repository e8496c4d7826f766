// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>

namespace fw {

/// A chance as a number of a hundred: "8"; below one in a hundred "under 1", above 99 "over 99". No chance that was
/// counted in draws or taken from a table is none at all or certain, so the ends never say 0 or 100.
/// Precondition: finite.
[[nodiscard]] std::string hundredths(double chance);

/// The same, said whole: "8 in 100", "under 1 in 100", "over 99 in 100".
[[nodiscard]] std::string in_100(double chance);

/// A band of chances: "20 to 95 in 100".
[[nodiscard]] std::string in_100(double low, double high);

}  // namespace fw
