// SPDX-License-Identifier: Apache-2.0
#include "units/quantity.hpp"

#include <charconv>
#include <cmath>
#include <fstream>
#include <map>
#include <string>

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

namespace fw::units {
namespace {

constexpr Dimension all_dimensions[] = {Dimension::gauge_pressure,
                                        Dimension::absolute_pressure,
                                        Dimension::pressure_drop,
                                        Dimension::volume_flow,
                                        Dimension::length,
                                        Dimension::bore,
                                        Dimension::height,
                                        Dimension::distance,
                                        Dimension::temperature,
                                        Dimension::temperature_difference,
                                        Dimension::volume,
                                        Dimension::displacement,
                                        Dimension::dynamic_viscosity,
                                        Dimension::kinematic_viscosity,
                                        Dimension::power,
                                        Dimension::mass,
                                        Dimension::density,
                                        Dimension::time,
                                        Dimension::voltage,
                                        Dimension::current,
                                        Dimension::resistance,
                                        Dimension::rotational_speed,
                                        Dimension::velocity,
                                        Dimension::specific_consumption,
                                        Dimension::torque,
                                        Dimension::motor_constant,
                                        Dimension::area,
                                        Dimension::ratio};

// Published: NIST SP 811 (2008) conversion factors, as collected in tests/published/units/unit_factors.csv.
TEST(Factors, AreThoseOfNistSp811) {
  const std::map<std::string, std::pair<std::string, Dimension>> ours{{"psi", {"psi", Dimension::pressure_drop}},
                                                                      {"bar", {"bar", Dimension::pressure_drop}},
                                                                      {"atm", {"atm", Dimension::pressure_drop}},
                                                                      {"inHg 0C", {"inHg", Dimension::pressure_drop}},
                                                                      {"mmHg", {"mmHg", Dimension::pressure_drop}},
                                                                      {"inH2O 4C", {"inH2O", Dimension::pressure_drop}},
                                                                      {"gal US", {"gal", Dimension::volume}},
                                                                      {"gal imp", {"imp gal", Dimension::volume}},
                                                                      {"gpm US", {"gpm", Dimension::volume_flow}},
                                                                      {"L/h", {"L/h", Dimension::volume_flow}},
                                                                      {"cSt", {"cSt", Dimension::kinematic_viscosity}},
                                                                      {"cP", {"cP", Dimension::dynamic_viscosity}},
                                                                      {"in", {"in", Dimension::length}},
                                                                      {"ft", {"ft", Dimension::length}},
                                                                      {"lbf ft", {"lbf ft", Dimension::torque}},
                                                                      {"lbf in", {"lbf in", Dimension::torque}},
                                                                      {"lb", {"lb", Dimension::mass}},
                                                                      {"hp mech", {"mech hp", Dimension::power}},
                                                                      {"PS metric", {"metric hp", Dimension::power}}};
  std::ifstream file(std::string(FW_SOURCE_DIR) + "/tests/published/units/unit_factors.csv");
  std::string line;
  int held = 0;
  while (std::getline(file, line)) {
    const std::size_t first = line.find(',');
    if (first == std::string::npos) continue;
    const auto unit = ours.find(line.substr(0, first));
    if (unit == ours.end()) continue;
    const std::size_t second = line.find(',', first + 1);
    const std::size_t third = line.find(',', second + 1);
    const std::string number = line.substr(second + 1, third - second - 1);
    double factor = 0.0;
    std::from_chars(number.data(), number.data() + number.size(), factor);
    const auto parsed = parse("1 " + unit->second.first, unit->second.second);
    ASSERT_TRUE(parsed) << line;
    EXPECT_NEAR(*parsed / factor, 1.0, 2e-11) << line;
    ++held;
  }
  EXPECT_EQ(held, static_cast<int>(ours.size()));
}

TEST(Parse, ReadsWhatPeopleWrite) {
  const auto value = [](std::string_view text, Dimension dimension) { return parse(text, dimension).value(); };
  EXPECT_NEAR(value("120 L/h", Dimension::volume_flow), 120e-3 / 3600.0, 1e-18);
  EXPECT_NEAR(value("100 gph", Dimension::volume_flow) * 3.6e6, 378.5411784, 1e-9);
  EXPECT_DOUBLE_EQ(value("5/16 in", Dimension::bore), 5.0 / 16.0 * 0.0254);
  EXPECT_DOUBLE_EQ(value("1 1/2 in", Dimension::length), 1.5 * 0.0254);
  EXPECT_DOUBLE_EQ(value("1-1/2 in", Dimension::length), 1.5 * 0.0254);
  EXPECT_DOUBLE_EQ(value("8 inHg vac", Dimension::gauge_pressure), -8.0 * 3386.38864034);
  EXPECT_DOUBLE_EQ(value("11 psig", Dimension::gauge_pressure), 11.0 * 6894.757293168);
  EXPECT_DOUBLE_EQ(value("26 psi abs", Dimension::absolute_pressure), 26.0 * 6894.757293168);
  EXPECT_DOUBLE_EQ(value("\xE2\x88\x92"
                         "5 \xC2\xB0"
                         "C",
                         Dimension::temperature),
                   268.15);
  EXPECT_NEAR(value("104 F", Dimension::temperature), 313.15, 1e-12);
  EXPECT_NEAR(value("9 F", Dimension::temperature_difference), 5.0, 1e-12);
  EXPECT_DOUBLE_EQ(value("10 \xC2\xB5m", Dimension::length), 10e-6);
  EXPECT_DOUBLE_EQ(value("20 %", Dimension::ratio), 0.2);
  EXPECT_DOUBLE_EQ(value("8 in 100", Dimension::ratio), 0.08);
  EXPECT_DOUBLE_EQ(value("0.75", Dimension::ratio), 0.75);
  EXPECT_NEAR(value("225 g/kWh", Dimension::specific_consumption), 62.5e-9, 1e-20);
}

TEST(Parse, OneErrorEachWithALegalExample) {
  struct Row {
    const char* text;
    Dimension dimension;
  };
  for (const Row row : {Row{"8", Dimension::bore},
                        Row{"", Dimension::length},
                        Row{"eight mm", Dimension::length},
                        Row{"8 mn", Dimension::bore},
                        Row{"1,5 m", Dimension::length},
                        Row{"-3 m", Dimension::length},
                        Row{"12 psi abs", Dimension::gauge_pressure},
                        Row{"12 psi", Dimension::absolute_pressure},
                        Row{"12 psi gauge", Dimension::pressure_drop},
                        Row{"3 inHg vac", Dimension::pressure_drop},
                        Row{"300 hp", Dimension::power},
                        Row{"120", Dimension::volume_flow},
                        Row{"120 L", Dimension::volume_flow},
                        Row{"5/0 in", Dimension::bore},
                        Row{"1e999 m", Dimension::length},
                        Row{"nan m", Dimension::length},
                        Row{"inf m", Dimension::length},
                        Row{"--3 m", Dimension::height},
                        Row{"-300 C", Dimension::temperature},
                        Row{"12 bar abs", Dimension::gauge_pressure},
                        Row{"40", Dimension::temperature},
                        Row{"2400", Dimension::rotational_speed},
                        Row{"13.8", Dimension::voltage},
                        Row{"10 psi psi", Dimension::gauge_pressure},
                        Row{"5 m/s/s", Dimension::velocity}}) {
    const auto parsed = parse(row.text, row.dimension);
    ASSERT_FALSE(parsed) << row.text;
    EXPECT_EQ(parsed.error().size(), 1U);
    const Error& error = parsed.error().front();
    EXPECT_EQ(error.found, "\"" + std::string(row.text) + "\"");
    EXPECT_FALSE(error.expected.empty()) << row.text;
    EXPECT_FALSE(error.hint.empty()) << row.text;
  }
  for (const Dimension dimension : all_dimensions) {
    EXPECT_TRUE(parse(example(dimension), dimension)) << example(dimension);
    EXPECT_EQ(parse("7", dimension).has_value(), dimension == Dimension::ratio) << name(dimension);
  }
}

TEST(Stated, ReadsEveryFormOfDoubt) {
  const auto stated = [](std::string_view text) { return parse_stated(text, Dimension::gauge_pressure).value(); };
  const double psi = 6894.757293168;
  Stated x = stated("11 psi +/- 1 psi");
  EXPECT_EQ(x.spread.kind, SpreadKind::normal);
  EXPECT_DOUBLE_EQ(x.spread.half_width, psi);
  EXPECT_EQ(x.origin.as_typed, "11 psi +/- 1 psi");
  x = stated("11 psi \xC2\xB1 10 %");
  EXPECT_NEAR(x.spread.half_width, 1.1 * psi, 1e-9);
  x = stated("10 to 12 psi");
  EXPECT_EQ(x.spread.kind, SpreadKind::uniform);
  EXPECT_NEAR(x.value, 11.0 * psi, 1e-9);
  x = stated("11 psi (9 to 13)");
  EXPECT_EQ(x.spread.kind, SpreadKind::triangular);
  EXPECT_NEAR(x.spread.high, 13.0 * psi, 1e-9);
  x = stated("typical 11 psi");
  EXPECT_EQ(x.source, SourceClass::typical);
  EXPECT_NEAR(x.spread.half_width, 3.3 * psi, 1e-9);
  x = stated("assumed 11 psi");
  EXPECT_EQ(x.spread.kind, SpreadKind::lognormal);
  x = stated("exactly 11 psi");
  EXPECT_EQ(x.spread.kind, SpreadKind::exact);
  x = stated("?");
  EXPECT_TRUE(x.unknown);
  EXPECT_FALSE(x.given());
  x = parse_stated("log 0.02 to 1", Dimension::ratio).value();
  EXPECT_EQ(x.spread.kind, SpreadKind::log_uniform);
  EXPECT_NEAR(x.value, 0.1414213562, 1e-9);
  x = parse_stated("40 C +/- 3 K", Dimension::temperature).value();
  EXPECT_NEAR(x.spread.half_width, 3.0, 1e-12);
  EXPECT_DOUBLE_EQ(parse_stated("8 mm", Dimension::bore)->spread.half_width, 0.03 * 8e-3);
  EXPECT_DOUBLE_EQ(parse_stated("2 m", Dimension::length)->spread.half_width, 0.05 * 2.0);
  for (const char* bad : {"11 psi (13 to 9)", "12 to 10 psi", "11 psi (9", "11 psi +/- 0 psi", "11 psi +/-",
                          "log 5 psi", "log 0 to 1 psi", "typical ?", "typical", "11 psi (9 - 13)", "11 psi +/- 1 m"}) {
    const auto parsed = parse_stated(bad, Dimension::gauge_pressure);
    ASSERT_FALSE(parsed) << bad;
    EXPECT_EQ(parsed.error().size(), 1U) << bad;
  }
}

// Published (secondary source): bores of SAE J30/J517 hose and of 100R5 types by dash size.
TEST(Dash, NamesABoreOnlyWithItsKind) {
  EXPECT_NEAR(bore_of(parse_dash("-8 J30 hose").value()).value() * 1e3, 12.7, 0.05);
  EXPECT_NEAR(bore_of(parse_dash("-10 J30 hose").value()).value() * 1e3, 15.9, 0.05);
  EXPECT_NEAR(bore_of(parse_dash("-8 100R5 hose").value()).value() * 1e3, 10.3, 0.05);
  EXPECT_NEAR(bore_of(parse_dash("-6 100R5").value()).value() * 1e3, 7.9, 0.05);
  EXPECT_NEAR(bore_of(parse_dash("-8 tube 0.89 mm wall").value()).value() * 1e3, 10.92, 0.005);
  EXPECT_NEAR(bore_of(parse_dash("dash -4 tube 1.24 mm wall").value()).value() * 1e3, 3.87, 0.005);
  const Error error = parse_dash("-8").error().front();
  EXPECT_NE(error.expected.find("J30 hose (bore 12.7 mm)"), std::string::npos) << error.expected;
  EXPECT_FALSE(parse_dash("-7 J30 hose"));
  EXPECT_FALSE(parse_dash("-8 garden hose"));
  EXPECT_FALSE(parse_dash("-4 tube 4 mm wall"));
  EXPECT_TRUE(looks_like_dash("-8"));
  EXPECT_FALSE(looks_like_dash("-8 mm"));
  EXPECT_FALSE(looks_like_dash("8 mm"));
  EXPECT_NEAR(parse_bore("-8 J30 hose")->value, 0.0127, 1e-12);
  EXPECT_NEAR(parse_bore("5/16 in")->value, 0.0079375, 1e-12);
}

TEST(Print, UsesTheUnitsOfTheReader) {
  EXPECT_EQ(print(57'300.0, Dimension::gauge_pressure, System::metric), "57.3 kPa");
  EXPECT_EQ(print(57'300.0, Dimension::gauge_pressure, System::us), "8.3 psi");
  EXPECT_EQ(print_both(57'300.0, Dimension::gauge_pressure, System::metric), "57.3 kPa (8.3 psi)");
  EXPECT_EQ(print(-10.0, Dimension::gauge_pressure, System::metric), "0.0 kPa");
  EXPECT_EQ(print(166e-3 / 3600, Dimension::volume_flow, System::metric), "166 L/h");
  EXPECT_EQ(print(313.15, Dimension::temperature, System::us), "104 F");
}

// Printing and reading again returns the value within the printed digits, in every system.
RC_GTEST_PROP(Print, RoundTripsWithinItsDigits, ()) {
  const auto dimension = *rc::gen::elementOf(std::vector<Dimension>{
      Dimension::gauge_pressure, Dimension::pressure_drop, Dimension::volume_flow, Dimension::length,
      Dimension::temperature, Dimension::volume, Dimension::voltage, Dimension::rotational_speed});
  const auto system = *rc::gen::elementOf(std::vector<System>{System::us, System::metric, System::si});
  const double magnitude = std::pow(10.0, *rc::gen::inRange(-1, 4)) * (1.0 + *rc::gen::inRange(0, 1000) / 1000.0);
  const Scale how = scale(dimension, system);
  const double si = (magnitude - how.offset) / how.factor;
  const std::string text = print(si, dimension, system);
  const auto back = parse(text, dimension);
  RC_ASSERT(back.has_value());
  RC_ASSERT(std::abs((*back - si) * how.factor) <= 0.51 * std::max(1.0, magnitude * 0.01));
}

// Any text at all gives a value or exactly one error, never a crash.
RC_GTEST_PROP(Parse, SurvivesAnyText, (const std::string& text)) {
  for (const Dimension dimension : all_dimensions) {
    const auto parsed = parse_stated(text, dimension);
    RC_ASSERT(parsed.has_value() || parsed.error().size() == 1U);
  }
  static_cast<void>(parse_bore(text));
}

}  // namespace
}  // namespace fw::units
