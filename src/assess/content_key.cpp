// SPDX-License-Identifier: Apache-2.0
#include "assess/content_key.hpp"

#include <array>
#include <bit>
#include <cmath>
#include <cstddef>
#include <map>
#include <optional>
#include <type_traits>
#include <utility>

#include "assess/key_fields.hpp"
#include "casefile/sha256.hpp"

namespace fw::assess {

namespace {

template <class T>
inline constexpr bool is_optional = false;
template <class T>
inline constexpr bool is_optional<std::optional<T>> = true;
template <class T>
inline constexpr bool is_list = false;
template <class T>
inline constexpr bool is_list<std::vector<T>> = true;
template <class T>
inline constexpr bool is_list<std::span<T>> = true;
template <class T, std::size_t n>
inline constexpr bool is_list<std::array<T, n>> = true;
template <class T>
inline constexpr bool is_pair = false;
template <class A, class B>
inline constexpr bool is_pair<std::pair<A, B>> = true;

/// Hands every item of a value to a sink, in the order of the members. A template because the sinks differ (the hash,
/// the list of origins) and must see the same items.
template <class Sink, class T>
void walk(Sink& sink, const T& value) {
  if constexpr (std::is_same_v<T, std::string> || std::is_same_v<T, std::string_view>) {
    sink.text(value);
  } else if constexpr (std::is_same_v<T, Currency>) {
    sink.text(value.code());
  } else if constexpr (std::is_same_v<T, Stated>) {
    sink.stated(value);
  } else if constexpr (std::is_floating_point_v<T>) {
    sink.number(value);
  } else if constexpr (std::is_enum_v<T> || std::is_integral_v<T>) {
    sink.whole(static_cast<std::uint64_t>(value));
  } else if constexpr (is_optional<T>) {
    sink.present(value.has_value());
    if (value) walk(sink, *value);
  } else if constexpr (is_list<T>) {
    sink.count(value.size());
    for (const auto& each : value) walk(sink, each);
  } else if constexpr (is_pair<T>) {
    walk(sink, value.first);
    walk(sink, value.second);
  } else {
    std::apply([&](const auto&... each) { (walk(sink, each), ...); }, fields(value));
  }
}

/// The canonical serialisation, straight into the hash.
class KeyWriter {
 public:
  explicit KeyWriter(std::string_view what) { text(what); }

  void text(std::string_view value) {
    tagged('t', value.size());
    hash_.add(value);
  }
  void whole(std::uint64_t value) { tagged('w', value); }
  void count(std::size_t value) { tagged('c', value); }
  void present(bool value) { tagged('o', value ? 1 : 0); }
  void number(double value) {
    const bool known = !std::isnan(value);
    // Bits, not a comparison: an ordered one would trap on a NaN.
    const auto bits = std::bit_cast<std::uint64_t>(value);
    constexpr std::uint64_t sign = 1ULL << 63U;
    tagged('n', !known ? ~0ULL : bits == sign ? 0 : bits);
  }
  void stated(const Stated& value) {
    number(value.value);
    walk(*this, value.spread);
    whole(static_cast<std::uint64_t>(value.source));
    text(value.id);
    whole(value.unknown ? 1 : 0);
    text(value.origin.catalog_id);
    text(value.origin.source);
    text(value.origin.as_typed);
  }
  void key(const ContentKey& value) { text(value.hex); }

  [[nodiscard]] ContentKey finish() { return {.hex = hash_.hex()}; }

 private:
  void tagged(char tag, std::uint64_t value) {
    std::array<char, 9> bytes{tag};
    for (std::size_t i = 0; i < 8; ++i) bytes[i + 1] = static_cast<char>((value >> (8 * i)) & 0xffU);
    hash_.add(std::string_view(bytes.data(), bytes.size()));
  }

  casefile::Sha256 hash_;
};

/// Where each number of a sheet stands.
struct OriginList {
  std::map<std::string, const Origin*, std::less<>> by_id;

