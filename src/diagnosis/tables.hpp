// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <cstdint>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "base/result.hpp"
#include "base/stated.hpp"
#include "units/dimension.hpp"

/// What the shop believes about causes, mechanisms and findings, as a specialist writes it down.
/// Theory: docs/theory/diagnosis.md, Causes, mechanisms, findings. Files: catalog/diagnosis.
namespace fw::diagnosis {

/// Id of the cause that stands for all that are not in the table.
inline constexpr std::string_view not_listed_id = "C00";

/// The numbers that turn marks into probabilities, and the limits of what may be said.
struct Numbers {
  Stated absent_rate;            ///< P(finding | cause absent) [-]
  Stated weak;                   ///< likelihood ratio of a mark of 1 [-]
  Stated moderate;               ///< of 2
  Stated strong;                 ///< of 3
  Stated complaint_rate;         ///< P(complaint) before any is known [-]
  Stated not_listed;             ///< posterior of "not listed" with the complaint only [-]
  Stated leading;                ///< a cause leads from here, at the low end of its band [-]
  Stated times_next;             ///< and if it is this many times the next [-]
  Stated near_certain;           ///< [-]
  Stated shed_likely;            ///< from here an engine is not run for a test [-]
  Stated wrong_fluid_suspected;  ///< from here nothing is switched on before a low-point sample [-]
};

struct GroupRow {
  std::string id;
  std::string title;
  bool others_work = false;  ///< its causes speak of work by other people: see Facts::others_work_released
  std::string source;
};

struct CauseRow {
  std::string id;
  std::string title;
  std::string group;  ///< "" only for the cause not listed
  std::string mechanism;
  std::string prevention;
  bool wrong_fluid = false;  ///< suspected together with the others of its kind, it bars key-on before a sample
  std::string source;
};

struct MechanismRow {
  std::string id;
  std::string title;
  bool state = false;                                 ///< part of what happened, told apart from why
  Stated absent_rate;                                 ///< chance without any of its causes [-]
  std::vector<std::pair<std::string, Stated>> links;  ///< id of a cause or earlier mechanism, chance alone [-]
  std::string source;
};

/// -3 to +3; 0 says nothing.
struct Mark {
  std::string target;  ///< id of a cause or mechanism
  int present = 0;     ///< strength when the finding is present
  int absent = 0;      ///< strength when it is absent
};

struct Grade {
  std::string title;
  int mark = 0;  ///< 1 to 3
};

enum class Step : std::uint8_t { ask, look, sample, measure, open };
[[nodiscard]] std::string_view name(Step step);
[[nodiscard]] std::optional<Step> step_named(std::string_view text);

/// What a step opens, for the order of work.
enum class Opens : std::uint8_t { nothing, line, filter, tank, high_side, pump };
/// "nothing" is written by leaving the key out.
[[nodiscard]] std::optional<Opens> opens_named(std::string_view text);
/// What a step provides that others wait for.
enum class Gives : std::uint8_t { nothing, jar, magnet, fluid_look, low_point_sample, clean_sample };
[[nodiscard]] std::optional<Gives> gives_named(std::string_view text);

struct FindingRow {
  std::string id;
  std::string title;
  std::string how;
  std::string tool;
  Step step = Step::ask;
  Stated minutes_s;              ///< touch time
  std::optional<Stated> wait_s;  ///< calendar time until the answer
  std::optional<Stated> fee_s;   ///< what somebody else asks for it, as time at the shop's rate
  int invasive = 0;              ///< 0 ask or scan, 1 outside tap or drain, 2 part off, 3 tank down or pump stripped
  std::vector<Mark> marks;
  std::string grades_of;      ///< a graded finding: the one cause or mechanism it speaks of, else ""
  std::vector<Grade> grades;  ///< weakest first
  bool crank = false;
  bool key_on = false;        ///< the supply pump runs
  bool running = false;       ///< the engine runs
  bool after_sample = false;  ///< done only once the fuel is sampled
  Opens opens = Opens::nothing;
  Gives gives = Gives::nothing;
  std::string reading;              ///< the reading that says it better, "" for none
  bool reading_load = false;        ///< only a reading under load does
  bool needs_water_sensor = false;  ///< its absence says nothing without a sensor in the flow
  bool shows_no_sensor = false;     ///< present: there is no water sensor in the flow
  std::string source;
};

/// Which model foretells a reading.
enum class Side : std::uint8_t { supply, high_side };
[[nodiscard]] std::string_view name(Side side);  ///< "supply", "high-side"

/// A fault that a cause or mechanism puts into the model, and how often it shows as this fault and no other.
struct PlantedRow {
  std::string fault;  ///< supply: id of a planted fault of the room system; high side: one of high_side_faults()
  Side side = Side::supply;
  std::string target;            ///< id of a cause or mechanism
  Stated share;                  ///< of the target's cases [-]; what the shares leave shows as nothing
  std::optional<Stated> amount;  ///< how bad, in the fault's unit; not given: it has none
  std::string source;
};

/// 90 % error of an instrument: a share of its full scale, a share of the reading, and a fixed part; they add up.
struct InstrumentRow {
  std::string id;
  double of_full_scale = 0.0;  ///< [-]
  double of_reading = 0.0;     ///< [-]
  double plus = 0.0;           ///< SI unit of what it measures
  std::string source;
};

/// What the readings' models doubt beside the sheet's own numbers. Factors are on the sheet's or the generic value.
struct ReadingNumbers {
  Stated discrepancy;         ///< of every pressure, flow and time, common to all readings, 90 % half-width [-]
  Stated lapse;               ///< chance that a set of readings says nothing of this vehicle [-]
  Stated fuel_temperature_K;  ///< where not stated with the reading
  Stated tank_level;          ///< [-]
  Stated filter_loading;      ///< of sound filters [-]
  Stated injector_leak;       ///< factor on the static leak of all injectors [-]
  Stated injector_leak_each;  ///< and of each [-]
  Stated plunger_clearance;   ///< factor [-]
  Stated rail_volume;         ///< factor [-]
  Stated crank_speed;         ///< factor [-]
};

struct Tables {
  Numbers numbers;
  ReadingNumbers readings;
  std::vector<PlantedRow> planted;
  std::vector<InstrumentRow> instruments;
  std::vector<GroupRow> groups;
  std::vector<CauseRow> causes;
  std::vector<MechanismRow> mechanisms;
  std::vector<FindingRow> findings;

