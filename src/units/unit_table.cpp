// SPDX-License-Identifier: Apache-2.0
#include "units/unit_table.hpp"

#include <algorithm>
#include <numbers>

namespace fw::units {

namespace {

constexpr double square_inch_m2 = inch_m * inch_m;
constexpr double cubic_inch_m3 = inch_m * inch_m * inch_m;
constexpr double square_foot_m2 = foot_m * foot_m;
constexpr double cubic_foot_m3 = foot_m * foot_m * foot_m;
constexpr double pound_kg = 0.45359237;                // exact
constexpr double standard_gravity_m_per_s2 = 9.80665;  // exact
constexpr double pound_force_N = pound_kg * standard_gravity_m_per_s2;
constexpr double psi_Pa = pound_force_N / square_inch_m2;
constexpr double mmhg_Pa = 133.322387415;            // conventional, mercury at 0 C
constexpr double inhg_Pa = 25.4 * mmhg_Pa;           // conventional
constexpr double mmh2o_Pa = 9.80665;                 // conventional, 1000 kg/m3
constexpr double inh2o_Pa = 25.4 * mmh2o_Pa;         // conventional
constexpr double gallon_m3 = 231.0 * cubic_inch_m3;  // US liquid gallon, 231 in3
constexpr double imperial_gallon_m3 = 4.54609e-3;    // exact
constexpr double litre_m3 = 1e-3;
constexpr double minute_s = 60.0;
constexpr double hour_s = 3600.0;
constexpr double day_s = 86400.0;
constexpr double year_s = 365.25 * day_s;  // Julian year; a month is a twelfth of it
constexpr double kilowatt_hour_J = 3.6e6;
constexpr double btu_J = 1055.05585262;                                     // International Table
constexpr double mechanical_horsepower_W = 550.0 * foot_m * pound_force_N;  // 550 ft lbf/s
constexpr double metric_horsepower_W = 75.0 * standard_gravity_m_per_s2;    // 75 kgf m/s
constexpr double mile_m = 1609.344;

constexpr Unit unit(std::string_view text, double factor, double offset = 0.0) {
  return {.text = text, .factor = factor, .offset = offset};
}
/// Capitals matter.
constexpr Unit strict(std::string_view text, double factor) {
  return {.text = text, .factor = factor, .letters = Letters::as_written};
}
/// Another spelling of a unit that is listed.
constexpr Unit also(std::string_view text, double factor, double offset = 0.0) {
  return {.text = text, .factor = factor, .offset = offset, .listed = false};
}
constexpr Unit also_strict(std::string_view text, double factor) {
  return {.text = text, .factor = factor, .letters = Letters::as_written, .listed = false};
}

constexpr Unit pressure[] = {unit("psi", psi_Pa),          unit("bar", 1e5),
                             strict("mbar", 100.0),        unit("kPa", 1e3),
                             strict("MPa", 1e6),           unit("Pa", 1.0),
                             strict("hPa", 100.0),         unit("inHg", inhg_Pa),
                             unit("mmHg", mmhg_Pa),        unit("inH2O", inh2o_Pa),
                             unit("mmH2O", mmh2o_Pa),      unit("mH2O", 1e3 * mmh2o_Pa),
                             unit("atm", 101325.0),        unit("kgf/cm2", standard_gravity_m_per_s2 / 1e-4),
                             also("lbf/in2", psi_Pa),      also("in Hg", inhg_Pa),
                             also("\"Hg", inhg_Pa),        also("\" Hg", inhg_Pa),
                             also("mm Hg", mmhg_Pa),       also("torr", 101325.0 / 760.0),
                             also("in H2O", inh2o_Pa),     also("inWC", inh2o_Pa),
                             also("in WC", inh2o_Pa),      also("mm H2O", mmh2o_Pa),
                             also("m H2O", 1e3 * mmh2o_Pa)};

constexpr Unit flow[] = {unit("L/h", litre_m3 / hour_s),
                         unit("L/min", litre_m3 / minute_s),
                         unit("mL/min", 1e-6 / minute_s),
                         unit("m3/h", 1.0 / hour_s),
                         unit("m3/s", 1.0),
                         unit("gph", gallon_m3 / hour_s),
                         unit("gpm", gallon_m3 / minute_s),
                         unit("imp gph", imperial_gallon_m3 / hour_s),
                         unit("imp gpm", imperial_gallon_m3 / minute_s),
                         unit("cc/min", 1e-6 / minute_s),
                         also("L/hr", litre_m3 / hour_s),
                         also("lph", litre_m3 / hour_s),
                         also("lpm", litre_m3 / minute_s),
                         also("L/s", litre_m3),
                         also("mL/s", 1e-6),
                         also("mL/h", 1e-6 / hour_s),
                         also("cm3/min", 1e-6 / minute_s),
                         also("cm3/s", 1e-6),
                         also("cm3/h", 1e-6 / hour_s),
                         also("cc/s", 1e-6),
                         also_strict("mm3/s", 1e-9),
                         also("m3/min", 1.0 / minute_s),
                         also("US gph", gallon_m3 / hour_s),
                         also("gph US", gallon_m3 / hour_s),
                         also("US gpm", gallon_m3 / minute_s),
                         also("gpm US", gallon_m3 / minute_s),
                         also("gal/h", gallon_m3 / hour_s),
                         also("gal/hr", gallon_m3 / hour_s),
                         also("US gal/h", gallon_m3 / hour_s),
                         also("US gal/hr", gallon_m3 / hour_s),
                         also("gal/min", gallon_m3 / minute_s),
                         also("US gal/min", gallon_m3 / minute_s),
                         also("imp gal/h", imperial_gallon_m3 / hour_s),
                         also("imp gal/hr", imperial_gallon_m3 / hour_s),
                         also("imp gal/min", imperial_gallon_m3 / minute_s),
                         also("gph imp", imperial_gallon_m3 / hour_s),
                         also("cfs", cubic_foot_m3),
                         also("ft3/s", cubic_foot_m3)};

constexpr Unit length[] = {unit("mm", 1e-3),       strict("m", 1.0),      unit("cm", 1e-2),     unit("um", 1e-6),
                           unit("in", inch_m),     unit("ft", foot_m),    also("\"", inch_m),   also("inch", inch_m),
                           also("inches", inch_m), also("'", foot_m),     also("foot", foot_m), also("feet", foot_m),
                           also("micron", 1e-6),   also("microns", 1e-6), also("metre", 1.0),   also("metres", 1.0),
                           also("meter", 1.0),     also("meters", 1.0)};

constexpr Unit distance[] = {unit("km", 1e3),      unit("mi", mile_m),    strict("m", 1.0), unit("ft", foot_m),
                             also("mile", mile_m), also("miles", mile_m), also("kms", 1e3)};

// F = 1.8 C + 32, K = C + 273.15.
constexpr double fahrenheit_zero_K = 459.67 / 1.8;
constexpr Unit temperature[] = {unit("C", 1.0, 273.15),
                                unit("F", 1.0 / 1.8, fahrenheit_zero_K),
                                unit("K", 1.0),
                                also("deg C", 1.0, 273.15),
                                also("degC", 1.0, 273.15),
                                also("celsius", 1.0, 273.15),
                                also("deg F", 1.0 / 1.8, fahrenheit_zero_K),
                                also("degF", 1.0 / 1.8, fahrenheit_zero_K),
                                also("fahrenheit", 1.0 / 1.8, fahrenheit_zero_K),
                                also("kelvin", 1.0)};

constexpr Unit temperature_difference[] = {unit("K", 1.0),           unit("C", 1.0),         unit("F", 1.0 / 1.8),
                                           also("deg C", 1.0),       also("degC", 1.0),      also("kelvin", 1.0),
                                           also("deg F", 1.0 / 1.8), also("degF", 1.0 / 1.8)};

constexpr Unit volume[] = {unit("L", litre_m3),
                           unit("mL", 1e-6),
                           unit("cm3", 1e-6),
                           unit("m3", 1.0),
                           unit("gal", gallon_m3),
                           unit("imp gal", imperial_gallon_m3),
                           unit("in3", cubic_inch_m3),
                           strict("mm3", 1e-9),
                           also("litre", litre_m3),
                           also("litres", litre_m3),
                           also("liter", litre_m3),
                           also("liters", litre_m3),
                           also("cc", 1e-6),
                           also("ccm", 1e-6),
                           also("US gal", gallon_m3),
                           also("gal US", gallon_m3),
                           also("gallon", gallon_m3),
                           also("gallons", gallon_m3),
                           also("gal imp", imperial_gallon_m3),
                           also("qt", gallon_m3 / 4.0),
                           also("US qt", gallon_m3 / 4.0),
                           also("US fl oz", gallon_m3 / 128.0),
                           also("cu in", cubic_inch_m3),
                           also("ft3", cubic_foot_m3),
                           also("dm3", litre_m3)};

constexpr Unit displacement[] = {unit("cm3/rev", 1e-6),   unit("in3/rev", cubic_inch_m3),
                                 unit("mL/rev", 1e-6),    unit("m3/rev", 1.0),
                                 also("cc/rev", 1e-6),    also_strict("mm3/rev", 1e-9),
                                 also("L/rev", litre_m3), also("cu in/rev", cubic_inch_m3),
                                 also("cm3", 1e-6),       also("cc", 1e-6),
                                 also("mL", 1e-6),        also("L", litre_m3)};

constexpr Unit dynamic_viscosity[] = {strict("mPa s", 1e-3),     unit("cP", 1e-3),          strict("Pa s", 1.0),
                                      strict("uPa s", 1e-6),     also_strict("mPas", 1e-3), also_strict("Pas", 1.0),
                                      also_strict("mPa-s", 1e-3)};

constexpr Unit kinematic_viscosity[] = {unit("mm2/s", 1e-6), unit("cSt", 1e-6), strict("m2/s", 1.0),
                                        strict("cm2/s", 1e-4), also("St", 1e-4)};

constexpr Unit power[] = {unit("kW", 1e3),
                          unit("W", 1.0),
                          strict("MW", 1e6),
                          strict("mW", 1e-3),
                          unit("mech hp", mechanical_horsepower_W),
                          unit("metric hp", metric_horsepower_W),
                          unit("BTU/h", btu_J / hour_s),
                          also("hp mech", mechanical_horsepower_W),
                          also("hp(I)", mechanical_horsepower_W),
                          also("hp (I)", mechanical_horsepower_W),
                          also("mechanical hp", mechanical_horsepower_W),
                          also("hp metric", metric_horsepower_W),
                          also("hp(M)", metric_horsepower_W),
                          also("hp (M)", metric_horsepower_W),
                          also("PS", metric_horsepower_W),
                          also("PS metric", metric_horsepower_W),
                          also("BTU/hr", btu_J / hour_s)};

constexpr Unit mass[] = {unit("kg", 1.0),           strict("g", 1e-3),     strict("mg", 1e-6),
                         unit("ug", 1e-9),          unit("t", 1e3),        unit("lb", pound_kg),
                         unit("oz", pound_kg / 16), also("lbs", pound_kg), also("lbm", pound_kg)};

constexpr Unit density[] = {unit("kg/m3", 1.0),
                            unit("kg/L", 1e3),
                            unit("g/cm3", 1e3),
                            unit("g/mL", 1e3),
                            unit("lb/gal", pound_kg / gallon_m3),
                            unit("lb/ft3", pound_kg / cubic_foot_m3),
                            also("g/cc", 1e3),
                            also("g/L", 1.0),
                            also("kg/dm3", 1e3),
                            also("lb/US gal", pound_kg / gallon_m3)};

constexpr Unit time[] = {
    strict("s", 1.0),        strict("ms", 1e-3),         unit("min", minute_s),         strict("h", hour_s),
    strict("d", day_s),      unit("week", 7.0 * day_s),  unit("month", year_s / 12.0),  unit("year", year_s),
    also_strict("us", 1e-6), also("sec", 1.0),           also("second", 1.0),           also("seconds", 1.0),
    also("mins", minute_s),  also("minute", minute_s),   also("minutes", minute_s),     also("hr", hour_s),
    also("hrs", hour_s),     also("hour", hour_s),       also("hours", hour_s),         also("day", day_s),
    also("days", day_s),     also("weeks", 7.0 * day_s), also("months", year_s / 12.0), also("years", year_s)};

constexpr Unit voltage[] = {unit("V", 1.0), strict("mV", 1e-3), strict("kV", 1e3), also("volt", 1.0),
                            also("volts", 1.0)};

constexpr Unit current[] = {unit("A", 1.0),   strict("mA", 1e-3), strict("uA", 1e-6),
                            also("amp", 1.0), also("amps", 1.0),  also("ampere", 1.0)};

constexpr Unit resistance[] = {unit("Ohm", 1.0),    strict("mOhm", 1e-3), unit("kOhm", 1e3),
                               strict("MOhm", 1e6), also("ohms", 1.0),    also_strict("mohm", 1e-3)};

constexpr Unit rotational_speed[] = {unit("rpm", 1.0 / minute_s),
                                     unit("1/min", 1.0 / minute_s),
                                     unit("1/s", 1.0),
                                     unit("rad/s", 1.0 / (2.0 * std::numbers::pi)),
                                     unit("Hz", 1.0),
                                     also("rev/min", 1.0 / minute_s),
                                     also("r/min", 1.0 / minute_s),
                                     also("rev/s", 1.0),
                                     also("rps", 1.0)};

constexpr Unit velocity[] = {unit("m/s", 1.0),     strict("mm/s", 1e-3),         unit("km/h", 1.0 / 3.6),
                             unit("ft/s", foot_m), unit("mph", mile_m / hour_s), also("ft/min", foot_m / minute_s),
                             also("fps", foot_m),  also("in/s", inch_m),         also("mi/h", mile_m / hour_s)};

constexpr Unit specific_consumption[] = {unit("g/kWh", 1e-3 / kilowatt_hour_J),
                                         unit("kg/kWh", 1.0 / kilowatt_hour_J),
                                         unit("kg/J", 1.0),
                                         unit("lb/(mech hp h)", pound_kg / (mechanical_horsepower_W * hour_s)),
                                         also("g/(kW h)", 1e-3 / kilowatt_hour_J),
                                         also("g/kW h", 1e-3 / kilowatt_hour_J),
                                         also("kg/(kW h)", 1.0 / kilowatt_hour_J),
                                         also("lb/mech hp h", pound_kg / (mechanical_horsepower_W * hour_s))};

constexpr double lbf_ft_N_m = pound_force_N * foot_m;
constexpr double lbf_in_N_m = pound_force_N * inch_m;
constexpr Unit torque[] = {unit("N m", 1.0),
                           strict("mN m", 1e-3),
                           unit("lbf ft", lbf_ft_N_m),
                           unit("lbf in", lbf_in_N_m),
                           unit("kgf m", standard_gravity_m_per_s2),
                           also("Nm", 1.0),
                           also("N-m", 1.0),
                           also_strict("mNm", 1e-3),
                           also("lb ft", lbf_ft_N_m),
                           also("ft lb", lbf_ft_N_m),
                           also("ft-lb", lbf_ft_N_m),
                           also("lb-ft", lbf_ft_N_m),
                           also("ft lbf", lbf_ft_N_m),
                           also("lb in", lbf_in_N_m),
                           also("in lb", lbf_in_N_m),
                           also("in-lb", lbf_in_N_m),
                           also("lb-in", lbf_in_N_m),
                           also("in lbf", lbf_in_N_m)};

constexpr Unit motor_constant[] = {unit("V s", 1.0),
                                   strict("mV s", 1e-3),
                                   unit("N m/A", 1.0),
                                   unit("V/krpm", minute_s / (2.0 * std::numbers::pi * 1e3)),
                                   also("V s/rad", 1.0),
                                   also("Nm/A", 1.0),
                                   also("V/(1000 rpm)", minute_s / (2.0 * std::numbers::pi * 1e3))};

constexpr Unit area[] = {strict("mm2", 1e-6),          unit("cm2", 1e-4),           strict("m2", 1.0),
                         unit("in2", square_inch_m2),  unit("ft2", square_foot_m2), also("sq in", square_inch_m2),
                         also("sq ft", square_foot_m2)};

constexpr Unit modulus[] = {unit("GPa", 1e9), strict("MPa", 1e6), unit("kPa", 1e3),
                            unit("Pa", 1.0),  unit("bar", 1e5),   unit("psi", psi_Pa)};

constexpr Unit compressibility[] = {unit("1/GPa", 1e-9), strict("1/MPa", 1e-6), unit("1/bar", 1e-5),
                                    unit("1/psi", 1.0 / psi_Pa), unit("1/Pa", 1.0)};

constexpr Unit angle[] = {unit("deg", std::numbers::pi / 180.0), unit("rad", 1.0),
                          also("degree", std::numbers::pi / 180.0), also("degrees", std::numbers::pi / 180.0)};

constexpr Unit energy[] = {unit("J", 1.0),    strict("mJ", 1e-3),           unit("kJ", 1e3),
                           strict("MJ", 1e6), unit("kWh", kilowatt_hour_J), unit("Wh", 3600.0),
                           unit("BTU", btu_J)};

constexpr Unit mass_flow[] = {unit("kg/h", 1.0 / hour_s),
                              unit("kg/s", 1.0),
                              strict("g/s", 1e-3),
                              strict("g/h", 1e-3 / hour_s),
                              strict("mg/s", 1e-6),
                              strict("mg/h", 1e-6 / hour_s),
                              unit("lb/h", pound_kg / hour_s),
                              also("lb/hr", pound_kg / hour_s),
                              also("kg/min", 1.0 / minute_s),
                              also("kg/hr", 1.0 / hour_s),
                              also_strict("g/min", 1e-3 / minute_s)};

constexpr Unit concentration_mass[] = {strict("mg/kg", 1e-6),   strict("g/kg", 1e-3),      unit("ug/g", 1e-6),
                                       unit("kg/kg", 1.0),      unit("% mass", 0.01),      unit("ppm mass", 1e-6),
                                       also("% m/m", 0.01),     also("wt %", 0.01),        also("wt%", 0.01),
                                       also("% by mass", 0.01), also("ppm by mass", 1e-6), also("ppmw", 1e-6)};

constexpr Unit concentration_volume[] = {strict("mg/L", 1e-3),      strict("g/L", 1.0),     strict("g/m3", 1e-3),
                                         strict("mg/m3", 1e-6),     unit("kg/m3", 1.0),     unit("ug/mL", 1e-3),
                                         also_strict("mg/l", 1e-3), also_strict("g/l", 1.0)};

constexpr Unit conductance_thermal[] = {unit("W/K", 1.0), unit("kW/K", 1e3), also("W/C", 1.0)};

constexpr Unit heat_transfer[] = {unit("W/(m2 K)", 1.0), unit("kW/(m2 K)", 1e3), also("W/m2 K", 1.0),
                                  also("W/m2K", 1.0)};

constexpr Unit thermal_conductivity[] = {strict("W/(m K)", 1.0), strict("mW/(m K)", 1e-3), also_strict("W/m K", 1.0),
                                         also_strict("W/mK", 1.0)};

constexpr Unit specific_heat[] = {unit("kJ/(kg K)", 1e3), unit("J/(kg K)", 1.0), also("kJ/kg K", 1e3),
                                  also("J/kg K", 1.0),    also("kJ/kgK", 1e3),   also("J/kgK", 1.0)};

constexpr Unit surface_tension[] = {strict("mN/m", 1e-3), strict("N/m", 1.0), also("dyn/cm", 1e-3)};

constexpr double litre_per_hour = litre_m3 / hour_s;
constexpr double gallon_per_hour = gallon_m3 / hour_s;
constexpr Unit linear_resistance[] = {unit("kPa/(100 L/h)", 1e3 / (100.0 * litre_per_hour)),
                                      unit("kPa/(L/h)", 1e3 / litre_per_hour),
                                      unit("psi/(100 gph)", psi_Pa / (100.0 * gallon_per_hour)),
                                      unit("psi/gph", psi_Pa / gallon_per_hour),
                                      strict("Pa s/m3", 1.0),
                                      also("kPa/100 L/h", 1e3 / (100.0 * litre_per_hour)),
                                      also("psi/100 gph", psi_Pa / (100.0 * gallon_per_hour)),
                                      also_strict("Pa/(m3/s)", 1.0)};

constexpr Unit quadratic_resistance[] = {unit("kPa/(L/h)2", 1e3 / (litre_per_hour * litre_per_hour)),
                                         unit("psi/gph2", psi_Pa / (gallon_per_hour * gallon_per_hour)),
                                         strict("Pa s2/m6", 1.0), also_strict("Pa/(m3/s)2", 1.0)};

constexpr Unit viscous_coefficient[] = {unit("1/m3", 1.0)};
constexpr Unit inertial_coefficient[] = {unit("1/m4", 1.0)};

constexpr Unit force[] = {unit("N", 1.0), unit("kN", 1e3), strict("mN", 1e-3), unit("lbf", pound_force_N),
                          unit("kgf", standard_gravity_m_per_s2)};

constexpr Unit spring_rate[] = {strict("N/mm", 1e3), strict("N/m", 1.0), unit("lbf/in", pound_force_N / inch_m),
                                also("lb/in", pound_force_N / inch_m)};

constexpr Unit pressure_rate[] = {unit("kPa/min", 1e3 / minute_s),
                                  unit("kPa/s", 1e3),
                                  unit("psi/min", psi_Pa / minute_s),
                                  unit("bar/min", 1e5 / minute_s),
                                  strict("mbar/min", 100.0 / minute_s),
                                  strict("Pa/s", 1.0),
                                  unit("psi/s", psi_Pa),
                                  unit("inHg/min", inhg_Pa / minute_s),
                                  unit("bar/s", 1e5),
                                  also_strict("MPa/s", 1e6)};

constexpr Unit temperature_coefficient[] = {unit("1/K", 1.0), unit("%/K", 0.01), unit("1/C", 1.0), unit("1/F", 1.8)};

constexpr Unit resistance_per_length[] = {strict("mOhm/m", 1e-3),       unit("Ohm/m", 1.0),
                                          unit("Ohm/km", 1e-3),         strict("mOhm/ft", 1e-3 / foot_m),
                                          also("Ohm/ft", 1.0 / foot_m), also_strict("mohm/m", 1e-3)};

constexpr Unit mass_per_length[] = {unit("kg/m", 1.0), strict("g/m", 1e-3), unit("lb/ft", pound_kg / foot_m)};

constexpr Unit volume_per_length[] = {unit("mL/m", 1e-6), unit("cm3/m", 1e-6), unit("L/m", litre_m3),
                                      strict("m3/m", 1.0), also("cc/m", 1e-6)};

constexpr Unit volume_per_energy[] = {unit("L/kWh", litre_m3 / kilowatt_hour_J),
                                      unit("gal/kWh", gallon_m3 / kilowatt_hour_J), strict("m3/J", 1.0)};

constexpr Unit ratio[] = {unit("", 1.0),         unit("%", 0.01),        unit("in 100", 0.01), unit("in 1000", 1e-3),
                          also("percent", 0.01), also("per cent", 0.01), also("ppm", 1e-6),    also("of 100", 0.01)};

/// The first unit that fits, by `equal`.
template <class Equal>  // two ways of comparing, one loop
const Unit* first_of(std::span<const Unit> units, Equal equal) {
  for (const Unit& candidate : units) {
    if (equal(candidate)) return &candidate;
  }
  return nullptr;
}

}  // namespace

std::span<const Unit> units_of(Dimension dimension) {
  switch (dimension) {
    case Dimension::gauge_pressure:
    case Dimension::absolute_pressure:
    case Dimension::pressure_drop: return pressure;
    case Dimension::volume_flow: return flow;
    case Dimension::length:
    case Dimension::bore:
    case Dimension::height: return length;
    case Dimension::distance: return distance;
    case Dimension::temperature: return temperature;
    case Dimension::temperature_difference: return temperature_difference;
    case Dimension::volume: return volume;
    case Dimension::displacement: return displacement;
    case Dimension::dynamic_viscosity: return dynamic_viscosity;
    case Dimension::kinematic_viscosity: return kinematic_viscosity;
    case Dimension::power: return power;
    case Dimension::mass: return mass;
    case Dimension::density: return density;
    case Dimension::time: return time;
    case Dimension::voltage: return voltage;
    case Dimension::current: return current;
    case Dimension::resistance: return resistance;
    case Dimension::rotational_speed: return rotational_speed;
    case Dimension::velocity: return velocity;
    case Dimension::specific_consumption: return specific_consumption;
    case Dimension::torque: return torque;
    case Dimension::motor_constant: return motor_constant;
    case Dimension::area: return area;
    case Dimension::modulus: return modulus;
    case Dimension::compressibility: return compressibility;
    case Dimension::angle: return angle;
    case Dimension::energy: return energy;
    case Dimension::mass_flow: return mass_flow;
    case Dimension::concentration_mass: return concentration_mass;
    case Dimension::concentration_volume: return concentration_volume;
    case Dimension::conductance_thermal: return conductance_thermal;
    case Dimension::heat_transfer: return heat_transfer;
    case Dimension::thermal_conductivity: return thermal_conductivity;
    case Dimension::specific_heat: return specific_heat;
    case Dimension::surface_tension: return surface_tension;
    case Dimension::linear_resistance: return linear_resistance;
    case Dimension::quadratic_resistance: return quadratic_resistance;
    case Dimension::viscous_coefficient: return viscous_coefficient;
    case Dimension::inertial_coefficient: return inertial_coefficient;
    case Dimension::force: return force;
    case Dimension::spring_rate: return spring_rate;
    case Dimension::pressure_rate: return pressure_rate;
    case Dimension::temperature_coefficient: return temperature_coefficient;
    case Dimension::resistance_per_length: return resistance_per_length;
    case Dimension::mass_per_length: return mass_per_length;
    case Dimension::volume_per_length: return volume_per_length;
    case Dimension::volume_per_energy: return volume_per_energy;
    case Dimension::ratio: return ratio;
  }
  return ratio;
}

std::string lower(std::string_view text) {
  std::string out(text);
  for (char& c : out) {
    if (c >= 'A' && c <= 'Z') c = static_cast<char>(c - 'A' + 'a');
  }
  return out;
}

std::string unit_key(std::string_view unit) {
  std::string key;
  for (std::size_t i = 0; i < unit.size(); ++i) {
    char c = unit[i];
    if (c == '^') continue;
    if (c == '*' || c == '\t') c = ' ';
    if (c == ' ' && unit.substr(i).starts_with(" per ") && !unit.substr(i).starts_with(" per cent")) {
      c = '/';
      i += 4;
    }
    if (c == '/') {
      while (!key.empty() && key.back() == ' ') key.pop_back();
      key += '/';
    } else if (c == ' ') {
      if (!key.empty() && key.back() != ' ' && key.back() != '/') key += ' ';
    } else {
      key += c;
    }
  }
  while (!key.empty() && (key.back() == ' ' || key.back() == '.')) key.pop_back();
  return key;
}

const Unit* find_unit(std::string_view key, Dimension dimension) {
  const std::span<const Unit> units = units_of(dimension);
  if (const Unit* exact = first_of(units, [&](const Unit& u) { return u.text == key; })) return exact;
  const std::string small = lower(key);
  return first_of(units, [&](const Unit& u) { return u.letters == Letters::any_case && lower(u.text) == small; });
}

const Unit* find_unit_of_other_case(std::string_view key, Dimension dimension) {
  const std::string small = lower(key);
  return first_of(units_of(dimension), [&](const Unit& u) { return lower(u.text) == small; });
}

Dimension other_dimension_with(std::string_view key, Dimension dimension) {
  if (key.empty()) return dimension;
  // Plain pressures stand for their three readings; the other dimensions in the order of the enumeration.
  for (int i = static_cast<int>(Dimension::pressure_drop); i < dimension_count; ++i) {
    const auto other = static_cast<Dimension>(i);
    if (other == dimension || units_of(other).data() == units_of(dimension).data()) continue;
    if (first_of(units_of(other), [&](const Unit& u) { return u.text == key; }) != nullptr) return other;
  }
  return dimension;
}

}  // namespace fw::units
