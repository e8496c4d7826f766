// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstdint>
#include <span>
#include <string>
#include <vector>

#include "assess/content_key.hpp"
#include "assess/section.hpp"
#include "base/result.hpp"
#include "base/run.hpp"

/// The sections one by one, each taken from the store where it holds the same inputs and computed and kept where it
/// does not. assess() is made of these; a single question takes the one it needs.
namespace fw::assess {

/// Errors: those of supply::judge_sheet, by file.
[[nodiscard]] Result<supply::SheetJudgement> kept_supply(const system::LineSheet& sheet,
                                                         const std::vector<system::RunningPoint>& points,
                                                         const supply::Sampling& sampling, const Run& run,
                                                         SectionStore& store);

/// What a change of the system did.
struct Comparison {
  std::string first, second;  ///< names of the sheets
  std::vector<supply::Difference> lines;
};
/// The keys are the supply keys of the two judgements.
[[nodiscard]] Comparison kept_comparison(const supply::SheetJudgement& first, const supply::SheetJudgement& second,
                                         const ContentKey& first_key, const ContentKey& second_key,
                                         SectionStore& store);

/// Errors: those of diagnosis::diagnose.
[[nodiscard]] Result<diagnosis::Diagnosis> kept_diagnosis(const diagnosis::Tables& tables,
                                                          const diagnosis::Facts& facts, const diagnosis::Draws& draws,
                                                          const Run& run, SectionStore& store);
/// Errors: those of diagnosis::next_looks.
[[nodiscard]] Result<diagnosis::NextLooks> kept_looks(const diagnosis::Tables& tables, const diagnosis::Losses& losses,
                                                      const diagnosis::Facts& facts, const diagnosis::LookAhead& ahead,
                                                      const Run& run, SectionStore& store);

/// Draws of `seed`, whatever seed the input carries. Errors: those of debris::infer.
[[nodiscard]] Result<debris::DebrisMap> kept_debris(const extent::DecisionInput& input, std::uint64_t seed,
                                                    const Run& run, SectionStore& store);
/// On the map that kept_debris gives for the same input and seed. Errors: those of extent::decide.
[[nodiscard]] Result<extent::Decision> kept_extent(const debris::DebrisMap& map, const extent::DecisionInput& input,
                                                   std::uint64_t seed, const Run& run, SectionStore& store);

/// Errors: those of rail_capacity.
[[nodiscard]] Result<RailCapacity> kept_rail(const system::LineSheet& sheet, double inlet_K, const Run& run,
                                             SectionStore& store);
/// Errors: those of fuel_heat.
[[nodiscard]] Result<FuelHeat> kept_heat(const system::LineSheet& sheet, double air_K, const Run& run,
                                         SectionStore& store);

/// Errors: those of water_section.
[[nodiscard]] Result<WaterSection> kept_water(std::span<const system::LineSheet> sheets, const WaterFacts& facts,
                                              const Run& run, SectionStore& store);

}  // namespace fw::assess
