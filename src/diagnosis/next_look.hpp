// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "base/result.hpp"
#include "base/run.hpp"
#include "base/stated.hpp"
#include "diagnosis/diagnose.hpp"

/// Which look is worth most. Theory: docs/theory/diagnosis.md, Next look.
namespace fw::diagnosis {

/// One way to decide, with what it costs and what it costs more where something is true.
struct Option {
  std::string id;
  std::string title;
  double cost_s = required;                            ///< shop time, or what is worth it
  std::vector<std::pair<std::string, double>> miss_s;  ///< id of a cause or mechanism, further loss if it is present
  std::optional<double> labour_s;                      ///< shop time alone where cost_s holds more than that
  Spread cost_spread;
  std::vector<Spread> miss_spreads;  ///< by miss_s; empty: exact
};

/// A choice between options; several decisions are independent and their losses add.
struct Decision {
  std::string id;
  std::string title;
  std::vector<Option> options;
  bool from_treatment = false;  ///< made for a cause that has no decision of its own
};

/// Where losses come from.
enum class LossSource : std::uint8_t {
  catalog,  ///< the documented table: assumed
  extent,   ///< this case's metal and prices (assess/extent_losses.hpp)
};
[[nodiscard]] std::string_view name(LossSource source);  ///< "catalog", "extent"

/// What wrong decisions cost.
struct Losses {
  std::vector<Decision> decisions;
  Stated treatment_s;  ///< treating one cause
  Stated missed_s;     ///< a cause left that was there, where the case tells no better
  Stated again;        ///< chance that a cause left strikes again [-]
  Stated verify_s;     ///< opening and testing the places that a partial repair leaves
  LossSource source = LossSource::catalog;
  std::string why;  ///< why the table stands in; "" with LossSource::extent
  /// Every number in the order decision, option: cost, then its misses; one list per draw of their spreads. Empty: no
  /// bands.
  std::vector<std::vector<double>> draws;
};

/// Every number drawn from its own spread, those of one name together. Chances never leave 0 to 1, no number falls
/// below 0. Precondition: numbers without a spread, or positive.
[[nodiscard]] Losses with_draws(Losses losses, std::uint64_t seed, std::uint32_t count);

/// Ids that name nothing, options without a cost, decisions of fewer than two options. Errors: all at once.
[[nodiscard]] Result<void> check(const Losses& losses, const Tables& tables);

/// A look and what it is worth.
struct Look {
  std::size_t finding = 0;                  ///< row of the tables
  double value_s = 0.0;                     ///< expected loss that it saves, EVSI [s of shop time]
  double value_low_s = 0.0;                 ///< 5 % of the draws of the losses; value_s without draws
  double value_high_s = 0.0;                ///< 95 %
  double minutes_s = 0.0;                   ///< touch time
  double cost_s = 0.0;                      ///< touch time and fee
  double per_minute = 0.0;                  ///< value_s / cost_s [-]
  double two_step_per_minute = 0.0;         ///< with the best look after it, or of the one it opens the way to
  std::vector<std::string> blocked;         ///< why it may not be done yet; empty: may be done
  std::optional<std::size_t> opens_way_to;  ///< row of the barred look that gives it this value
};

struct LookAhead {
  std::size_t firsts = 0;  ///< how many of the best are looked at two steps ahead; 0: one step only
};

struct NextLooks {
  std::vector<Look> looks;       ///< best first; those that may be done before those that may not
  bool stop = false;             ///< no look that may be done saves more than it takes
  double expected_loss_s = 0.0;  ///< of the best decisions as things stand
  double expected_loss_low_s = 0.0;
  double expected_loss_high_s = 0.0;
  std::size_t draws = 0;  ///< of the losses, behind the bands
  LossSource losses_from = LossSource::catalog;
  std::string losses_why;                                 ///< why the table's losses stand in; "" otherwise
  std::vector<std::pair<std::string, std::string>> best;  ///< decision, option as things stand
};

/// Values every finding not yet counted by the loss it saves:
///
///   EVSI(t) = L(e) - SUM_s P(s | e) L(e, t = s)      L(e) = SUM_d min_o [cost + SUM_k miss_k P(k | e)]
///
/// 0 <= EVSI; a look that can change no decision is worth 0 whatever it tells. Stop rule: no permitted look has
/// EVSI above its own cost. Several findings that hang on one tool or one opening are valued one at a time.
///
/// Order of work (hard, head of the evidence catalogue, common practice, no source): a wrong fluid suspected bars
/// key-on before a low-point sample; no crank before jar, magnet and is-it-diesel look; the engine does not run while
/// shed metal is likely; opening a filter waits for the clean-side sample, draining or opening a tank for a sample;
/// opening anything waits for the questions; opening the pump waits for the agreement of owner, payer and maker.
///
/// A look that only opens the way to others is worth nothing by itself. It is credited with the barred look that it and
/// the cheapest others open the way to: EVSI of that look over the touch time of all of them. That is a lower bound of
/// what the bundle saves, as the EVSI of a set is at least that of any look in it.
///
/// With draws of the losses every value has a band over them (the tables as written); the order is that of the losses
/// as written.
///
/// Source: H. Raiffa (1968) for the value of information; from memory.
/// Check: tests/published/diagnosis/decision_oracle.csv for the same sums on the oil wildcatter.
/// Errors: those of build_model, counted_evidence, check(losses); cancelled.
[[nodiscard]] Result<NextLooks> next_looks(const Tables& tables, const Facts& facts, const Losses& losses,
                                           const LookAhead& ahead, const Run& run);

}  // namespace fw::diagnosis
