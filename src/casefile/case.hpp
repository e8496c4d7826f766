// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "base/result.hpp"
#include "casefile/intake.hpp"
#include "casefile/metal.hpp"
#include "catalog/catalog.hpp"
#include "diagnosis/diagnose.hpp"
#include "supply/judge.hpp"
#include "system/line_sheet.hpp"

namespace fw::casefile {

/// One job: the facts of its case.toml and the line sheets it names.
struct Case {
  std::string folder;  ///< as the user named it
  std::string id;
  std::string title;
  std::string vehicle;
  std::string odometer;  ///< as typed
  std::string opened;    ///< date as typed
  std::string story;
  Intake intake;
  supply::Climate climate = supply::Climate::temperate;
  /// In the order as designed, as found, as rebuilt; those the case has.
  std::vector<system::LineSheet> sheets;
  std::optional<std::size_t> as_found;  ///< which of them is the one as found
  /// What was found, and whether a water sensor stands in the flow of the sheet as found; none: no findings file.
  std::optional<diagnosis::Facts> findings;
  /// Where metal was found; none: no metal.toml stands beside case.toml.
  std::optional<Metal> metal;
  /// Total water by the fuel report of the case [kg/kg]; none: no fuel-report.toml, or it does not say.
  std::optional<Stated> fuel_water;
};

/// A file as text. Errors: not_found, io, too_large over 8 MiB.
[[nodiscard]] Result<std::string> read_file(const std::string& path);

/// Reads one line sheet from a file. Errors: those of read_file and read_line_sheet.
[[nodiscard]] Result<system::LineSheet> read_sheet_file(const std::string& path, const catalog::Catalog& catalog);

/// The same from the text of a case.toml that is called `path`; its sheets are read from `folder`.
[[nodiscard]] Result<Case> read_case_text(std::string_view text, const std::string& path, const std::string& folder,
                                          const catalog::Catalog& catalog);

/// Reads FOLDER/case.toml and the sheets it names. Errors of all files at once.
[[nodiscard]] Result<Case> read_case(const std::string& folder, const catalog::Catalog& catalog);

}  // namespace fw::casefile