  [[nodiscard]] const CauseRow* cause(std::string_view id) const;
  [[nodiscard]] const MechanismRow* mechanism(std::string_view id) const;
  [[nodiscard]] const FindingRow* finding(std::string_view id) const;
  [[nodiscard]] const InstrumentRow* instrument(std::string_view id) const;
};

/// Faults of the high-pressure side, and the dimension of their amounts: "worn-pump" (clearance added),
/// "leaking-injector" (factor on the static leak of one), "leaking-injectors" (of all), "weeping-relief" (Cd A),
/// "stuck-metering-valve" (share of the opening that is left), "sensor-offset" (either way), "starved-inlet" (share of
/// the charge left). Source: fault-symptom lists of the trade.
struct HighSideFault {
  std::string_view id;
  units::Dimension dimension;
};
[[nodiscard]] std::span<const HighSideFault> high_side_faults();
/// Dimension of a planted fault's amount; std::nullopt for no such fault or none with an amount.
[[nodiscard]] std::optional<units::Dimension> amount_dimension(Side side, std::string_view fault);

/// P(finding | cause absent) and P(finding | cause alone), from a mark. Both in (0, 1).
struct Rates {
  double absent = required;   ///< l0
  double present = required;  ///< P
};

/// Likelihood ratio of a mark's size: weak, moderate, strong. Precondition: 1 <= size <= 3.
[[nodiscard]] double ratio_of(const Numbers& numbers, int size);

/// The two rates of a finding with one parent.
///
///   +k on presence:  P / l0 = LR                       with l0 = absent_rate
///   -k on presence:  P / l0 = 1 / LR
///   -m on absence:   (1 - P) / (1 - l0) = 1 / LR       with l0 = absent_rate where presence carries no mark
///   both:            P = LR_k l0,  1 - P = (1 - l0) / LR_m  ->  l0 = (1 - 1/LR_m) / (LR_k - 1/LR_m)
///
/// Errors: outside_model where the two are not probabilities (LR l0 >= 1). A positive mark on absence, or a negative
/// presence with any mark on absence, is invalid_input.
/// Source: issue section 1 of the diagnosis, judgement, no source. Check: +3 and -2: l0 0.0769, P 0.769; +3 and -3:
/// 0.0909, 0.909.
[[nodiscard]] Result<Rates> rates_of(const Mark& mark, const Numbers& numbers);

/// Checks what the readers cannot see in one row: marks and links that name nothing, findings that mix causes and
/// mechanisms, groups without causes, rates that are no probabilities. Errors: all at once, each naming its row.
[[nodiscard]] Result<void> check(const Tables& tables);

}  // namespace fw::diagnosis
