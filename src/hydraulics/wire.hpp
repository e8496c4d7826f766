// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "base/required.hpp"
#include "base/result.hpp"
#include "units/wire.hpp"

/// The electric side of a pump: resistance of its harness and the voltage that the vehicle gives.
namespace fw::hydraulics {

/// Everything between the battery post and the motor, out and back.
struct Harness {
  units::Wire wire;
  double length_m = required;            ///< of wire, both ways together
  double temperature_K = required;       ///< of the copper
  double contact_count = 0.0;            ///< terminals, rings, crimps on the way
  double contact_resistance_ohm = 3e-3;  ///< each; sealed terminal 3 mOhm (1 to 10), corroded 20 to 200 (typical)
  double relay_resistance_ohm = 0.0;     ///< good 2 to 5 mOhm, worn 10 to 50 (typical); limit of one maker 25
  double ground_resistance_ohm = 0.0;    ///< fault resistance of the return point
  double fuse_rating_A = 0.0;            ///< 0: none; a blade fuse drops about 100 mV at its rating (from memory)
};

/// R_h [Ohm]: copper by temperature (units/wire.hpp, IEC 60028) + contacts + relay + ground + 0.1 V/fuse rating.
/// Errors: invalid_input naming `harness...`; outside_model for a temperature off the copper law.
/// Check: 10 m of 12 AWG at 80 C + 26 mOhm: 0.09039 Ohm.
[[nodiscard]] Result<double> harness_resistance_ohm(const Harness& harness);

/// Voltage lost on the harness [V], I R_h. Errors: invalid_input `current_A`, and as above.
[[nodiscard]] Result<double> harness_drop_V(const Harness& harness, double current_A);

/// Resistance [Ohm] found with a voltmeter under load: (supply - voltage at the pump's connector)/current.
struct DropReading {
  double supply_V = required;
  double connector_V = required;
  double current_A = required;
};
/// Errors: invalid_input naming `reading...`; connector above supply.
[[nodiscard]] Result<double> harness_from_reading_ohm(const DropReading& reading);

struct SystemVoltage {
  double nominal_V = 0.0;
  double low_V = 0.0;  ///< band of the class
  double high_V = 0.0;
  Range range = Range::fitted;
};

/// Regulated voltage of a 12 V system with the engine running, by the temperature of the regulator:
/// 14.36 - 0.0104 T +- 0.5 V, T in degrees Celsius, a straight line through one factory table (-20 to 80 C).
/// Smart charging sits at 12.6 to 13.2 V for minutes and is not this line.
/// Range: -20 to 80 C fitted, -60 to 130 C extrapolated, else outside_model. Errors: invalid_input `temperature_K`.
/// Source: one factory charging table. Check: middles of the table at -20, 20, 60, 80 C within 0.06 V (test).
[[nodiscard]] Result<SystemVoltage> regulated_voltage(double temperature_K);

/// Voltage of a 12 V system while cranking, by battery temperature: least voltage of one factory load test, 8.5 V at
/// -18 C to 9.6 V at 20 C and above, linear between its rows. Nominal is 0.8 V more, the band ends 0.8 V above nominal
/// (typical, no source).
/// Range: -18 C and above fitted, colder extrapolated at the -18 C value. Errors: invalid_input `temperature_K`
/// (213.15 to 400 K).
[[nodiscard]] Result<SystemVoltage> cranking_voltage(double temperature_K);

}  // namespace fw::hydraulics
