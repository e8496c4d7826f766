// SPDX-License-Identifier: Apache-2.0
#include "diagnosis/tables.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <map>
#include <set>

#include <fmt/format.h>

#include "base/contract.hpp"
#include "system/planted_fault.hpp"

namespace fw::diagnosis {

namespace {

constexpr std::array<std::string_view, 5> step_names{"ask", "look", "sample", "measure", "open"};
constexpr std::array<std::string_view, 6> opens_names{"nothing", "line", "filter", "tank", "high-side", "pump"};
constexpr std::array<std::string_view, 6> gives_names{"nothing",          "jar",         "magnet", "fluid-look",
                                                      "low-point-sample", "clean-sample"};

template <class Kind, std::size_t count>
std::optional<Kind> kind_named(const std::array<std::string_view, count>& names, std::string_view text) {
  const auto found = std::find(names.begin(), names.end(), text);
  if (found == names.end()) return std::nullopt;
  return static_cast<Kind>(found - names.begin());
}

template <class Row>
const Row* row_named(const std::vector<Row>& rows, std::string_view id) {
  const auto found = std::find_if(rows.begin(), rows.end(), [&](const Row& row) { return row.id == id; });
  return found == rows.end() ? nullptr : &*found;
}

class TableCheck {
 public:
  explicit TableCheck(const Tables& tables) : tables_(tables) {}

  std::vector<Error> run() {
    numbers();
    planted();
    ids();
    causes();
    mechanisms();
    for (const FindingRow& row : tables_.findings) finding(row);
    return std::move(faults_);
  }

 private:
  void add(std::string field, std::string found, std::string expected, std::string hint) {
    faults_.push_back(
        invalid(std::move(field), std::move(found), std::move(expected), std::move(hint)).value().front());
  }

  void share(const Stated& stated, const std::string& field) {
    if (!stated.given() || !(stated.value > 0.0) || !(stated.value < 1.0)) {
      add(field, stated.given() ? fmt::format("{}", stated.value) : "nothing", "a share above 0 and below 1",
          "Write for example \"assumed 0.05\".");
    }
  }

  void numbers() {
    const Numbers& n = tables_.numbers;
    share(n.absent_rate, "numbers.absent_rate");
    share(n.complaint_rate, "numbers.complaint_rate");
    share(n.not_listed, "numbers.not_listed");
    share(n.leading, "numbers.leading");
    share(n.near_certain, "numbers.near_certain");
    share(n.shed_likely, "numbers.shed_likely");
    share(n.wrong_fluid_suspected, "numbers.wrong_fluid_suspected");
    double before = 1.0;
    for (const auto& [stated, field] : {std::pair{&n.weak, "numbers.weak"}, std::pair{&n.moderate, "numbers.moderate"},
                                        std::pair{&n.strong, "numbers.strong"}}) {
      if (!stated->given() || !std::isfinite(stated->value) || !(stated->value > before)) {
        add(field, stated->given() ? fmt::format("{}", stated->value) : "nothing", fmt::format("above {}", before),
            "Weak, moderate and strong rise from above 1.");
        return;
      }
      before = stated->value;
    }
    if (n.absent_rate.given() && n.strong.value * n.absent_rate.value >= 1.0) {
      add("numbers.strong", fmt::format("{} at an absent_rate of {}", n.strong.value, n.absent_rate.value),
          fmt::format("below {}", 1.0 / n.absent_rate.value), "The ratio times the rate is a probability.");
    }
    if (!n.times_next.given() || !(n.times_next.value >= 1.0)) {
      add("numbers.times_next", "nothing, or below 1", "1 or more", "Write for example \"assumed 3\".");
    }
  }

  void planted() {
    std::map<std::pair<Side, std::string>, double> shares;
    for (const PlantedRow& row : tables_.planted) {
      const std::string field = fmt::format("planted {} of {}", row.fault, row.target);
      if (tables_.cause(row.target) == nullptr && tables_.mechanism(row.target) == nullptr) {
        add(field + ".target", "\"" + row.target + "\"", "a cause or mechanism of the tables", "Check the id.");
      }
      if (!row.share.given() || !(row.share.value > 0.0) || !(row.share.value <= 1.0)) {
        add(field + ".share", "nothing, or no share", "a share above 0, at most 1",
            "Write for example \"assumed 0.5\".");
        continue;
      }
      double& sum = shares[{row.side, row.target}];
      sum += row.share.value;
      if (sum > 1.0 + 1e-9) {
        add(field + ".share", fmt::format("{:.3g} with the rows before", sum), "at most 1 for a target",
            "A target shows as one of its faults.");
      }
    }
    if (tables_.planted.empty()) return;
    const ReadingNumbers& n = tables_.readings;
    share(n.discrepancy, "readings.discrepancy");
    share(n.lapse, "readings.lapse");
    for (const auto& [stated, field] :
         {std::pair{&n.fuel_temperature_K, "fuel_temperature"}, std::pair{&n.tank_level, "tank_level"},
          std::pair{&n.filter_loading, "filter_loading"}, std::pair{&n.injector_leak, "injector_leak"},
          std::pair{&n.injector_leak_each, "injector_leak_each"}, std::pair{&n.plunger_clearance, "plunger_clearance"},
          std::pair{&n.rail_volume, "rail_volume"}, std::pair{&n.crank_speed, "crank_speed"}}) {
      if (!stated->given()) add(fmt::format("readings.{}", field), "nothing", "a number", "See readings.toml.");
    }
  }

