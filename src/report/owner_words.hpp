// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <vector>

#include "supply/judge.hpp"
#include "system/line_sheet.hpp"
#include "units/quantity.hpp"

/// What was judged, in the words of somebody who owns the vehicle and does not work on fuel systems.
namespace fw::report {

/// Of what came in, or of what stands now.
enum class Tense : std::uint8_t { was, is };

/// A check that fails, in one or two sentences; no title, no limit's origin. A value stands beside its limit where it
/// is a pressure. `explained`: with why it matters, where that is not plain.
[[nodiscard]] std::string owner_failure(const supply::Check& check, const system::LineSheet& sheet,
                                        units::System system, Tense tense, bool explained);

/// What a check is about: "the pressure that feeds the high-pressure pump".
[[nodiscard]] std::string owner_name(const supply::Check& check, const system::LineSheet& sheet);

/// A check with little to spare: its name, and how many jobs in 100 would fall short where that was drawn.
[[nodiscard]] std::string owner_narrow(const supply::Check& check, const system::LineSheet& sheet);

/// What happens when a pump stops, a sentence for every kind of end. Where it is not stated what a pump does at rest
/// and the ends differ, both are told.
[[nodiscard]] std::string owner_losses(const std::vector<supply::DeadPump>& pumps);

/// Whether a failing check says that the high-pressure pump gets too little, or air.
[[nodiscard]] bool starves(const supply::Check& check);

}  // namespace fw::report
