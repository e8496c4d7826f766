// SPDX-License-Identifier: Apache-2.0
#include "assess/assess.hpp"

#include "assess/diagnosis_section.hpp"
#include "assess/extent_losses.hpp"

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

namespace {

/// Fuel that just meets EN 590: ISO medium dust.
Result<std::vector<debris::CascadePoint>> points_of(const debris::FuelWay& way) {
  constexpr double en590_kg_per_kg = 24e-6;
  constexpr double fuel_kg_per_m3 = 835.0;
  const debris::Dirt dust{.shape = debris::mass_table(debris::TestDust::a3_medium),
                          .density_kg_per_m3 = debris::test_dust_density_kg_per_m3};
  return debris::cascade(way, dust, en590_kg_per_kg * fuel_kg_per_m3);
}

}  // namespace

Result<std::vector<CleanlinessChange>> cleanliness_changes(const MetalInput& joined) {
  using Finding = CleanlinessChange::Finding;
  constexpr double code_step = 2.0;
  struct System {
    const char* name;
    const debris::FuelWay* way;
  };
  std::vector<System> systems;
  if (joined.as_designed) systems.push_back({"as designed", &*joined.as_designed});
  systems.push_back({"as found", &joined.input.as_found});
  if (joined.input.as_rebuilt) systems.push_back({"as rebuilt", &*joined.input.as_rebuilt});
  std::vector<CleanlinessChange> changes;
  for (std::size_t i = 1; i < systems.size(); ++i) {
    const auto before = points_of(*systems[i - 1].way);
    if (!before) return fail(before.error());
    const auto after = points_of(*systems[i].way);
    if (!after) return fail(after.error());
    const debris::Quantiles& one = before->back().number_per_m3.back();
    const debris::Quantiles& other = after->back().number_per_m3.back();
    // Both rise with the same drawn number: the ends of the band are those of its ends.
    const auto ratio = [](double a, double b) { return std::max(1.0, b) / std::max(1.0, a); };
    const double at_low = ratio(one.low, other.low);
    const double at_high = ratio(one.high, other.high);
    const double low = std::min(at_low, at_high);
    const double high = std::max(at_low, at_high);
    CleanlinessChange change{.from = systems[i - 1].name,
                             .to = systems[i].name,
                             .ratio = {.low = low, .median = ratio(one.median, other.median), .high = high}};
    if (low > code_step) {
      change.finding = Finding::more;
    } else if (high < 1.0 / code_step) {
      change.finding = Finding::fewer;
    } else if (low > 1.0 / code_step && high < code_step) {
      change.finding = Finding::none;
    }
    changes.push_back(std::move(change));
  }
  return changes;
}

Result<std::vector<Cleanliness>> cleanliness_of(const extent::DecisionInput& input) {
  std::vector<Cleanliness> all;
  for (const auto& [name, way] : {std::pair<const char*, const debris::FuelWay*>("as found", &input.as_found),
                                  std::pair<const char*, const debris::FuelWay*>(
                                      "as rebuilt", input.as_rebuilt ? &*input.as_rebuilt : nullptr)}) {
    if (way == nullptr) continue;
    auto points = points_of(*way);
    if (!points) return fail(points.error());
    const debris::Quantiles& inlet = points->back().number_per_m3.back();
    const double flown_m3 = way->feed_m3_per_s * 100.0 * 3600.0;
    Cleanliness one{.system = name,
                    .points = {},
                    .inlet_in_100_h = {.low = flown_m3 * inlet.low,
                                       .median = flown_m3 * inlet.median,
                                       .high = flown_m3 * inlet.high},
                    .reference_hour = debris::bounds(6).upper_per_m3 * way->feed_m3_per_s * 3600.0};
    one.points = std::move(*points);
    all.push_back(std::move(one));
  }
  return all;
}

