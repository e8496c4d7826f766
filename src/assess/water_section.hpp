// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <cstdint>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "base/input_check.hpp"
#include "base/result.hpp"
#include "base/run.hpp"
#include "base/stated.hpp"
#include "casefile/case.hpp"
#include "supply/envelope.hpp"
#include "system/line_sheet.hpp"
#include "water/duty.hpp"
#include "water/warning.hpp"

/// Water from tank to pump inlet for the line sheets of a case. Theory: docs/theory/water.md, section A line sheet.
namespace fw::assess {

/// What a case knows of its water, beside its sheets.
struct WaterFacts {
  supply::Climate climate = supply::Climate::temperate;
  std::optional<Stated> fuel_water;  ///< total by Karl Fischer [kg/kg]; not given: 50 to 200 mg/kg, assumed
  std::uint64_t seed = 1;
  std::size_t sets = 48;     ///< of assumptions
  std::size_t stories = 24;  ///< in each set: how much water, how pure, how soon the driver acts
  int days = 30;
};

/// A stage that meets water, as a person reads it.
struct WaterStage {
  std::string id;
  std::string title;
  water::StageKind kind = water::StageKind::separator;
  double share = 1.0;        ///< of the engine's feed that passes it [-]
  bool behind_pump = false;  ///< a pump that turns stands before it on some way
  std::optional<Interval>
      largest_drop_m;                  ///< pump: what it leaves; separator: what arrives, where a pump stands before
  std::optional<Interval> efficiency;  ///< separator: on a body of water or stirred drops as they arrive
  std::optional<Interval> fine_efficiency;  ///< separator: on haze as it arrives
  water::Sensor sensor = water::Sensor::none;
  bool sensor_stated = true;
  bool bowl_stated = false;   ///< what the bowl holds; not: 60 to 350 mL, most likely 200 (typical)
  bool probe_stated = false;  ///< what it holds when the sensor is reached; not: 20 to 120 mL, most likely 40 (typical)
  std::optional<Interval> drain_s;  ///< separator: running time until half full, ordinary fuel
};

/// 5 %, median, 95 % of the draws.
struct WaterBand {
  double low = required;
  double median = required;
  double high = required;
};

/// One story told over the draws.
struct WaterStory {
  WaterBand free_kg;        ///< undissolved through the inlet, each pass counted
  WaterBand worst;          ///< undissolved at the inlet [kg/kg]
  WaterBand wet_share;      ///< of the running time
  double body_drawn = 0.0;  ///< share of draws in which water is drawn from the floor as a body
  double bowl_full = 0.0;   ///< share of draws in which a bowl fills
};

struct WaterSheet {
  std::string name;
  std::string file;
  std::string tank;                   ///< title of the tank that is drawn from
  bool sump = false;                  ///< drawn from under the tank
  double pickup_height_m = required;  ///< mouth over the tank's floor, 0 with a sump
  bool pickup_stated = true;
  double under_pickup_m3 = required;  ///< water that lies before the mouth draws it, level ground
  double volume_m3 = required;        ///< of the tank, most likely value
  bool volume_stated = true;
  bool flows_known = true;          ///< else every way takes an equal share
  double feed_m3_per_s = required;  ///< at cruise
  double burn_m3_per_s = required;
  std::vector<WaterStage> stages;    ///< in the order of the flow, pumps and separators
  bool bowl_in_flow = false;         ///< a separator whose bowl a sensor could stand in
  WaterStory ordinary;               ///< fuel as delivered and the air
  WaterStory slug;                   ///< one body of water poured in with the fuel
  std::vector<double> slug_free_kg;  ///< of its draws, in their order: sheets are compared draw by draw
  water::WarningChance as_it_is;     ///< of a warning before the damage, sensor as the sheet has it
  water::WarningChance with_sensor;  ///< the same with a working sensor in every bowl in the flow
  std::vector<std::size_t>
      silent;            ///< by water::Blindness: draws of the slug in which the sensor as it is did not warn
  bool freezes = false;  ///< coldest start at or below 0 C
  double coldest_K = required;
  double frozen_share = 0.0;  ///< of the draws with a slug: starts of a cold month with ice at mouth or in a bowl
};

/// A sheet that no model here covers, e.g. with a fuel of constant density: how much water it holds is not known.
struct WaterNotJudged {
  std::string name;
  std::string why;  ///< the error as text
};

struct WaterSection {
  std::vector<WaterSheet> sheets;  ///< those that could be judged, at least one
  std::vector<WaterNotJudged> not_judged;
  double night_kg = 0.0;                 ///< condensate of one night at most, half tank of the first sheet [kg]
  std::vector<std::string> assumptions;  ///< one sentence each
  std::vector<std::string> sentences;    ///< what differs from sheet to sheet, with its band
  std::uint64_t seed = 1;
  std::size_t draws = 0;
  int days = 30;
};

/// Order of the stages and shares of the flow from the sheet, solved at cruise at 20 C; 30 days of 4 h with fuel as
/// delivered, and the same with 50 to 500 mL poured in, once or again; all sheets under the same draws.
/// A sheet that the models refuse (outside_model) is named in not_judged while another can be judged.
/// Errors: those of the supply model, of fuel_of_sheet and of water::run_days, by file; invalid_input for no sheet;
/// cancelled.
[[nodiscard]] Result<WaterSection> water_section(std::span<const system::LineSheet> sheets, const WaterFacts& facts,
                                                 const Run& run);

/// What one sheet lets through that another does not, after water was poured in, draw by draw: by how much with its
/// band, or not determined where the band of the difference holds 0. Precondition: judged together.
[[nodiscard]] std::string water_difference(const WaterSheet& first, const WaterSheet& second);

/// What a case says of its water; `seed` of the draws.
[[nodiscard]] WaterFacts water_facts(const casefile::Case& job, std::uint64_t seed);

}  // namespace fw::assess