  void ids() {
    std::set<std::string> seen;
    const auto once = [&](const std::string& id, const char* kind) {
      if (id.empty() || !seen.insert(id).second) {
        add(fmt::format("{} {}", kind, id), "an id empty or twice", "an id of its own", "Rename it.");
      }
    };
    for (const CauseRow& row : tables_.causes) once(row.id, "cause");
    for (const MechanismRow& row : tables_.mechanisms) once(row.id, "mechanism");
    for (const FindingRow& row : tables_.findings) once(row.id, "finding");
  }

  void causes() {
    for (const CauseRow& row : tables_.causes) {
      const bool free = row.id == not_listed_id;
      if (free != row.group.empty() || (!free && row_named(tables_.groups, row.group) == nullptr)) {
        add("cause " + row.id + ".group", "\"" + row.group + "\"",
            free ? std::string("no group") : std::string("a group of the table"), "Name one of the groups.");
      }
    }
    if (tables_.cause(not_listed_id) == nullptr) {
      add("cause", "no " + std::string(not_listed_id), "a row for a cause not listed", "Add it without a group.");
    }
    for (const GroupRow& group : tables_.groups) {
      if (std::none_of(tables_.causes.begin(), tables_.causes.end(),
                       [&](const CauseRow& row) { return row.group == group.id; })) {
        add("group " + group.id, "no cause in it", "at least one", "Strike the group or give it a cause.");
      }
    }
    if (tables_.groups.empty()) add("group", "none", "at least one group", "Add [[group]].");
  }

  void mechanisms() {
    std::set<std::string> before;
    for (const MechanismRow& row : tables_.mechanisms) {
      share(row.absent_rate, "mechanism " + row.id + ".absent_rate");
      if (row.links.empty()) add("mechanism " + row.id, "no links", "at least one", "Say what leads to it.");
      for (const auto& [from, link] : row.links) {
        share(link, "mechanism " + row.id + ".links." + from);
        if (tables_.cause(from) == nullptr && !before.contains(from)) {
          add("mechanism " + row.id + ".links", "\"" + from + "\"", "a cause, or a mechanism that stands before",
              "Check the id.");
        }
      }
      before.insert(row.id);
    }
  }

  void finding(const FindingRow& row) {
    const std::string field = "finding " + row.id;
    if (!row.minutes_s.given() || !(row.minutes_s.value > 0.0)) {
      add(field + ".minutes", "nothing, or not above 0", "a time above 0", "Write \"typical 10 min\".");
    }
    if (row.grades_of.empty() != row.grades.empty() || (row.grades_of.empty() == row.marks.empty())) {
      return add(field, "marks and grades mixed, or neither", "marks, or grades of one cause or mechanism",
                 "Write marks = [ ... ], or grades_of with [[finding.grade]] tables.");
    }
    if (!row.grades_of.empty()) {
      if (tables_.cause(row.grades_of) == nullptr && tables_.mechanism(row.grades_of) == nullptr) {
        add(field + ".grades_of", "\"" + row.grades_of + "\"", "a cause or mechanism of the tables", "Check the id.");
      }
      return;
    }
    std::set<std::string> targets;
    int causes = 0;
    int both = 0;
    for (const Mark& mark : row.marks) {
      const bool is_cause = tables_.cause(mark.target) != nullptr;
      if (!is_cause && tables_.mechanism(mark.target) == nullptr) {
        return add(field + ".marks", "\"" + mark.target + "\"", "a cause or mechanism of the tables", "Check the id.");
      }
      if (!targets.insert(mark.target).second) {
        return add(field + ".marks", mark.target + " twice", "each once", "Strike one.");
      }
      causes += is_cause ? 1 : 0;
      both += mark.present != 0 && mark.absent != 0 ? 1 : 0;
      if (const auto rates = rates_of(mark, tables_.numbers); !rates) {
        for (Error one : rates.error()) {
          one.where.field = field + ".marks";
          faults_.push_back(std::move(one));
        }
      }
    }
    if (causes != 0 && causes != static_cast<int>(row.marks.size())) {
      add(field + ".marks", "causes and mechanisms mixed", "one kind",
          "Where a mechanism explains the finding, write the mechanism alone.");
    }
    for (const Mark& setting : row.marks) {
      if (setting.present <= 0 || setting.absent == 0) continue;
      const auto rates = rates_of(setting, tables_.numbers);
      for (const Mark& mark : row.marks) {
        if (!rates || mark.absent != 0 || mark.present <= 0) continue;
        const double present = ratio_of(tables_.numbers, mark.present) * rates->absent;
        if (present >= 1.0) {
          add(field + ".marks", fmt::format("{} with a probability of {:.3g}", mark.target, present), "below 1",
              "Weaken the mark, or the one with a number for absence.");
        }
      }
    }
    if (both > 1) {
      add(field + ".marks", "two marks with a number for absence", "at most one",
          "One of them sets how often the finding stands without a cause.");
    }
  }

