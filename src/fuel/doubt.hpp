// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstdint>
#include <string>
#include <string_view>

#include "base/required.hpp"

namespace fw::fuel {

/// Why a property stands outside the data behind its law. Each has one sentence for screens and papers.
enum class Doubt : std::uint8_t {
  density_temperature,    ///< outside the temperatures of the density law
  density_hot,            ///< above 120 C
  stiffness_density,      ///< petroleum outside 790 to 880 kg/m3
  stiffness_temperature,  ///< outside the temperatures of the stiffness law
  stiffness_paraffinic,   ///< bulk modulus of paraffinic fuel is an estimate
  pressure_above_fit,     ///< above 250 MPa (50 MPa with ester)
  pressure_freezing,      ///< cold and above 200 MPa
  viscosity_temperature,  ///< outside -20 to 100 C
  viscosity_pressure,     ///< the pressure law is borrowed or above 200 MPa
  viscosity_blend,        ///< a blending rule used beyond petroleum pairs
  viscosity_stand_in,     ///< petrol: heptane stands in
  below_cloud_point,
  below_cfpp,
  cold_by_blending,  ///< cloud point of the blend is a first guess
  vapour_temperature,
  vapour_stand_in,  ///< no vapour pressure of this fuel was found
  vapour_by_raoult,
  air_temperature,
  air_density,
  air_ester,
  heat_temperature,
  heat_ester,
  heat_light,
  conductivity_stand_in,
  water_temperature,
  water_stand_in,
  tension_temperature,
  freezing_for_cloud,  ///< the freezing point stands for the cloud point
};

/// How many doubts there are; `freezing_for_cloud` stands last.
inline constexpr unsigned doubt_count = static_cast<unsigned>(Doubt::freezing_for_cloud) + 1;

/// One sentence, in the present tense, ending with a full stop.
[[nodiscard]] std::string_view sentence(Doubt doubt);

/// A set of doubts; empty means inside the data.
class Doubts {
 public:
  constexpr Doubts() = default;

  constexpr void add(Doubt doubt) { bits_ |= bit(doubt); }
  constexpr void add_if(bool holds, Doubt doubt) { bits_ |= holds ? bit(doubt) : 0U; }
  [[nodiscard]] constexpr bool has(Doubt doubt) const { return (bits_ & bit(doubt)) != 0; }
  [[nodiscard]] constexpr bool empty() const { return bits_ == 0; }
  [[nodiscard]] constexpr Range range() const { return empty() ? Range::fitted : Range::extrapolated; }
  friend constexpr Doubts operator|(Doubts a, Doubts b) { return Doubts(a.bits_ | b.bits_); }
  friend constexpr bool operator==(Doubts, Doubts) = default;

 private:
  constexpr explicit Doubts(std::uint32_t bits) : bits_(bits) {}
  static constexpr std::uint32_t bit(Doubt doubt) { return 1U << static_cast<unsigned>(doubt); }
  std::uint32_t bits_ = 0;
};

/// The sentences of a set in the order of the enumeration, separated by blanks; empty for no doubt.
[[nodiscard]] std::string to_text(Doubts doubts);

/// One number about a fuel; the function that returns it names quantity and unit.
struct Property {
  double value = required;
  Range range = Range::fitted;
  Doubts doubts{};
  /// Half-width of 95 % (k = 2) over the value [-], judged; 0: none stated.
  double relative_uncertainty = 0.0;

  [[nodiscard]] std::string reason() const { return to_text(doubts); }  ///< why extrapolated; empty when fitted
};

}  // namespace fw::fuel
