// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <cstdint>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "base/result.hpp"
#include "base/run.hpp"
#include "diagnosis/model.hpp"
#include "diagnosis/readings.hpp"

/// From what was found to state, causes, and what may be said. Theory: docs/theory/diagnosis.md, Conclusions.
namespace fw::diagnosis {

enum class Seen : std::uint8_t { present, absent, not_looked, could_not_tell };
[[nodiscard]] std::string_view name(Seen seen);  ///< "present", "not looked", ...
[[nodiscard]] std::optional<Seen> seen_named(std::string_view text);

/// One finding as a person states it.
struct Statement {
  std::string finding;  ///< id
  Seen seen = Seen::not_looked;
  std::string grade;  ///< title of the grade where the finding has grades and is present
  std::string person;
  std::string time;   ///< as typed, "2026-05-04 10:20"
  std::string photo;  ///< file in the case folder
  std::string clip;   ///< file with a spoken note
  std::string note;
};

/// Whether the line sheet as found shows a water sensor in the flow.
enum class WaterSensor : std::uint8_t { not_known, in_flow, none };

/// Who has agreed that a failed pump is opened.
struct Agreement {
  bool owner = false;
  bool payer = false;
  bool maker = false;
  std::string date;  ///< as typed
  [[nodiscard]] bool complete() const { return owner && payer && maker; }
};

struct Facts {
  std::vector<Statement> statements;
  WaterSensor water_sensor = WaterSensor::not_known;
  Agreement agreement;                  ///< to open the failed pump
  std::vector<std::string> tools_away;  ///< tools that are not at hand
  /// Who of this shop let sentences on other people's work leave the house, and when; "" nobody: they are held back
  /// from every paper and JSON.
  std::string others_work_released;
  std::vector<Reading> readings;
  std::vector<WeighedReadings> weighed;  ///< by weigh_readings(); empty: the readings count for nothing
};

/// The tables as a network, and below it one observed node for each side whose weighed readings count: its parents are
/// their targets, P(seen | set of present targets) their weights. Errors: those of build_model; not_found for a target
/// that is not in the tables.
[[nodiscard]] Result<Model> case_model(const Tables& tables, const Facts& facts,
                                       const std::optional<TableDraw>& draw = std::nullopt);

/// A statement that was not counted, and why.
struct Discounted {
  std::string finding;
  std::string why;
  std::string title;  ///< of the finding
};

/// The statements as evidence, the complaint observed. Not looked and could not tell are no evidence; an absent lamp is
/// none where the sheet as found or a finding shows no sensor in the flow; a row that a reading replaces is none.
/// The nodes of the readings stand behind the rows.
struct CountedEvidence {
  Evidence evidence;
  std::vector<std::size_t> rows;  ///< rows of Tables::findings behind evidence.observed after the complaint
  std::vector<Discounted> discounted;
};
/// Errors: invalid_input for an id that is not in the tables or a grade that is not the finding's; conflict for a
/// finding stated twice differently; all at once.
[[nodiscard]] Result<CountedEvidence> counted_evidence(const Tables& tables, const Model& model, const Facts& facts);

/// A probability with its band over the draws of the tables.
struct Belief {
  std::string id;
  std::string title;
  std::string group;         ///< of a cause; else ""
  double probability = 0.0;  ///< with the tables as written [-]
  double low = 0.0;          ///< 5 % of the draws
  double high = 0.0;         ///< 95 %
  bool held_back = false;    ///< what is said of it stays in the house: held_back()
};

/// What the statements amount to.
struct Diagnosis {
  std::vector<Belief> causes;      ///< most probable first
  std::vector<Belief> state;       ///< what happened, in the order of the tables
  std::vector<Belief> mechanisms;  ///< what led to it, in the order of the tables
  bool determined = false;
  std::string why_not;  ///< where not determined: which rule says so
  double conflict_bits = 0.0;
  std::vector<Discounted> discounted;
  std::size_t counted = 0;  ///< findings that were counted
  std::size_t draws = 0;    ///< behind the bands
  std::vector<Reading> readings;
  std::vector<WeighedReadings> weighed;
};

struct Draws {
  std::uint64_t seed = 1;
  std::size_t count = 100;
};

/// Judges the statements. The cause is determined only when the most probable one reaches `leading` at the low end of
/// its band and is `times_next` times the next. Both limits are assumed.
/// Errors: those of build_model and counted_evidence; conflict for impossible evidence; cancelled.
[[nodiscard]] Result<Diagnosis> diagnose(const Tables& tables, const Facts& facts, const Draws& draws, const Run& run);

/// Whether what is said of a cause stays in the house: its group speaks of other people's work and nobody released it.
[[nodiscard]] bool held_back(const Tables& tables, const Facts& facts, std::string_view cause);

/// How strong a word a probability allows: "near certain" from Numbers::near_certain, "likely" from 0.5, "possible"
/// from 0.2, "less likely" from 0.05, else "unlikely". The lower steps are judgement, no source.
[[nodiscard]] std::string_view word_for(double probability, const Numbers& numbers);

/// A finding for or against a cause: ln odds with all findings less ln odds without this one. The readings of one side
/// weigh together: their finding is "readings", their title the side's name.
struct Weight {
  std::string finding;
  std::string title;
  Seen seen = Seen::present;
  double log_odds = 0.0;
};

/// A single result that would put another cause in front.
struct Overturn {
  std::string finding;
  std::string title;
  std::string outcome;     ///< "present", "absent", or a grade
  std::string new_leader;  ///< id of a cause
  bool new_leader_held_back = false;
  double chance = 0.0;       ///< of this outcome as things stand [-]
  double probability = 0.0;  ///< of the cause explained after it [-]
};

struct Explanation {
  Belief cause;
  std::vector<Weight> weights;      ///< strongest first, for and against
  std::vector<Overturn> overturns;  ///< most probable outcome first
  double conflict_bits = 0.0;
  /// Effective number of draws behind the readings that count, the lesser of the two sides; nothing where none count.
  std::optional<double> effective_draws;
};
/// Errors: those of diagnose; not_found for a cause that is not in the tables.
[[nodiscard]] Result<Explanation> explain(const Tables& tables, const Facts& facts, std::string_view cause,
                                          const Draws& draws, const Run& run);
/// The same for several causes of `diagnosis`, which diagnose() gave for these tables and facts: every finding is left
/// out once and looked ahead once for all of them.
[[nodiscard]] Result<std::vector<Explanation>> explain(const Tables& tables, const Facts& facts,
                                                       const Diagnosis& diagnosis, std::span<const std::string> causes,
                                                       const Run& run);

/// Beliefs after each outcome of a finding that is not counted yet.
struct Outcome {
  std::size_t state = 0;           ///< of the finding's node
  double chance = 0.0;             ///< [-]
  std::vector<double> causes;      ///< P(present), per row of causes
  std::vector<double> mechanisms;  ///< per row of mechanisms
};
/// The base of one-step outlooks: the tree of the evidence, run once.
class Outlook {
 public:
  /// `like`: an outlook of the same model on nearly the same evidence, whose order is taken over.
  /// Errors: those of CliqueTree::cut; conflict for impossible evidence.
  [[nodiscard]] static Result<Outlook> of(const Model& model, const Evidence& evidence, const Outlook* like = nullptr);
  [[nodiscard]] const std::vector<double>& causes() const { return causes_; }
  [[nodiscard]] const std::vector<double>& mechanisms() const { return mechanisms_; }
  /// Outcomes of row `finding` of the tables, those of probability 0 left out. A plain noisy-or needs one run: absent
  /// is a weight on each parent, present is the rest. Errors: those of CliqueTree::cut.
  [[nodiscard]] Result<std::vector<Outcome>> outcomes(std::size_t finding) const;

 private:
  Outlook(const Model& model, Evidence evidence, CliqueTree tree);
  void take(const CliqueTree& tree, const CliqueTree::Run& run, std::vector<double>& causes,
            std::vector<double>& mechanisms) const;

  const Model* model_;
  Evidence evidence_;
  CliqueTree tree_;
  std::vector<double> causes_;
  std::vector<double> mechanisms_;
  double log_evidence_ = 0.0;
};

}  // namespace fw::diagnosis
