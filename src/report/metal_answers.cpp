// SPDX-License-Identifier: Apache-2.0
#include "report/metal_answers.hpp"

#include <algorithm>

#include <fmt/format.h>
#include <fmt/ranges.h>
#include <nlohmann/json.hpp>

#include "base/chance_words.hpp"
#include "report/metal_words.hpp"
#include "report/way_answers.hpp"

namespace fw::report {

namespace {

/// Milligrams in a column: two figures, grams beyond a thousand.
std::string milligrams(double kg) {
  const double mg = 1e6 * kg;
  if (mg < 0.01) return "<0.01";
  if (mg < 10.0) return fmt::format("{:.2g}", mg);
  return mg < 1000.0 ? fmt::format("{:.0f}", mg) : fmt::format("{:.2g} g", 1e-3 * mg);
}

std::string map_table(const debris::DebrisMap& map) {
  std::string text = fmt::format("{:<39}{:<15}{:>5}{:>15}{:>8}\n{:<39}{:<15}{:>5}{:>15}{:>8}\n", "place", "state", "mg",
                                 "nine in ten", "there", "", "", "likely", "mg", "/ 100");
  for (const debris::PlaceOfMap& place : map.places) {
    const std::string state = place.verified_by ? fmt::format("clean by {}", debris::id(*place.verified_by))
                                                : std::string(debris::name(place.state));
    text += fmt::format("{:<39}{:<15}{:>5}{:>15}{:>8}\n", debris::name(place.place), state,
                        milligrams(place.mass_kg.median),
                        fmt::format("{} to {}", milligrams(place.mass_kg.low), milligrams(place.mass_kg.high)),
                        hundredths(place.reached));
  }
  return text;
}

std::string map_notes(const debris::DebrisMap& map) {
  std::string text = fmt::format(
      "\nShed in all: likely {}, nine in ten {} to {}. Effective samples {:.0f} of {}{}.\n"
      "There: at least {:.0f} particles of 14 um(c) or more lie there, chance in 100.\n"
      "\"Not inspected\" is not clean. A clean magnet or a look by eye verifies\nnothing; cloth, patch or count do.\n"
      "Assumed, no source: amount and size of what a pump sheds, what lodges and what\n"
      "flow carries on, what a square centimetre of a patch weighs, and the limits\nbetween the grades.\n",
      mass_words(map.shed_kg.median), mass_words(map.shed_kg.low), mass_words(map.shed_kg.high), map.effective_samples,
      map.samples, map.effective_samples < 100.0 ? ": few, the bands are rough" : "", debris::reached_by);
  return text;
}

std::string option_text(const extent::OptionResult& option, const std::optional<Currency>& currency) {
  std::string text = fmt::format("\n{}\n", extent::name(option.kind));
  for (const std::string& reason : option.because) {
    text += fmt::format("  cannot be recommended on this evidence: {}\n", reason);
  }
  for (const std::string& reason : option.policy)
    text += fmt::format("  not offered by this shop, because {}\n", reason);
  text += fmt::format(
      "  metal of this failure that reaches pump, valve or injectors in 100 h, from 14 um(c): {} ({} to {})\n",
      count_words(option.reached[2].median), count_words(option.reached[2].low), count_words(option.reached[2].high));
  text += "  after";
  for (std::size_t mark = 0; mark < extent::dose_hours.size(); ++mark) {
    text += fmt::format("{} {:.0f} h {}", mark > 0 ? "," : "", extent::dose_hours[mark],
                        count_words(option.reached[mark].median));
  }
  text += fmt::format("\n  comeback within 12 months: {} ({} to {})", in_100(option.mean_comeback),
                      in_100(option.comeback.low), in_100(option.comeback.high));
  if (option.break_even) {
    const double at = *option.break_even;
    text += at < 0.0   ? "; dearer than the whole system at any chance"
            : at > 1.0 ? "; cheaper than the whole system at any chance"
                       : fmt::format("; costs as much as the whole system at {}", in_100(at));
  }
  text += fmt::format("\n  work {:.1f} to {:.1f} h", option.labour.low, option.labour.high);
  if (option.likely_cost) {
    text += fmt::format("; likely cost {}, nine jobs in ten cost less than {}", to_text(*option.likely_cost),
                        to_text(*option.unlucky_cost));
  } else if (currency) {
    text += fmt::format("; cost not known, no price for {}", fmt::join(option.missing_prices, ", "));
  } else {
    text += "; cost not known, no prices entered";
  }
  text += "\n";
  if (!option.not_covered.empty()) text += fmt::format("  not covered: {}\n", fmt::join(option.not_covered, "; "));
  return text;
}

Json band_json(const debris::Quantiles& q, const char* unit) {
  return {{fmt::format("low_{}", unit), q.low},
          {fmt::format("median_{}", unit), q.median},
          {fmt::format("high_{}", unit), q.high}};
}

std::string_view standing_id(extent::Standing standing) {
  switch (standing) {
    case extent::Standing::eligible: return "eligible";
    case extent::Standing::not_on_this_evidence: return "not_on_this_evidence";
    case extent::Standing::not_offered: break;
  }
  return "not_offered";
}

}  // namespace

std::string debris_text(const debris::DebrisMap& map) { return map_table(map) + map_notes(map); }

std::string extent_text(const debris::DebrisMap& map, const extent::Decision& decision,
                        const std::optional<Currency>& currency) {
  std::string text = map_table(map) + "\n";
  text += verdict_words(decision) + "\n";
  if (!decision.look_next.empty()) {
    text += "A smaller repair would need these verified clean by cloth, patch or count:\n";
    for (const debris::Place place : decision.look_next) text += fmt::format("  {}\n", debris::name(place));
  }
  for (const extent::OptionResult& option : decision.options) text += option_text(option, currency);
  if (!decision.hinges.empty()) {
    text += "\nWhat decides between the smallest repair and the whole system (share of the doubt, alone and in all):\n";
    for (const extent::Hinge& hinge : decision.hinges) {
      text += fmt::format(
          "  {:<44}{:>6.0f} %{:>6.0f} %  {}\n", hinge.assumption, 100.0 * std::max(0.0, hinge.first),
          100.0 * hinge.total,
          hinge.flips_at ? fmt::format("turns at {:.3g}", *hinge.flips_at) : std::string("does not turn it alone"));
    }
  }
  if (!decision.frontier.empty() && currency) {
    text += "\nWhat the next part buys (cost, particles from 14 um(c) that reach the parts in 100 h):\n";
    const auto& points = decision.frontier;
    const std::size_t stride = std::max<std::size_t>(1, points.size() / 8);
    for (std::size_t i = 0; i < points.size(); i += stride) {
      const Money cost{.minor = points[i].cost_minor, .currency = *currency};
      text += fmt::format("  {:>18}  {:>16}\n", to_text(cost), count_words(points[i].dose));
    }
  }
  text +=
      "\nThe chance of a comeback after a given amount of metal is not published anywhere: it is a wide assumption\n"
      "(clean system 2 to 12 in 100, N* ten thousand to ten million particles, exponent 0.3 to 1). Hours are common\n"
      "practice, no source. Debris beyond the last filter meets no filter before it reaches the parts.\n";
  return text;
}

Json map_json(const debris::DebrisMap& map) {
  Json places = Json::array();
  for (const debris::PlaceOfMap& place : map.places) {
    Json one{{"place", debris::id(place.place)},
             {"state", debris::name(place.state)},
             {"mass", band_json(place.mass_kg, "kg")},
             {"particles_from_14_um",
              {{"low", place.coarse.low}, {"median", place.coarse.median}, {"high", place.coarse.high}}},
             {"chance_reached", place.reached}};
    if (place.verified_by) one["verified_by"] = debris::id(*place.verified_by);
    places.push_back(std::move(one));
  }
  return {{"shed", band_json(map.shed_kg, "kg")},
          {"samples", map.samples},
          {"effective_samples", map.effective_samples},
          {"places", std::move(places)}};
}

Json cleanliness_json(const std::vector<assess::Cleanliness>& systems) {
  Json all = Json::array();
  for (const assess::Cleanliness& system : systems) {
    Json points = Json::array();
    for (const debris::CascadePoint& point : system.points) {
      Json counts = Json::array();
      for (std::size_t i = 0; i < debris::cascade_sizes_m.size(); ++i) {
        const debris::Quantiles& number = point.number_per_m3[i];
        counts.push_back({{"from_m", debris::cascade_sizes_m[i]},
                          {"low_per_m3", number.low},
                          {"median_per_m3", number.median},
                          {"high_per_m3", number.high}});
      }
      points.push_back({{"behind", debris::id(point.place)},
                        {"code", debris::to_text(point.code)},
                        {"particles", std::move(counts)}});
    }
    all.push_back({{"system", system.system}, {"points", std::move(points)}});
  }
  return all;
}

Json changes_json(const std::vector<assess::CleanlinessChange>& changes) {
  using Finding = assess::CleanlinessChange::Finding;
  Json all = Json::array();
  for (const assess::CleanlinessChange& change : changes) {
    const char* finding = change.finding == Finding::more    ? "more"
                          : change.finding == Finding::fewer ? "fewer"
                          : change.finding == Finding::none  ? "no_effect_found"
                                                             : "not_determined";
    all.push_back({{"from", change.from},
                   {"to", change.to},
                   {"low_ratio", change.ratio.low},
                   {"median_ratio", change.ratio.median},
                   {"high_ratio", change.ratio.high},
                   {"finding", finding}});
  }
  return all;
}

Json decision_json(const extent::Decision& decision, const std::optional<Currency>& currency) {
  Json options = Json::array();
  for (const extent::OptionResult& option : decision.options) {
    Json reached = Json::array();
    for (std::size_t mark = 0; mark < extent::dose_hours.size(); ++mark) {
      reached.push_back({{"after_h", extent::dose_hours[mark]},
                         {"low", option.reached[mark].low},
                         {"median", option.reached[mark].median},
                         {"high", option.reached[mark].high}});
    }
    Json actions;
    for (std::size_t i = 0; i < option.actions.size(); ++i) {
      actions[std::string(extent::components()[i].id)] = extent::name(option.actions[i]);
    }
    Json one{
        {"option", extent::id(option.kind)},
        {"standing", standing_id(option.standing)},
        {"because", option.because},
        {"policy", option.policy},
        {"reached", std::move(reached)},
        {"comeback", {{"mean", option.mean_comeback}, {"low", option.comeback.low}, {"high", option.comeback.high}}},
        {"labour_low_s", 3600.0 * option.labour.low},
        {"labour_high_s", 3600.0 * option.labour.high},
        {"missing_prices", option.missing_prices},
        {"not_covered", option.not_covered},
        {"actions", std::move(actions)}};
    if (option.break_even) one["break_even"] = *option.break_even;
    if (option.likely_cost) {
      one["likely_cost"] = to_text(*option.likely_cost);
      one["unlucky_cost"] = to_text(*option.unlucky_cost);
    }
    options.push_back(std::move(one));
  }
  Json hinges = Json::array();
  for (const extent::Hinge& hinge : decision.hinges) {
    Json one{{"assumption", hinge.assumption}, {"first_order", hinge.first}, {"total", hinge.total}};
    if (hinge.flips_at) one["flips_at"] = *hinge.flips_at;
    hinges.push_back(std::move(one));
  }
  Json frontier = Json::array();
  for (const extent::FrontierPoint& point : decision.frontier) {
    frontier.push_back(
        {{"cost", to_text(Money{.minor = point.cost_minor, .currency = *currency})}, {"particles", point.dose}});
  }
  Json look = Json::array();
  for (const debris::Place place : decision.look_next) look.push_back(debris::id(place));
  return {{"verdict", decision.verdict == extent::Verdict::recommended ? "recommended" : "too_little_evidence"},
          {"first", decision.first ? Json(extent::id(*decision.first)) : Json(nullptr)},
          {"whole_by_magnet", decision.whole_by_magnet},
          {"look_next", std::move(look)},
          {"options", std::move(options)},
          {"hinges", std::move(hinges)},
          {"frontier", std::move(frontier)}};
}

std::string debris_json(const debris::DebrisMap& map, const std::vector<assess::WayFact>& way,
                        const std::vector<std::string>& way_notes, std::uint64_t seed) {
  Json json{{"schema", "fuelwright.debris/1.1"}, {"seed", seed}, {"way", way_json(way)}, {"way_notes", way_notes}};
  json.update(map_json(map));
  return json.dump(2) + "\n";
}

std::string extent_json(const debris::DebrisMap& map, const extent::Decision& decision,
                        const std::optional<Currency>& currency, std::uint64_t seed) {
  Json json{{"schema", "fuelwright.extent/1.0"}, {"seed", seed}};
  json.update(decision_json(decision, currency));
  json["debris"] = map_json(map);
  return json.dump(2) + "\n";
}

}  // namespace fw::report
