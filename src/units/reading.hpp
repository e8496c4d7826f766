// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstdint>
#include <string>
#include <string_view>

#include "base/result.hpp"
#include "units/dimension.hpp"
#include "units/text.hpp"

/// Inside the room units: one number with its unit, and the errors that teach. `Field` carries what every error shows.
namespace fw::units {

enum class Form : std::uint8_t {
  number,  ///< one number: no doubt may be typed
  stated,  ///< a number with its doubt
};

struct Field {
  std::string_view typed;  ///< the whole text, as it came
  Dimension dimension = Dimension::ratio;
  Form form = Form::number;
};

/// The one way to refuse a text: found, expected, and a hint that ends with legal examples in quotes.
[[nodiscard]] tl::unexpected<Errors> refuse(const Field& field, std::string expected, std::string hint = {});

/// `Write "11 psi"`.
[[nodiscard]] std::string write_example(const Field& field);
/// "11 psi +/- 1 psi", "9 to 13 psi", "11 psi (9 to 13)", "log 9 to 13 psi" in the field's dimension.
[[nodiscard]] std::string example_of_doubt(Dimension dimension);
[[nodiscard]] std::string example_of_range(Dimension dimension);
[[nodiscard]] std::string example_of_mode(Dimension dimension);
[[nodiscard]] std::string example_of_log_range(Dimension dimension);

/// Words around the unit of a pressure: "psi abs", "psia", "bar(g)", "inHg vac".
struct PressureUnit {
  std::string unit;
  bool absolute = false;
  bool gauge = false;
  bool vacuum = false;
  bool difference = false;
};
[[nodiscard]] PressureUnit pressure_unit(std::string_view unit_text);

/// A number and the text of its unit, which may be empty.
struct Quantity {
  double number = 0.0;
  std::string unit;
};
/// `part` is the piece of the field's text that holds this quantity, already plain().
[[nodiscard]] Result<Quantity> read_quantity(std::string_view part, const Field& field);

/// SI value. Feet with inches are one length: the unit text of "5 ft 3 in" is "ft 3 in".
[[nodiscard]] Result<double> in_si(const Quantity& quantity, const Field& field);

}  // namespace fw::units
