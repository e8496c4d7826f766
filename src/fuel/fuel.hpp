// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstdint>
#include <limits>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "base/required.hpp"
#include "base/result.hpp"
#include "fuel/doubt.hpp"
#include "fuel/liquid.hpp"
#include "fuel/tait.hpp"
#include "fuel/volume_correction.hpp"

/// What a fuel is and how its properties follow from a few numbers. Pressures are absolute. The theory, with source,
/// range and deviation of every law: docs/theory/fuel.md.
namespace fw::fuel {

/// Temperatures and pressures that any law of this room accepts; beyond them: ErrorCode::outside_model. Between the
/// data of a law and these bounds a result is extrapolated and says why (Doubt). Judged: -60 C lies below the coldest
/// grade limit, 200 C above every throttling end, 350 MPa at the end of published diesel densities (Bair 2014).
inline constexpr double lowest_temperature_K = 213.15;
inline constexpr double highest_temperature_K = 473.15;
inline constexpr double highest_pressure_Pa = 350e6;

/// Which laws a fuel follows.
enum class Family : std::uint8_t {
  petroleum,   ///< ASTM D1250-80, table 54B groups by density
  fame,        ///< fatty acid methyl ester
  paraffinic,  ///< hydrotreated or synthetic paraffin
  petrol,      ///< as a contaminant of the others
  constant,    ///< user-given density and viscosity, any temperature
  blend,       ///< of `shares`
};

/// Vapour pressure: ln(p/psi) = intercept - slope_K/T.
struct VapourLaw {
  double intercept = 12.101;      ///< [-]; default: No. 2 distillate, US EPA AP-42 ch. 7.1, table 7.1-2
  double slope_K = 8907.0 / 1.8;  ///< printed as 8907 degrees Rankine
  bool stand_in = false;          ///< no data of this fuel were found
};

struct Share;

/// A fuel by the few numbers that make its properties. Every member may be overridden by a laboratory value.
struct Fuel {
  std::string id;
  std::string title;
  Family family = Family::petroleum;
  double density_15C_kg_per_m3 = required;
  double kinematic_viscosity_40C_m2_per_s = required;
  /// Slope of ASTM D341, lg lg Z = A - slope lg T [-]; of no effect in a blend.
  double viscosity_slope = required;
  double cloud_point_K = required;                 ///< NaN: not stated
  double cfpp_K = required;                        ///< cold filter plugging point; NaN: not stated
  std::string source;                              ///< source line of the default values
  double flash_point_K = required;                 ///< NaN: not stated
  double cetane_number = required;                 ///< [-], NaN: not stated
  double lower_heating_value_J_per_kg = required;  ///< NaN: not stated
  /// Z of Roelands [-]; 0.72 is fitted to n-dodecane, see viscosity_laws.hpp.
  double pressure_viscosity_exponent = 0.72;
  VapourLaw vapour{};
  double molar_mass_kg_per_mol = 0.188;   ///< No. 2 distillate, AP-42 table 7.1-2
  bool freezing_point_for_cloud = false;  ///< cloud_point_K is a freezing point (ASTM D2386)
  double sound_speed_m_per_s = required;  ///< measured near atmospheric pressure; NaN: not measured
  double sound_temperature_K = required;  ///< of that measurement
  /// Parts of a blend, none of them a blend; density and viscosity above then scale what the parts give.
  std::vector<Share> shares;
};

/// One part of a blend.
struct Share {
  Fuel fuel;
  double volume_fraction = required;  ///< of the blend at 15 C [-]
};

/// A preloaded grade: d975_1d, d975_2d, en590, en590_arctic2, fame_b100, b20, hvo, jp8, iso4113, petrol (contaminant).
/// What a person types goes through fuel_of_text() (fuel_text.hpp), which reads blends too.
/// Values, marks and sources: grades.hpp. Errors: not_found with the nearest id.
[[nodiscard]] Result<Fuel> grade(std::string_view id);
[[nodiscard]] std::vector<std::string> grade_ids();

/// A fluid of one density [kg/m3] and kinematic viscosity [m2/s] at all temperatures, without vapour or dissolved air,
/// for textbook problems. With `sound_speed_m_per_s` set it has a bulk modulus too.
/// Errors: invalid_input naming the field.
[[nodiscard]] Result<Fuel> constant_fluid(double density_kg_per_m3, double kinematic_viscosity_m2_per_s);

/// A blend by volume at 15 C: ester blends B0 to B100, winter mixes with kerosene, petrol or kerosene contamination.
///
///   density, C and B of the Tait equation, water solubility: sum x value (volume)
///   viscosity: hydrocarbons by Refutas (mass), esters and the two groups by Arrhenius (volume)
///   heat capacity, heating value: by mass; vapour pressure: Raoult by mole; cloud point: linear as a first guess
///
/// Nested blends are resolved; shares of zero are dropped; one share of 1 is returned as it is. Cloud point, CFPP,
/// flash point and cetane number are left not stated: enter them from the fuel report.
/// Errors: invalid_input for an empty list, a fraction outside [0, 1], a sum that is not 1 within 1e-6, a constant
/// fluid; too_large above eight parts; the errors of a part under its id.
/// Source: Benjumea et al., Fuel 87 (2008) 2069; Tat & Van Gerpen, JAOCS 80 (2003) 1127 (abstracts).
[[nodiscard]] Result<Fuel> blend(std::span<const Share> shares);

/// ln(p/psi) = A - B/T of petrol by its Reid vapour pressure [Pa] and the slope of its distillation curve at 10 %
/// evaporated [F per % volume; 3 for motor gasoline].
///
///   A = 15.64 - 1.854 sqrt(S) - (0.8742 - 0.3280 sqrt(S)) ln(RVP),  RVP [psi]
///   B = 8742 - 1042 sqrt(S) - (1049 - 179.4 sqrt(S)) ln(RVP)        [Rankine]
///
/// Validity: 4 to 38 C. Errors: invalid_input for RVP outside 20 to 120 kPa or S outside 0.5 to 10.
/// Source: US EPA AP-42 ch. 7.1, figure of refined petroleum stocks. Check: 10 psi, S 3, 60 F -> 5.2 psi (table 7.1-2).
[[nodiscard]] Result<VapourLaw> petrol_vapour(double reid_vapour_pressure_Pa, double distillation_slope = 3.0);

/// Density [kg/m3] at temperature and absolute pressure.
///
///   petroleum: rho0 = rho15 exp(-x (1 + 0.8 x)), x = a15 (T - 15 C), a15 by group of rho15 (ASTM D1250, table 54B)
///   ester: rho15 - 0.7420 dT + 3.845e-4 dT^2 (after Huber et al., Energy Fuels 23 (2009) 3790; +/- 0.5 kg/m3)
///   paraffinic: rho15 - 0.70 dT (slope of n-hexadecane, from memory)
///   pressure: modified Tait (tait.hpp)
///
/// Validity: petroleum -18 to 90 C (from memory), ester -5 to 100 C, paraffinic -5 to 120 C; 250 MPa, ester 50 MPa.
/// +/- 0.3 % at 0.1 MPa with rho15 known, +/- 0.7 % at 200 MPa (k = 2, judged).
/// Errors: invalid_input and outside_model naming the field; rho15 outside 653 to 1075 kg/m3.
/// Check: 835: 40 C -> 817.091, -20 C -> 859.684, 40 C and 100 MPa -> 870.17; 845, 40 C -> 827.207.
[[nodiscard]] Result<Property> density_kg_per_m3(const Fuel& fuel, double temperature_K,
                                                 double pressure_Pa = standard_pressure_Pa);

/// Kinematic viscosity [m2/s]: ASTM D341 from the value at 40 C and the slope, Roelands for pressure (counted from the
/// atmosphere), over density at the same state. Below the cloud point the number is that of the liquid without wax: not
/// valid, flagged, and silent about a filter.
/// Validity: -20 to 100 C, above the cloud point. With pressure +/- 35 % at 200 MPa (k = 2, judged), less in proportion
/// down to 10 MPa; none is stated below: it is that of the value at 40 C.
/// Errors: as density; outside_model below 0.21 mm2/s. Check: 2.60 at 40 C, slope 4.056665 -> 4.0611 mm2/s at 20 C.
[[nodiscard]] Result<Property> kinematic_viscosity_m2_per_s(const Fuel& fuel, double temperature_K,
                                                            double pressure_Pa = standard_pressure_Pa);
/// Dynamic viscosity [Pa s]; as above. Check: en590, 40 C -> 2.206e-3.
[[nodiscard]] Result<Property> dynamic_viscosity_Pa_s(const Fuel& fuel, double temperature_K,
                                                      double pressure_Pa = standard_pressure_Pa);

/// Vapour pressure [Pa]: ln(p/psi) = A - B/T of the fuel; blends by Raoult, p = sum y p, y by mole.
/// Validity: 4 to 38 C, extrapolated beyond. Assumes an ideal solution that has lost no light ends: with petrol the
/// true value is lower after storage in a vented tank. Ester, paraffinic and calibration fluid: No. 2 stands in.
/// Errors: as density. Source: US EPA AP-42 ch. 7.1. Check: No. 2 at 40 C -> 170.3 Pa, kerosene 217.2 Pa.
[[nodiscard]] Result<Property> vapour_pressure_Pa(const Fuel& fuel, double temperature_K);

/// Cloud point [K] as stated; of a blend without one the volume-linear first guess (petrol left out), flagged.
/// Errors: not_found if neither is possible.
[[nodiscard]] Result<Property> cloud_point_K(const Fuel& fuel);
/// Cold filter plugging point [K] as stated; no rule exists for blends. Errors: not_found.
[[nodiscard]] Result<Property> cfpp_K(const Fuel& fuel);

/// The warmest temperature [K] at which a fuel without a stated cloud point may be waxy; of a blend the warmest of its
/// parts without one; NaN where none can be. Petroleum +15 C: the warmest plugging class of EN 590 is +5 C, and flow
/// improvers put it at most 10 K below the cloud point (judged). Ester +20 C: palm ester clouds near +16 C (from
/// memory). Paraffinic as petroleum. Petrol, constant fluid: none.
[[nodiscard]] double warmest_cloud_point_K(const Fuel& fuel);

/// Where a temperature stands against wax; at a limit counts as below. A blend without a stated cloud point counts as
/// below it from the highest stated cloud point of its parts down, not from the first guess of cloud_point_K(): no
/// reliable rule says how far dilution lowers it, and what may be waxy is not known to pass a filter. A blend without a
/// stated CFPP is below it when every part is; up to 7 % petrol do not count, with more it is never said to be. Above
/// all that with a cloud point that is not stated: not_stated up to warmest_cloud_point_K(), liquid above it.
/// Precondition: temperature finite.
[[nodiscard]] Cold cold_state(const Fuel& fuel, double temperature_K);

/// All that the low-pressure physics needs, in one call: density, viscosity, vapour pressure, air solubility, cold
/// state. Same numbers as the single functions. Errors: as they.
[[nodiscard]] Result<Liquid> liquid_at(const Fuel& fuel, double temperature_K, double pressure_Pa);

}  // namespace fw::fuel
