// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <array>
#include <cstdint>
#include <optional>
#include <span>
#include <string_view>
#include <vector>

#include "base/result.hpp"
#include "debris/fuel_way.hpp"

/// Parts that a decision is about: where debris lodges, what a shop can clean and prove, what each takes in hours.
///
/// Lodging, cleaning and practice: common practice, no source, but for single-use pipes and leak-off lines, which
/// makers' repair instructions ask for. Hours: common practice, no source; low and high for each engine shape.
namespace fw::extent {

enum class EngineShape : std::uint8_t {
  inline_four,  ///< van, one rail
  inline_six,   ///< truck, one rail
  vee_eight,    ///< pump in the valley, two rails
  machine,      ///< machine or stand-by unit, open access
};
inline constexpr std::size_t shape_count = 4;
[[nodiscard]] std::string_view id(EngineShape shape);  ///< "inline-four"
[[nodiscard]] std::optional<EngineShape> shape_of_id(std::string_view text);

enum class Action : std::uint8_t { keep, clean_and_verify, replace };
[[nodiscard]] std::string_view name(Action action);  ///< "keep", "clean and verify", "replace"

/// Whether a shop can clean it and prove it.
enum class Cleanable : std::uint8_t { yes, partly, no };

struct Hours {
  double low = 0.0;
  double high = 0.0;
};
using HoursByShape = std::array<Hours, shape_count>;

/// What must be open before a part can be reached. Each is paid once.
enum class Access : std::uint8_t {
  none,
  drained,    ///< tank drained
  tank_down,  ///< needs drained
  pump_off,
  pipes_off,  ///< high-pressure pipes off and on again: they are single-use
};
inline constexpr std::size_t access_count = 5;
[[nodiscard]] std::string_view id(Access access);
[[nodiscard]] std::optional<Access> access_of_id(std::string_view text);
[[nodiscard]] Access parent(Access access);  ///< none: nothing
[[nodiscard]] HoursByShape hours(Access access);

struct Component {
  std::string_view id;
  std::string_view name;
  int lodges = 0;  ///< can debris lodge, 0 to 3
  Cleanable cleanable = Cleanable::no;
  Access access = Access::none;
  std::array<debris::Place, 2> places{};
  std::size_t place_count = 0;  ///< of the debris map; 0: debris there is not modelled
  HoursByShape replace_hours{};
  HoursByShape clean_hours{};
  std::string_view practice;
  std::string_view one_time;  ///< parts that are new each time
};
[[nodiscard]] std::span<const Component> components();
/// Errors: not_found `component` with the ids.
[[nodiscard]] Result<std::size_t> component_index(std::string_view id);
/// Whether a decision may take the action: clean_and_verify only where a shop can prove it.
[[nodiscard]] bool allowed(const Component& component, Action action);

}  // namespace fw::extent