namespace {

Error stopped() { return {.code = ErrorCode::cancelled, .found = "a stop", .expected = "the end of the judgement"}; }

bool is_stop(const Errors& errors) { return errors.front().code == ErrorCode::cancelled; }

Result<void> judge_supply(const casefile::Case& job, const Options& options, const Run& run, SectionStore& store,
                          Assessment& result) {
  const std::vector<system::RunningPoint> points = supply::envelope(job.climate);
  const supply::Sampling sampling{
      .samples = samples_of(options.depth), .seed = options.seed, .all_points = options.all_points};
  std::vector<ContentKey> keys;
  for (const system::LineSheet& sheet : job.sheets) {
    run.progress.at("sheets", result.sheets.size(), job.sheets.size());
    if (run.stop.stop_requested()) return fail(stopped());
    auto judgement = kept_supply(sheet, points, sampling, run, store);
    if (!judgement) return fail(judgement.error());
    result.sheets.push_back(std::move(*judgement));
    keys.push_back(supply_key(sheet_key(sheet), points, sampling));
  }
  run.progress.at("sheets", result.sheets.size(), job.sheets.size());
  if (!options.sections.has(Section::comparison)) return {};
  for (std::size_t i = 1; i < result.sheets.size(); ++i) {
    result.comparisons.push_back(kept_comparison(result.sheets[i - 1], result.sheets[i], keys[i - 1], keys[i], store));
  }
  return {};
}

/// Losses of the extent where it was worked out before this, else the table's.
diagnosis::Losses losses_now(const casefile::Case& job, const catalog::Catalog& catalog, const Options& options,
                             const Assessment& result) {
  if (!job.metal) return losses_of_table(catalog.losses, options.seed, "the case has no metal.toml");
  if (!options.sections.has(Section::extent)) {
    return losses_of_table(catalog.losses, options.seed, "the extent was not asked for");
  }
  if (!result.metal || !result.metal->decision) {
    return losses_of_table(catalog.losses, options.seed, "the extent could not be worked out");
  }
  return losses_of_extent(*result.metal->decision, job.metal->input, catalog.losses, options.seed).losses;
}

Result<void> judge_cause(const diagnosis::Facts& facts, const catalog::Catalog& catalog,
                         const diagnosis::Losses& losses, const Options& options, const Run& run, SectionStore& store,
                         Assessment& result) {
  if (options.sections.has(Section::diagnosis)) {
    auto found = kept_diagnosis(catalog.diagnosis, facts, {.seed = options.seed, .count = table_draws(options.depth)},
                                run, store);
    if (!found) return fail(found.error());
    result.said = sentences(*found, catalog.diagnosis);
    result.not_to_do = not_to_do(*found, facts, catalog.diagnosis);
    constexpr std::size_t explained = 2;
    std::vector<std::string> leading;
    for (std::size_t i = 0; i < std::min(explained, found->causes.size()); ++i) leading.push_back(found->causes[i].id);
    auto why = diagnosis::explain(catalog.diagnosis, facts, *found, leading, run);
    if (!why) return fail(why.error());
    result.why = std::move(*why);
    result.diagnosis = std::move(*found);
  }
  if (options.sections.has(Section::looks)) {
    auto next = kept_looks(catalog.diagnosis, losses, facts, {}, run, store);
    if (!next) return fail(next.error());
    for (const diagnosis::Look& look : next->looks) {
      const diagnosis::FindingRow& row = catalog.diagnosis.findings[look.finding];
      result.look_titles.push_back({.finding = row.id, .title = row.title, .how = row.how});
    }
    result.looks = std::move(*next);
  }
  return {};
}

Result<void> judge_metal(const casefile::Case& job, const Options& options, const Run& run, SectionStore& store,
                         Assessment& result) {
  const bool extent = options.sections.has(Section::extent);
  if (!extent && !options.sections.has(Section::debris)) return {};
  const std::string file = job.folder + "/metal.toml";
  const auto joined = metal_input(*job.metal, job.sheets, job.as_found, run);
  if (!joined) {
    if (is_stop(joined.error())) return fail(joined.error());
    result.not_computed.push_back({.section = Section::debris, .sheet = {}, .why = joined.error().in_file(file)});
    return {};
  }
  const extent::DecisionInput& input = joined->input;
  auto map = kept_debris(input, options.seed, run, store);
  if (!map) {
    if (is_stop(map.error())) return fail(map.error());
    result.not_computed.push_back({.section = Section::debris, .sheet = {}, .why = map.error().in_file(file)});
    return {};
  }
  auto clean = cleanliness_of(input);
  if (!clean) {
    result.not_computed.push_back({.section = Section::debris, .sheet = {}, .why = clean.error().in_file(file)});
    return {};
  }
  auto changes = cleanliness_changes(*joined);
  if (!changes) {
    result.not_computed.push_back({.section = Section::debris, .sheet = {}, .why = changes.error().in_file(file)});
    return {};
  }
  MetalAnswer answer{.way = joined->facts,
                     .way_notes = joined->notes,
                     .map = std::move(*map),
                     .cleanliness = std::move(*clean),
                     .changes = std::move(*changes),
                     .decision = {},
                     .currency = {},
                     .comeback_loss = {}};
  if (input.prices) {
    const extent::PriceBand& loss = input.prices->comeback_loss;
    answer.currency = input.prices->currency;
    answer.comeback_loss =
        Money{.minor = loss.low.minor + (loss.high.minor - loss.low.minor) / 2, .currency = loss.low.currency};
  }
  if (extent) {
    auto decision = kept_extent(answer.map, input, options.seed, run, store);
    if (decision) {
      answer.decision = std::move(*decision);
    } else {
      if (is_stop(decision.error())) return fail(decision.error());
      result.not_computed.push_back({.section = Section::extent, .sheet = {}, .why = decision.error().in_file(file)});
    }
  }
  result.metal = std::move(answer);
  return {};
}

Result<void> judge_high_side(const system::LineSheet& sheet, const Options& options, const Run& run,
                             SectionStore& store, Assessment& result) {
  if (options.sections.has(Section::rail)) {
    auto rail = kept_rail(sheet, usual_inlet_K, run, store);
    if (rail) {
      result.rail.push_back(std::move(*rail));
    } else {
      if (is_stop(rail.error())) return fail(rail.error());
      result.not_computed.push_back({.section = Section::rail, .sheet = sheet.name, .why = rail.error()});
    }
  }
  if (options.sections.has(Section::heat)) {
    auto heat = kept_heat(sheet, usual_air_K, run, store);
    if (heat) {
      result.heat.push_back(std::move(*heat));
    } else {
      if (is_stop(heat.error())) return fail(heat.error());
      result.not_computed.push_back({.section = Section::heat, .sheet = sheet.name, .why = heat.error()});
    }
  }
  return {};
}

}  // namespace

