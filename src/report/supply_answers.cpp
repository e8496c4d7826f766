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

/// "no load, 2,000 rpm".
std::string point_name(const supply::BookPoint& at, units::System system) {
  return std::string(system::name(at.point.engine)) + ", " +
         units::print(at.speed_per_s, Dimension::rotational_speed, system);
}

/// ", if the chassis pump returns its surplus to the tank", or nothing.
std::string if_way(const std::string& way) { return way.empty() ? std::string() : ", if the " + way; }

/// Paragraphs of one set of faults, a text for each way; ways with the same text share one paragraph.
struct Told {
  std::string title;
  std::vector<std::pair<std::string, std::vector<std::string>>> texts;  ///< text, its ways
};

void tell(std::vector<Told>& all, const supply::BookState& state, std::string text) {
  if (all.empty() || all.back().title != state.title) all.push_back({.title = state.title, .texts = {}});
  auto& texts = all.back().texts;
  const auto same = std::ranges::find(texts, text, [](const auto& entry) { return entry.first; });
  if (same == texts.end()) {
    texts.push_back({std::move(text), {state.way}});
  } else {
    same->second.push_back(state.way);
  }
}

void put(Document& document, const std::vector<Told>& all) {
  for (const Told& told : all) {
    for (const auto& [text, ways] : told.texts) {
      std::string title = told.title;
      if (told.texts.size() > 1) {
        for (std::size_t i = 0; i < ways.size(); ++i) title += i == 0 ? if_way(ways[i]) : "; or the " + ways[i];
      }
      document.blocks.emplace_back(Paragraph{.spans = {{.text = std::move(title), .bold = true}, {.text = text}}});
    }
  }
}

/// What the ways are, and which reading settles the fact.
void put_ways(Document& document, const supply::GaugeBook& book, units::System system) {
  if (book.ways < 2) return;
  std::string text = fmt::format("Facts of the pumps are not stated: {} ways were computed.", book.ways);
  for (const supply::WaysApart& ways : book.ways_apart) {
    const supply::BookState& first = book.states[ways.first];
    const supply::BookState& second = book.states[ways.second];
    if (ways.best.strength <= 1.0) {
      text += fmt::format(" No reading tells whether the {} or the {}.", first.way, second.way);
      continue;
    }
    const supply::Channel& channel = book.channels[ways.best.channel];
    const auto words = [&](const supply::BookState& state) {
      return units::print(state.points[ways.best.point].readings[ways.best.channel]->median, channel.dimension, system);
    };
    text += fmt::format(" Told apart best by {}, at {}: {} if the {}, {} if the {}.", channel.title,
                        point_name(first.points[ways.best.point], system), words(first), first.way, words(second),
                        second.way);
  }
  document.blocks.emplace_back(Paragraph{.spans = plain(std::move(text))});
}

/// "3.2 kPa more than the size before".
std::string gain_words(double gain_Pa, const std::string& than, units::System system) {
  return units::print(std::abs(gain_Pa), Dimension::gauge_pressure, system) +
         (gain_Pa < 0.0 ? " less than " : " more than ") + than;
}

std::string measure_words(supply::SizeKind kind, double measure, units::System system) {
  switch (kind) {
    case supply::SizeKind::line: return "bore " + units::print(measure, Dimension::bore, system);
    case supply::SizeKind::pump: return "free flow " + units::print(measure, Dimension::volume_flow, system);
    case supply::SizeKind::filter:
      return "clean drop as stated " + units::print(measure, Dimension::pressure_drop, system);
  }
  return {};
}

/// What the catalog can do for a part.
std::string best_words(const supply::Sizing& sizing, units::System system) {
  if (!sizing.best) return "Nothing in the catalog fits there.";
  const supply::SizeStep& step = sizing.steps[*sizing.best];
  const auto gain = sizing.gain_Pa();
  const std::string gained = gain ? ", " + gain_words(*gain, "as it is", system) : std::string();
  if (sizing.smallest) return "Smallest with which the supply holds: " + step.title + gained + ".";
  if (sizing.holds)
    return "Keep it: what is there holds, no size of the catalog does; nearest is " + step.title + gained + ".";
  return "No size makes the supply hold; most comes from " + step.title + gained + ".";
}

}  // namespace