  const Tables& tables_;
  std::vector<Error> faults_;
};

}  // namespace

std::string_view name(Step step) { return step_names.at(static_cast<std::size_t>(step)); }
std::optional<Step> step_named(std::string_view text) { return kind_named<Step>(step_names, text); }
std::optional<Opens> opens_named(std::string_view text) { return kind_named<Opens>(opens_names, text); }
std::optional<Gives> gives_named(std::string_view text) { return kind_named<Gives>(gives_names, text); }

const CauseRow* Tables::cause(std::string_view id) const { return row_named(causes, id); }
const MechanismRow* Tables::mechanism(std::string_view id) const { return row_named(mechanisms, id); }
const FindingRow* Tables::finding(std::string_view id) const { return row_named(findings, id); }

const InstrumentRow* Tables::instrument(std::string_view id) const { return row_named(instruments, id); }

std::string_view name(Side side) { return side == Side::supply ? "supply" : "high-side"; }

std::span<const HighSideFault> high_side_faults() {
  using units::Dimension;
  static constexpr std::array<HighSideFault, 7> all{{{"worn-pump", Dimension::length},
                                                     {"leaking-injector", Dimension::ratio},
                                                     {"leaking-injectors", Dimension::ratio},
                                                     {"weeping-relief", Dimension::area},
                                                     {"stuck-metering-valve", Dimension::ratio},
                                                     {"sensor-offset", Dimension::pressure_drop},
                                                     {"starved-inlet", Dimension::ratio}}};
  return all;
}

std::optional<units::Dimension> amount_dimension(Side side, std::string_view fault) {
  using system::FaultKind;
  using units::Dimension;
  if (side == Side::high_side) {
    for (const HighSideFault& one : high_side_faults()) {
      if (one.id == fault) return one.dimension;
    }
    return std::nullopt;
  }
  const auto kind = system::fault_kind_named(fault);
  if (!kind || std::isnan(system::facts(*kind).usual)) return std::nullopt;
  switch (*kind) {
    case FaultKind::relief_stuck_open:
    case FaultKind::cracked_pickup:
    case FaultKind::loose_joint: return Dimension::length;
    case FaultKind::blocked_vent: return Dimension::volume;
    case FaultKind::low_voltage: return Dimension::voltage;
    case FaultKind::bad_ground: return Dimension::resistance;
    default: return Dimension::ratio;
  }
}

double ratio_of(const Numbers& numbers, int size) {
  FW_EXPECTS(size >= 1 && size <= 3);
  return size == 1 ? numbers.weak.value : size == 2 ? numbers.moderate.value : numbers.strong.value;
}

Result<Rates> rates_of(const Mark& mark, const Numbers& numbers) {
  const auto shown = [&] { return fmt::format("{} {:+} {:+}", mark.target, mark.present, mark.absent); };
  if (std::abs(mark.present) > 3 || mark.absent > 0 || mark.absent < -3 || (mark.present == 0 && mark.absent == 0) ||
      (mark.present < 0 && mark.absent != 0)) {
    return invalid("marks", shown(), "-3 to +3 for presence; for absence -3 to -1, beside a positive mark or alone",
                   "Write for example \"C06 +3 -2\".");
  }
  Rates rates{.absent = numbers.absent_rate.value, .present = required};
  const double on_presence = mark.present == 0  ? 1.0
                             : mark.present > 0 ? ratio_of(numbers, mark.present)
                                                : 1.0 / ratio_of(numbers, -mark.present);
  const double on_absence = mark.absent == 0 ? 1.0 : 1.0 / ratio_of(numbers, -mark.absent);
  if (mark.present > 0 && mark.absent < 0) {
    rates.absent = (1.0 - on_absence) / (on_presence - on_absence);
    rates.present = on_presence * rates.absent;
  } else if (mark.absent < 0) {
    rates.present = 1.0 - (1.0 - rates.absent) * on_absence;
  } else {
    rates.present = on_presence * rates.absent;
  }
  if (!(rates.absent > 0.0 && rates.absent < 1.0 && rates.present > 0.0 && rates.present < 1.0)) {
    return outside("marks", fmt::format("{}, which asks for a probability of {:.3g}", shown(), rates.present),
                   "probabilities below 1", "Lower the likelihood ratio or absent_rate.");
  }
  return rates;
}

Result<void> check(const Tables& tables) {
  std::vector<Error> faults = TableCheck(tables).run();
  if (!faults.empty()) return fail(Errors(std::move(faults)));
  return {};
}

}  // namespace fw::diagnosis
