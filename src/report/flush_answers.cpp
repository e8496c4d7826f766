// SPDX-License-Identifier: Apache-2.0
#include "report/flush_answers.hpp"

#include <array>

#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include "report/json_parts.hpp"

namespace fw::report {

namespace {

using debris::FlushCaution;
using units::Dimension;

constexpr std::array<const char*, 3> sizes{"4 um(c)", "6 um(c)", "14 um(c)"};
constexpr std::array<const char*, 5> caution_ids{"light_fuel_in_unrated_equipment", "flash_point_unknown", "laminar",
                                                 "below_twice_service_flow", "bond_and_ground"};

void add(Document& document, std::string text, bool small = false) {
  document.blocks.emplace_back(Paragraph{.spans = plain(std::move(text)), .small = small});
}

}  // namespace

Document flush_page(const FlushAnswer& answer, const PaperOptions& options) {
  Document document;
  document.title = fmt::format("Clean-up from {} to {}", debris::to_text(answer.from), debris::to_text(answer.to));
  document.created = options.created;
  document.size = options.size;
  for (const FlushCaution caution : answer.cautions) {
    const bool fire = caution == FlushCaution::flash_point_unknown || caution == FlushCaution::bond_and_ground ||
                      caution == FlushCaution::light_fuel_in_unrated_equipment;
    document.blocks.emplace_back(Caution{.signal = fire ? Signal::warning : Signal::notice,
                                         .title = caution == FlushCaution::bond_and_ground ? "Static charge"
                                                  : fire                                   ? "Fire"
                                                                                           : "Flush without effect",
                                         .spans = plain(std::string(debris::sentence(caution)))});
  }
  const auto time = [&](double s) { return units::print(s, Dimension::time, options.system); };
  const debris::CleanUpTime& t = answer.clean_up.time;
  add(document, fmt::format("{:.1f} turnovers of {} at {}, {} when perfectly mixed; {} decides.", t.turnovers,
                            units::print(answer.loop.volume_m3, Dimension::volume, options.system),
                            units::print(answer.loop.flow_m3_per_s, Dimension::volume_flow, options.system),
                            time(t.time_s), sizes.at(static_cast<std::size_t>(answer.clean_up.governing_entry))));
  add(document, fmt::format("Real tanks short-circuit: plan {} to {} (two to three times, common practice, no source).",
                            time(t.practical_low_s), time(t.practical_high_s)));
  if (answer.with_dead_volume_s) {
    add(document, fmt::format("With {:.0f} % of the tank exchanged only slowly: {}.",
                              100.0 * answer.dead_share.value_or(0), time(*answer.with_dead_volume_s)));
  }
  if (answer.line) {
    const FlushAnswer::Line& line = *answer.line;
    add(document,
        fmt::format(
            "Line of {}: turbulent from {} ({}); the cart's flow gives a Reynolds number of {:.0f}, the service "
            "flow {:.0f}. ISO 23309 asks for more than 4000 and for more than twice the service flow.",
            units::print(line.bore_m, Dimension::bore, options.system),
            units::print(line.needed.flow_m3_per_s, Dimension::volume_flow, options.system),
            units::print(line.needed.speed_m_per_s, Dimension::velocity, options.system), line.reynolds,
            line.service_reynolds));
    if (line.service_reynolds < 4000.0) add(document, "The vehicle's own pump cannot flush this line.");
  }
  if (answer.decay) {
    add(document,
        fmt::format("Extractions: the last gave {:.1f} % of the sum; {}.{}", 100.0 * answer.decay->last_share,
                    answer.decay->passed            ? "accepted (at most 10 %)"
                    : answer.decay->another_allowed ? "extract again"
                                                    : "not accepted after six: replace the part",
                    answer.decay->remaining ? " What adheres or is trapped is not seen: a lower bound." : ""));
  }
  if (answer.verified) {
    add(document, *answer.verified ? "Verified: two consecutive samples are at the target."
                                   : "Not verified: the last two samples are not both at the target.");
  } else {
    add(document, answer.samples == 1
                      ? "Not verified: one sample is not enough; take a second at the draw-off."
                      : "Not verified yet: count two consecutive samples at the draw-off, not at the filter's outlet.");
  }
  add(document,
      "High-pressure pump, rail, pipes and injectors are not cleaned by flushing (published procedures replace them).",
      true);
  return document;
}

std::string flush_json(const FlushAnswer& answer) {
  Json cautions = Json::array();
  for (const FlushCaution caution : answer.cautions) {
    cautions.push_back(
        {{"id", caution_ids.at(static_cast<std::size_t>(caution))}, {"text", std::string(debris::sentence(caution))}});
  }
  const debris::CleanUpTime& t = answer.clean_up.time;
  Json line = nullptr;
  if (answer.line) {
    line = {{"bore_m", answer.line->bore_m},
            {"service_flow_m3_per_s", answer.line->service_m3_per_s},
            {"needed_flow_m3_per_s", answer.line->needed.flow_m3_per_s},
            {"needed_speed_m_per_s", answer.line->needed.speed_m_per_s},
            {"reynolds", answer.line->reynolds},
            {"service_reynolds", answer.line->service_reynolds}};
  }
  Json decay = nullptr;
  if (answer.decay) {
    decay = {{"last_share", answer.decay->last_share},
             {"passed", answer.decay->passed},
             {"another_allowed", answer.decay->another_allowed},
             {"remaining_at_least", number_json(answer.decay->remaining)}};
  }
  const Json json{{"schema", "fuelwright.flush/1.0"},
                  {"from", debris::to_text(answer.from)},
                  {"to", debris::to_text(answer.to)},
                  {"volume_m3", answer.loop.volume_m3},
                  {"flow_m3_per_s", answer.loop.flow_m3_per_s},
                  {"turnovers", t.turnovers},
                  {"time_s", t.time_s},
                  {"practical_low_s", t.practical_low_s},
                  {"practical_high_s", t.practical_high_s},
                  {"governing_size", sizes.at(static_cast<std::size_t>(answer.clean_up.governing_entry))},
                  {"dead_share", number_json(answer.dead_share)},
                  {"with_dead_volume_s", number_json(answer.with_dead_volume_s)},
                  {"line", std::move(line)},
                  {"decay", std::move(decay)},
                  {"samples", answer.samples},
                  {"verified", answer.verified ? Json(*answer.verified) : Json(nullptr)},
                  {"cautions", std::move(cautions)}};
  return json.dump(2) + "\n";
}

}  // namespace fw::report