  void text(std::string_view) {}
  void whole(std::uint64_t) {}
  void count(std::size_t) {}
  void present(bool) {}
  void number(double) {}
  void stated(const Stated& value) {
    if (value.given() && !value.id.empty()) by_id.emplace(value.id, &value.origin);
  }
};

void add_statements(KeyWriter& writer, const diagnosis::Facts& facts) {
  const auto& [statements, water_sensor, agreement, tools_away, others_work_released, readings, weighed] = facts;
  writer.count(statements.size());
  for (const diagnosis::Statement& statement : statements) {
    const auto& [finding, seen, grade, person, time, photo, clip, note] = statement;
    writer.text(finding);
    writer.whole(static_cast<std::uint64_t>(seen));
    writer.text(grade);
  }
  writer.whole(static_cast<std::uint64_t>(water_sensor));
  // Who released it and when is no matter, that somebody did is.
  writer.present(!others_work_released.empty());
  // What the readings amount to holds the sheet and the seed that they were weighed with.
  walk(writer, readings);
  walk(writer, weighed);
}

void add_metal(KeyWriter& writer, const extent::DecisionInput& input, std::uint64_t seed) {
  walk(writer, input.as_found);
  walk(writer, input.story);
  walk(writer, input.findings);
  writer.whole(seed);
}

}  // namespace

ContentKey sheet_key(const system::LineSheet& sheet) {
  KeyWriter writer("sheet");
  walk(writer, sheet);
  return writer.finish();
}

ContentKey supply_key(const ContentKey& sheet, std::span<const system::RunningPoint> points,
                      const supply::Sampling& sampling) {
  KeyWriter writer(name(Section::supply));
  writer.key(sheet);
  walk(writer, points);
  walk(writer, sampling);
  return writer.finish();
}

ContentKey comparison_key(const ContentKey& first, const ContentKey& second) {
  KeyWriter writer(name(Section::comparison));
  writer.key(first);
  writer.key(second);
  return writer.finish();
}

ContentKey diagnosis_key(const diagnosis::Tables& tables, const diagnosis::Facts& facts,
                         const diagnosis::Draws& draws) {
  KeyWriter writer(name(Section::diagnosis));
  walk(writer, tables);
  add_statements(writer, facts);
  writer.whole(draws.seed);
  writer.whole(draws.count);
  return writer.finish();
}

ContentKey looks_key(const diagnosis::Tables& tables, const diagnosis::Losses& losses, const diagnosis::Facts& facts,
                     const diagnosis::LookAhead& ahead) {
  KeyWriter writer(name(Section::looks));
  walk(writer, tables);
  walk(writer, losses);
  add_statements(writer, facts);
  for (const bool agreed : {facts.agreement.owner, facts.agreement.payer, facts.agreement.maker}) {
    writer.whole(agreed ? 1 : 0);
  }
  walk(writer, facts.tools_away);
  writer.whole(ahead.firsts);
  return writer.finish();
}

ContentKey debris_key(const extent::DecisionInput& input, std::uint64_t seed) {
  KeyWriter writer(name(Section::debris));
  add_metal(writer, input, seed);
  return writer.finish();
}

ContentKey extent_key(const extent::DecisionInput& input, std::uint64_t seed) {
  KeyWriter writer(name(Section::extent));
  add_metal(writer, input, seed);
  const auto& [as_found, as_rebuilt, story, findings, shape, prices, prior, policy, own_seed] = input;
  walk(writer, as_rebuilt);
  walk(writer, shape);
  walk(writer, prices);
  walk(writer, prior);
  walk(writer, policy);
  return writer.finish();
}

ContentKey rail_key(const ContentKey& sheet, double inlet_K) {
  KeyWriter writer(name(Section::rail));
  writer.key(sheet);
  writer.number(inlet_K);
  return writer.finish();
}

ContentKey heat_key(const ContentKey& sheet, double air_K) {
  KeyWriter writer(name(Section::heat));
  writer.key(sheet);
  writer.number(air_K);
  return writer.finish();
}

ContentKey water_key(std::span<const ContentKey> sheets, const WaterFacts& facts) {
  KeyWriter writer(name(Section::water));
  writer.count(sheets.size());
  for (const ContentKey& sheet : sheets) writer.key(sheet);
  const auto& [climate, fuel_water, seed, sets, stories, days] = facts;
  writer.whole(static_cast<std::uint64_t>(climate));
  walk(writer, fuel_water);
  writer.whole(seed);
  writer.whole(sets);
  writer.whole(stories);
  writer.whole(static_cast<std::uint64_t>(days));
  return writer.finish();
}

void place_anew(std::vector<Stated>& inputs, const system::LineSheet& sheet) {
  OriginList list;
  walk(list, sheet);
  for (Stated& input : inputs) {
    const auto found = list.by_id.find(input.id);
    if (found != list.by_id.end()) input.origin = *found->second;
  }
}

}  // namespace fw::assess
