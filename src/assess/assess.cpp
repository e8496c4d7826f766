// SPDX-License-Identifier: Apache-2.0
#include "assess/assess.hpp"

#include "assess/diagnosis_section.hpp"

namespace fw::assess {

std::string_view name(Depth depth) {
  switch (depth) {
    case Depth::nominal: return "nominal";
    case Depth::quick: return "quick";
    case Depth::paper: return "paper";
  }
  return "nominal";
}

std::optional<Depth> depth_named(std::string_view text) {
  for (const Depth depth : {Depth::nominal, Depth::quick, Depth::paper}) {
    if (name(depth) == text) return depth;
  }
  return std::nullopt;
}

std::size_t samples_of(Depth depth) {
  switch (depth) {
    case Depth::nominal: return 0;
    case Depth::quick: return 256;
    case Depth::paper: return 2000;
  }
  return 0;
}

std::vector<Caution> supply_cautions() {
  return {
      {.signal = Signal::warning,
       .title = "Injection injury",
       .text =
           "Diesel under pressure goes through skin. A pin-hole that hardly hurts is a surgical emergency: go to "
           "hospital at once, say \"high-pressure fuel injection\", do not wait for pain. Never feel for leaks with "
           "a hand; use a card and an eye shield.",
       .shortly = "Never feel for leaks with a hand; fuel under the skin is a surgical emergency."},
      {.signal = Signal::warning,
       .title = "Stored pressure",
       .text =
           "Engine off, wait the maker's time (5 minutes if it is not known), read the rail pressure before any "
           "union is touched. A zero rail reading is no proof of zero pressure: wrap the union and crack it slowly.",
       .shortly = "Engine off, wait, read the rail; a zero reading is no proof."},
      {.signal = Signal::warning,
       .title = "Fire",
       .text = "No flame, no hot work, a class B extinguisher at hand, spills caught. A mix of petrol and diesel is "
               "handled as petrol. Bond tank, pump and container: fuel takes a charge in fine filters.",
       .shortly = "No flame, spills caught, tank and container bonded."},
      {.signal = Signal::warning,
       .title = "Lifting",
       .text = "Never rely on a jack. A tank is heavy and swings: drain it first, strap it, work with a second person.",
       .shortly = "Stands, never a jack alone; drain and strap the tank."},
      {.signal = Signal::notice,
       .title = "Emissions equipment and safety systems",
       .text = "Supply work leaves emissions equipment, calibration, fuel cut-off, roll-over valve and anti-siphon "
               "working and untouched; the law asks for it.",
       .shortly =
           "Emissions equipment, fuel cut-off, roll-over valve and anti-siphon stay working: the law asks for it."},
      {.signal = Signal::notice,
       .title = "Who decides",
       .text = "Follow the vehicle maker's service information, local codes and a licensed or qualified person. This "
               "program advises; it does not certify.",
       .shortly = "The maker's service information, local codes and a licensed person decide; this program advises, it "
                  "does not certify."},
  };
}

Result<Assessment> assess(const casefile::Case& job, const catalog::Catalog& catalog, const Options& options,
                          const Run& run) {
  Assessment result;
  result.case_id = job.id;
  result.title = job.title;
  result.vehicle = job.vehicle;
  result.odometer = job.odometer;
  result.opened = job.opened;
  result.story = job.story;
  result.climate = job.climate;
  result.depth = options.depth;
  result.seed = options.seed;
  result.cautions = supply_cautions();
  const std::vector<system::RunningPoint> points = supply::envelope(job.climate);
  const supply::Sampling sampling{
      .samples = samples_of(options.depth), .seed = options.seed, .all_points = options.all_points};
  std::size_t done = 0;
  for (const system::LineSheet& sheet : job.sheets) {
    run.progress.at("sheets", done, job.sheets.size());
    if (run.stop.stop_requested()) {
      return fail(Error{.code = ErrorCode::cancelled, .found = "a stop", .expected = "the end of the judgement"});
    }
    auto judgement = supply::judge_sheet(sheet, points, sampling, run);
    if (!judgement) return fail(judgement.error().in_file(sheet.file));
    result.sheets.push_back(std::move(*judgement));
    ++done;
  }
  run.progress.at("sheets", done, job.sheets.size());
  if (job.findings) {
    const auto facts = facts_of_case(job, catalog, options.seed, run);
    if (!facts) return fail(facts.error());
    auto found = diagnosis::diagnose(catalog.diagnosis, *facts,
                                     {.seed = options.seed, .count = table_draws(options.depth)}, run);
    if (!found) return fail(found.error());
    result.diagnosis = std::move(*found);
  }
  return result;
}

}  // namespace fw::assess
