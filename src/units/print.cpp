// SPDX-License-Identifier: Apache-2.0
#include "units/print.hpp"

#include <algorithm>
#include <charconv>
#include <cmath>

#include <fmt/format.h>

#include "base/contract.hpp"
#include "units/text.hpp"
#include "units/unit_table.hpp"

namespace fw::units {

namespace {

/// Beyond it no factor may be applied without overflow, and nothing that is printed is that large.
constexpr double largest_printed = 1e200;

bool printable(double si) { return std::isfinite(si) && std::abs(si) <= largest_printed; }

/// Three significant digits, however small; powers of ten outside 1e-3 to 1e6.
constexpr int significant = -1;

/// A unit as printed and the most decimals behind its numbers.
struct Shown {
  std::string_view unit;
  int decimals = significant;
};

Shown si_unit(Dimension dimension) {
  switch (dimension) {
    case Dimension::gauge_pressure:
    case Dimension::pressure_drop: return {.unit = "Pa", .decimals = 0};
    case Dimension::absolute_pressure: return {.unit = "Pa abs", .decimals = 0};
    case Dimension::modulus: return {.unit = "Pa"};
    case Dimension::volume_flow: return {.unit = "m3/s"};
    case Dimension::length:
    case Dimension::bore:
    case Dimension::height:
    case Dimension::distance: return {.unit = "m"};
    case Dimension::temperature: return {.unit = "K", .decimals = 1};
    case Dimension::temperature_difference: return {.unit = "K"};
    case Dimension::volume: return {.unit = "m3"};
    case Dimension::displacement: return {.unit = "m3/rev"};
    case Dimension::dynamic_viscosity: return {.unit = "Pa s"};
    case Dimension::kinematic_viscosity: return {.unit = "m2/s"};
    case Dimension::power: return {.unit = "W"};
    case Dimension::mass: return {.unit = "kg"};
    case Dimension::density: return {.unit = "kg/m3"};
    case Dimension::time: return {.unit = "s"};
    case Dimension::voltage: return {.unit = "V"};
    case Dimension::current: return {.unit = "A"};
    case Dimension::resistance: return {.unit = "Ohm"};
    case Dimension::rotational_speed: return {.unit = "1/s"};
    case Dimension::velocity: return {.unit = "m/s"};
    case Dimension::specific_consumption: return {.unit = "kg/J"};
    case Dimension::torque: return {.unit = "N m"};
    case Dimension::motor_constant: return {.unit = "V s"};
    case Dimension::area: return {.unit = "m2"};
    case Dimension::compressibility: return {.unit = "1/Pa"};
    case Dimension::angle: return {.unit = "rad"};
    case Dimension::energy: return {.unit = "J"};
    case Dimension::mass_flow: return {.unit = "kg/s"};
    case Dimension::concentration_mass: return {.unit = "kg/kg"};
    case Dimension::concentration_volume: return {.unit = "kg/m3"};
    case Dimension::conductance_thermal: return {.unit = "W/K"};
    case Dimension::heat_transfer: return {.unit = "W/(m2 K)"};
    case Dimension::thermal_conductivity: return {.unit = "W/(m K)"};
    case Dimension::specific_heat: return {.unit = "J/(kg K)"};
    case Dimension::surface_tension: return {.unit = "N/m"};
    case Dimension::linear_resistance: return {.unit = "Pa s/m3"};
    case Dimension::quadratic_resistance: return {.unit = "Pa s2/m6"};
    case Dimension::viscous_coefficient: return {.unit = "1/m3"};
    case Dimension::inertial_coefficient: return {.unit = "1/m4"};
    case Dimension::force: return {.unit = "N"};
    case Dimension::spring_rate: return {.unit = "N/m"};
    case Dimension::pressure_rate: return {.unit = "Pa/s"};
    case Dimension::temperature_coefficient: return {.unit = "1/K"};
    case Dimension::resistance_per_length: return {.unit = "Ohm/m"};
    case Dimension::mass_per_length: return {.unit = "kg/m"};
    case Dimension::volume_per_length: return {.unit = "m3/m"};
    case Dimension::volume_per_energy: return {.unit = "m3/J"};
    case Dimension::ratio: return {.unit = ""};
  }
  return {.unit = ""};
}

/// The unit of a column.
Shown column_unit(Dimension dimension, System system) {
  if (system == System::si) return si_unit(dimension);
  const bool us = system == System::us;
  const auto either = [us](Shown in_us, Shown in_metric) { return us ? in_us : in_metric; };
  switch (dimension) {
    case Dimension::gauge_pressure: return either({.unit = "psi", .decimals = 1}, {.unit = "kPa", .decimals = 1});
    case Dimension::pressure_drop: return either({.unit = "psi", .decimals = 2}, {.unit = "kPa", .decimals = 2});
    case Dimension::absolute_pressure:
      return either({.unit = "psi abs", .decimals = 1}, {.unit = "kPa abs", .decimals = 1});
    case Dimension::modulus: return either({.unit = "psi"}, {.unit = "GPa"});
    case Dimension::volume_flow: return either({.unit = "gph", .decimals = 1}, {.unit = "L/h", .decimals = 1});
    case Dimension::length:
    case Dimension::height: return either({.unit = "ft", .decimals = 2}, {.unit = "m", .decimals = 2});
    case Dimension::bore: return either({.unit = "in", .decimals = 3}, {.unit = "mm", .decimals = 2});
    case Dimension::distance: return either({.unit = "mi", .decimals = 1}, {.unit = "km", .decimals = 1});
    case Dimension::temperature: return either({.unit = "F", .decimals = 1}, {.unit = "C", .decimals = 1});
    case Dimension::temperature_difference: return either({.unit = "F", .decimals = 1}, {.unit = "K", .decimals = 1});
    case Dimension::volume: return either({.unit = "gal", .decimals = 2}, {.unit = "L", .decimals = 2});
    case Dimension::displacement: return either({.unit = "in3/rev"}, {.unit = "cm3/rev"});
    case Dimension::dynamic_viscosity: return {.unit = "mPa s"};
    case Dimension::kinematic_viscosity: return {.unit = "mm2/s"};
    case Dimension::power: return either({.unit = "mech hp", .decimals = 1}, {.unit = "kW", .decimals = 1});
    case Dimension::mass: return either({.unit = "lb"}, {.unit = "kg"});
    case Dimension::density: return {.unit = "kg/m3", .decimals = 1};
    case Dimension::time: return {.unit = "s"};
    case Dimension::voltage: return {.unit = "V", .decimals = 2};
    case Dimension::current: return {.unit = "A", .decimals = 2};
    case Dimension::resistance: return {.unit = "Ohm"};
    case Dimension::rotational_speed: return {.unit = "rpm", .decimals = 0};
    case Dimension::velocity: return either({.unit = "ft/s"}, {.unit = "m/s"});
    case Dimension::specific_consumption: return {.unit = "g/kWh", .decimals = 0};
    case Dimension::torque: return either({.unit = "lbf ft"}, {.unit = "N m"});
    case Dimension::motor_constant: return {.unit = "V s"};
    case Dimension::area: return either({.unit = "in2"}, {.unit = "mm2"});
    case Dimension::compressibility: return either({.unit = "1/psi"}, {.unit = "1/GPa"});
    case Dimension::angle: return {.unit = "deg", .decimals = 1};
    case Dimension::energy: return either({.unit = "BTU"}, {.unit = "kJ"});
    case Dimension::mass_flow: return either({.unit = "lb/h"}, {.unit = "kg/h"});
    case Dimension::concentration_mass: return {.unit = "mg/kg"};
    case Dimension::concentration_volume: return {.unit = "mg/L"};
    case Dimension::linear_resistance: return either({.unit = "psi/(100 gph)"}, {.unit = "kPa/(100 L/h)"});
    case Dimension::quadratic_resistance: return either({.unit = "psi/gph2"}, {.unit = "kPa/(L/h)2"});
    case Dimension::force: return either({.unit = "lbf"}, {.unit = "N"});
    case Dimension::spring_rate: return either({.unit = "lbf/in"}, {.unit = "N/m"});
    case Dimension::pressure_rate: return either({.unit = "psi/min"}, {.unit = "kPa/min"});
    case Dimension::resistance_per_length: return either({.unit = "mOhm/ft"}, {.unit = "mOhm/m"});
    case Dimension::mass_per_length: return either({.unit = "lb/ft"}, {.unit = "kg/m"});
    case Dimension::volume_per_length: return {.unit = "mL/m"};
    case Dimension::volume_per_energy: return either({.unit = "gal/kWh"}, {.unit = "L/kWh"});
    case Dimension::specific_heat: return {.unit = "kJ/(kg K)"};
    case Dimension::surface_tension: return {.unit = "mN/m"};
    case Dimension::ratio: return {.unit = "%", .decimals = 2};
    case Dimension::conductance_thermal:
    case Dimension::heat_transfer:
    case Dimension::thermal_conductivity:
    case Dimension::viscous_coefficient:
    case Dimension::inertial_coefficient:
    case Dimension::temperature_coefficient: return si_unit(dimension);
  }
  return si_unit(dimension);
}

/// The unit that fits the size |si|; 0 takes the unit of a column.
Shown unit_by_size(double size, Dimension dimension, System system) {
  const Shown column = column_unit(dimension, system);
  if (system == System::si || size == 0.0) return column;
  const bool us = system == System::us;
  switch (dimension) {
    case Dimension::gauge_pressure:
    case Dimension::absolute_pressure:
    case Dimension::pressure_drop:
      if (us || size < 10e6) return column;
      return {.unit = dimension == Dimension::absolute_pressure ? "MPa abs" : "MPa", .decimals = 1};
    case Dimension::modulus: return us || size >= 1e9 ? column : Shown{.unit = "MPa"};
    case Dimension::volume_flow: return size < 0.1e-3 / 3600.0 ? Shown{.unit = "mL/min"} : column;
    case Dimension::length:
    case Dimension::bore:
      if (size < 1e-4) return {.unit = "um"};
      if (us) return size < foot_m ? Shown{.unit = "in", .decimals = 3} : Shown{.unit = "ft", .decimals = 2};
      return size < 1.0 ? Shown{.unit = "mm", .decimals = 2} : Shown{.unit = "m", .decimals = 2};
    case Dimension::volume: return size < 0.1e-3 ? Shown{.unit = "mL"} : column;
    case Dimension::power: return size < 1e3 ? Shown{.unit = "W"} : column;
    case Dimension::mass:
      if (size < 1e-3) return {.unit = "mg"};
      if (us) return size < 0.1 ? Shown{.unit = "g"} : column;
      return size < 1.0 ? Shown{.unit = "g"} : column;
    case Dimension::time:
      if (size < 0.1) return {.unit = "ms"};
      if (size < 120.0) return column;
      return size < 7200.0 ? Shown{.unit = "min", .decimals = 1} : Shown{.unit = "h", .decimals = 1};
    case Dimension::voltage: return size < 0.1 ? Shown{.unit = "mV"} : column;
    case Dimension::current: return size < 0.1 ? Shown{.unit = "mA"} : column;
    case Dimension::resistance: return size < 0.1 ? Shown{.unit = "mOhm"} : column;
    case Dimension::torque: return us && size < 1.3558179483314 ? Shown{.unit = "lbf in"} : column;
    case Dimension::area:
      if (us) return column;
      if (size >= 0.1) return {.unit = "m2"};
      return size >= 1e-2 ? Shown{.unit = "cm2"} : column;
    case Dimension::energy: return !us && size < 1e3 ? Shown{.unit = "J"} : column;
    case Dimension::ratio: return size < 1e-3 || size >= 10.0 ? Shown{.unit = ""} : column;
    default: return column;
  }
}

Scale scale_of(const Shown& shown, Dimension dimension) {
  std::string key = unit_key(shown.unit);
  if (dimension == Dimension::absolute_pressure && key.ends_with(" abs")) key.resize(key.size() - 4);
  const Unit* unit = find_unit(key, dimension);
  FW_EXPECTS(unit != nullptr);
  return {.factor = 1.0 / unit->factor, .offset = -unit->offset / unit->factor};
}

/// No digit of a printed number says less than its sign: "-0.0" becomes "0.0".
std::string without_minus_zero(std::string text) {
  if (text.starts_with("-") && text.find_first_of("123456789") == std::string::npos) text.erase(0, 1);
  return text;
}

/// Power of ten after rounding to three digits: 99.96 is 100. Precondition: finite.
int rounded_exponent(double value) {
  const std::string rounded = fmt::format("{:.2e}", value);
  const std::size_t e = rounded.find('e');
  const std::size_t digits = e + (rounded[e + 1] == '+' ? 2 : 1);
  int exponent = 0;
  std::from_chars(rounded.data() + digits, rounded.data() + rounded.size(), exponent);
  return exponent;
}

std::string number_text(double value, const Shown& shown) {
  if (value == 0.0) return "0";
  const int exponent = rounded_exponent(value);
  if (shown.decimals == significant) {
    if (exponent < -3 || exponent >= 6) return fmt::format("{:.2e}", value);
    return without_minus_zero(fmt::format("{:.{}f}", value, std::max(2 - exponent, 0)));
  }
  if (exponent >= 9) return fmt::format("{:.2e}", value);
  const int decimals = std::clamp(2 - exponent, 0, shown.decimals);
  return without_minus_zero(fmt::format("{:.{}f}", value, decimals));
}

std::string text_of(double si, Dimension dimension, const Shown& shown) {
  const Scale how = scale_of(shown, dimension);
  return number_text(si * how.factor + how.offset, shown);
}

/// A whole number of degrees has no ".0": "40 C".
std::string without_zero_decimal(std::string text) {
  if (text.ends_with(".0")) text.resize(text.size() - 2);
  return text;
}

}  // namespace

std::string_view name(System system) {
  switch (system) {
    case System::us: return "us";
    case System::metric: return "metric";
    case System::si: return "si";
  }
  return "metric";
}

Scale scale(Dimension dimension, System system) { return scale_of(column_unit(dimension, system), dimension); }

std::string unit_name(Dimension dimension, System system) { return std::string(column_unit(dimension, system).unit); }

std::string print_number(double si, Dimension dimension, System system) {
  return printable(si) ? text_of(si, dimension, column_unit(dimension, system)) : "-";
}

std::string print(double si, Dimension dimension, System system, const PrintOptions& options) {
  if (!printable(si)) return "-";
  const bool inches = options.vacuum == Vacuum::inches_of_mercury && system == System::us &&
                      dimension == Dimension::gauge_pressure && si < 0.0;
  if (inches) {
    const std::string number = text_of(-si, dimension, {.unit = "inHg", .decimals = 1});
    if (number.find_first_of("123456789") != std::string::npos) return number + " inHg vac";
  }
  const Shown shown = unit_by_size(std::abs(si), dimension, system);
  std::string text = text_of(si, dimension, shown);
  if (dimension == Dimension::temperature) text = without_zero_decimal(std::move(text));
  return shown.unit.empty() ? text : text + " " + std::string(shown.unit);
}

std::string print_both(double si, Dimension dimension, System system, const PrintOptions& options) {
  const System other = system == System::us ? System::metric : System::us;
  const std::string first = print(si, dimension, system, options);
  const std::string second = print(si, dimension, other, options);
  return first == second ? first : first + " (" + second + ")";
}

}  // namespace fw::units
