// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "base/required.hpp"
#include "base/result.hpp"
#include "base/run.hpp"
#include "diagnosis/tables.hpp"
#include "system/line_sheet.hpp"
#include "system/running_point.hpp"

/// Readings as evidence: what gauges would show under planted faults, and how well that fits what they showed.
/// Theory: docs/theory/diagnosis.md, Readings.
namespace fw::diagnosis {

enum class Measure : std::uint8_t {
  pressure,         ///< at a test port or the pump inlet; Pa over ambient
  return_flow,      ///< of the engine to the tank; m3/s
  volts,            ///< at an electric pump's connector; V
  current,          ///< of an electric pump; A
  rail_crank,       ///< highest rail pressure shown while cranking; Pa
  leak_down,        ///< time in which a shut rail falls between two pressures; s
  injector_return,  ///< of one injector, idling or cranking; m3/s
  relief_return,    ///< past the rail's relief valve, idling or cranking; m3/s
  rail_at_rest,     ///< shown with the key on and no pressure in the rail; Pa
};
[[nodiscard]] std::string_view name(Measure measure);  ///< "pressure", "return flow", ...
[[nodiscard]] std::optional<Measure> measure_named(std::string_view text);
[[nodiscard]] units::Dimension dimension_of(Measure measure);
[[nodiscard]] Side side_of(Measure measure);

/// One reading as a person states it.
struct Reading {
  Measure measure = Measure::pressure;
  std::string at;  ///< test port or "inlet"; id of the electric pump; number of the injector from 1
  system::EnginePoint engine = system::EnginePoint::idle;
  double value = required;               ///< in the unit of the measure
  std::string typed;                     ///< as typed
  std::string instrument;                ///< id of the table of instruments
  double full_scale = required;          ///< where the instrument errs by its full scale; NaN: see error_of()
  std::optional<double> temperature_K;   ///< of the fuel
  std::optional<double> voltage_V;       ///< at the battery
  std::optional<double> tank_level;      ///< share of the tank's height [-]
  std::optional<double> asked_Pa;        ///< rail_crank, injector_return: rail pressure the controller asks for
  std::optional<double> from_Pa, to_Pa;  ///< leak_down
  std::string person;
  std::string time;
  std::string note;
  std::uint32_t line = 0;  ///< in its file
};

/// 90 % error of the instrument at this reading, in the unit of the measure. A gauge whose full scale is not stated is
/// the smallest of 200, 600 and 1600 kPa that holds the reading, a vacuum gauge has 100 kPa (all assumed).
[[nodiscard]] double error_of(const InstrumentRow& instrument, const Reading& reading);

/// What became of one reading.
enum class Fate : std::uint8_t {
  counted,
  fits_nothing,  ///< over 3 standard deviations from everything that was foretold
  not_foretold,  ///< the sheet has no such place, or says too little of it
};
struct ReadingFate {
  std::size_t reading = 0;  ///< in Facts::readings
  Fate fate = Fate::counted;
  double nearest = 0.0;           ///< to the nearest of what was foretold, in standard deviations
  double foretold = 0.0;          ///< healthy, mean of the draws
  std::vector<std::string> tags;  ///< which rows of findings it stands for (FindingRow::reading)
  bool under_load = false;
};

/// How well one set of faults fits.
struct Score {
  std::vector<std::string> targets;  ///< none: healthy
  double likelihood = 0.0;           ///< mean over its draws, over the largest of all [-]
  double effective = 0.0;            ///< effective sample size (SUM L)^2/SUM L^2
  std::size_t draws = 0;
  std::size_t unsolved = 0;
};

enum class ReadingStanding : std::uint8_t {
  counted,
  fit_nothing,    ///< each may fit, but not together: gauge, port or sheet
  few_effective,  ///< under 20 effective draws where it matters: not known
  none,           ///< no reading left to count
};

/// Readings of one side as virtual evidence on its targets.
struct WeighedReadings {
  Side side = Side::supply;
  ReadingStanding standing = ReadingStanding::none;
  std::vector<std::string> targets;
  std::vector<double> weights;  ///< by set of present targets, bit i for targets[i]; largest 1
  std::vector<Score> scores;    ///< best first
  std::vector<ReadingFate> readings;
  double effective = 0.0;            ///< effective sample size of all sets together
  double nearest = 0.0;              ///< Mahalanobis distance of all counted readings to the nearest draw
  std::vector<std::string> assumed;  ///< high side: facts a generic set stands in for
};

/// Limits of the effective sample size, and of what fits.
inline constexpr double resampled_below = 50.0;
inline constexpr double not_known_below = 20.0;
inline constexpr double fits_within = 3.0;       ///< standard deviations of one reading
inline constexpr double matters_from = 0.02;     ///< share of prior times mean likelihood
inline constexpr std::size_t most_draws = 2048;  ///< per set of faults

/// Weighs the readings of both sides against the sheet as found.
///
/// A hypothesis is a set of none, one or two targets present. Each of its draws picks for every target one of its
/// faults by the shares of the table (and one of the places that the sheet has for it), its severity, and every
/// nuisance: all stated numbers of the sheet, fuel temperature, tank level, filter loading, battery voltage. The score
/// is the mean over the draws of
///
///   L = N(z; y, diag(s_i^2) + d^2 y y')
///
/// z readings, y foretold, s_i instrument errors, d the discrepancy common to all pressures, flows and times. With a
/// chance `lapse` the readings say nothing: L' = (1 - lapse) L + lapse mean(L). Three targets and more take the mean of
/// their pairs (assumed). Draws are at (seed, stable name, sample): threads change no byte.
///
/// 128 draws of each set, then twice as many as long as a set that holds 2 % of prior times mean likelihood has fewer
/// than 50 effective (prior: the complaint alone, targets taken one by one), to 2,048. The same holds for a set whose
/// best draw is good enough but lonely, and for one target whose draws still climb towards the readings. Further draws
/// lie where the readings are: each takes the faults of a draw before in proportion to how well it fits, its severities
/// near those, and the nuisances that the readings hang on as the readings then have them; a share of them keeps to the
/// prior. Each is weighted by prior over the mixture of all rounds, so that the mean stays the mean. The effective size
/// of all sets and draws together is 1 / SUM share^2 / effective size of the set; below 20 the readings are not known
/// and count for nothing.
///
/// Errors: not_found or invalid_input naming `reading.at` (no such pump or injector), those of SupplyModel and
/// rail_side, check of the tables; cancelled.
/// Source: B. P. Carlin, T. A. Louis (2000) for the mean likelihood; A. Kong (1992) for the effective size; from
/// memory. Check: readings_test.cpp.
[[nodiscard]] Result<std::vector<WeighedReadings>> weigh_readings(const Tables& tables,
                                                                  const std::vector<Reading>& readings,
                                                                  const system::LineSheet& sheet, std::uint64_t seed,
                                                                  const Run& run);

/// Whether a row of findings is replaced: a counted reading has its tag (and was taken under load where it asks).
[[nodiscard]] bool replaced_by_reading(const FindingRow& row, const std::vector<WeighedReadings>& weighed);

}  // namespace fw::diagnosis
