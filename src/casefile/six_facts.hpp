// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <vector>

#include "base/result.hpp"
#include "catalog/catalog.hpp"
#include "diagnosis/diagnose.hpp"
#include "system/line_sheet.hpp"

namespace fw::casefile {

/// What a person can tell about a failure at the counter. An empty text or list, or "?", means "don't know".
struct SixFacts {
  std::string layout;              ///< 1: id of a layout of the catalog
  std::string rated_power;         ///< 2: as typed, e.g. "230 kW"
  std::string life;                ///< 3: "140000 km", "90000 mi" or "3310 h"
  std::string stopped;             ///< 4: how far it got: "suddenly", "fading", "out of fuel", "runs"
  std::vector<std::string> metal;  ///< 5: "none", or where: metering-valve, filter, magnet, return, tank
  std::string fill;                ///< 6: last fill: "just before", "long before"
  std::string lamp;                ///< 6: water lamp before: "on", "off"
};

/// The same facts with every "?" emptied.
[[nodiscard]] SixFacts only_told(SixFacts facts);

/// What the layouts of the catalog say about a water sensor in the flow, each answer once: the only thing in which the
/// layout speaks here. Errors: those of sheet_from_facts for the power.
[[nodiscard]] Result<std::vector<diagnosis::WaterSensor>> sensors_of_layouts(const SixFacts& facts,
                                                                             const catalog::Catalog& catalog);

/// The facts as findings of the tables: how far the vehicle ran says E08 and E09, how it stopped E15 to E17, metal E19
/// to E23, the fill E01, the lamp E04; the layout says whether a water sensor stands in the flow, and with no layout
/// told what all layouts agree on, else not known. What was not told is not looked. Errors: invalid_input for a word
/// that is not in the list or a quantity that cannot be read, naming the fact; those of sheet_from_facts for the layout
/// and power.
[[nodiscard]] Result<diagnosis::Facts> findings_from_facts(const SixFacts& facts, const catalog::Catalog& catalog);

/// Whether a water sensor stands in the flow of a sheet; not known where a separator does not say.
[[nodiscard]] diagnosis::WaterSensor water_sensor(const system::LineSheet& sheet);

}  // namespace fw::casefile
