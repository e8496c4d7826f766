// SPDX-License-Identifier: Apache-2.0
#include "report/diagnosis_figures.hpp"

#include <cmath>

#include <fmt/format.h>

#include "report/diagnosis_answers.hpp"

namespace fw::report {

namespace {

using diagnosis::Belief;

Interval interval_of(const Belief& one, std::size_t draws) {
  return {.name = one.title,
          .value = one.probability,
          .band = {.low = std::min(one.low, one.probability), .high = std::max(one.high, one.probability)},
          .words = in_hundred_words(one, draws),
          .note = {}};
}

}  // namespace

IntervalsData intervals_of(const diagnosis::Diagnosis& found, std::size_t causes, FigureSize size) {
  IntervalsData data{
      .title = "State and cause: chances over nine in ten draws of the tables", .intervals = {}, .size = size};
  for (const Belief& one : found.state) data.intervals.push_back(interval_of(one, found.draws));
  std::size_t shown = 0;
  bool held_back = false;
  for (const Belief& one : found.causes) {
    if (one.held_back) {
      held_back = true;
      continue;
    }
    if (shown++ == causes) break;
    data.intervals.push_back(interval_of(one, found.draws));
  }
  if (held_back) data.title += "; causes held back until released are left out";
  return data;
}

ForAgainstData for_against_of(const diagnosis::Explanation& why, FigureSize size) {
  ForAgainstData data{.title = "For and against: " + why.cause.title, .findings = {}, .size = size};
  if (why.cause.held_back) {
    data.title = "For and against";
    return data;
  }
  const double least = std::log(1.1);
  for (const diagnosis::Weight& one : why.weights) {
    if (std::abs(one.log_odds) < least) continue;
    // No codes: a figure is handed over; the commands why and next name them.
    const bool readings = one.finding == "readings";
    data.findings.push_back(
        {.name = readings ? "readings, " + one.title : fmt::format("{}: {}", one.title, diagnosis::name(one.seen)),
         .log_odds = one.log_odds,
         .words = odds_words(one.log_odds)});
  }
  return data;
}

}  // namespace fw::report
