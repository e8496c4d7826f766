// SPDX-License-Identifier: Apache-2.0
#include "assess/kept_sections.hpp"

#include <utility>

namespace fw::assess {

namespace {

/// A template because every section has a type of its own.
template <class Value, class Compute>
Result<Value> kept(Section section, const ContentKey& key, SectionStore& store, const Compute& compute) {
  if (const auto known = store.find(section, key)) {
    if (const auto* value = std::get_if<Value>(known.get())) return *value;
  }
  Result<Value> fresh = compute();
  if (!fresh) return fresh;
  store.keep(section, key, std::make_shared<const SectionValue>(*fresh));
  return fresh;
}

}  // namespace

Result<supply::SheetJudgement> kept_supply(const system::LineSheet& sheet,
                                           const std::vector<system::RunningPoint>& points,
                                           const supply::Sampling& sampling, const Run& run, SectionStore& store) {
  const ContentKey key = supply_key(sheet_key(sheet), points, sampling);
  auto judgement = kept<supply::SheetJudgement>(Section::supply, key, store,
                                                [&] { return supply::judge_sheet(sheet, points, sampling, run); });
  if (!judgement) return fail(judgement.error().in_file(sheet.file));
  judgement->file = sheet.file;
  place_anew(judgement->inputs, sheet);
  return judgement;
}

Comparison kept_comparison(const supply::SheetJudgement& first, const supply::SheetJudgement& second,
                           const ContentKey& first_key, const ContentKey& second_key, SectionStore& store) {
  auto lines = kept<std::vector<supply::Difference>>(
      Section::comparison, comparison_key(first_key, second_key), store,
      [&] { return Result<std::vector<supply::Difference>>(supply::compare(first, second)); });
  return {.first = first.name, .second = second.name, .lines = std::move(*lines)};
}

Result<diagnosis::Diagnosis> kept_diagnosis(const diagnosis::Tables& tables, const diagnosis::Facts& facts,
                                            const diagnosis::Draws& draws, const Run& run, SectionStore& store) {
  return kept<diagnosis::Diagnosis>(Section::diagnosis, diagnosis_key(tables, facts, draws), store,
                                    [&] { return diagnosis::diagnose(tables, facts, draws, run); });
}

Result<diagnosis::NextLooks> kept_looks(const diagnosis::Tables& tables, const diagnosis::Losses& losses,
                                        const diagnosis::Facts& facts, const diagnosis::LookAhead& ahead,
                                        const Run& run, SectionStore& store) {
  return kept<diagnosis::NextLooks>(Section::looks, looks_key(tables, losses, facts, ahead), store,
                                    [&] { return diagnosis::next_looks(tables, facts, losses, ahead, run); });
}

Result<debris::DebrisMap> kept_debris(const extent::DecisionInput& input, std::uint64_t seed, const Run& run,
                                      SectionStore& store) {
  return kept<debris::DebrisMap>(Section::debris, debris_key(input, seed), store, [&] {
    return debris::infer(input.as_found, input.story, input.findings, {.seed = seed}, run);
  });
}

Result<extent::Decision> kept_extent(const debris::DebrisMap& map, const extent::DecisionInput& input,
                                     std::uint64_t seed, const Run& run, SectionStore& store) {
  return kept<extent::Decision>(Section::extent, extent_key(input, seed), store, [&] {
    extent::DecisionInput seeded = input;
    seeded.seed = seed;
    return extent::decide(map, seeded, run);
  });
}

Result<RailCapacity> kept_rail(const system::LineSheet& sheet, double inlet_K, const Run& run, SectionStore& store) {
  return kept<RailCapacity>(Section::rail, rail_key(sheet_key(sheet), inlet_K), store,
                            [&] { return rail_capacity(sheet, inlet_K, run); });
}

Result<FuelHeat> kept_heat(const system::LineSheet& sheet, double air_K, const Run& run, SectionStore& store) {
  return kept<FuelHeat>(Section::heat, heat_key(sheet_key(sheet), air_K), store,
                        [&] { return fuel_heat(sheet, air_K, run); });
}

Result<WaterSection> kept_water(std::span<const system::LineSheet> sheets, const WaterFacts& facts, const Run& run,
                                SectionStore& store) {
  std::vector<ContentKey> keys;
  for (const system::LineSheet& sheet : sheets) keys.push_back(sheet_key(sheet));
  auto section = kept<WaterSection>(Section::water, water_key(keys, facts), store,
                                    [&] { return water_section(sheets, facts, run); });
  // The name of a file is in no key.
  if (!section) return section;
  for (WaterSheet& one : section->sheets) {
    for (const system::LineSheet& sheet : sheets) {
      if (sheet.name == one.name) one.file = sheet.file;
    }
  }
  return section;
}

}  // namespace fw::assess
