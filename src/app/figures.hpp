// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "base/result.hpp"
#include "base/run.hpp"
#include "supply/judge.hpp"
#include "units/quantity.hpp"

/// One figure of a case or of a line sheet, as a file.
namespace fw::app {

enum class FigureKind : std::uint8_t {
  schematic,
  grade_line,
  worst_line,
  comparison,
  envelope,
  coverage,
  matters,
  gauges,
  capacity,  ///< this and the following: of the high-pressure side
  rail,
  waves,
  day,
  cascade,  ///< this and the next three: of a case with a metal.toml
  dose,
  frontier,
  break_even,
  causes,  ///< of a case with findings: chances of state and causes
  why      ///< of a case with findings: for and against one cause
};
[[nodiscard]] std::string_view name(FigureKind kind);
[[nodiscard]] std::vector<std::string> figure_kinds();
[[nodiscard]] std::optional<FigureKind> figure_kind_named(std::string_view text);

enum class FigureFormat : std::uint8_t { svg, pdf, png };

struct FigureRequest {
  FigureKind kind = FigureKind::schematic;
  std::string target;  ///< case folder or line sheet
  std::string sheet;   ///< of a case: "as found", "as-found"; empty: the last of the case
  std::string cause;   ///< why: id; empty: the most probable
  units::System system = units::System::metric;
  std::optional<supply::Climate> climate;  ///< not given: the case's, temperate for a sheet
  double width = 482.0;                    ///< points; A4 less its margins
  FigureFormat format = FigureFormat::svg;
  std::size_t samples = 256;  ///< draws behind the bands; 0: most likely values alone
  std::uint64_t seed = 1;
  std::string created;  ///< of a PDF
};

/// The figure with its title as the bytes of a file.
///
/// Errors: those of the readers, the judge and the figures; not_found for a sheet the case does not have, naming those
/// it has; invalid_input for a comparison of a single sheet, for a gauge book of a sheet without test ports.
[[nodiscard]] Result<std::string> make_figure(const FigureRequest& request, const Run& run);

}  // namespace fw::app