Result<Assessment> assess(const casefile::Case& job, const catalog::Catalog& catalog, const Options& options,
                          const Run& run, SectionStore& store) {
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
  if (options.sections.has(Section::supply) || options.sections.has(Section::comparison)) {
    if (const auto done = judge_supply(job, options, run, store, result); !done) return fail(done.error());
  }
  if (job.metal) {
    const auto done = judge_metal(job, options, run, store, result);
    if (!done) return fail(done.error());
  }
  if (job.findings) {
    const auto facts = facts_of_case(job, catalog, options.seed, run);
    if (!facts) return fail(facts.error());
    const diagnosis::Losses losses = losses_now(job, catalog, options, result);
    const auto done = judge_cause(*facts, catalog, losses, options, run, store, result);
    if (!done) return fail(done.error());
  }
  for (const system::LineSheet& sheet : job.sheets) {
    if (const auto done = judge_high_side(sheet, options, run, store, result); !done) return fail(done.error());
    if (run.stop.stop_requested()) return fail(stopped());
  }
  if (options.sections.has(Section::water) && !job.sheets.empty()) {
    auto water = kept_water(job.sheets, water_facts(job, options.seed), run, store);
    if (water) {
      result.water = std::move(*water);
    } else {
      if (is_stop(water.error())) return fail(water.error());
      result.not_computed.push_back({.section = Section::water, .sheet = {}, .why = water.error()});
    }
  }
  return result;
}

Result<Assessment> assess(const casefile::Case& job, const catalog::Catalog& catalog, const Options& options,
                          const Run& run) {
  NoStore nothing;
  return assess(job, catalog, options, run, nothing);
}

}  // namespace fw::assess
