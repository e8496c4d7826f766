// SPDX-License-Identifier: Apache-2.0
#include "assess/diagnosis_section.hpp"

#include <algorithm>

#include <fmt/format.h>

#include "base/chance_words.hpp"

namespace fw::assess {

namespace {

using diagnosis::Belief;

std::string number(const Belief& one) {
  return fmt::format("{} ({} to {})", in_100(one.probability), hundredths(one.low), hundredths(one.high));
}

/// The word for a belief; from "likely" up it is the one that the low end of the band allows, so that no sentence is
/// stronger than its weakest number.
std::string_view careful_word(const Belief& one, const diagnosis::Numbers& numbers) {
  if (one.probability < 0.5) return diagnosis::word_for(one.probability, numbers);
  if (one.low < 0.5) return "possible";
  return diagnosis::word_for(one.low, numbers);
}

}  // namespace

std::size_t table_draws(Depth depth) { return depth == Depth::paper ? 400 : 100; }

Result<diagnosis::Facts> facts_of_case(const casefile::Case& job, const catalog::Catalog& catalog, std::uint64_t seed,
                                       const Run& run) {
  diagnosis::Facts facts = *job.findings;
  if (facts.readings.empty()) return facts;
  if (!job.as_found) {
    return fail(Error{.code = ErrorCode::invalid_input,
                      .where = {.field = "sheets.as_found"},
                      .found = "readings without a sheet as found",
                      .expected = "the line sheet that the gauges were on",
                      .hint = "Add as_found = \"as-found.toml\" to [sheets]"});
  }
  auto weighed = diagnosis::weigh_readings(catalog.diagnosis, facts.readings, job.sheets[*job.as_found], seed, run);
  if (!weighed) return fail(weighed.error());
  facts.weighed = std::move(*weighed);
  return facts;
}

std::vector<std::string> not_to_do(const diagnosis::Diagnosis& diagnosis, const diagnosis::Facts& facts,
                                   const diagnosis::Tables& tables) {
  std::vector<std::string> list;
  const auto given = [&](diagnosis::Gives what) {
    return std::any_of(facts.statements.begin(), facts.statements.end(), [&](const diagnosis::Statement& one) {
      const auto* row = tables.finding(one.finding);
      return row != nullptr && row->gives == what && one.seen != diagnosis::Seen::not_looked;
    });
  };
  const auto believed = [&](std::string_view id, const std::vector<Belief>& list_of) {
    const auto found = std::find_if(list_of.begin(), list_of.end(), [&](const Belief& one) { return one.id == id; });
    return found == list_of.end() ? 0.0 : found->probability;
  };
  if (believed("shed", diagnosis.state) >= tables.numbers.shed_likely.value) {
    list.emplace_back("Do not crank or run the engine: metal is carried further.");
  } else {
    list.emplace_back(
        "Do not crank before jar, magnet and a look whether it is diesel; then one crank of at most 10 s.");
  }
  double fluid = 0.0;
  for (const diagnosis::CauseRow& row : tables.causes) {
    if (row.wrong_fluid) fluid += believed(row.id, diagnosis.causes);
  }
  if (fluid >= tables.numbers.wrong_fluid_suspected.value && !given(diagnosis::Gives::low_point_sample)) {
    list.emplace_back("Do not switch the key on: a wrong fluid is suspected and the supply pump would spread it.");
  }
  if (!given(diagnosis::Gives::clean_sample)) {
    list.emplace_back("Do not change the filter before the clean-side sample, nor drain the tank before a sample.");
  }
  if (!facts.agreement.complete()) {
    list.emplace_back(
        "Do not open the pump before owner, payer and maker have agreed: core, claim and evidence may be lost.");
  }
  return list;
}

DiagnosisSentences sentences(const diagnosis::Diagnosis& diagnosis, const diagnosis::Tables& tables) {
  DiagnosisSentences text;
  for (const Belief& one : diagnosis.state) {
    text.state.push_back(fmt::format("{}: {}, {}", one.title, careful_word(one, tables.numbers), number(one)));
  }
  const Belief& first = diagnosis.causes.front();
  if (diagnosis.determined) {
    text.cause = fmt::format("{} is {}, {}.", first.title, careful_word(first, tables.numbers), number(first));
  } else {
    const Belief& second = diagnosis.causes[1];
    text.cause = fmt::format("Not determined: {}. Most probable are {}, {}, and {}, {}.", diagnosis.why_not,
                             first.title, number(first), second.title, number(second));
  }
  return text;
}

}  // namespace fw::assess
