// SPDX-License-Identifier: Apache-2.0
#include "numerics/stream.hpp"

#include <algorithm>
#include <utility>
#include <vector>

#include <fmt/format.h>

#include "base/contract.hpp"
#include "numerics/draw.hpp"

namespace fw::numerics {

InputKey key_of(std::string_view id) { return InputKey{fnv1a_64(id)}; }

PhiloxWords words(std::uint64_t seed, InputKey key, Purpose purpose, std::uint32_t sample) {
  const auto hash = static_cast<std::uint64_t>(key);
  return philox4x32({sample, static_cast<std::uint32_t>(purpose), static_cast<std::uint32_t>(hash),
                     static_cast<std::uint32_t>(hash >> 32U)},
                    {static_cast<std::uint32_t>(seed), static_cast<std::uint32_t>(seed >> 32U)});
}

double uniform(std::uint64_t seed, InputKey key, Purpose purpose, std::uint32_t sample) {
  const PhiloxWords drawn = words(seed, key, purpose, sample);
  return open_unit(drawn[0], drawn[1]);
}

double draw(const Stated& stated, std::uint64_t seed, std::uint32_t sample) {
  FW_EXPECTS(stated.given());
  if (stated.spread.kind == SpreadKind::exact) return stated.value;
  FW_EXPECTS(!stated.id.empty());
  return at_probability(stated, uniform(seed, key_of(stated.id), Purpose::input, sample));
}

Result<void> check_distinct(std::span<const std::string> ids) {
  std::vector<std::pair<std::uint64_t, const std::string*>> hashed;
  hashed.reserve(ids.size());
  for (const std::string& id : ids) hashed.emplace_back(fnv1a_64(id), &id);
  std::ranges::sort(hashed, [](const auto& a, const auto& b) {
    return a.first != b.first ? a.first < b.first : *a.second < *b.second;
  });
  std::vector<Error> errors;
  for (std::size_t i = 1; i < hashed.size(); ++i) {
    const std::string& first = *hashed[i - 1].second;
    const std::string& second = *hashed[i].second;
    if (hashed[i].first != hashed[i - 1].first || first == second) continue;
    errors.push_back({.code = ErrorCode::conflict,
                      .where = {.file = {}, .line = 0, .column = 0, .field = second},
                      .found = fmt::format("the ids \"{}\" and \"{}\" with the same hash", first, second),
                      .expected = "ids whose hashes differ, so that each input has a random draw of its own",
                      .hint = "Rename one of the two parts"});
  }
  if (!errors.empty()) return fail(Errors(std::move(errors)));
  return {};
}

}  // namespace fw::numerics
