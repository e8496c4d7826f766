// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "base/stated.hpp"
#include "catalog/document.hpp"

namespace fw::casefile {

/// One fill of the tank, as told.
struct Fill {
  std::string date;  ///< "2026-05-01", or "" if not known
  std::string place;
  std::string product;
  std::optional<Stated> volume_m3;
  std::optional<bool> receipt;
};

/// What was told and agreed when the vehicle came in. Everything may be absent: absent is not known, never no.
struct Intake {
  std::optional<Stated> odometer_m;
  std::optional<Stated> hours_s;
  std::optional<Stated> idle_share;  ///< share of the hours at idle
  std::string use;                   ///< "stand-by tender", as told
  std::vector<Fill> fills;           ///< the last three, newest first
  std::string tow_since_failure;
  std::optional<int> cranks_since_failure;
  std::string fuel_work;  ///< earlier work on the fuel system
  std::string owner;
  std::vector<std::string> payers;
  struct Campaign {
    std::optional<bool> checked;
    std::string date;
    std::string result;
  } campaign;
  struct Permission {
    std::optional<bool> to_look;  ///< permission to look is not permission to repair
    std::string cap;              ///< most that looking may cost, as agreed, e.g. "300 USD"
    std::string by;
    std::string date;
  } permission;
  struct Consent {
    std::optional<bool> samples;  ///< to keep fuel samples and parts
    std::optional<bool> photos;   ///< to keep photos
  } consent;
};

/// Reads the [intake] table of a case (docs/reference/case-folder.md). Faults are noted in its document: unknown keys
/// with the nearest, dates that are not dates, a permission without its cap, more than three fills.
[[nodiscard]] Intake read_intake(catalog::Table& table);

}  // namespace fw::casefile
