// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <vector>

#include "report/figure.hpp"

// What the figures draw. Plain values in the unit of display, named by `unit`: the caller converts, so that a figure
// shows psi to one reader and kPa to another. Text fields are printed as they stand.
namespace fw::report {

/// Size of a figure. Lengths in points; the widths of type and line go with `text_size`.
struct FigureSize {
  double width = 482.0;    ///< A4 less margins of 20 mm
  double text_size = 8.0;  ///< of names and axis numbers
  double plot_height = 0;  ///< of the plot alone; 0: chosen from the width
};

/// 5 and 95 in 100 of the draws.
struct ValueBand {
  double low = required;
  double high = required;
};

/// One place along the way: the value behind that part.
struct GradePoint {
  std::string name;  ///< of the part, short
  double value = required;
  std::optional<ValueBand> band;
};

/// A limit of the values from one place to another.
struct GradeLimit {
  double value = required;
  std::string words;  ///< written at the line, e.g. "21 least at inlet"
  std::size_t first = 0;
  std::size_t last = 0;  ///< indices of points
};

/// The outcome of a check, marked at its place.
struct GradeMark {
  std::size_t at = 0;
  Mark mark = Mark::holds;
  std::string words;  ///< begins with the word, e.g. "fails: sucks air"; empty: the word alone
};

/// Pressure along the fuel's way.
struct GradeLineData {
  std::string title;  ///< e.g. "Grade line as rebuilt, rated power, -10 C, filters half loaded"
  std::string unit;   ///< e.g. "kPa"; stands on the axis
  std::vector<GradePoint> points;
  std::vector<GradeLimit> limits;
  std::vector<GradeMark> marks;
  std::string end_value;  ///< set large at the end, e.g. "48.6"; empty: none
  std::string end_note;   ///< under it, e.g. "29 to 68"
  FigureSize size;
};

/// One line sheet among those compared.
enum class Sheet : std::uint8_t {
  as_designed,  ///< thin solid line
  as_found,     ///< dash and dot, ink
  as_rebuilt,   ///< heavy accent line
};

struct ComparedSheet {
  Sheet sheet = Sheet::as_found;
  std::string words;  ///< written at its end, e.g. "as found"
  /// One per station; nothing where the sheet has no such part, which leaves the value as it was.
  std::vector<std::optional<double>> values;
  std::vector<std::optional<ValueBand>> bands;  ///< empty, or one per station; drawn for one sheet at most
  std::string end_value;                        ///< e.g. "-38"
};

/// Up to three sheets on one axis.
struct ComparisonData {
  std::string title;
  std::string unit;
  std::vector<std::string> stations;  ///< the places of all sheets in the order of the flow
  std::vector<ComparedSheet> sheets;
  std::vector<GradeLimit> limits;  ///< indices of stations
  FigureSize size;
};

/// What a part is drawn as: ISO 1219-1 families; own marks are explained in docs/theory/figures.md.
enum class Symbol : std::uint8_t {
  tube,              ///< plain line, the label on it
  hose,              ///< sagging line between two dots
  sump,              ///< box hung under the tank; first part of its leg
  strainer,          ///< small square on its point, dashed across
  filter,            ///< square on its point, dashed across
  separator,         ///< square on its point, level line over the drain corner
  filter_separator,  ///< both
  heater,            ///< square on its point, arrows in
  cooler,            ///< square on its point, arrows out
  motor_pump,        ///< circle with triangle, motor M
  gear_pump,         ///< circle with triangle, dashed shaft
  hand_pump,         ///< circle with triangle, lever
  jet_pump,          ///< nozzle into a throat
  check_valve,       ///< small circle on its seat
  relief_valve,      ///< square with arrow, spring, dashed pilot
  regulator,         ///< the same, spilling
  metering_valve,    ///< two boxes, proportional solenoid
  thermostat,        ///< two boxes, bulb
  shut_off,          ///< two facing triangles
  selector,          ///< two boxes, ways in each
  orifice,           ///< two facing arcs
  other,             ///< plain box
};

/// What is known of metal at a part, drawn under it (own marks).
enum class DebrisMark : std::uint8_t {
  none,
  metal_seen,     ///< filled square on its point
  clean,          ///< seen and verified clean: open circle, ticked
  inferred,       ///< dotted circle
  not_inspected,  ///< open circle with a question mark
};

struct SchematicPart {
  std::string id;  ///< unique in the figure; frames name it
  Symbol symbol = Symbol::other;
  std::string label;           ///< short; broken into up to three lines
  std::string port;            ///< test port behind it, drawn as a gauge: "P3"; empty: none
  bool drain = false;          ///< stub at the lower corner
  bool electrode = false;      ///< water electrode in the bowl: two short strokes
  bool bypassed = false;       ///< still there, not in the flow: thin and crossed
  bool added = false;          ///< new in this sheet: accent
  bool pilot_to_tank = false;  ///< relief, regulator: sensed against the tank, else against its own inlet
  /// Hangs in the tank that its leg leaves and is drawn there, upright; first parts of that leg. On the line all the
  /// same where several supply legs leave the tank.
  bool in_tank = false;
  DebrisMark debris = DebrisMark::none;
};

enum class LegRole : std::uint8_t {
  supply,    ///< drawn above, left to right
  back,      ///< return, spill, leak-off: drawn below, right to left
  transfer,  ///< between tanks
};

/// An unbranched run of parts between two ends: a tank's id, "engine", "engine-return", or a junction's name.
struct SchematicLeg {
  std::string id;
  std::string from;
  std::string to;
  LegRole role = LegRole::supply;
  std::vector<SchematicPart> parts;
};

struct SchematicTank {
  std::string id = "tank";
  std::string label = "tank";
  DebrisMark debris = DebrisMark::none;  ///< in its lower left corner
};

/// Several parts in one housing: a dash-and-dot box.
struct SchematicFrame {
  std::string label;
  std::vector<std::string> parts;  ///< neighbours in one leg
};

/// The high-pressure side as a block at the right end.
struct SchematicHighSide {
  bool metering_valve = true;
  int rails = 1;      ///< 1 or 2
  int injectors = 6;  ///< 1 to 16
  std::string pump_label = "high-pressure pump";
  std::string metering_label = "metering valve";
  std::string rail_label = "rail";
  std::string injector_label = "injectors";
  std::string leak_off_label = "leak-off";
  DebrisMark metering_debris = DebrisMark::none;  ///< under the metering valve; not drawn without one
  DebrisMark pump_debris = DebrisMark::none;      ///< beside the pump's return
  DebrisMark rail_debris = DebrisMark::none;      ///< on each rail
  DebrisMark injector_debris = DebrisMark::none;  ///< under the first injector of each rail
};

/// A fuel system, laid out by the program: flow from left to right, tank left, engine right, supply above, return
/// below.
struct SchematicData {
  std::string title;
  std::vector<SchematicTank> tanks;
  std::vector<SchematicLeg> legs;
  std::vector<SchematicFrame> frames;
  SchematicHighSide high_side;
  FigureSize size;  ///< plot_height is not used
};

/// One running point of an envelope.
struct EnvelopeCell {
  std::optional<Mark> mark;  ///< nothing: this point was not run
  std::string value;         ///< e.g. "22.4"
  bool governs = false;      ///< the worst of its check: framed
};

/// A grid of running points, each with its value and the word of its outcome.
struct EnvelopeMapData {
  std::string title;
  std::string unit;         ///< stands in the corner
  std::string column_axis;  ///< what the columns are, e.g. "engine"
  std::string row_axis;     ///< what the rows are, e.g. "fuel, filters"
  std::vector<std::string> columns;
  std::vector<std::string> rows;
  std::vector<std::vector<EnvelopeCell>> cells;  ///< per row, one per column
  FigureSize size;                               ///< plot_height is not used
};

/// How far one input moves the answer over its range, all others at their most likely.
struct Strip {
  std::string name;          ///< of the input
  double at_low = required;  ///< the answer with the input at its low end
  double at_high = required;
  std::string low_words;   ///< the input's low end, e.g. "1.5 m"
  std::string high_words;  ///< and high end
  std::string note;        ///< under the name, e.g. "assumed: measure it"; may be empty
};

/// What matters: inputs in the order given (the caller sorts), the answer across.
struct StripsData {
  std::string title;
  std::string unit;
  double nominal = required;
  std::string nominal_words;  ///< e.g. "48.6 most likely"
  std::optional<double> limit;
  std::string limit_words;        ///< e.g. "21 least at inlet"
  std::optional<ValueBand> band;  ///< of the answer, all inputs at once
  std::vector<Strip> strips;
  FigureSize size;  ///< plot_height is not used
};

/// A chance with the band of its draws.
struct Interval {
  std::string name;
  double value = required;  ///< [-], 0 to 1
  ValueBand band;           ///< holds the value
  std::string words;        ///< at the end of the line, e.g. "34 in 100 (20 to 50)"
  std::string note;         ///< under the name; may be empty
};

/// Chances in the order given, each a line from the low to the high end of its band with the chance as a dot.
struct IntervalsData {
  std::string title;
  std::vector<Interval> intervals;
  FigureSize size;  ///< plot_height is not used
};

/// What one finding does to the odds of a cause.
struct ForAgainst {
  std::string name;
  double log_odds = required;  ///< above 0 it speaks for the cause
  std::string words;           ///< e.g. "odds times 4"
};

/// Findings for and against a cause, strongest first: strips to the right of an upright line speak for it.
struct ForAgainstData {
  std::string title;
  std::vector<ForAgainst> findings;
  FigureSize size;  ///< plot_height is not used
};

/// A reading at one test port in one state of the system.
struct GaugeCell {
  std::string value;     ///< e.g. "48.6"; empty: no reading there
  std::string band;      ///< e.g. "29 to 68"; may be empty
  std::string other;     ///< the reading in the other units; may be empty
  bool differs = false;  ///< can be told from the healthy state: on a wash, bold
};

struct GaugeRow {
  std::string name;  ///< "healthy", "pickup strainer plugged"
  std::string tell;  ///< what gives it away, may be empty
  std::vector<GaugeCell> cells;
};

/// The gauge book: what each test port shows, healthy and under each planted fault.
struct GaugeBookData {
  std::string title;
  std::string unit;
  std::vector<std::string> ports;   ///< "V1", "P3"
  std::vector<std::string> places;  ///< one per port, or none
  std::vector<GaugeRow> rows;
  FigureSize size;  ///< plot_height is not used
};

enum class Cover : std::uint8_t {
  none,    ///< thin dots
  partly,  ///< thin line
  full,    ///< thick line
};

/// A stretch of the way under one protection.
struct CoverSpan {
  std::size_t first = 0;  ///< place at which it begins
  std::size_t last = 0;   ///< place up to which it reaches; above first
  Cover cover = Cover::none;
  std::string words;  ///< e.g. "10 um"
};

/// A sensor or other point of watch.
struct CoverMark {
  std::size_t at = 0;
  bool works = true;  ///< else it is there but senses nothing: crossed
  std::string words;
};

struct CoverRow {
  std::string name;  ///< "solids", "water separated", "water sensed"
  std::vector<CoverSpan> spans;
  std::vector<CoverMark> marks;
};

/// Filter and sensor coverage along the way.
struct CoverageData {
  std::string title;
  std::vector<std::string> places;
  std::vector<CoverRow> rows;
  FigureSize size;  ///< plot_height is not used
};

}  // namespace fw::report
