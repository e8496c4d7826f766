// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "numerics/draw.hpp"
#include "report/figure_data.hpp"
#include "supply/judge.hpp"
#include "system/line_sheet.hpp"
#include "units/quantity.hpp"

/// Line sheets and judgements as the plain values that figures draw. They choose words and units and compute nothing.
namespace fw::report {

struct FigureOptions {
  units::System system = units::System::metric;
  FigureSize size;
};

/// The schematic of any line sheet. Legs on the way from a tank to the engine are drawn above; what comes from
/// "engine-return", or ends in a tank, below; tank to tank as transfers. Joints and fittings without a test port are
/// losses and not drawn. Parts that `base` (the sheet compared with) lacks are drawn as added; neighbours with one
/// `housing` share a frame. A sump is drawn as one only where it is the first part after its tank; strainers and
/// electric pumps at the beginning of a leg, with no line before them, hang in their tank.
enum class SchematicDetail : std::uint8_t {
  full,
  essential,  ///< tanks, pumps, filters, separators, one bar for the rails: for those who do not work on it
  outline,    ///< the same in less room: tanks that feed one place by bare lines are one
};
[[nodiscard]] SchematicData schematic_of(const system::LineSheet& sheet, const system::LineSheet* base,
                                         const FigureOptions& options, SchematicDetail detail = SchematicDetail::full);

/// The grade line of one sheet at rated power or at its worst running point, with the inlet limits. `bands` are 5 and
/// 95 in 100 over ambient, one per place, or none.
enum class GradePointOf : std::uint8_t { plain, worst };
[[nodiscard]] GradeLineData grade_line_of(const supply::SheetJudgement& sheet, GradePointOf which,
                                          const std::vector<numerics::Band>& bands_Pa, const FigureOptions& options);

/// Grade lines of up to three sheets at rated power on one axis, places merged by their titles.
[[nodiscard]] ComparisonData comparison_of(const std::vector<supply::SheetJudgement>& sheets,
                                           const FigureOptions& options);

/// What protects which stretch of the way from the (first) tank to the engine: solids by the finest rating so far,
/// water separated, water sensed. A filter of unknown rating protects partly, and so does a water stage behind a pump
/// (drops are broken up there: common practice, no source). Bypassed parts protect nothing; an unplugged sensor is
/// crossed.
[[nodiscard]] CoverageData coverage_of(const system::LineSheet& sheet, const FigureOptions& options);

/// Inlet pressures over the envelope, as computed elsewhere.
struct EnvelopeValue {
  system::RunningPoint point;
  std::optional<double> inlet_over_ambient_Pa;  ///< nothing: not solved
  supply::Outcome outcome = supply::Outcome::not_known;
  bool governs = false;
};
[[nodiscard]] EnvelopeMapData envelope_of(const std::string& sheet, const std::vector<EnvelopeValue>& values,
                                          const FigureOptions& options);

/// How far one input moves the inlet pressure.
struct InputEffect {
  Stated input;
  double at_low_Pa = required;
  double at_high_Pa = required;
};
[[nodiscard]] StripsData strips_of(const supply::SheetJudgement& sheet, const system::LineSheet& line_sheet,
                                   const system::RunningPoint& point, double nominal_Pa,
                                   const std::vector<InputEffect>& effects,
                                   const std::optional<numerics::Band>& band_Pa, const FigureOptions& options);

/// Readings at the test ports in one state.
struct PortReadings {
  std::string state;                                   ///< "healthy, idle"
  std::string tell;                                    ///< what gives it away; may be empty
  std::vector<std::optional<double>> over_ambient_Pa;  ///< per port
  std::vector<numerics::Band> band_Pa;                 ///< per port, where drawn; else empty
  std::vector<bool> differs;                           ///< per port: a gauge tells it from the healthy state
};
[[nodiscard]] GaugeBookData gauge_book_of(const std::string& sheet, const std::vector<system::PlaceAt>& ports,
                                          const std::vector<PortReadings>& states, const FigureOptions& options);

/// Test ports of a grade line in the order of the flow.
[[nodiscard]] std::vector<system::PlaceAt> ports_of(const supply::GradeLine& line);

}  // namespace fw::report