Document gauge_book_page(const supply::GaugeBook& book, const PaperOptions& options) {
  Document document = answer_page("Gauge book of the system " + book.sheet, options);
  const std::vector<supply::BookPoint>& points = book.states.front().points;
  std::string where;
  for (const supply::BookPoint& at : points) where += (where.empty() ? "" : "; ") + point_name(at, options.system);
  document.blocks.emplace_back(Paragraph{
      .spans =
          plain(fmt::format("Fuel 20 C, clean filters, half a tank; {}. {} A reading with * is told "
                            "from the healthy one by its instrument nine times in ten (instrument errors assumed).",
                            where,
                            book.samples > 0 ? fmt::format("Nine of ten of {} draws lie in each range.", book.samples)
                                             : std::string("Most likely values."))),
      .small = true});
  put_ways(document, book, options.system);
  int number = 1;
  for (std::size_t k = 0; k < points.size(); ++k) {
    document.blocks.emplace_back(
        Heading{.level = 1, .number = fmt::format("{}", number++), .text = point_name(points[k], options.system)});
    std::vector<Told> all;
    for (const supply::BookState& state : book.states) {
      const supply::BookPoint& at = state.points[k];
      const supply::BookState& usual = book.states[state.healthy];
      std::string text;
      for (std::size_t c = 0; c < book.channels.size(); ++c) {
        if (!at.readings[c]) continue;
        const Dimension dimension = book.channels[c].dimension;
        const auto& healthy = usual.points[k].readings[c];
        bool differs = false;
        if (&state != &usual && healthy) {
          const double width = std::hypot(0.5 * (at.readings[c]->band.high - at.readings[c]->band.low),
                                          0.5 * (healthy->band.high - healthy->band.low), healthy->error);
          differs = std::abs(at.readings[c]->median - healthy->median) > width;
        }
        text += (text.empty() ? "" : "; ") +
                (book.channels[c].port.empty() ? book.channels[c].title : book.channels[c].port) + " " +
                reading_words(at.readings[c], dimension, book.samples > 0, options.system) + " " +
                std::string(units::unit_name(dimension, options.system)) + (differs ? "*" : "");
      }
      tell(all, state, (at.fed ? ": " : " (starved): ") + text + ".");
    }
    put(document, all);
  }
  return document;
}

Document faults_page(const supply::GaugeBook& book, const PaperOptions& options) {
  Document document = answer_page("Planted faults in the system " + book.sheet, options);
  put_ways(document, book, options.system);
  std::vector<Told> all;
  for (std::size_t s = book.ways; s < book.states.size(); ++s) {
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
      const auto& healthy = book.states[state.healthy].points[best.point].readings[best.channel];
      text += fmt::format("Shows best at {}, {}: {} for {} healthy. ", channel.title,
                          point_name(state.points[best.point], options.system),
                          units::print(here->median, channel.dimension, options.system),
                          units::print(healthy->median, channel.dimension, options.system));
    } else {
      text += "No reading shows it. ";
    }
    // A fault is named once, however many of its ways are alike.
    std::vector<std::string> alike;
    for (const std::size_t other : book.like[s]) {
      if (other < book.ways) continue;
      if (std::ranges::count(alike, book.states[other].title) == 0) alike.push_back(book.states[other].title);
    }
    for (std::size_t i = 0; i < std::min(alike.size(), most_named); ++i) {
      text += (i == 0 ? "Not told from: " : "; ") + alike[i];
    }
    if (alike.size() > most_named) text += fmt::format("; and {} more", alike.size() - most_named);
    if (!alike.empty()) text += ".";
    tell(all, state, std::move(text));
  }
  put(document, all);
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
  if (sizes.parts.empty()) return document;
  document.blocks.emplace_back(Paragraph{
      .spans =
          plain("Sizes are those of the catalog, one part at a time, all else as it is; numbers of generic parts are "
                "typical of their class, no maker's."),
      .small = true});
  if (sizes.parts.size() > 1) {
    document.blocks.emplace_back(Paragraph{.spans = plain("What one part alone does, best first:")});
    for (const supply::Sizing& sizing : sizes.parts) {
      document.blocks.emplace_back(
          Paragraph{.spans = {{.text = sizing.title, .bold = true},
                              {.text = ": " + lower_first(best_words(sizing, options.system))}}});
    }
  }
  int number = 1;
  for (const supply::Sizing& sizing : sizes.parts) {
    document.blocks.emplace_back(Heading{.level = 1, .number = fmt::format("{}", number++), .text = sizing.title});
    const auto inlet = [&](const std::optional<double>& value_Pa) {
      return value_Pa ? "worst pump inlet " + units::print(*value_Pa, Dimension::gauge_pressure, options.system)
                      : std::string("worst pump inlet not known");
    };
    std::string head = fmt::format("As it is: {}; {}.", inlet(sizing.inlet_low_Pa),
                                   sizing.holds ? "holds" : "fails: " + lower_first(sizing.failing));
    if (sizes.parts.size() == 1) head += " " + best_words(sizing, options.system);
    document.blocks.emplace_back(Paragraph{.spans = plain(std::move(head))});
    for (const supply::SizeStep& step : sizing.steps) {
      std::string line =
          fmt::format("{}{} ({}): {}", step.title, step.shop ? ", shop" : "",
                      measure_words(sizing.kind, step.measure, options.system), inlet(step.inlet_low_Pa));
      if (step.gain_Pa) line += ", " + gain_words(*step.gain_Pa, "the size before", options.system);
      if (step.clean_share) {
        line +=
            ", clean drop " + units::print(*step.clean_share, Dimension::ratio, options.system) + " of what it may be";
      }
      line += step.holds ? "; holds." : "; fails: " + lower_first(step.failing) + ".";
      document.blocks.emplace_back(Paragraph{.spans = plain(std::move(line))});
    }
  }
  return document;
}

}  // namespace fw::report
