// SPDX-License-Identifier: Apache-2.0
#include "units/dimension_facts.hpp"

namespace fw::units {

DimensionFacts facts(Dimension dimension) {
  switch (dimension) {
    case Dimension::gauge_pressure:
      return {.name = "a gauge pressure",
              .example = "11 psi",
              .number = "11",
              .unit = "psi",
              .low = "9",
              .high = "13",
              .half_width = "1",
              .sign = Sign::any};
    case Dimension::absolute_pressure:
      return {.name = "an absolute pressure",
              .example = "26 psi abs",
              .number = "26",
              .unit = "psi abs",
              .low = "24",
              .high = "28",
              .half_width = "1",
              .sign = Sign::not_negative};
    case Dimension::pressure_drop:
      return {.name = "a pressure drop",
              .example = "3 kPa",
              .number = "3",
              .unit = "kPa",
              .low = "2",
              .high = "5",
              .half_width = "0.5",
              .sign = Sign::not_negative};
    case Dimension::volume_flow:
      return {.name = "a flow",
              .example = "120 L/h",
              .number = "120",
              .unit = "L/h",
              .low = "100",
              .high = "150",
              .half_width = "10",
              .sign = Sign::not_negative};
    case Dimension::length:
      return {.name = "a length",
              .example = "3.8 m",
              .number = "3.8",
              .unit = "m",
              .low = "3",
              .high = "5",
              .half_width = "0.2",
              .sign = Sign::not_negative};
    case Dimension::bore:
      return {.name = "a bore",
              .example = "5/16 in",
              .number = "5/16",
              .unit = "in",
              .low = "1/4",
              .high = "3/8",
              .half_width = "0.01",
              .sign = Sign::positive};
    case Dimension::height:
      return {.name = "a height",
              .example = "0.75 m",
              .number = "0.75",
              .unit = "m",
              .low = "0.5",
              .high = "1",
              .half_width = "0.05",
              .sign = Sign::any};
    case Dimension::distance:
      return {.name = "a distance",
              .example = "50 km",
              .number = "50",
              .unit = "km",
              .low = "40",
              .high = "80",
              .half_width = "5",
              .sign = Sign::not_negative};
    case Dimension::temperature:
      return {.name = "a temperature",
              .example = "40 C",
              .number = "40",
              .unit = "C",
              .low = "35",
              .high = "45",
              .half_width = "3",
              .sign = Sign::any};
    case Dimension::temperature_difference:
      return {.name = "a temperature difference",
              .example = "5 K",
              .number = "5",
              .unit = "K",
              .low = "4",
              .high = "7",
              .half_width = "1",
              .sign = Sign::any};
    case Dimension::volume:
      return {.name = "a volume",
              .example = "80 L",
              .number = "80",
              .unit = "L",
              .low = "60",
              .high = "105",
              .half_width = "5",
              .sign = Sign::not_negative};
    case Dimension::displacement:
      return {.name = "a displacement",
              .example = "1.6 cm3/rev",
              .number = "1.6",
              .unit = "cm3/rev",
              .low = "1.1",
              .high = "2.1",
              .half_width = "0.1",
              .sign = Sign::not_negative};
    case Dimension::dynamic_viscosity:
      return {.name = "a dynamic viscosity",
              .example = "2.2 mPa s",
              .number = "2.2",
              .unit = "mPa s",
              .low = "2",
              .high = "3",
              .half_width = "0.1",
              .sign = Sign::positive};
    case Dimension::kinematic_viscosity:
      return {.name = "a kinematic viscosity",
              .example = "2.7 mm2/s",
              .number = "2.7",
              .unit = "mm2/s",
              .low = "2",
              .high = "4.1",
              .half_width = "0.1",
              .sign = Sign::positive};
    case Dimension::power:
      return {.name = "a power",
              .example = "230 kW",
              .number = "230",
              .unit = "kW",
              .low = "200",
              .high = "250",
              .half_width = "10",
              .sign = Sign::not_negative};
    case Dimension::mass:
      return {.name = "a mass",
              .example = "100 mg",
              .number = "100",
              .unit = "mg",
              .low = "50",
              .high = "200",
              .half_width = "20",
              .sign = Sign::not_negative};
    case Dimension::density:
      return {.name = "a density",
              .example = "835 kg/m3",
              .number = "835",
              .unit = "kg/m3",
              .low = "820",
              .high = "845",
              .half_width = "5",
              .sign = Sign::positive};
    case Dimension::time:
      return {.name = "a time",
              .example = "20 min",
              .number = "20",
              .unit = "min",
              .low = "15",
              .high = "30",
              .half_width = "5",
              .sign = Sign::not_negative};
    case Dimension::voltage:
      return {.name = "a voltage",
              .example = "13.8 V",
              .number = "13.8",
              .unit = "V",
              .low = "13.2",
              .high = "14.4",
              .half_width = "0.2",
              .sign = Sign::not_negative};
    case Dimension::current:
      return {.name = "a current",
              .example = "5 A",
              .number = "5",
              .unit = "A",
              .low = "4",
              .high = "8",
              .half_width = "0.5",
              .sign = Sign::not_negative};
    case Dimension::resistance:
      return {.name = "a resistance",
              .example = "0.09 Ohm",
              .number = "0.09",
              .unit = "Ohm",
              .low = "0.05",
              .high = "0.2",
              .half_width = "0.01",
              .sign = Sign::not_negative};
    case Dimension::rotational_speed:
      return {.name = "a speed",
              .example = "2400 rpm",
              .number = "2400",
              .unit = "rpm",
              .low = "2200",
              .high = "2600",
              .half_width = "50",
              .sign = Sign::not_negative};
    case Dimension::velocity:
      return {.name = "a velocity",
              .example = "0.6 m/s",
              .number = "0.6",
              .unit = "m/s",
              .low = "0.5",
              .high = "1.2",
              .half_width = "0.1",
              .sign = Sign::not_negative};
    case Dimension::specific_consumption:
      return {.name = "a specific consumption",
              .example = "225 g/kWh",
              .number = "225",
              .unit = "g/kWh",
              .low = "200",
              .high = "250",
              .half_width = "10",
              .sign = Sign::not_negative};
    case Dimension::torque:
      return {.name = "a torque",
              .example = "0.12 N m",
              .number = "0.12",
              .unit = "N m",
              .low = "0.08",
              .high = "0.2",
              .half_width = "0.04",
              .sign = Sign::not_negative};
    case Dimension::motor_constant:
      return {.name = "a motor constant",
              .example = "0.0285 V s",
              .number = "0.0285",
              .unit = "V s",
              .low = "0.02",
              .high = "0.04",
              .half_width = "0.005",
              .sign = Sign::not_negative};
    case Dimension::area:
      return {.name = "an area",
              .example = "0.35 m2",
              .number = "0.35",
              .unit = "m2",
              .low = "0.2",
              .high = "0.6",
              .half_width = "0.05",
              .sign = Sign::not_negative};
    case Dimension::modulus:
      return {.name = "a modulus",
              .example = "1.5 GPa",
              .number = "1.5",
              .unit = "GPa",
              .low = "1.3",
              .high = "1.8",
              .half_width = "0.1",
              .sign = Sign::positive};
    case Dimension::compressibility:
      return {.name = "a compressibility",
              .example = "0.7 1/GPa",
              .number = "0.7",
              .unit = "1/GPa",
              .low = "0.5",
              .high = "0.8",
              .half_width = "0.1",
              .sign = Sign::not_negative};
    case Dimension::angle:
      return {.name = "an angle",
              .example = "30 deg",
              .number = "30",
              .unit = "deg",
              .low = "20",
              .high = "45",
              .half_width = "5",
              .sign = Sign::any};
    case Dimension::energy:
      return {.name = "an energy",
              .example = "5 kJ",
              .number = "5",
              .unit = "kJ",
              .low = "4",
              .high = "6",
              .half_width = "0.5",
              .sign = Sign::not_negative};
    case Dimension::mass_flow:
      return {.name = "a mass flow",
              .example = "52 kg/h",
              .number = "52",
              .unit = "kg/h",
              .low = "40",
              .high = "60",
              .half_width = "5",
              .sign = Sign::not_negative};
    case Dimension::concentration_mass:
      return {.name = "a mass concentration",
              .example = "200 mg/kg",
              .number = "200",
              .unit = "mg/kg",
              .low = "100",
              .high = "300",
              .half_width = "20",
              .sign = Sign::not_negative};
    case Dimension::concentration_volume:
      return {.name = "a concentration per volume",
              .example = "20 mg/L",
              .number = "20",
              .unit = "mg/L",
              .low = "10",
              .high = "40",
              .half_width = "5",
              .sign = Sign::not_negative};
    case Dimension::conductance_thermal:
      return {.name = "a thermal conductance",
              .example = "15 W/K",
              .number = "15",
              .unit = "W/K",
              .low = "8",
              .high = "30",
              .half_width = "3",
              .sign = Sign::not_negative};
    case Dimension::heat_transfer:
      return {.name = "a heat transfer coefficient",
              .example = "25 W/(m2 K)",
              .number = "25",
              .unit = "W/(m2 K)",
              .low = "15",
              .high = "35",
              .half_width = "5",
              .sign = Sign::not_negative};
    case Dimension::thermal_conductivity:
      return {.name = "a thermal conductivity",
              .example = "0.4 W/(m K)",
              .number = "0.4",
              .unit = "W/(m K)",
              .low = "0.3",
              .high = "0.5",
              .half_width = "0.05",
              .sign = Sign::not_negative};
    case Dimension::specific_heat:
      return {.name = "a specific heat",
              .example = "2 kJ/(kg K)",
              .number = "2",
              .unit = "kJ/(kg K)",
              .low = "1.8",
              .high = "2.2",
              .half_width = "0.1",
              .sign = Sign::not_negative};
    case Dimension::surface_tension:
      return {.name = "a surface tension",
              .example = "20 mN/m",
              .number = "20",
              .unit = "mN/m",
              .low = "15",
              .high = "28",
              .half_width = "2",
              .sign = Sign::not_negative};
    case Dimension::linear_resistance:
      return {.name = "a drop per flow",
              .example = "8 kPa/(100 L/h)",
              .number = "8",
              .unit = "kPa/(100 L/h)",
              .low = "4",
              .high = "20",
              .half_width = "2",
              .sign = Sign::not_negative};
    case Dimension::quadratic_resistance:
      return {.name = "a drop per flow squared",
              .example = "2e12 Pa s2/m6",
              .number = "2e12",
              .unit = "Pa s2/m6",
              .low = "1e12",
              .high = "3e12",
              .half_width = "5e11",
              .sign = Sign::not_negative};
    case Dimension::viscous_coefficient:
      return {.name = "a viscous coefficient",
              .example = "1.63e10 1/m3",
              .number = "1.63e10",
              .unit = "1/m3",
              .low = "1e10",
              .high = "3e10",
              .half_width = "2e9",
              .sign = Sign::not_negative};
    case Dimension::inertial_coefficient:
      return {.name = "an inertial coefficient",
              .example = "2.46e9 1/m4",
              .number = "2.46e9",
              .unit = "1/m4",
              .low = "1e9",
              .high = "5e9",
              .half_width = "3e8",
              .sign = Sign::not_negative};
    case Dimension::force:
      return {.name = "a force",
              .example = "0.25 N",
              .number = "0.25",
              .unit = "N",
              .low = "0.2",
              .high = "0.3",
              .half_width = "0.02",
              .sign = Sign::not_negative};
    case Dimension::spring_rate:
      return {.name = "a spring rate",
              .example = "200 N/m",
              .number = "200",
              .unit = "N/m",
              .low = "150",
              .high = "250",
              .half_width = "20",
              .sign = Sign::not_negative};
    case Dimension::pressure_rate:
      return {.name = "a change of pressure with time",
              .example = "2 kPa/min",
              .number = "2",
              .unit = "kPa/min",
              .low = "1",
              .high = "4",
              .half_width = "0.5",
              .sign = Sign::any};
    case Dimension::temperature_coefficient:
      return {.name = "a change per kelvin",
              .example = "0.00393 1/K",
              .number = "0.00393",
              .unit = "1/K",
              .low = "0.0038",
              .high = "0.0041",
              .half_width = "0.0001",
              .sign = Sign::any};
    case Dimension::resistance_per_length:
      return {.name = "a resistance per length",
              .example = "5.2 mOhm/m",
              .number = "5.2",
              .unit = "mOhm/m",
              .low = "5",
              .high = "5.5",
              .half_width = "0.1",
              .sign = Sign::not_negative};
    case Dimension::mass_per_length:
      return {.name = "a mass per length",
              .example = "0.29 kg/m",
              .number = "0.29",
              .unit = "kg/m",
              .low = "0.2",
              .high = "0.4",
              .half_width = "0.05",
              .sign = Sign::not_negative};
    case Dimension::volume_per_length:
      return {.name = "a volume per length",
              .example = "127 mL/m",
              .number = "127",
              .unit = "mL/m",
              .low = "100",
              .high = "150",
              .half_width = "10",
              .sign = Sign::not_negative};
    case Dimension::volume_per_energy:
      return {.name = "a volume per energy",
              .example = "0.27 L/kWh",
              .number = "0.27",
              .unit = "L/kWh",
              .low = "0.24",
              .high = "0.32",
              .half_width = "0.02",
              .sign = Sign::not_negative};
    case Dimension::ratio:
      return {.name = "a share or factor",
              .example = "20 %",
              .number = "20",
              .unit = "%",
              .low = "10",
              .high = "35",
              .half_width = "5",
              .sign = Sign::any};
  }
  return {.name = "a number",
          .example = "1",
          .number = "1",
          .unit = "",
          .low = "0",
          .high = "2",
          .half_width = "0.1",
          .sign = Sign::any};
}

std::string_view name(Dimension dimension) { return facts(dimension).name; }

std::string_view example(Dimension dimension) { return facts(dimension).example; }

bool is_pressure(Dimension dimension) {
  return dimension == Dimension::gauge_pressure || dimension == Dimension::absolute_pressure ||
         dimension == Dimension::pressure_drop;
}

bool is_length(Dimension dimension) {
  return dimension == Dimension::length || dimension == Dimension::bore || dimension == Dimension::height;
}

Dimension difference_of(Dimension dimension) {
  if (is_pressure(dimension)) return Dimension::pressure_drop;
  if (dimension == Dimension::temperature) return Dimension::temperature_difference;
  return dimension;
}

}  // namespace fw::units
