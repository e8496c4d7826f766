// SPDX-License-Identifier: Apache-2.0
#include "report/supply_answers.hpp"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "report/change_words.hpp"
#include "report/check_words.hpp"
#include "report/paper_parts.hpp"

namespace fw::report {

namespace {

using units::Dimension;

constexpr std::size_t most_named = 3;  ///< faults named as alike

std::string reading_words(const std::optional<supply::Reading>& reading, Dimension dimension, bool drawn,
                          units::System system) {
  if (!reading) return "-";
  if (!drawn) return units::print_number(reading->median, dimension, system);
  return units::print_number(reading->band.low, dimension, system) + " to " +
         units::print_number(reading->band.high, dimension, system);
}

std::string point_name(const system::RunningPoint& point) { return std::string(system::name(point.engine)); }

}  // namespace

Document gauge_book_page(const supply::GaugeBook& book, const PaperOptions& options) {
  Document document = answer_page("Gauge book of the system " + book.sheet, options);
  document.blocks.emplace_back(Paragraph{
      .spans = plain(fmt::format(
          "Fuel 20 C, clean filters, half a tank; idle, no load at 2,500 rpm, rated power. {} A reading with * is told "
          "from the healthy one by its instrument nine times in ten (instrument errors assumed).",
          book.samples > 0 ? fmt::format("Nine of ten of {} draws lie in each range.", book.samples)
                           : std::string("Most likely values."))),
      .small = true});
  int number = 1;
  for (std::size_t k = 0; k < book.states.front().points.size(); ++k) {
    document.blocks.emplace_back(Heading{
        .level = 1, .number = fmt::format("{}", number++), .text = point_name(book.states.front().points[k].point)});
    for (const supply::BookState& state : book.states) {
      const supply::BookPoint& at = state.points[k];
      std::string text;
      for (std::size_t c = 0; c < book.channels.size(); ++c) {
        if (!at.readings[c]) continue;
        const Dimension dimension = book.channels[c].dimension;
        const auto& healthy = book.states.front().points[k].readings[c];
        bool differs = false;
        if (&state != &book.states.front() && healthy) {
          const double width = std::hypot(0.5 * (at.readings[c]->band.high - at.readings[c]->band.low),
                                          0.5 * (healthy->band.high - healthy->band.low), healthy->error);
          differs = std::abs(at.readings[c]->median - healthy->median) > width;
        }
        text += (text.empty() ? "" : "; ") +
                (book.channels[c].port.empty() ? book.channels[c].title : book.channels[c].port) + " " +
                reading_words(at.readings[c], dimension, book.samples > 0, options.system) + " " +
                std::string(units::unit_name(dimension, options.system)) + (differs ? "*" : "");
      }
      document.blocks.emplace_back(Paragraph{.spans = {{.text = state.title, .bold = true},
                                                       {.text = at.fed ? ": " : " (starved): "},
                                                       {.text = text + "."}}});
    }
  }
  return document;
}

Document faults_page(const supply::GaugeBook& book, const PaperOptions& options) {
  Document document = answer_page("Planted faults in the system " + book.sheet, options);
  for (std::size_t s = 1; s < book.states.size(); ++s) {
    const supply::BookState& state = book.states[s];
    const supply::Separation& best = book.from_healthy[s];
    const bool idle = state.points.front().fed;
    const bool rated = state.points.back().fed;
    std::string text = idle && rated ? ": the engine is fed. "
                       : idle        ? ": fed at idle, starved at rated power. "
                                     : ": the engine is starved. ";
    if (best.strength > 1.0) {
      const supply::Channel& channel = book.channels[best.channel];
      const auto& here = state.points[best.point].readings[best.channel];
      const auto& healthy = book.states.front().points[best.point].readings[best.channel];
      text += fmt::format("Shows best at {}, {}: {} for {} healthy. ", channel.title,
                          point_name(state.points[best.point].point),
                          units::print(here->median, channel.dimension, options.system),
                          units::print(healthy->median, channel.dimension, options.system));
    } else {
      text += "No reading shows it. ";
    }
    std::vector<std::string> alike;
    for (const std::size_t other : book.like[s]) {
      if (other != 0) alike.push_back(book.states[other].title);
    }
    for (std::size_t i = 0; i < std::min(alike.size(), most_named); ++i) {
      text += (i == 0 ? "Not told from: " : "; ") + alike[i];
    }
    if (alike.size() > most_named) text += fmt::format("; and {} more", alike.size() - most_named);
    if (!alike.empty()) text += ".";
    document.blocks.emplace_back(Paragraph{.spans = {{.text = state.title, .bold = true}, {.text = std::move(text)}}});
  }
  return document;
}

Document comparison_page(const std::vector<assess::Comparison>& comparisons, std::size_t samples,
                         const PaperOptions& options) {
  Document document = answer_page("What the changes did", options);
  document.blocks.emplace_back(Paragraph{
      .spans = plain(
          samples > 0 ? fmt::format("Same running points and the same {} draws for all systems.", samples)
                      : std::string("Most likely values: without draws no effect is determined. Use --depth quick.")),
      .small = true});
  int number = 1;
  for (const assess::Comparison& comparison : comparisons) {
    document.blocks.emplace_back(Heading{
        .level = 1, .number = fmt::format("{}", number++), .text = comparison.first + " to " + comparison.second});
    ChangeWords words = change_words(comparison.lines, options.system);
    for (std::string& effect : words.effects) {
      document.blocks.emplace_back(Paragraph{.spans = plain(std::move(effect))});
    }
    if (!words.rest.empty()) document.blocks.emplace_back(Paragraph{.spans = plain(std::move(words.rest))});
  }
  return document;
}

Document sizes_page(const Sizes& sizes, const PaperOptions& options) {
  Document document = answer_page("Sizes of the system " + sizes.sheet, options);
  const supply::PowerCeiling& c = sizes.ceiling;
  const auto power = [&](double watt) { return units::print(watt, Dimension::power, options.system); };
  std::string text;
  if (c.open) {
    text = "The fuel supply carries more than " + power(c.ceiling_W) + ", three times the rated power.";
  } else if (c.at_rated) {
    text = "The fuel supply carries " + power(c.ceiling_W) + "; the sheet asks for " + power(c.rated_W) + ".";
  } else if (c.ceiling_W < 0.01 * c.rated_W) {
    text = "The fuel supply fails at any power, not only at the rated " + power(c.rated_W) + ".";
  } else {
    text = "The fuel supply does not carry the rated power of " + power(c.rated_W) + "; it carries " +
           power(c.ceiling_W) + ".";
  }
  if (c.limited) {
    text += " What gives out first: " + lower_first(c.limited->title) + ", at " + c.limited->place + ".";
  }
  document.blocks.emplace_back(Paragraph{.spans = plain(std::move(text))});
  document.blocks.emplace_back(Paragraph{
      .spans = plain("Air, exhaust temperature, driveline and emissions approval are not judged."), .small = true});
  if (!sizes.steps.empty()) {
    const auto smallest = std::ranges::find(sizes.steps, true, &supply::SizeStep::holds);
    document.blocks.emplace_back(Paragraph{
        .spans = plain(smallest == sizes.steps.end() ? "No size of the " + sizes.line + " makes the supply hold."
                                                     : "Smallest size of the " + sizes.line +
                                                           " with which the supply holds: " + smallest->size + ".")});
    for (const supply::SizeStep& step : sizes.steps) {
      std::string line = fmt::format("{}: worst pump inlet {}", step.size,
                                     units::print(step.inlet_low_Pa, Dimension::gauge_pressure, options.system));
      if (&step != &sizes.steps.front()) {
        line += fmt::format(", {} more than the size before",
                            units::print(step.gain_Pa, Dimension::gauge_pressure, options.system));
      }
      line += step.holds ? "; holds." : "; fails: " + lower_first(step.failing) + ".";
      document.blocks.emplace_back(Paragraph{.spans = plain(std::move(line))});
    }
  }
  return document;
}

}  // namespace fw::report
