// SPDX-License-Identifier: Apache-2.0
#include "report/metal_words.hpp"

#include <algorithm>
#include <array>
#include <cmath>

#include <fmt/format.h>
#include <fmt/ranges.h>

#include "base/chance_words.hpp"
#include "report/check_words.hpp"

namespace fw::report {

using debris::Place;
using extent::OptionKind;
using extent::OptionResult;
using extent::Standing;

std::string mass_words(double kg) {
  const double mg = 1e6 * kg;
  if (mg < 0.01) return "under 0.01 mg";
  if (mg < 10.0) return fmt::format("{:.2g} mg", mg);
  if (mg < 1000.0) return fmt::format("{:.0f} mg", mg);
  return fmt::format("{:.2g} g", 1e-3 * mg);
}

std::string count_words(double number) {
  if (number < 1.0) return "under 1";
  if (number < 1000.0) return fmt::format("{:.0f}", number);
  const bool thousands = number < 999.5e3;
  const double value = number / (thousands ? 1e3 : 1e6);
  return fmt::format("{:.{}f} {}", value, value < 9.95 ? 1 : 0, thousands ? "thousand" : "million");
}

std::string money_words(const Money& money) {
  const std::int64_t unit = money.currency.minor_per_unit();
  const std::int64_t step = std::abs(money.minor) >= 1000 * unit ? 10 * unit : unit;
  const std::int64_t half = money.minor < 0 ? -step / 2 : step / 2;
  const std::int64_t rounded = (money.minor + half) / step * step;
  std::string text = to_text(Money{.minor = rounded, .currency = money.currency});
  if (const std::size_t point = text.find('.'); point != std::string::npos) {
    text.erase(point, text.find(' ', point) - point);
  }
  return text;
}

std::string days_words(const extent::Hours& labour) {
  constexpr double hours_per_day = 8.0;
  const auto low = static_cast<int>(std::ceil(labour.low / hours_per_day - 1e-9));
  const auto high = static_cast<int>(std::ceil(labour.high / hours_per_day - 1e-9));
  if (high <= 1) return "a day";
  return low == high ? fmt::format("{} days", high) : fmt::format("{} to {} days", std::max(low, 1), high);
}

std::vector<std::string> places_in(const debris::DebrisMap& map, debris::PlaceState state) {
  std::vector<std::string> names;
  for (const debris::PlaceOfMap& place : map.places) {
    if (place.state == state) names.emplace_back(debris::name(place.place));
  }
  return names;
}

std::string cost_words(const std::optional<Money>& money) { return money ? money_words(*money) : "not known"; }

std::string listed(const std::vector<std::string>& items) {
  if (items.empty()) return {};
  std::string text = items.front();
  for (std::size_t i = 1; i < items.size(); ++i) text += (i + 1 == items.size() ? " and " : ", ") + items[i];
  return text;
}

std::string owner_place(Place place) {
  constexpr std::array<std::string_view, debris::place_count> names{"the fuel pickup in the tank",
                                                                    "the line from the tank",
                                                                    "the first filter",
                                                                    "the assist pump",
                                                                    "the line to the engine",
                                                                    "the last filter",
                                                                    "the clean side of the last filter",
                                                                    "the screen before the pump",
                                                                    "the housing of the pump",
                                                                    "the metering valve of the pump",
                                                                    "the plungers of the pump",
                                                                    "the high-pressure pipes",
                                                                    "the rail",
                                                                    "the injectors",
                                                                    "the return lines of the injectors",
                                                                    "the return line",
                                                                    "the fuel cooler",
                                                                    "the tank"};
  return std::string(names.at(static_cast<std::size_t>(place)));
}

const OptionResult* option_of(const extent::Decision& decision, OptionKind kind) {
  const auto found = std::ranges::find(decision.options, kind, &OptionResult::kind);
  return found == decision.options.end() ? nullptr : &*found;
}

const OptionResult& smallest_repair(const extent::Decision& decision) {
  const OptionResult* supply = option_of(decision, OptionKind::supply_side);
  return supply != nullptr ? *supply : *option_of(decision, OptionKind::pump_only);
}

std::string verdict_words(const extent::Decision& decision) {
  std::string text;
  if (decision.verdict == extent::Verdict::too_little_evidence) {
    text = "Too little evidence to say what must be replaced.";
  } else if (decision.first) {
    text = fmt::format("First choice on this evidence: {}.", extent::name(*decision.first));
  } else {
    text = "No option stands first without prices.";
  }
  if (decision.whole_by_magnet) {
    text += " Over 1 cm2 of metal on the magnet: a published procedure asks for the whole system.";
  }
  return text;
}

std::vector<std::string> standing_words(const OptionResult& option) {
  std::vector<std::string> out;
  std::vector<std::string> untested;
  constexpr std::string_view not_verified = "not verified clean: ";
  for (const std::string& reason : option.because) {
    if (reason.starts_with(not_verified)) {
      untested.push_back(reason.substr(not_verified.size()));
    } else {
      out.push_back(fmt::format("Cannot be recommended on this evidence: {}.", reason));
    }
  }
  if (!untested.empty()) {
    out.push_back(fmt::format(
        "Cannot be recommended on this evidence: not verified clean by cloth, patch or count: {}.", listed(untested)));
  }
  for (const std::string& reason : option.policy) {
    out.push_back(fmt::format("Not offered by this shop, because {}.", reason));
  }
  return out;
}

std::string residual_words(const OptionResult& option) {
  const debris::Quantiles& reached = option.reached[extent::decision_mark];
  const std::string back = fmt::format("Back in the shop within a year: {} such jobs, by the assumptions {}.",
                                       in_100(option.mean_comeback), in_100(option.comeback.low, option.comeback.high));
  if (reached.high < 1.0) {
    return "Of this failure, likely under one coarse particle (14 um(c) and up) still reaches the pump, its valve or "
           "the injectors in the first 100 hours. " +
           back;
  }
  return fmt::format(
      "Of this failure, likely {} coarse particles (14 um(c) and up; nine in ten {}) still reach the pump, its "
      "valve or the injectors in the first 100 hours. {}",
      count_words(reached.median), from_to(count_words(reached.low), count_words(reached.high)), back);
}

std::string break_even_words(const OptionResult& option) {
  if (!option.break_even) return {};
  const double at = *option.break_even;
  if (at < 0.0) return "Dearer than the whole system at any chance of a comeback.";
  if (at > 1.0) return "Cheaper than the whole system at any chance of a comeback.";
  return fmt::format("Costs as much as the whole system where {} such jobs come back; likely here: {}.", in_100(at),
                     in_100(option.mean_comeback));
}

std::string beyond_money_words(const extent::Decision& decision) {
  const OptionResult& small = smallest_repair(decision);
  if (!small.break_even || small.standing == Standing::eligible || small.mean_comeback >= *small.break_even) return {};
  return fmt::format(
      "By money alone the smallest repair would be the cheaper one. It does not stand first because {}: the rule of "
      "the trade is stronger here than the numbers, whose chance is assumed.",
      small.standing == Standing::not_offered ? "the shop does not offer it on what was found"
                                              : "what lies behind is not proved clean");
}

std::vector<std::string> flip_words(const extent::Decision& decision) {
  std::vector<std::string> out;
  for (const extent::Hinge& hinge : decision.hinges) {
    if (!hinge.flips_at) continue;
    const bool chance = hinge.assumption.starts_with("chance");
    const bool number = hinge.assumption.starts_with("particles");
    const std::string value = chance   ? in_100(*hinge.flips_at)
                              : number ? count_words(*hinge.flips_at)
                                       : fmt::format("{:.2g}", *hinge.flips_at);
    out.push_back(fmt::format("{}: at {}", hinge.assumption, value));
  }
  return out;
}

namespace {

std::vector<std::string> owner_places(const debris::DebrisMap& map, debris::PlaceState state) {
  std::vector<std::string> names;
  for (const debris::PlaceOfMap& place : map.places) {
    if (place.state == state) names.push_back(owner_place(place.place));
  }
  return names;
}

std::string to_be_tested(const extent::Decision& decision) {
  std::vector<std::string> names;
  for (const Place place : decision.look_next) names.push_back(owner_place(place));
  return listed(names);
}

}  // namespace

std::string pump_question(const debris::DebrisMap& map, const extent::Decision& decision) {
  const std::vector<std::string> seen = owner_places(map, debris::PlaceState::seen);
  const std::vector<std::string> clean = owner_places(map, debris::PlaceState::verified_clean);
  const std::string where =
      seen.empty() ? "No metal was seen so far" : fmt::format("Metal was seen in {}", listed(seen));
  if (decision.verdict == extent::Verdict::too_little_evidence) {
    return fmt::format(
        "That cannot be said yet. {}, and what nobody has opened is not clean. First these should be opened and "
        "tested: {}.",
        where, to_be_tested(decision));
  }
  if (decision.first == OptionKind::supply_side) {
    const OptionResult& side = *option_of(decision, OptionKind::supply_side);
    return fmt::format(
        "The high-pressure pump likely need not be changed at all. {}; it came from the assist pump. Tested and found "
        "clean: {}. On this evidence a new assist pump, its filters and cleaned lines are enough; about {} such jobs "
        "come back within a year ({} by what is assumed).",
        where, listed(clean), in_100(side.mean_comeback), in_100(side.comeback.low, side.comeback.high));
  }
  const OptionResult& pump = *option_of(decision, OptionKind::pump_only);
  const debris::Quantiles& left = pump.reached[extent::decision_mark];
  std::string text = "No, not on this evidence. ";
  if (decision.first == OptionKind::pump_only) {
    text = "On this evidence, yes. ";
  } else if (pump.standing == extent::Standing::eligible) {
    text = decision.first ? "It may be done, but is not the cheaper repair in the end. "
                          : "It may be done; without prices nothing says which repair is the cheaper one in the end. ";
  }
  text += where + ". ";
  if (left.median >= 1.0) {
    text += fmt::format(
        "A new pump alone would likely leave {} hard specks to reach the new parts in its first 100 hours. ",
        count_words(left.median));
  }
  text += fmt::format(
      "About {} such jobs come back within a year ({} by what is assumed; how much metal a pump survives is published "
      "nowhere).",
      in_100(pump.mean_comeback), in_100(pump.comeback.low, pump.comeback.high));
  for (const std::string& reason : pump.policy) {
    text += fmt::format(" This shop does not offer it, because {}.", reason);
  }
  if (decision.first != OptionKind::pump_only && !decision.look_next.empty() && !decision.whole_by_magnet) {
    text += fmt::format(" Less than the whole system is enough only if these test clean: {}.", to_be_tested(decision));
  }
  return text;
}

std::string pump_question_sums(const extent::Decision& decision) {
  const OptionResult& small = smallest_repair(decision);
  OptionKind kind = decision.first.value_or(OptionKind::whole_system);
  if (kind == small.kind) kind = OptionKind::whole_system;
  const OptionResult& other = *option_of(decision, kind);
  if (!small.likely_cost || !other.likely_cost) return {};
  const auto named = [](const OptionResult& option) {
    return option.kind == OptionKind::pump_only ? std::string("pump alone") : std::string(extent::name(option.kind));
  };
  std::string text = fmt::format("Likely cost: {} {}, nine jobs in ten less than {}; {} {}, nine in ten less than {}.",
                                 named(small), money_words(*small.likely_cost), money_words(*small.unlucky_cost),
                                 named(other), money_words(*other.likely_cost), money_words(*other.unlucky_cost));
  if (other.kind == OptionKind::whole_system && small.break_even && *small.break_even > 0.0 &&
      *small.break_even < 1.0) {
    text += fmt::format(" Both cost the same where {} of the smaller repairs come back.", in_100(*small.break_even));
  }
  return text;
}

std::string cleanliness_words(const assess::CleanlinessChange& change) {
  using Finding = assess::CleanlinessChange::Finding;
  const auto times = [](double ratio) { return fmt::format("{:.{}f}", ratio, ratio < 9.95 ? 1 : 0); };
  const auto band = [&](double low, double high) {
    return times(low) == times(high) ? std::string("in every draw")
                                     : fmt::format("nine draws in ten {} to {}", times(low), times(high));
  };
  const std::string what = "particles from 14 um(c) that fuel itself brings to the pump inlet";
  const std::string systems = fmt::format("{} against {}", change.to, change.from);
  const debris::Quantiles& ratio = change.ratio;
  if (!change.why_not.empty()) {
    return fmt::format("{}: what changed for the {} is not determined: {}.", systems, what, change.why_not);
  }
  switch (change.finding) {
    case Finding::more:
      return fmt::format("{}: {} times as many {} ({}).", systems, times(ratio.median), what,
                         band(ratio.low, ratio.high));
    case Finding::fewer:
      return fmt::format("{}: the {} are {} times fewer ({}).", systems, what, times(1.0 / ratio.median),
                         band(1.0 / ratio.high, 1.0 / ratio.low));
    case Finding::none:
      return fmt::format(
          "{}: no effect found on the {}; nine draws in ten lie within a factor of two, one ISO 4406 "
          "code (assumed smallest effect).",
          systems, what);
    case Finding::not_determined: break;
  }
  return fmt::format("{}: what changed for the {} is not determined: {} to {} times as many in nine draws of ten.",
                     systems, what, times(ratio.low), times(ratio.high));
}

std::vector<AssumptionRow> metal_assumptions() {
  const char* const assumed = "assumed";
  const char* const practice = "common practice, no source";
  return {
      {"metal shed in all", "middle 100 mg, a factor of 10 either way", assumed},
      {"size of what is shed", "middle by mass 10 to 60 um, spread 2 to 3", assumed},
      {"share of the housing's metal that goes to the return", "30 to 95 in 100", assumed},
      {"share that goes on to the metering gallery, housing beside it", "1 to 20 in 100", assumed},
      {"coarse metal that lodges at a place", "2 to 50 in 100", assumed},
      {"what lies is carried on", "half of it after 0.7 to 70 L", assumed},
      {"filters in service against their test", "let through 1 to 10 times as much", assumed},
      {"weight of a patch of metal", "5 to 100 mg/cm2", assumed},
      {"grades by eye: none, few specks, film", "below 0.1, 3 and 100 mg, each within a factor of 3", assumed},
      {"metal left by cleaning and verifying", "2 in 100, from under 1 to 28", assumed},
      {"comebacks of a clean system within a year", "4 in 100, from 1 to 12", assumed},
      {"particles that cause a comeback (N*)", "10 thousand to 10 million", assumed},
      {"exponent of the comeback", "0.3 to 1", assumed},
      {"hours of work", "by shape of engine, rows of a job move together", practice},
      {"a working day", "8 hours of work; waiting for parts is not in it", practice},
      {"a patch of metal on the magnet", "over 1 cm2 asks for the whole system", "published procedure"},
      {"prices and loss of a comeback", "as entered for this case", "the shop's own"},
  };
}

}  // namespace fw::report
