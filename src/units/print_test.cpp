// SPDX-License-Identifier: Apache-2.0
#include "units/print.hpp"

#include <cmath>
#include <limits>
#include <string>

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include "units/quantity.hpp"

namespace fw::units {
namespace {

// NOLINTBEGIN(modernize-use-designated-initializers): the rows are tables, their columns named above them

constexpr double litre_per_hour = 1e-3 / 3600.0;
constexpr System all_systems[] = {System::us, System::metric, System::si};

TEST(Print, UsesTheUnitsAndDigitsOfTheReader) {
  struct Row {
    double si;
    Dimension dimension;
    System system;
    std::string_view text;
  };
  const Row rows[] = {
      {57'300.0, Dimension::gauge_pressure, System::metric, "57.3 kPa"},
      {57'300.0, Dimension::gauge_pressure, System::us, "8.3 psi"},
      {57'300.0, Dimension::gauge_pressure, System::si, "57300 Pa"},
      {-500.0, Dimension::gauge_pressure, System::metric, "-0.5 kPa"},
      {-10.0, Dimension::gauge_pressure, System::metric, "0.0 kPa"},
      {0.0, Dimension::gauge_pressure, System::metric, "0 kPa"},
      {99'960.0, Dimension::gauge_pressure, System::metric, "100 kPa"},
      {99'940.0, Dimension::gauge_pressure, System::metric, "99.9 kPa"},
      {160e6, Dimension::gauge_pressure, System::metric, "160 MPa"},
      {101'325.0, Dimension::absolute_pressure, System::metric, "101 kPa abs"},
      {101'325.0, Dimension::absolute_pressure, System::us, "14.7 psi abs"},
      {440.0, Dimension::pressure_drop, System::metric, "0.44 kPa"},
      {166.01 * litre_per_hour, Dimension::volume_flow, System::metric, "166 L/h"},
      {166.01 * litre_per_hour, Dimension::volume_flow, System::us, "43.9 gph"},
      {0.0127, Dimension::bore, System::metric, "12.7 mm"},
      {0.0127, Dimension::bore, System::us, "0.500 in"},
      {0.75, Dimension::length, System::metric, "750 mm"},
      {3.8, Dimension::length, System::metric, "3.80 m"},
      {3.8, Dimension::length, System::us, "12.5 ft"},
      {0.1, Dimension::length, System::us, "3.94 in"},
      {10e-6, Dimension::length, System::us, "10.0 um"},
      {-0.06, Dimension::height, System::metric, "-0.06 m"},
      {313.15, Dimension::temperature, System::us, "104 F"},
      {313.15, Dimension::temperature, System::metric, "40 C"},
      {263.65, Dimension::temperature, System::metric, "-9.5 C"},
      {273.12, Dimension::temperature, System::metric, "0 C"},
      {230e3, Dimension::power, System::us, "308 mech hp"},
      {80e-3, Dimension::volume, System::us, "21.1 gal"},
      {25e-6, Dimension::mass, System::us, "25.0 mg"},
      {0.521, Dimension::voltage, System::metric, "0.52 V"},
      {0.02, Dimension::voltage, System::metric, "20.0 mV"},
      {40.0, Dimension::rotational_speed, System::metric, "2400 rpm"},
      {40.0, Dimension::rotational_speed, System::si, "40.0 1/s"},
      {1.8e6, Dimension::time, System::metric, "500 h"},
      {2.7e-6, Dimension::kinematic_viscosity, System::si, "2.70e-06 m2/s"},
      {0.08, Dimension::ratio, System::metric, "8.00 %"},
      {5e-7, Dimension::ratio, System::metric, "5.00e-07"},
      {std::numeric_limits<double>::quiet_NaN(), Dimension::ratio, System::metric, "-"},
      {std::numeric_limits<double>::infinity(), Dimension::length, System::us, "-"},
      {1e250, Dimension::specific_consumption, System::metric, "-"},
  };
  for (const Row& row : rows) EXPECT_EQ(print(row.si, row.dimension, row.system), row.text);
}

TEST(Print, ShowsVacuumAsTheReaderKnowsIt) {
  const PrintOptions inches{.vacuum = Vacuum::inches_of_mercury};
  EXPECT_EQ(print(-27'091.0, Dimension::gauge_pressure, System::us, inches), "8.0 inHg vac");
  EXPECT_EQ(print(-27'091.0, Dimension::gauge_pressure, System::us), "-3.9 psi");
  EXPECT_EQ(print(-27'091.0, Dimension::gauge_pressure, System::metric, inches), "-27.1 kPa");
  EXPECT_EQ(print(27'091.0, Dimension::gauge_pressure, System::us, inches), "3.9 psi");
  EXPECT_EQ(print(-1.0, Dimension::gauge_pressure, System::us, inches), "0.0 psi");
  EXPECT_EQ(print_both(-27'091.0, Dimension::gauge_pressure, System::metric, inches), "-27.1 kPa (8.0 inHg vac)");
}

TEST(Print, ShowsBothSystems) {
  EXPECT_EQ(print_both(57'300.0, Dimension::gauge_pressure, System::metric), "57.3 kPa (8.3 psi)");
  EXPECT_EQ(print_both(57'300.0, Dimension::gauge_pressure, System::us), "8.3 psi (57.3 kPa)");
  EXPECT_EQ(print_both(57'300.0, Dimension::gauge_pressure, System::si), "57300 Pa (8.3 psi)");
  EXPECT_EQ(print_both(13.8, Dimension::voltage, System::metric), "13.8 V");
}

// The unit of a column stays; number, scale and unit belong together.
TEST(Print, ColumnsKeepOneUnit) {
  EXPECT_EQ(unit_name(Dimension::gauge_pressure, System::metric), "kPa");
  EXPECT_EQ(unit_name(Dimension::absolute_pressure, System::us), "psi abs");
  EXPECT_EQ(print_number(0.5, Dimension::length, System::metric), "0.50");
  EXPECT_EQ(print_number(160e6, Dimension::gauge_pressure, System::metric), "160000");
  EXPECT_EQ(print_number(std::numeric_limits<double>::quiet_NaN(), Dimension::length, System::metric), "-");
  for (int i = 0; i < dimension_count; ++i) {
    const auto dimension = static_cast<Dimension>(i);
    for (const System system : all_systems) {
      const Scale how = scale(dimension, system);
      const double si = (7.0 - how.offset) / how.factor;
      const std::string text = print_number(si, dimension, system) + " " + unit_name(dimension, system);
      const auto back = parse(text, dimension);
      ASSERT_TRUE(back) << text;
      EXPECT_NEAR(*back, si, 1e-9 * std::abs(si)) << text;
      if (system == System::si) {
        EXPECT_EQ(how.factor, 1.0) << name(dimension);
      }
    }
  }
}

// Printing and reading again returns the value within half a unit of the last printed digit, in every system.
RC_GTEST_PROP(Print, RoundTripsWithinItsDigits, ()) {
  const auto dimension = static_cast<Dimension>(*rc::gen::inRange(0, dimension_count));
  const auto system = *rc::gen::elementOf(std::vector<System>{System::us, System::metric, System::si});
  const PrintOptions options{.vacuum = *rc::gen::element(Vacuum::negative_gauge, Vacuum::inches_of_mercury)};
  const double number = std::pow(10.0, *rc::gen::inRange(-3, 6)) * (1.0 + *rc::gen::inRange(0, 9000) / 1000.0);
  const Scale how = scale(dimension, system);
  double si = (number - how.offset) / how.factor;
  if (dimension == Dimension::gauge_pressure && si < 100e3 && *rc::gen::arbitrary<bool>()) si = -si;
  const std::string text = print(si, dimension, system, options);
  const auto back = parse(text, dimension);
  if (!back) {
    // What prints as zero is no bore, density, viscosity or modulus; nothing else may be lost.
    RC_ASSERT(text.substr(0, text.find(' ')).find_first_of("123456789") == std::string::npos);
    RC_DISCARD(text);
  }

  // Half a unit of the last digit: the same text with one more digit 5 at the end is that far off.
  const std::size_t blank = text.find(' ');
  std::string digits = text.substr(0, blank);
  std::string exponent;
  if (const std::size_t e = digits.find('e'); e != std::string::npos) {
    exponent = digits.substr(e);
    digits.resize(e);
  }
  const bool decimal = digits.find('.') != std::string::npos;
  // A temperature below 100 drops its ".0": its last digit is a tenth.
  const bool hidden_tenth = dimension == Dimension::temperature && !decimal && std::abs(number) < 99.95;
  const std::string half = digits +
                           (decimal        ? "5"
                            : hidden_tenth ? ".05"
                                           : ".5") +
                           exponent + (blank == std::string::npos ? "" : text.substr(blank));
  const auto off = parse(half, dimension);
  RC_ASSERT(off.has_value());
  RC_ASSERT(std::abs(*back - si) <= 1.001 * std::abs(*off - *back) + 1e-12 * std::abs(si));
}

TEST(Print, NeverShowsMinusZero) {
  for (int i = 0; i < dimension_count; ++i) {
    const auto dimension = static_cast<Dimension>(i);
    for (const System system : all_systems) {
      for (const double size : {0.0, 1e-12, 1e-6, 1e-3}) {
        const Scale how = scale(dimension, system);
        const std::string text = print((-size - how.offset) / how.factor, dimension, system);
        const bool minus = text.starts_with("-");
        EXPECT_TRUE(!minus || text.substr(0, text.find(' ')).find_first_of("123456789") != std::string::npos) << text;
      }
    }
  }
}

// NOLINTEND(modernize-use-designated-initializers)

}  // namespace
}  // namespace fw::units
