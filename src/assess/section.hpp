// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstdint>
#include <initializer_list>
#include <memory>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <variant>
#include <vector>

#include "assess/rail_section.hpp"
#include "assess/water_section.hpp"
#include "debris/debris_map.hpp"
#include "diagnosis/diagnose.hpp"
#include "diagnosis/next_look.hpp"
#include "extent/decision.hpp"
#include "supply/compare.hpp"
#include "supply/judge.hpp"

namespace fw::assess {

struct ContentKey;

/// The fixed list of what the judge can work out, in the order in which it does. Each is a pure function of its inputs.
enum class Section : std::uint8_t {
  supply,      ///< one per sheet: checks over the envelope, with draws
  comparison,  ///< each sheet against the one before
  diagnosis,   ///< state and causes, of a case with findings
  looks,       ///< what to look at next, of a case with findings
  debris,      ///< where metal lies, of a case with a metal.toml
  extent,      ///< what must be replaced, of the same
  rail,        ///< one per sheet: what the high-pressure side holds
  heat,        ///< one per sheet: fuel temperatures of a long run and of a work day
  water,       ///< of all sheets: water from tank to pump inlet, what a sensor would have changed
};
inline constexpr std::size_t section_count = 9;
[[nodiscard]] std::string_view name(Section section);
[[nodiscard]] std::optional<Section> section_named(std::string_view text);
[[nodiscard]] std::span<const Section> all_sections();

/// Which of them are wanted.
class SectionSet {
 public:
  constexpr SectionSet() = default;
  constexpr SectionSet(std::initializer_list<Section> sections) {
    for (const Section section : sections) add(section);
  }
  constexpr void add(Section section) { bits_ |= bit(section); }
  [[nodiscard]] constexpr bool has(Section section) const { return (bits_ & bit(section)) != 0; }

  friend constexpr bool operator==(const SectionSet&, const SectionSet&) = default;

 private:
  static constexpr std::uint32_t bit(Section section) { return 1U << static_cast<unsigned>(section); }
  std::uint32_t bits_ = 0;
};

/// Those that an answer on a screen needs in a second: all but the debris map, the extent, the heat and the water,
/// which take longer than the rest together.
[[nodiscard]] SectionSet quick_sections();
[[nodiscard]] SectionSet every_section();

/// What a section found.
using SectionValue =
    std::variant<supply::SheetJudgement, std::vector<supply::Difference>, diagnosis::Diagnosis, diagnosis::NextLooks,
                 debris::DebrisMap, extent::Decision, RailCapacity, FuelHeat, WaterSection>;

/// Where results are kept between two judgements of a case that changes. Only results are kept, never errors.
class SectionStore {
 public:
  SectionStore() = default;
  virtual ~SectionStore() = default;
  SectionStore(const SectionStore&) = delete;
  SectionStore& operator=(const SectionStore&) = delete;

  /// The value kept under the key; nothing if there is none.
  [[nodiscard]] virtual std::shared_ptr<const SectionValue> find(Section section, const ContentKey& key) = 0;
  /// Called once after each computation.
  virtual void keep(Section section, const ContentKey& key, std::shared_ptr<const SectionValue> value) = 0;
};

/// Keeps nothing.
class NoStore final : public SectionStore {
 public:
  [[nodiscard]] std::shared_ptr<const SectionValue> find(Section section, const ContentKey& key) override;
  void keep(Section section, const ContentKey& key, std::shared_ptr<const SectionValue> value) override;
};

}  // namespace fw::assess
